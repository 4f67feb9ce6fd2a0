package takeoff

import (
	"potlife/rooms"
)

// StockShape is a piece in its tile's own frame at the printed sizes: where it
// is cut out of a tile as it comes from the box, before any other choice of
// place. Edges made by sized cuts are moved by Size − Drawn, factory edges lie
// exactly on the tile's edges, and nothing is mirrored.
func StockShape(p Piece, t Tile) rooms.Polygon {
	if p.Full {
		return rooms.Polygon{Outer: append(rooms.Ring(nil), t.Shape...)}
	}
	f := &framed{shape: t.Shape, turned: turnBy(int(p.Degrees))}
	back := f.turned.back()
	own := func(r rooms.Ring) rooms.Ring {
		out := make(rooms.Ring, len(r))
		for i, q := range r {
			out[i] = f.onto(back.apply(rooms.Point{X: q.X - p.Place.X, Y: q.Y - p.Place.Y}))
		}
		return out
	}
	shape := rooms.Polygon{Outer: own(p.Polygon.Outer)}
	for _, h := range p.Polygon.Holes {
		shape.Holes = append(shape.Holes, own(h))
	}
	for k := range t.Shape {
		for _, c := range p.Cuts {
			if c.Sized && c.Size > 0 && c.Side == f.sideName(k) {
				shape.Outer = f.moveCut(shape.Outer, k, c)
			}
		}
	}
	return shape
}

// FactorySides lists the tile's sides, as indices into its Shape, of whose own
// edge the piece needs some part.
func FactorySides(p Piece, t Tile) []int {
	var out []int
	shape := StockShape(p, t).Outer
	f := &framed{shape: t.Shape}
	for k := range t.Shape {
		for i, q := range shape {
			if f.depth(k, q) <= 1 && f.depth(k, shape[(i+1)%len(shape)]) <= 1 {
				out = append(out, k)
				break
			}
		}
	}
	return out
}

// snapWithin is how far from a tile's side a turned point may lie and be taken
// to lie on it: rounding.
const snapWithin = 4

// onto puts a point that rounding moved off a side of the tile back onto it,
// where the side runs along an axis, and keeps every point inside the tile's box.
func (f *framed) onto(p rooms.Point) rooms.Point {
	b := f.shape.Box()
	for k, a := range f.shape {
		c := f.shape[(k+1)%len(f.shape)]
		if absLen(f.depth(k, p)) > snapWithin {
			continue
		}
		switch {
		case a.X == c.X:
			p.X = a.X
		case a.Y == c.Y:
			p.Y = a.Y
		}
	}
	return rooms.Point{X: min(max(p.X, b.Min.X), b.Max.X), Y: min(max(p.Y, b.Min.Y), b.Max.Y)}
}

// moveCut moves the edges of a sized cut off side k to the printed size. Where
// the opposite side is cut too, the size counts from that cut.
func (f *framed) moveCut(r rooms.Ring, k int, c Cut) rooms.Ring {
	near, deepest := rooms.Length(1<<62), rooms.Length(0)
	for _, p := range r {
		near, deepest = min(near, f.depth(k, p)), max(deepest, f.depth(k, p))
	}
	breadth := f.breadth(k)
	if absLen(near+c.Drawn-breadth) > 16 && absLen(deepest-near-c.Drawn) > 16 {
		return r // another side of the same name
	}
	to := max(near+c.Drawn-c.Size, 0)
	reach := near + 2*(c.Drawn-c.Least) + max(c.Most-c.Drawn, 0) + 2 // what the straight cut takes in
	return f.straighten(r, k, to, max(reach, to))
}

// straighten cuts off what lies less deep than to from side k, and fills up to
// that depth what lies less than reach deep: a taper becomes the straight cut
// that stands for it.
func (f *framed) straighten(r rooms.Ring, k int, to, reach rooms.Length) rooms.Ring {
	a, b := f.shape[k], f.shape[(k+1)%len(f.shape)]
	var out rooms.Ring
	for _, p := range r {
		d := f.depth(k, p)
		if d < reach && d != to && f.isCutPoint(r, p, k, reach) {
			p = f.alongNeighbour(r, p, k, to, a, b)
		}
		out = append(out, p)
	}
	return out.Simplify()
}

// isCutPoint reports whether p is an end of an edge that lies wholly within reach.
func (f *framed) isCutPoint(r rooms.Ring, p rooms.Point, k int, reach rooms.Length) bool {
	for i, q := range r {
		n := r[(i+1)%len(r)]
		if (p == q || p == n) && f.depth(k, q) < reach && f.depth(k, n) < reach {
			return true
		}
	}
	return false
}

// alongNeighbour moves p to depth to from side a→b: along the edge that leaves
// the cut there, or square to the side where both its edges belong to it.
func (f *framed) alongNeighbour(r rooms.Ring, p rooms.Point, k int, to rooms.Length, a, b rooms.Point) rooms.Point {
	for i, q := range r {
		if q != p {
			continue
		}
		for _, j := range [2]int{(i + 1) % len(r), (i + len(r) - 1) % len(r)} {
			n := r[j]
			if d, e := f.depth(k, p), f.depth(k, n); e > to+onBorder && e > d+onBorder {
				s := float64(to-d) / float64(e-d)
				return f.onto(rooms.Point{X: p.X + round(s*float64(n.X-p.X)), Y: p.Y + round(s*float64(n.Y-p.Y))})
			}
		}
	}
	d := to - f.depth(k, p)
	s, _ := rooms.Shift(a, b, d, true)
	return rooms.Point{X: p.X + s.X - a.X, Y: p.Y + s.Y - a.Y}
}
