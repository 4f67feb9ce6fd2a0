package takeoff

import (
	"slices"

	"potlife/rooms"
)

// What is left of a tile that several edges run through, at its least and at its
// most over a window of origins.
//
// In the tile's own frame the edges move. What is not to be tiled near the tile
// is a union of convex blocks: an edge between two corners that do not bend into
// the cover stands for the half-plane beyond it, edges joined by corners that do
// for the wedge or polygon that all of them bound. Each half-plane shifts by as
// much as its distance changes over the window; shifted outwards as far as it
// goes, every block holds all its places in the window, so that what is left is
// part of every piece; shifted inwards, what is left holds every piece.

// blocks are what of a tile's surroundings is not tiled: half-planes, and one
// wedge of several edges or a round hole between an outer and an inner polygon.
type blocks struct {
	planes       []movedPlane
	outer, inner []movedPlane
}

// movedPlane is a half-plane with how far inside of it its line lies for a window,
// at the least and at the most.
type movedPlane struct {
	*plane
	small, large float64
}

func (h *plane) movedBy(w rooms.Box) movedPlane {
	low, high := h.reach(w)
	return movedPlane{h, low - h.c, high - h.c}
}

// mostAtTile is how many edges at one tile are looked at.
const mostAtTile = 16

// blocks groups the edges at a tile. ok is false where they make no such union,
// and for more than one block of several edges.
func (c *cellSearch) blocks(t *borderTile, edges []edgeAtTile, w rooms.Box) (b blocks, ok bool) {
	if len(edges) > mostAtTile {
		return b, false
	}
	b = blocks{c.planes[0][:0], c.planes[1][:0], c.planes[2][:0]}
	defer func() { c.planes[0], c.planes[1] = b.planes, b.outer }()
	for _, x := range edges {
		if i := x.id; i < 0 {
			if len(b.outer) > 0 {
				return b, false
			}
			h := &c.holes[-1-i]
			for k := range h.outer {
				b.outer = append(b.outer, h.outer[k].movedBy(w))
			}
			for k := range h.inner {
				b.inner = append(b.inner, h.inner[k].movedBy(w))
			}
		}
	}
	c.planes[2] = b.inner
	round, run := len(b.outer) > 0, -1
	for _, x := range edges {
		i := x.id
		if i < 0 {
			continue
		}
		e := &c.edges[i]
		alone := !slices.ContainsFunc(edges, func(k edgeAtTile) bool { return k.id >= 0 && k.id != i && c.edges[k.id].run == e.run })
		switch {
		case alone:
			b.planes = append(b.planes, e.plane.movedBy(w))
		case !round && (run < 0 || run == e.run):
			run = e.run
			b.outer = append(b.outer, e.plane.movedBy(w))
		default:
			return b, false
		}
	}
	if !round {
		b.inner = b.outer
	}
	return b, c.apart(t, edges, &b, w)
}

// apart reports whether, near the tile, no block reaches over an edge of another.
func (c *cellSearch) apart(t *borderTile, edges []edgeAtTile, b *blocks, w rooms.Box) bool {
	if len(b.planes) == 0 || len(b.planes)+len(b.outer) < 2 {
		return true
	}
	near := rooms.Box{Min: rooms.Point{X: t.box.Min.X + w.Min.X, Y: t.box.Min.Y + w.Min.Y},
		Max: rooms.Point{X: t.box.Max.X + w.Max.X, Y: t.box.Max.Y + w.Max.Y}}
	for _, x := range edges {
		i := x.id
		if i < 0 {
			for _, p := range c.holes[-1-i].corners {
				if slices.ContainsFunc(b.planes, func(h movedPlane) bool { return h.at(p.X, p.Y) < h.c-2 }) {
					return false
				}
			}
			continue
		}
		e := &c.edges[i]
		p, q, in := cropSpan(e.a, e.b, near)
		if !in {
			continue
		}
		for _, h := range b.planes {
			if h.plane != &e.plane && min(h.at(p.X, p.Y), h.at(q.X, q.Y)) < h.c-2 {
				return false
			}
		}
		if len(b.outer) > 0 && !slices.ContainsFunc(b.outer, func(h movedPlane) bool { return h.plane == &e.plane }) {
			from, to := 0.0, 1.0
			for _, h := range b.outer {
				if from, to = beyond(h.plane, -h.c, p, q, from, to); from > to {
					break
				}
			}
			if from < to {
				return false
			}
		}
	}
	return true
}

