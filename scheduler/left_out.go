package scheduler

import (
	"fmt"
	"slices"
	"strings"

	"potlife/rooms"
	"potlife/takeoff"
)

// leastShared is how much of a piece, in mm², lies in a region for it to count as
// reaching into it: less is a hair's breadth.
const leastShared = 100

// leaveOut marks the pieces of a layout that its surface leaves out on purpose.
func leaveOut(s *rooms.Surface, l *takeoff.Layout) error {
	for i := range s.LeftOut {
		o := &s.LeftOut[i]
		for z := range l.Zones {
			for k := range l.Zones[z].Pieces {
				p := &l.Zones[z].Pieces[k]
				if p.Late != "" {
					continue
				}
				in, err := reachesInto(s, o, p)
				if err != nil {
					return fmt.Errorf("%s, left out (%s): %w", s.Key, o.Why, err)
				}
				if in {
					p.Late = o.Why
				}
			}
		}
	}
	return nil
}

// reachesInto reports whether a piece lies in part where its surface leaves pieces
// out; at an opening: within its gap.
func reachesInto(s *rooms.Surface, o *rooms.LeftOut, p *takeoff.Piece) (bool, error) {
	region := o.Region
	for i := range s.Openings {
		if at := &s.Openings[i]; o.Opening != "" && at.Key == o.Opening {
			reach := max(at.Gap, at.GapMax) + rooms.Millimetre // what is cut at it ends a gap before it
			b := at.Outline.Box()
			region = rooms.Rect(b.Min.X-reach, b.Min.Y-reach, b.Max.X+reach, b.Max.Y+reach)
		}
	}
	if len(region) == 0 || !p.Polygon.Outer.Box().Meets(region.Box()) {
		return false, nil
	}
	shared, err := rooms.Intersect([]rooms.Polygon{p.Polygon}, []rooms.Polygon{{Outer: region}})
	mm2 := 0.0
	for _, part := range shared {
		mm2 += polygonMM2(part)
	}
	return mm2 >= leastShared, err
}

// leftOutUntil is the first day on which a piece that is late may be set; false
// where its surface does not leave it out on purpose. Of places that share a reason
// the day is that of the one where the piece lies.
func leftOutUntil(s *rooms.Surface, p *takeoff.Piece) (until rooms.Date, ok bool) {
	for i := range s.LeftOut {
		o := &s.LeftOut[i]
		if o.Why != p.Late {
			continue
		}
		if in, err := reachesInto(s, o, p); in && err == nil && until.Before(o.Until) {
			until = o.Until
		}
		ok = true
	}
	return until, ok
}

// lateBlocks are the pieces of a zone that are set after the field, those that are
// left out until different days apart.
func lateBlocks(surface string, s *rooms.Surface, late []*item) (out []block) {
	for _, it := range late {
		until, chosen := leftOutUntil(s, it.piece)
		i := slices.IndexFunc(out, func(b block) bool { return b.until == until && b.chosen == chosen })
		if i < 0 {
			out = append(out, block{surface: surface, late: true, chosen: chosen, until: until})
			i = len(out) - 1
		}
		out[i].items = append(out[i].items, it)
	}
	return out
}

// setLeftOut adds what was left out on purpose, when all else is set: so that
// nothing waits for it but the grout.
func (b *builder) setLeftOut(s Step) error {
	b.layOut()
	list := b.leftOut
	b.leftOut = nil
	return b.setBlocks(Step{Kind: kindSet, Skill: s.Skill}, list)
}

// tellLeftOut says on the first area of a surface what is left out, and on the area
// of what was left out why it was.
func (b *builder) tellLeftOut(t *task, a *areaPlan) {
	if a.late {
		var why []string
		for _, it := range a.items {
			if text := it.piece.Late; !slices.Contains(why, text) {
				why = append(why, text)
			}
		}
		t.notes = append(t.notes, "Left out until now: "+strings.Join(why, "; ")+".")
		if start := b.clock.DayStart(a.until); !a.until.IsZero() && start > t.release {
			t.release, t.why = start, "left out: "+strings.Join(why, "; ")
		}
		return
	}
	for _, k := range a.surfaces {
		if b.told[k] {
			continue
		}
		b.told[k] = true
		for _, late := range b.leftOut {
			if late.surface != k {
				continue
			}
			labels := map[string][]string{}
			var why []string
			for _, it := range late.items {
				text := it.piece.Late
				if labels[text] == nil {
					why = append(why, text)
				}
				labels[text] = append(labels[text], it.piece.Label)
			}
			for _, text := range why {
				t.notes = append(t.notes, fmt.Sprintf("Leave out %s on %s: %s.", strings.Join(labels[text], ", "), nameOf(b.surface(k).src), text))
			}
		}
	}
}
