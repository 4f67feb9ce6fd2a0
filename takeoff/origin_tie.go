package takeoff

import (
	"cmp"
	"context"
	"fmt"
	"slices"

	"potlife/rooms"
	"potlife/takeoff/nest"
)

// Of origins that are equally good to look at, the one wins that buys fewer
// tiles after its offcuts are used again, then the one with fewer sizes to set
// the stop to. Cutting from offcuts is a packing problem, so only a few that tie
// are held against each other, with a short search each.
const (
	mostTied  = 3
	nestTries = 200_000
)

// bill is what an origin costs.
type bill struct{ tiles, sizes int }

func (b bill) compare(c bill) int {
	return cmp.Or(cmp.Compare(b.tiles, c.tiles), cmp.Compare(b.sizes, c.sizes))
}

// bill counts the tiles bought and the sizes cut for what was laid.
func (z *zoneLayer) bill(got laid) (bill, error) {
	b := bill{tiles: got.full}
	pieces := make([][]nest.Piece, len(z.tiles))
	areas := make([]float64, len(z.tiles))
	sizes := map[[3]int64]bool{}
	for _, c := range got.cuts {
		m := &z.lay.tiles[c.member]
		frame := z.tiles[m.tile].Shape.Box()
		for _, q := range c.parts {
			own := z.ownBox(c, q)
			w, h := min(own.Width(), frame.Width()), min(own.Height(), frame.Height())
			sizes[[3]int64{int64(m.tile), int64(w / rooms.Millimetre), int64(h / rooms.Millimetre)}] = true
			p := nest.Piece{W: int64(max(w, 1)), H: int64(max(h, 1)), Factory: touched(own, frame), Turns: nest.AnyTurn}
			if z.tiles[m.tile].Directional {
				p.Turns = nest.Turn0
			}
			if frame.Width()-w <= nearTile {
				p.W = int64(frame.Width())
			}
			if frame.Height()-h <= nearTile {
				p.H = int64(frame.Height())
			}
			p.Whole = p.W == int64(frame.Width()) && p.H == int64(frame.Height())
			pieces[m.tile] = append(pieces[m.tile], p)
			areas[m.tile] += q.polygon().AreaMM2()
		}
	}
	b.sizes = len(sizes)
	for i, list := range pieces {
		t := &z.tiles[i]
		if len(list) == 0 {
			continue
		}
		if !isBox(rooms.Polygon{Outer: t.Shape}) { // no corners to count by
			b.tiles += ceilCount(areas[i] / t.Shape.AreaMM2())
			continue
		}
		frame := t.Shape.Box()
		tiles, _, err := nest.CountOffcuts(context.Background(), nest.OffcutProblem{TileW: int64(frame.Width()), TileH: int64(frame.Height()), Pieces: list}, nest.Options{Steps: nestTries})
		if err != nil {
			return b, fmt.Errorf("counting offcuts of tile %s: %w", t.Key, err)
		}
		b.tiles += tiles
	}
	return b, nil
}

// ownBox is the box of a part in its tile's own frame.
func (z *zoneLayer) ownBox(c tileCut, q part) rooms.Box {
	m := &z.lay.tiles[c.member]
	back := turnBy(m.degrees).then(z.lay.turn).back()
	place := z.fill.placeAt(c.row, c.member, c.index)
	own := make(rooms.Ring, len(q.outer))
	for i, v := range q.outer {
		own[i] = back.apply(rooms.Point{X: v.p.X - place.X, Y: v.p.Y - place.Y})
	}
	return own.Box()
}

// tied lists a few of the offsets that tie with the first: itself, and those at
// the ends of the list of equals.
func tied(list []rankedOffset) []rankedOffset {
	n := 1
	for n < len(list) && list[n].rank.ties(list[0].rank) {
		n++
	}
	out := list[:1:1]
	low := slices.MinFunc(list[:n], func(a, b rankedOffset) int { return cmp.Compare(a.o, b.o) })
	high := slices.MaxFunc(list[:n], func(a, b rankedOffset) int { return cmp.Compare(a.o, b.o) })
	for _, r := range []rankedOffset{low, high} {
		if !slices.ContainsFunc(out, func(x rankedOffset) bool { return x.o == r.o }) {
			out = append(out, r)
		}
	}
	return out
}

// breakTie picks one of the places that are equally good: at most mostTied of
// them, in their order. The words say what decided.
func (z *zoneLayer) breakTie(list []rooms.Point) (best int, why string, err error) {
	if len(list) < 2 {
		return 0, "", nil
	}
	list = list[:min(len(list), mostTied)]
	var bills []bill
	for _, o := range list {
		got, err := z.fill.fill(o)
		if err != nil {
			return 0, "", err
		}
		b, err := z.bill(got)
		if err != nil {
			return 0, "", err
		}
		bills = append(bills, b)
		if b.compare(bills[best]) < 0 {
			best = len(bills) - 1
		}
	}
	worst := slices.MaxFunc(bills, bill.compare)
	switch w := bills[best]; {
	case w.tiles < worst.tiles:
		why = fmt.Sprintf("; of %d places as good to look at it buys fewest tiles, %d against %d", len(list), w.tiles, worst.tiles)
	case w.sizes < worst.sizes:
		why = fmt.Sprintf("; of %d places as good to look at it has fewest sizes to cut, %d against %d", len(list), w.sizes, worst.sizes)
	}
	return best, why, nil
}
