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
	var moves []cutMove
	for k := range t.Shape {
		for _, c := range p.Cuts {
			if c.Sized && c.Size > 0 && c.Side == f.sideName(k) {
				moves = f.addMove(moves, shape.Outer, k, c)
			}
		}
	}
	for _, m := range moves {
		shape.Outer = f.straighten(shape.Outer, m)
	}
	return shape
}

// cutMove is a straight cut off a side of the tile, to be moved to its printed
// size.
type cutMove struct {
	side            int
	near, reach, to rooms.Length // depths from the side
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

// addMove adds the move that brings a sized cut off side k to its size. Where
// the opposite side is cut too, the size counts from that cut.
func (f *framed) addMove(moves []cutMove, r rooms.Ring, k int, c Cut) []cutMove {
	near, deepest := rooms.Length(1<<62), rooms.Length(0)
	for _, p := range r {
		near, deepest = min(near, f.depth(k, p)), max(deepest, f.depth(k, p))
	}
	if absLen(near+c.Drawn-f.breadth(k)) > 16 && absLen(deepest-near-c.Drawn) > 16 {
		return moves // another side of the same name
	}
	to := near + c.Drawn - c.Size
	moves = append(moves, cutMove{k, near, cutReach(near, deepest, c.Drawn-c.Least), max(to, 0)})
	if o, from := f.opposite(k), f.breadth(k)-deepest; to < 0 && o >= 0 && from > onBorder {
		// The tile ends before the size is reached: the first trim takes that much less.
		moves = append(moves, cutMove{o, from, cutReach(from, f.breadth(k)-near, c.Drawn-c.Least), max(from+to, 0)})
	}
	return moves
}

// straighten puts the edges of a straight cut at its depth: a taper becomes the
// straight cut that stands for it.
func (f *framed) straighten(r rooms.Ring, m cutMove) rooms.Ring {
	k, to := m.side, m.to
	n := len(r)
	cut := f.facing(r, k, m.near, func(int) rooms.Length { return m.reach })
	out := make(rooms.Ring, n)
	for i, p := range r {
		before, after := cut[(i+n-1)%n], cut[i]
		switch {
		case before && after:
			out[i] = f.sunk(p, k, to)
		case before:
			out[i] = f.slid(p, r[(i+1)%n], k, to)
		case after:
			out[i] = f.slid(p, r[(i+n-1)%n], k, to)
		default:
			out[i] = p
		}
	}
	return out.Simplify()
}

// sunk moves p square to side k to a depth.
func (f *framed) sunk(p rooms.Point, k int, to rooms.Length) rooms.Point {
	a := f.shape[k]
	s, _ := rooms.Shift(a, f.shape[(k+1)%len(f.shape)], to-f.depth(k, p), true)
	return f.onto(rooms.Point{X: p.X + s.X - a.X, Y: p.Y + s.Y - a.Y})
}

// slid moves p to a depth along the edge to its neighbour n, or square to the
// side where that edge runs along the side.
func (f *framed) slid(p, n rooms.Point, k int, to rooms.Length) rooms.Point {
	d, e := f.depth(k, p), f.depth(k, n)
	if absLen(e-d) <= onBorder {
		return f.sunk(p, k, to)
	}
	s := float64(to-d) / float64(e-d)
	return f.onto(rooms.Point{X: p.X + round(s*float64(n.X-p.X)), Y: p.Y + round(s*float64(n.Y-p.Y))})
}