// wedge is a block of several edges where it lies for a window: at its outermost
// or at its innermost.
type wedge struct {
	planes []movedPlane
	large  bool
}

// shift is how far inside of a half-plane of the block its line lies.
func (g *wedge) shift(h *movedPlane) float64 {
	if g.large {
		return h.large
	}
	return h.small
}

// inside tells from where to where the way from p to q lies beyond all of the
// planes.
func (g *wedge) inside(p, q rooms.Point) (from, to float64) {
	from, to = 0, 1
	for i := range g.planes {
		h := &g.planes[i]
		if from, to = beyond(h.plane, g.shift(h), p, q, from, to); from > to {
			return 1, 0
		}
	}
	return from, to
}

// beyond narrows from … to to where the way from p to q lies beyond a plane that
// is shifted; 1, 0 where nothing of it does.
func beyond(h *plane, shift float64, p, q rooms.Point, from, to float64) (float64, float64) {
	a, b := h.at(p.X, p.Y)+shift, h.at(q.X, q.Y)+shift
	switch {
	case a >= -2 && b >= -2: // as near as rounding tells
		return 1, 0
	case a >= 0:
		from = max(from, a/(a-b))
	case b >= 0:
		to = min(to, a/(a-b))
	}
	return from, to
}

// cropSpan is the part of a–b inside a box.
func cropSpan(a, b rooms.Point, box rooms.Box) (p, q rooms.Point, in bool) {
	from, to := 0.0, 1.0
	dx, dy := float64(b.X-a.X), float64(b.Y-a.Y)
	for _, s := range [4][2]float64{{dx, float64(box.Min.X - a.X)}, {-dx, float64(a.X - box.Max.X)}, {dy, float64(box.Min.Y - a.Y)}, {-dy, float64(a.Y - box.Max.Y)}} {
		switch {
		case s[0] == 0 && s[1] > 0:
			return a, b, false
		case s[0] > 0:
			from = max(from, s[1]/s[0])
		case s[0] < 0:
			to = min(to, s[1]/s[0])
		}
	}
	at := func(t float64) rooms.Point {
		return rooms.Point{X: a.X + round(float64(dx*t)), Y: a.Y + round(float64(dy*t))}
	}
	return at(from), at(to), from < to
}

// xy is a point in a tile's frame.
type xy struct{ x, y float64 }

// left is what is left of a tile: the parts' corners on the border of the tile
// and the half-planes, which hold the parts between them, and the area in mm².
// It lasts until the next window is bounded.
type left struct {
	parts []rooms.Ring
	area  float64
	wedge wedge // without planes where there is none
}

// holds reports whether part i holds part k of what is left at least: whether a
// straight way leads from one to the other beside the wedge.
func (l *left) holds(i int, small *left, k int) bool {
	if len(l.parts) == 1 || len(l.wedge.planes) == 0 {
		return true
	}
	for _, p := range small.parts[k] {
		for _, q := range l.parts[i] {
			if from, to := l.wedge.inside(p, q); from >= to {
				return true
			}
		}
	}
	return false
}

// shape is what is left at the most (large) or at the least.
func (c *cellSearch) shape(t *borderTile, b *blocks, large bool) left {
	g := wedge{b.outer, large}
	if large {
		g.planes = b.inner
	}
	ring := c.floats(t.ring)
	for i := range b.planes {
		h := &b.planes[i]
		to := &c.rings[1-i%2]
		*to = cutBy((*to)[:0], ring, h.nx, h.ny, g.shift(h))
		if ring = *to; len(ring) < 3 {
			return left{}
		}
	}
	area := floatArea(ring)
	if len(g.planes) == 0 {
		return left{parts: c.onePart(ring), area: area}
	}
	in := ring
	for i := range g.planes {
		h := &g.planes[i]
		to := &c.rings[2+i%2]
		*to = cutBy((*to)[:0], in, -h.nx, -h.ny, -g.shift(h))
		if in = *to; len(in) < 3 {
			return left{parts: c.onePart(ring), area: area}
		}
	}
	return left{parts: c.arcsOutside(c.asRing(ring), &g), area: max(area-floatArea(in), 0), wedge: g}
}

