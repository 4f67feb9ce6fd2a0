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
	member, row, index int
	ring               rooms.Ring // with the origin at 0, 0
	box                rooms.Box
	edges              []int32
	reach              rooms.Box  // where the tile lies from anywhere in the window
	near               []clipRing // what of the cover lies there; nil before it is asked for
}

// hit is a tile that an edge may reach.
type hit struct{ member, row, index, edge int }

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

// collect lists the tiles that the border reaches from anywhere in a window.
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
	var out []*borderTile
	edges := make([]int32, 0, len(hits))
	for i := 0; i < len(hits); {
		h := hits[i]
		t := &borderTile{member: h.member, row: h.row, index: h.index, ring: f.tileAt(h.row, h.member, h.index)}
		t.box = t.ring.Box()
		t.reach = rooms.Box{Min: rooms.Point{X: t.box.Min.X + w.Min.X, Y: t.box.Min.Y + w.Min.Y},
			Max: rooms.Point{X: t.box.Max.X + w.Max.X, Y: t.box.Max.Y + w.Max.Y}}
		from := len(edges)
		for ; i < len(hits) && hits[i].member == h.member && hits[i].row == h.row && hits[i].index == h.index; i++ {
			if c.reaches(t, hits[i].edge, w) {
				edges = append(edges, int32(hits[i].edge))
			}
		}
		if t.edges = edges[from:len(edges):len(edges)]; len(t.edges) > 0 {
			out = append(out, t)
		}
	}
	return out
}

// reaches reports whether an edge can run through a tile from some origin in w:
// whether any straight line holds them apart.
func (c *cellSearch) reaches(t *borderTile, edge int, w rooms.Box) bool {
	if edge < 0 {
		return c.reachesHole(t, &c.holes[-1-edge], w)
	}
	e := &c.edges[edge]
	if e.box.Max.X <= t.box.Min.X+w.Min.X || t.box.Max.X+w.Max.X <= e.box.Min.X ||
		e.box.Max.Y <= t.box.Min.Y+w.Min.Y || t.box.Max.Y+w.Max.Y <= e.box.Min.Y {
		return false
	}
	_, high := c.depths(e, t, w)
	least := math.Inf(1)
	for _, p := range t.ring {
		least = min(least, e.at(p.X, p.Y))
	}
	lowest, _ := e.reach(w)
	if high <= 0 || least-e.c+lowest >= 0 {
		return false
	}
	if c.upright[t.member] {
		return true
	}
	for k, n := range c.normals[t.member] {
		p := t.ring[k]
		line := float64(n[0]*float64(p.X)) + float64(n[1]*float64(p.Y))
		lowest, _ := reach(n[0], n[1], w)
		if float64(n[0]*float64(e.a.X))+float64(n[1]*float64(e.a.Y)) <= line+lowest &&
			float64(n[0]*float64(e.b.X))+float64(n[1]*float64(e.b.Y)) <= line+lowest {
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

// depths is how deep a tile reaches over an edge's line, least and most.
func (c *cellSearch) depths(e *coverEdge, t *borderTile, w rooms.Box) (low, high float64) {
	d := math.Inf(-1)
	for _, p := range t.ring {
		d = max(d, e.at(p.X, p.Y))
	}
	low, high = e.reach(w)
	return d - e.c + low, d - e.c + high
}

// surely reports whether part of an edge lies in the tile from every origin in w.
func (c *cellSearch) surely(t *borderTile, edge int, w rooms.Box) bool {
	e := &c.edges[edge]
	from, to := 0.0, 1.0
	for k, n := range c.normals[t.member] {
		p := t.ring[k]
		_, highest := reach(n[0], n[1], w)
		line := float64(n[0]*float64(p.X)) + float64(n[1]*float64(p.Y)) + highest + 1
		a := float64(n[0]*float64(e.a.X)) + float64(n[1]*float64(e.a.Y)) - line
		b := float64(n[0]*float64(e.b.X)) + float64(n[1]*float64(e.b.Y)) - line
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
