package scheduler

import (
	"fmt"
	"slices"
	"strings"

	"potlife/takeoff"
)

// cutsApart reports whether the cuts ahead of a room are activities of their own: on
// a site with hours for loud work, by a crew without a helper who cuts beside the
// setting. Elsewhere they are part of the work on the areas.
func (b *builder) cutsApart() bool {
	return b.crew.Helpers == 0 && len(b.noise[b.r.site].open) > 0
}

// power reports whether a piece is cut with a tool that is loud.
func power(p *takeoff.Piece) bool {
	return slices.ContainsFunc(p.Cuts, func(c takeoff.Cut) bool { return c.Tool != takeoff.Snap })
}

// addCuts adds the cutting with saw, grinder and drill of an area's pieces that are
// cut before, in parts that fit the site's hours for loud work. It is done outside the
// room, whenever tile and setter are there; what is scored and snapped stays with the
// area.
func (b *builder) addCuts(a *areaPlan, s Step) []*task {
	if !b.cutsApart() {
		return nil
	}
	minutes, wet := 0.0, false
	var tiles []string
	for _, it := range a.items {
		if it.ahead == 0 || !power(it.piece) || b.r.cut[it.piece.ID] {
			continue
		}
		minutes += it.ahead
		wet = wet || slices.ContainsFunc(it.piece.Cuts, func(c takeoff.Cut) bool { return c.Tool == takeoff.WetSaw })
		if !slices.Contains(tiles, it.piece.Tile) {
			tiles = append(tiles, it.piece.Tile)
		}
	}
	if minutes == 0 {
		return nil
	}
	title := "cut tile: " + b.namesOn(a.surfaces)
	most := max(15, b.shiftOfWork(true, title).longest)
	n := pieces(minutes, float64(most))
	var out []*task
	for i := range n {
		t := b.newTask(b.r, b.nextSlot(kindCut), kindCut, title, nil, minutes/float64(n))
		if n > 1 {
			t.title = fmt.Sprintf("%s, part %d of %d", title, i+1, n)
		}
		t.minutes = min(t.minutes, most)
		t.crew, t.gang, t.skill = b.crew.Key, gang{1, 0, 1}, s.Skill
		if wet {
			t.tool = ToolSaw
		}
		for _, k := range tiles {
			b.deliver(t, k)
		}
		b.seq, out = append(b.seq, t), append(out, t)
	}
	return out
}

// dryAfter is how long the sawn pieces of an area dry before it begins.
func (b *builder) dryAfter(a *areaPlan) int {
	if slices.ContainsFunc(a.items, func(it *item) bool { return it.ahead > 0 && sawn(it.piece) }) {
		return max(0, b.limits.SawDry)
	}
	return 0
}

func (b *builder) namesOn(surfaces []string) string {
	var names []string
	for _, f := range b.r.surfaces {
		if slices.Contains(surfaces, f.key) {
			names = append(names, nameOf(f.src))
		}
	}
	return strings.Join(names, ", ")
}

// fixedCuts takes over the cutting that is issued or done.
func (b *builder) fixedCuts() {
	for _, f := range b.r.fixed {
		if f.Kind == kindCut && !slices.ContainsFunc(b.seq, func(t *task) bool { return t.fixed == f }) {
			t := &task{room: b.r, step: b.at}
			b.carry(t, f)
			b.seq = append(b.seq, t)
		}
	}
}

// cutOn is the day on which the pieces of an area are cut by an activity of their own.
func (s *sheeter) cutOn(a *Area) (sheetDay, bool) {
	first := -1
	for _, l := range s.byID[a.Activity].After {
		if c := s.byID[l.Activity]; c != nil && c.Kind == kindCut && (first < 0 || c.Start < first) {
			first = c.Start
		}
	}
	return sheetDay{s.clock.Day(max(0, first)), a.Crew}, first >= 0
}