// onePart is a ring as all there is left.
func (c *cellSearch) onePart(ring []xy) []rooms.Ring {
	from := len(c.parts)
	c.parts = append(c.parts, c.asRing(ring))
	return c.parts[from:len(c.parts):len(c.parts)]
}

// arcsOutside walks round a ring and lists the runs of its border that lie
// outside a block.
func (c *cellSearch) arcsOutside(ring rooms.Ring, g *wedge) []rooms.Ring {
	first, from := len(c.parts), len(c.points) // of the arcs, and of the open one
	closeArc := func() {
		if len(c.points) > from {
			c.parts = append(c.parts, c.points[from:len(c.points):len(c.points)])
			from = len(c.points)
		}
	}
	open := false
	for i, p := range ring {
		q := ring[(i+1)%len(ring)]
		at := func(t float64) rooms.Point {
			return rooms.Point{X: p.X + round(float64(float64(q.X-p.X)*t)), Y: p.Y + round(float64(float64(q.Y-p.Y)*t))}
		}
		out, back := g.inside(p, q)
		if !open && (out >= back || out > 0) {
			closeArc()
			c.points = append(c.points, p)
		}
		switch {
		case out >= back: // none of the side
			c.points, open = append(c.points, q), true
			continue
		case out > 0:
			c.points = append(c.points, at(out))
		}
		if open = back < 1; open {
			closeArc()
			c.points = append(c.points, at(back), q)
		}
	}
	closeArc()
	arcs := c.parts[first:]
	if n := len(arcs) - 1; open && n > 0 && arcs[0][0] == ring[0] { // the last goes on as the first
		from = len(c.points)
		c.points = append(append(c.points, arcs[n]...), arcs[0]...)
		arcs[0] = c.points[from:len(c.points):len(c.points)]
		c.parts = c.parts[:first+n]
	}
	return c.parts[first:len(c.parts):len(c.parts)]
}

// cutBy appends to out what of a convex ring has nx·x + ny·y + c ≥ 0.
func cutBy(out, ring []xy, nx, ny, c float64) []xy {
	for i, p := range ring {
		q := ring[(i+1)%len(ring)]
		a, b := float64(nx*p.x)+float64(ny*p.y)+c, float64(nx*q.x)+float64(ny*q.y)+c
		if a >= 0 {
			out = append(out, p)
		}
		if (a > 0 && b < 0) || (a < 0 && b > 0) {
			t := a / (a - b)
			out = append(out, xy{p.x + float64((q.x-p.x)*t), p.y + float64((q.y-p.y)*t)})
		}
	}
	return out
}

func floatArea(ring []xy) float64 {
	sum := 0.0
	for i, p := range ring {
		q := ring[(i+1)%len(ring)]
		sum += float64((p.x-ring[0].x)*(q.y-ring[0].y)) - float64((p.y-ring[0].y)*(q.x-ring[0].x))
	}
	return sum / 2 / unitsPerMM2
}

// asRing is a ring of whole units.
func (c *cellSearch) asRing(list []xy) rooms.Ring {
	from := len(c.points)
	for _, p := range list {
		c.points = append(c.points, rooms.Point{X: round(p.x), Y: round(p.y)})
	}
	return c.points[from:len(c.points):len(c.points)]
}

// floats are a ring's corners, in the room that cutBy begins from.
func (c *cellSearch) floats(r rooms.Ring) []xy {
	out := c.rings[0][:0]
	for _, p := range r {
		out = append(out, xy{float64(p.X), float64(p.Y)})
	}
	c.rings[0] = out
	return out
}
