package takeoff

import "potlife/rooms"

// markedTo is how exactly a line is marked on a tile and cut: common practice.
const markedTo = rooms.Millimetre / 2

// alikeCuts gives shapes that one mark serves one text: along a border a pattern that
// lies askew leaves many pieces that differ by hairs, and each would stand in the cut
// list by itself. A piece takes the text of one before it at the same border where no
// place of the mark differs by more than a line is marked to and each of its edges lies
// between the limits of the gap.
func alikeCuts(pieces []Piece) {
	type kind struct {
		tile, at, tool string
		points         int
		hole           bool
	}
	first := map[kind][]*Cut{} // only looked up, never ranged over
	for i := range pieces {
		for k := range pieces[i].Cuts {
			c := &pieces[i].Cuts[k]
			if c.chain == nil || pieces[i].OnSite {
				continue
			}
			key := kind{pieces[i].Tile, c.At, c.Tool, len(c.chain.points), c.chain.hole}
			if o := servedBy(c, first[key]); o != nil {
				c.Shape = o.Shape
			} else {
				first[key] = append(first[key], c)
			}
		}
	}
	for i := range pieces {
		for k := range pieces[i].Cuts {
			pieces[i].Cuts[k].chain = nil
		}
	}
}

// servedBy is the first of the cuts whose mark serves c too, nil where none does.
func servedBy(c *Cut, list []*Cut) *Cut {
	for _, o := range list {
		if c.chain.serves(o.chain) {
			return o
		}
	}
	return nil
}

// serves reports whether the marks of another chain, of as many points, are good for
// this one. The piece lies left of its edges.
func (c *chain) serves(o *chain) bool {
	for i, p := range c.points {
		if rooms.Distance(p, o.points[i]) > markedTo {
			return false
		}
	}
	for i, l := range c.limits {
		a, b := c.points[i], c.points[(i+1)%len(c.points)]
		for _, q := range [2]rooms.Point{o.points[i], o.points[(i+1)%len(o.points)]} {
			if in := leftOf(a, b, q); in > l.less+onBorder || -in > l.more+onBorder {
				return false
			}
		}
	}
	return true
}
