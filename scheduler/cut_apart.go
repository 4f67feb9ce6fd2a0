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
	list := b.cutBefore(a)
	if len(list) == 0 {
		return nil
	}
	title := "cut tile: " + b.namesOn(a.surfaces)
	most := max(15, b.shiftOfWork(true, title, oneSetter).longest)
	parts := cutParts(list, float64(most))
	var out []*task
	for i, part := range parts {
		minutes, wet := 0.0, false
		var ids, tiles []string
		for _, it := range part {
			ids, minutes = append(ids, it.piece.ID), minutes+it.ahead
			wet = wet || slices.ContainsFunc(it.piece.Cuts, func(c takeoff.Cut) bool { return c.Tool == takeoff.WetSaw })
			if !slices.Contains(tiles, it.piece.Tile) {
				tiles = append(tiles, it.piece.Tile)
			}
		}
		t := b.newTask(b.r, b.nextSlot(kindCut), kindCut, title, nil, minutes, oneSetter)
		if len(parts) > 1 {
			t.title = fmt.Sprintf("%s, part %d of %d", title, i+1, len(parts))
		}
		t.minutes, t.cuts, t.cutTiles = min(t.minutes, most), ids, tiles
		t.crew, t.gang, t.by, t.skill = b.crew.Key, oneSetter, b.crew.hands(), s.Skill
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

// cutBefore are the pieces of an area that an activity of its own cuts, those that dry
// first; none that stand on a sheet that is out.
func (b *builder) cutBefore(a *areaPlan) (list []*item) {
	if !b.cutsApart() {
		return nil
	}
	for _, wet := range [2]bool{true, false} {
		for _, it := range a.items {
			if it.ahead > 0 && power(it.piece) && sawn(it.piece) == wet && !b.r.cut[it.piece.ID] {
				list = append(list, it)
			}
		}
	}
	return list
}

// cutParts divides pieces to be cut into runs of so many minutes at most, but for a
// piece that takes longer.
func cutParts(list []*item, most float64) (parts [][]*item) {
	from, sum := 0, 0.0
	for i, it := range list {
		if i > from && sum+it.ahead > most+1e-6 {
			parts = append(parts, list[from:i])
			from, sum = i, 0
		}
		sum += it.ahead
	}
	return append(parts, list[from:])
}

// dryAfter is how long the sawn pieces of an area dry before it begins.
func (b *builder) dryAfter(a *areaPlan) int {
	dry := 0
	for _, it := range a.items {
		if it.ahead > 0 && sawn(it.piece) {
			dry = max(dry, b.dryMinutes(it.piece.Tile, a.bed.mortar))
		}
	}
	return dry
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

// cutOn are the days on which pieces are cut by activities of their own, but for those
// that are issued: what these cut stands on their sheets.
func (m *maker) cutOn() map[string]sheetDay {
	out := map[string]sheetDay{}
	for _, t := range m.choice.net.tasks {
		for _, id := range t.cuts {
			if t.fixed == nil {
				out[id] = sheetDay{m.clock.Day(t.start), t.crew}
			}
		}
	}
	return out
}
