package scheduler

import (
	"math"
	"slices"
)

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

// firstHeat expects each room to be set when the plan in force sets it, and as warm
// as that plan took it to be where that is enough: without news the areas stay as
// they are. A room that is in no plan is expected to be set in the weeks after it is
// ready.
func (m *maker) firstHeat() heat {
	areas := map[string][]*Area{}
	if m.in.Prior != nil {
		for i := range m.in.Prior.Areas {
			a := &m.in.Prior.Areas[i]
			room := roomOfSurface(a.Surfaces[0])
			areas[room] = append(areas[room], a)
		}
	}
	out := heat{}
	for _, r := range m.rooms {
		if len(r.air) == 0 {
			continue
		}
		if set := areas[r.key]; len(set) > 0 {
			out[r.key] = m.takenFor(r, set)
		} else {
			from := max(m.open, r.ready)
			out[r.key] = r.warmestIn(from, from+heatDays*1440)
		}
	}
	return out
}

// takenFor is the least temperature of the room by which its areas in the plan in
// force can have been sized and that none of their days exceeds; where there is
// none, that of the warmest of these days.
func (m *maker) takenFor(r *roomWork, areas []*Area) float64 {
	least := r.warmestIn(areas[0].Start, areas[0].Finish)
	for _, a := range areas[1:] {
		least = max(least, r.warmestIn(a.Start, a.Finish))
	}
	best, found := least, false
	for _, s := range append([]airSpell{{celsius: r.celsius}}, r.air...) {
		c := s.celsius
		if c < least || found && c >= best {
			continue
		}
		if !slices.ContainsFunc(areas, func(a *Area) bool {
			used, words := openTime(m.products[a.Mortar].Sheet, c, m.limits.OpenSafety)
			return a.OpenMinutes != used || a.LimitsFrom != words
		}) {
			best, found = c, true
		}
	}
	return best
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
