package takeoff

import (
	"cmp"
	"slices"

	"potlife/rooms"
)

// snug moves an origin so that whole tiles lie at the gap they were asked to
// keep, where a joint or less lies between: at the upright or level edge the eye
// goes to first, then at the longest, once along each axis, and only where no
// criterion becomes worse. From any place in such a stretch the same is cut, so
// the search does not tell them apart.
func (c *cellSearch) snug(t triedOrigin) (triedOrigin, error) {
	order := make([]int, 0, len(c.edges))
	for i := range c.edges {
		if e := &c.edges[i]; e.upright() || e.level() {
			order = append(order, i)
		}
	}
	slices.SortStableFunc(order, func(i, k int) int {
		a, b := &c.edges[i], &c.edges[k]
		return cmp.Or(cmp.Compare(b.side.eye, a.side.eye), cmp.Compare(rooms.Distance(b.a, b.b), rooms.Distance(a.a, a.b)))
	})
	moved := [2]bool{!c.free[0], !c.free[1]}
	for _, i := range order {
		e := &c.edges[i]
		axis := 0
		if e.level() {
			axis = 1
		}
		if moved[axis] {
			continue
		}
		bare := c.bare(e, t.at)
		if bare == 0 {
			continue
		}
		at := rooms.Point{X: t.at.X - round(float64(e.nx*float64(bare))), Y: t.at.Y - round(float64(e.ny*float64(bare)))}
		r, err := c.weighAt(at)
		if err != nil {
			return t, err
		}
		if slices.Compare(r[:rankRest], t.rank[:rankRest]) <= 0 {
			t, moved[axis] = triedOrigin{at, r}, true
		}
	}
	return t, nil
}

// bare is how far the nearest whole tiles that lie along an edge are from it, up
// to a joint and what is too narrow to be cut; 0 where there are none.
func (c *cellSearch) bare(e *coverEdge, o rooms.Point) rooms.Length {
	f := *c.z.fill
	f.origin = o
	a0, b0 := f.toLattice(e.a)
	a1, b1 := f.toLattice(e.b)
	limit := float64(c.z.lay.joint + narrowest)
	best := limit + 1
	for m := range f.spread {
		f.cellsAt([4]float64{a0, b0, a1, b1}, m, func(row, index int) {
			for i, ring := 0, f.tileAt(row, m, index); i < len(ring); i++ {
				p, q := ring[i], ring[(i+1)%len(ring)]
				d := e.at(p.X, p.Y) - e.c
				along := e.at(q.X, q.Y)-e.c-d <= 2 && e.at(q.X, q.Y)-e.c-d >= -2
				if along && d > 0 && d < best && planeLeft(p, q).sameWay(&e.plane) {
					best = d
				}
			}
		})
	}
	if best > limit {
		return 0
	}
	return rooms.Length(best)
}

// sameWay reports whether two half-planes look the same way, nearly.
func (h plane) sameWay(g *plane) bool {
	return float64(h.nx*g.nx)+float64(h.ny*g.ny) > 0.99
}

// weighAt ranks one origin anywhere.
func (c *cellSearch) weighAt(o rooms.Point) (axisRank, error) {
	room := c.room // the tiles are not kept
	c.room = c.spare.emptied()
	defer func() { c.room, c.spare = room, c.room }()
	if err := c.try(o, c.within(rooms.Box{Min: o, Max: o})); err != nil {
		return axisRank{}, err
	}
	last := c.tried[len(c.tried)-1]
	c.tried = c.tried[:len(c.tried)-1]
	return last.rank, nil
}
