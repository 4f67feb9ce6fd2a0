package scheduler

import "math"

// heat is, by room whose temperature changes, that by which its setting areas are
// sized: an area has no date before it has a size. It is what the room has at
// most on the days on which it is set, as far as these are known; once the areas
// are dated it is looked at again.
type heat map[string]float64

func (h heat) of(r *roomWork) float64 {
	if c, ok := h[r.key]; ok {
		return c
	}
	return r.celsius
}

const (
	heatDays = 28 // from a room's start on it is expected to be set, before anything is dated
	heatRuns = 4  // at most so often areas are sized again
)

// firstHeat expects each room to be set when the plan in force sets it, else in
// the weeks after it is ready.
func (m *maker) firstHeat() heat {
	set := map[string]Interval{}
	if m.in.Prior != nil {
		for _, a := range m.in.Prior.Areas {
			room := roomOfSurface(a.Surfaces[0])
			v, ok := set[room]
			if !ok {
				v.Start = a.Start
			}
			set[room] = Interval{min(v.Start, a.Start), max(v.End, a.Finish)}
		}
	}
	out := heat{}
	for _, r := range m.rooms {
		if len(r.air) == 0 {
			continue
		}
		v, ok := set[r.key]
		if !ok {
			v.Start = max(m.open, r.ready)
			v.End = v.Start + heatDays*1440
		}
		out[r.key] = r.warmestIn(v.Start, v.End)
	}
	return out
}

// reheat compares the temperatures by which areas are sized with those of the days
// on which they are set now, and reports whether areas must be sized again: because
// a day is warmer than expected, or, the first time, because none is as warm. After
// some runs a room is taken to be as warm as it is on any day to come. For a
// schedule that is not the last one it only learns.
func (m *maker) reheat(again int, last bool) bool {
	set := map[*roomWork]float64{}
	for _, t := range m.choice.net.tasks {
		if t.area == nil || len(t.room.air) == 0 {
			continue
		}
		c := t.room.warmestIn(t.start, t.start+t.minutes)
		if was, ok := set[t.room]; !ok || c > was {
			set[t.room] = c
		}
	}
	changed := false
	for _, r := range m.rooms {
		c, ok := set[r]
		if !ok {
			continue
		}
		switch was := m.heat[r.key]; {
		case c > was && again >= heatRuns:
			c = r.warmestIn(m.open, math.MaxInt32)
		case c > was:
		case m.in.Prior == nil && (!last || again == 0) && m.works.feels(r, was, c):
		default:
			continue
		}
		m.heat[r.key], changed = c, true
	}
	return changed
}

// feels reports whether a mortar of the room stays open for longer at the cooler
// of two temperatures.
func (w *works) feels(r *roomWork, warm, cool float64) bool {
	for _, f := range r.surfaces {
		for _, z := range f.layout.Zones {
			s := w.products[z.Zone.Mortar].Sheet
			open := s.OpenMinutes
			if open == 0 {
				open = defaultOpen
			}
			if WorkingMinutes(open, usable(s, warm), s.Reference) != WorkingMinutes(open, usable(s, cool), s.Reference) {
				return true
			}
		}
	}
	return false
}
