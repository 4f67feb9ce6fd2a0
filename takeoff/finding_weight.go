package takeoff

import (
	"cmp"
	"slices"

	"potlife/rooms"
)

// hold is what something under the tile of a wall carries.
type hold struct {
	kg     float64 // to the m²
	bed    bool    // the bed counts, not the tile alone
	by     string
	source string
}

// weight holds what a wall carries against what its ground takes: tile and bed. Of
// several layers the one that is loaded most decides.
func (f *finder) weight(s *rooms.Surface, z *zoneLayer) {
	t := z.tiles[0]
	if !standing(s) || t.BoxKg <= 0 || t.PerBox <= 0 {
		return
	}
	tile, bed := t.BoxKg/float64(t.PerBox)/(t.Shape.AreaMM2()/1e6), bedKg
	if m, ok := z.in.Products[z.ground.zone.Mortar]; ok && m.Sheet.PerM2 > 0 && m.Unit == "kg" {
		bed = m.Sheet.PerM2
	}
	load := func(h hold) float64 {
		if h.bed {
			return tile + bed
		}
		return tile
	}
	list := z.holds(s)
	if len(list) == 0 {
		return
	}
	h := slices.MaxFunc(list, func(a, b hold) int { return cmp.Compare(load(a)/a.kg, load(b)/b.kg) })
	switch total := load(h); {
	case total > h.kg && h.bed:
		f.add("wall weight", Warn, total, h.kg, h.source, "tile of %s and its bed of about %s are more than %s carries, %s", f.load(tile), f.load(bed), h.by, f.load(h.kg))
	case total > h.kg:
		f.add("wall weight", Warn, total, h.kg, h.source, "the tile weighs %s, %s carries %s", f.load(tile), h.by, f.load(h.kg))
	case total > solidShare*h.kg:
		f.add("solid bed", Info, total, solidShare*h.kg, srcPlaster, "at %s the wall carries more than 70 %% of what %s takes: the tile is to be bedded solidly", f.load(total), h.by)
	}
}

// holds lists what under a wall's tile has a limit: plaster or board, and the
// membrane on it where its sheet gives one. A wall that was read on its membrane
// does not say what that lies on; it is held to the figure for plasterboard.
func (z *zoneLayer) holds(s *rooms.Surface) []hold {
	var list []hold
	board := hold{boardKg, true, "the board", srcBoard}
	if p := z.leastHold(KindBoard); p != nil && slices.Contains(s.Prepare, "board") {
		board = hold{p.Sheet.Carries, true, cmp.Or(p.Name, p.Key), cmp.Or(p.Sheet.LimitsFrom, "data sheet")}
	}
	switch {
	case slices.Contains(s.Prepare, "board"), s.Layer == rooms.Board:
		list = append(list, board)
	case s.Layer == rooms.Render:
		list = append(list, hold{plasterKg, false, "the render", srcPlaster})
	case s.Layer == rooms.Membrane:
		board.by = "plasterboard under the membrane"
		board.source += "; the wall does not say what its membrane lies on"
		list = append(list, board)
	}
	if s.Layer == rooms.Membrane || s.Wet || slices.Contains(s.Prepare, "membrane") {
		if p := z.leastHold(KindMembrane); p != nil {
			list = append(list, hold{p.Sheet.Carries, true, cmp.Or(p.Name, p.Key), cmp.Or(p.Sheet.LimitsFrom, "data sheet")})
		}
	}
	return list
}

// leastHold is the product of a kind that carries least, of those whose sheet says
// so; nil where none does.
func (z *zoneLayer) leastHold(kind string) *Product {
	var least *Product
	for _, p := range z.in.Products {
		if p.Kind != kind || p.Sheet.Carries <= 0 {
			continue
		}
		if least == nil || p.Sheet.Carries < least.Sheet.Carries || p.Sheet.Carries == least.Sheet.Carries && p.Key < least.Key {
			least = &p
		}
	}
	return least
}
