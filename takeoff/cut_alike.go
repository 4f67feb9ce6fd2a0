package takeoff

import (
	"cmp"
	"slices"

	"potlife/rooms"
)

// markedTo is how exactly a line is marked on a tile and cut: common practice.
const markedTo = rooms.Millimetre / 2

// mark is what a shaped cut of a piece was described from.
type mark struct {
	cut int // of the piece's cuts
	chain
}

// mark keeps the marks of a piece's shaped cuts, which follow on those with a size.
func (z *zoneLayer) mark(id string, sized int, chains []chain) {
	if z.marks == nil {
		z.marks = map[string][]mark{}
	}
	for i, c := range chains {
		z.marks[id] = append(z.marks[id], mark{cut: sized + i, chain: c})
	}
}

// markKind is what marks must share for one to serve another.
type markKind struct {
	tile, at, tool string
	points         int
	hole           bool
}

// markedCut is a cut with its mark.
type markedCut struct {
	*Cut
	mark *chain
	deep rooms.Length
}

// alikeCuts gives shapes that one mark serves one text: along a border that leans, or
// in a pattern that lies askew, pieces differ by little, and each would stand in the cut
// list by itself. A piece takes the text of another at the same border where that mark
// leaves each of its edges between the limits of the gap. Those that are cut deepest lend
// theirs first: as a rule a gap may grow by more than it may shrink.
func (z *zoneLayer) alikeCuts(pieces []Piece) {
	kinds := map[markKind][]markedCut{}
	var order []markKind
	for i := range pieces {
		p := &pieces[i]
		for k := range z.marks[p.ID] {
			if m := &z.marks[p.ID][k]; !p.OnSite {
				c := &p.Cuts[m.cut]
				key := markKind{p.Tile, c.At, c.Tool, len(m.points), m.hole}
				if kinds[key] == nil {
					order = append(order, key)
				}
				kinds[key] = append(kinds[key], markedCut{c, &m.chain, m.deep(z.tileBox(p.Tile))})
			}
		}
	}
	for _, key := range order {
		lendTexts(kinds[key])
	}
	z.marks = nil
}

// tileBox is the box of one of the zone's tiles.
func (z *zoneLayer) tileBox(key string) rooms.Box {
	k := slices.IndexFunc(z.tiles, func(t Tile) bool { return t.Key == key })
	return z.tiles[k].Shape.Box()
}

// lendTexts gives cuts of one kind the texts of those before them, the deepest first.
func lendTexts(list []markedCut) {
	slices.SortStableFunc(list, func(a, b markedCut) int { return cmp.Compare(a.deep, b.deep) })
	var lent []markedCut
	for _, c := range list {
		k := slices.IndexFunc(lent, func(o markedCut) bool { return c.mark.serves(o.mark) })
		if k < 0 {
			lent = append(lent, c)
			continue
		}
		c.Shape, c.Rise = lent[k].Shape, lent[k].Rise
	}
}

// deep is how far the tile's middle lies inside the edges, all together: the less the
// deeper they are cut.
func (c *chain) deep(tile rooms.Box) rooms.Length {
	middle := rooms.Point{X: (tile.Min.X + tile.Max.X) / 2, Y: (tile.Min.Y + tile.Max.Y) / 2}
	sum := rooms.Length(0)
	for i := range c.limits {
		sum += leftOf(c.points[i], c.points[(i+1)%len(c.points)], middle)
	}
	return sum
}

// serves reports whether the marks of another chain, of as many points, are good for
// this one. The piece lies left of its edges. Along its edges a mark may end a little
// before or after, as the tile's sides have it.
func (c *chain) serves(o *chain) bool {
	for i, l := range c.limits {
		k := (i + 1) % len(c.points)
		a, b, p, q := c.points[i], c.points[k], o.points[i], o.points[k]
		far := 2*max(l.less, l.more) + markedTo
		if rooms.Distance(a, p) > far || rooms.Distance(b, q) > far ||
			!l.hold(leftOf(a, b, p)) || !l.hold(leftOf(a, b, q)) || !l.hold(-leftOf(p, q, a)) || !l.hold(-leftOf(p, q, b)) {
			return false
		}
	}
	return true
}

// hold reports whether an edge may be cut that far further in.
func (l cutLimits) hold(in rooms.Length) bool { return in <= l.less+onBorder && -in <= l.more+onBorder }
