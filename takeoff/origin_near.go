package takeoff

import (
	"cmp"
	"math"
	"slices"

	"potlife/rooms"
)

// borderTile is a tile that the border reaches from somewhere in a window of
// origins, with the edges that do; a round hole counts as one, −1 less its number.
type borderTile struct {
	*cellTile
	edges []edgeAtTile
	from  *rooms.Box // the window it was collected for
	near  []clipRing // what of the cover the tile meets from there; nil before it is asked for
}

// cellTile is a tile with the origin at 0, 0.
type cellTile struct {
	member, row, index int
	ring               rooms.Ring
	box                rooms.Box
	sides              []float64 // of one that leans: its sides' lines, along their normals
}

// edgeAtTile is an edge that may run through a tile, or a round hole; how deep the
// tile's corners lie on its inside, least and most, with the origin at 0, 0.
type edgeAtTile struct {
	id          int32
	least, most float64
}

// hit is a tile that an edge may reach.
type hit struct{ member, row, index, edge int }

func (h hit) sameTile(o hit) bool {
	return h.member == o.member && h.row == o.row && h.index == o.index
}

func (h hit) compare(o hit) int {
	if h.member != o.member {
		return cmp.Compare(h.member, o.member)
	}
	if h.row != o.row {
		return cmp.Compare(h.row, o.row)
	}
	if h.index != o.index {
		return cmp.Compare(h.index, o.index)
	}
	return cmp.Compare(h.edge, o.edge)
}

// collect lists the tiles that the border reaches from anywhere in a window. The list
// lasts until the next is made.
func (c *cellSearch) collect(w rooms.Box) []*borderTile {
	hits := c.hits[:0]
	f := *c.z.fill
	f.origin = rooms.Point{X: w.Min.X + w.Width()/2, Y: w.Min.Y + w.Height()/2}
	f.spread = slices.Clone(f.spread)
	var ga, gb float64
	for _, p := range [2]rooms.Point{{X: w.Width(), Y: w.Height()}, {X: w.Width(), Y: -w.Height()}} {
		a, b := f.toLattice(rooms.Point{X: f.origin.X + p.X/2 + 1, Y: f.origin.Y + p.Y/2 + 1})
		ga, gb = max(ga, math.Abs(a)), max(gb, math.Abs(b))
	}
	for i := range f.spread {
		s := &f.spread[i]
		s.a0, s.a1, s.b0, s.b1 = s.a0-ga, s.a1+ga, s.b0-gb, s.b1+gb
	}
	for k := range c.edges {
		e := &c.edges[k]
		a0, b0 := f.toLattice(e.a)
		a1, b1 := f.toLattice(e.b)
		for m := range f.spread {
			id := k
			if e.round >= 0 {
				id = -1 - e.round
			}
			f.cellsAt([4]float64{a0, b0, a1, b1}, m, func(row, index int) { hits = append(hits, hit{m, row, index, id}) })
		}
	}
	slices.SortFunc(hits, hit.compare)
	hits = slices.Compact(hits)
	c.hits = hits
	f.origin = rooms.Point{}
	c.look(w)
	return c.tilesOf(&f, hits, w)
}

// nearRoom is room for the tiles of a search.
type nearRoom struct {
	tiles  slab[borderTile]
	shared slab[cellTile]
	points slab[rooms.Point]
	sides  slab[float64]
	edges  slab[edgeAtTile]
}

// emptied is the same room with nothing in it.
func (r nearRoom) emptied() nearRoom {
	r.tiles.empty()
	r.shared.empty()
	r.points.empty()
	r.sides.empty()
	r.edges.empty()
	return r
}

// tilesOf makes the tiles of a list of hits in order, as many as an edge reaches.
func (c *cellSearch) tilesOf(f *filler, hits []hit, w rooms.Box) []*borderTile {
	out, from := c.found[:0], &w
	for i := 0; i < len(hits); {
		h, n := hits[i], 1
		for i+n < len(hits) && hits[i+n].sameTile(h) {
			n++
		}
		t := borderTile{cellTile: &c.room.shared.take(1)[0], from: from}
		*t.cellTile = cellTile{member: h.member, row: h.row, index: h.index}
		corners := len(f.lay.tiles[h.member].ring)
		t.ring = f.appendTile(c.room.points.take(corners)[:0], h.row, h.member, h.index)
		t.box = t.ring.Box()
		if !c.upright[h.member] {
			t.sides = c.room.sides.take(corners)
			for k := range t.sides {
				t.sides[k] = c.normals[h.member][k].at(t.ring[k].X, t.ring[k].Y)
			}
		}
		t.edges = c.room.edges.take(n)[:0]
		for ; n > 0; n-- {
			if e := c.edgeAt(&t, hits[i].edge); c.reaches(&t, &e) {
				t.edges = append(t.edges, e)
			}
			i++
		}
		c.room.edges.back(cap(t.edges) - len(t.edges))
		if t.edges = slices.Clip(t.edges); len(t.edges) > 0 {
			kept := &c.room.tiles.take(1)[0]
			*kept = t
			out = append(out, kept)
			continue
		}
		c.room.points.back(corners)
		c.room.sides.back(len(t.sides))
		c.room.shared.back(1)
	}
	c.found = out
	return out
}

// reachOf is where a box lies from anywhere in a window.
func reachOf(b, w rooms.Box) rooms.Box {
	return rooms.Box{Min: rooms.Point{X: b.Min.X + w.Min.X, Y: b.Min.Y + w.Min.Y}, Max: rooms.Point{X: b.Max.X + w.Max.X, Y: b.Max.Y + w.Max.Y}}
}

// within is collect, by way of the tiles of the whole cell for a window in it.
func (c *cellSearch) within(w rooms.Box) []*borderTile {
	if a := c.allFrom; c.all == nil || w.Min.X < a.Min.X || w.Max.X > a.Max.X || w.Min.Y < a.Min.Y || w.Max.Y > a.Max.Y {
		return c.collect(w)
	}
	c.look(w)
	out, from := c.found[:0], &w
	for _, t := range c.all {
		edges := c.reachedBy(t)
		if len(edges) == 0 {
			continue
		}
		kept := &c.room.tiles.take(1)[0]
		*kept = borderTile{cellTile: t.cellTile, from: from, edges: c.room.edges.take(len(edges))}
		copy(kept.edges, edges)
		out = append(out, kept)
	}
	c.found = out
	return out
}

// edgeAt is an edge as a tile lies to it.
func (c *cellSearch) edgeAt(t *borderTile, id int) edgeAtTile {
	x := edgeAtTile{id: int32(id)}
	if id < 0 {
		return x
	}
	e := &c.edges[id]
	x.least, x.most = math.Inf(1), math.Inf(-1)
	for _, p := range t.ring {
		d := e.at(p.X, p.Y)
		x.least, x.most = min(x.least, d), max(x.most, d)
	}
	return x
}

// look makes a window the one that tiles are looked at from.
func (c *cellSearch) look(w rooms.Box) {
	if c.looks > 0 && w == c.from {
		return
	}
	c.from = w
	c.looks++
	for m := range c.normals {
		if c.upright[m] {
			continue
		}
		for k := range c.normals[m] {
			n := &c.normals[m][k]
			n.least, _ = n.reach(w)
		}
	}
}

// moves is the least and the most that an edge's depth has from the window's origin.
func (c *cellSearch) moves(e *coverEdge) (low, high float64) {
	if e.looked != c.looks {
		e.low, e.high = e.reach(c.from)
		e.looked = c.looks
	}
	return e.low, e.high
}

// reaches reports whether an edge can run through a tile from some origin in the
// window: whether any straight line holds them apart.
func (c *cellSearch) reaches(t *borderTile, x *edgeAtTile) bool {
	w := &c.from
	if x.id < 0 {
		return c.reachesHole(t, &c.holes[-1-x.id], *w)
	}
	e := &c.edges[x.id]
	if e.box.Max.X <= t.box.Min.X+w.Min.X || t.box.Max.X+w.Max.X <= e.box.Min.X ||
		e.box.Max.Y <= t.box.Min.Y+w.Min.Y || t.box.Max.Y+w.Max.Y <= e.box.Min.Y {
		return false
	}
	low, high := c.moves(e)
	if x.most-e.c+high <= 0 || x.least-e.c+low >= 0 {
		return false
	}
	if c.upright[t.member] {
		return true
	}
	for k := range c.normals[t.member] {
		if e.over[t.member][k] <= t.sides[k]+c.normals[t.member][k].least {
			return false
		}
	}
	return true
}

// reachesHole is reaches for a round hole.
func (c *cellSearch) reachesHole(t *borderTile, h *manySided, w rooms.Box) bool {
	if h.box.Max.X <= t.box.Min.X+w.Min.X || t.box.Max.X+w.Max.X <= h.box.Min.X ||
		h.box.Max.Y <= t.box.Min.Y+w.Min.Y || t.box.Max.Y+w.Max.Y <= h.box.Min.Y {
		return false
	}
	for i := range h.outer {
		o := &h.outer[i]
		least := math.Inf(1)
		for _, p := range t.ring {
			least = min(least, o.at(p.X, p.Y))
		}
		if lowest, _ := o.reach(w); least-o.c+lowest >= 0 {
			return false
		}
	}
	return true
}

// depths is how deep a tile reaches over an edge's line from the window, least and
// most.
func (c *cellSearch) depths(x *edgeAtTile) (low, high float64) {
	e := &c.edges[x.id]
	low, high = c.moves(e)
	return x.most - e.c + low, x.most - e.c + high
}

// surely reports whether part of an edge lies in the tile from every origin in w.
func (c *cellSearch) surely(t *borderTile, edge int, w rooms.Box) bool {
	e := &c.edges[edge]
	from, to := 0.0, 1.0
	for k := range c.normals[t.member] {
		n, p := &c.normals[t.member][k].plane, t.ring[k]
		_, highest := n.reach(w)
		line := n.at(p.X, p.Y) + highest + 1
		a, b := n.at(e.a.X, e.a.Y)-line, n.at(e.b.X, e.b.Y)-line
		switch {
		case a < 0 && b < 0:
			return false
		case a < 0:
			from = max(from, a/(a-b))
		case b < 0:
			to = min(to, a/(a-b))
		}
	}
	return from < to
}
