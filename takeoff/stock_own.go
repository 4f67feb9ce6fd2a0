package takeoff

import (
	"cmp"
	"math"
	"slices"

	"potlife/rooms"
	"potlife/takeoff/nest"
)

// Pieces that are no rectangles, and pieces of tiles that are none, share a tile
// in the places that the tile's own edges leave them: a tile turned onto itself
// offers the same edges and corners, so two pieces cut along a diagonal, or
// across a hexagon, come from one tile if they do not touch there.

// onSiteRoom is kept beside a piece with a free cut to be measured on site:
// common practice.
const onSiteRoom = 3 * rooms.Millimetre

// selfTurn maps a tile onto itself: q → to + (c, s)·(q − from), as complex
// numbers.
type selfTurn struct {
	from, to rooms.Point
	c, s     float64
}

// selfTurns lists the turns of a tile onto itself that its face allows, none
// first.
func selfTurns(tile *Tile) []selfTurn {
	r := tile.Shape
	list := []selfTurn{{r[0], r[0], 1, 0}}
	if tile.Directional {
		return list
	}
	ax, ay := float64(r[1].X-r[0].X), float64(r[1].Y-r[0].Y)
	square := float64(ax*ax) + float64(ay*ay)
	for k := 1; k < len(r); k++ {
		n := r[(k+1)%len(r)]
		bx, by := float64(n.X-r[k].X), float64(n.Y-r[k].Y)
		t := selfTurn{r[0], r[k], (float64(ax*bx) + float64(ay*by)) / square, (float64(ax*by) - float64(ay*bx)) / square}
		onto := true
		for i := range r {
			onto = onto && near(t.point(r[i]), r[(i+k)%len(r)])
		}
		if onto {
			list = append(list, t)
		}
	}
	return list
}

func (t selfTurn) point(q rooms.Point) rooms.Point {
	x, y := float64(q.X-t.from.X), float64(q.Y-t.from.Y)
	return rooms.Point{
		X: t.to.X + rooms.Length(math.Round(float64(t.c*x)-float64(t.s*y))),
		Y: t.to.Y + rooms.Length(math.Round(float64(t.s*x)+float64(t.c*y))),
	}
}

func (t selfTurn) ring(r rooms.Ring) rooms.Ring {
	out := make(rooms.Ring, len(r))
	for i, q := range r {
		out[i] = t.point(q)
	}
	return out
}

func (t selfTurn) polygon(p rooms.Polygon) rooms.Polygon {
	out := rooms.Polygon{Outer: t.ring(p.Outer)}
	for _, h := range p.Holes {
		out.Holes = append(out.Holes, t.ring(h))
	}
	return out
}

// convexHull is the smallest convex ring around a ring, counter-clockwise.
func convexHull(r rooms.Ring) rooms.Ring {
	if r.Convex() {
		return r
	}
	points := slices.Clone(r)
	slices.SortFunc(points, func(a, b rooms.Point) int { return cmp.Or(cmp.Compare(a.X, b.X), cmp.Compare(a.Y, b.Y)) })
	half := func(points rooms.Ring) (h rooms.Ring) {
		for _, p := range points {
			for len(h) > 1 && rooms.Side(h[len(h)-2], h[len(h)-1], p) <= 0 {
				h = h[:len(h)-1]
			}
			h = append(h, p)
		}
		return h[:len(h)-1]
	}
	low := half(points)
	slices.Reverse(points)
	return append(low, half(points)...)
}

// clear reports whether a line parts two convex rings by the gap. Half a
// micrometre is left for rounding.
func clear(a, b rooms.Ring, gap rooms.Length) bool {
	return clearOf(a, b, gap) || clearOf(b, a, gap)
}

func clearOf(a, b rooms.Ring, gap rooms.Length) bool {
	for i, p := range a {
		n := a[(i+1)%len(a)]
		dx, dy := int64(n.X-p.X), int64(n.Y-p.Y)
		least := int64(math.MaxInt64)
		for _, q := range b {
			least = min(least, dy*int64(q.X-p.X)-dx*int64(q.Y-p.Y))
		}
		if least < 0 && gap > 4 {
			continue
		}
		length := math.Sqrt(float64(float64(dx)*float64(dx)) + float64(float64(dy)*float64(dy)))
		if float64(least) >= float64(gap-4)*length {
			return true
		}
	}
	return false
}

// growth is how much a piece to be measured on site may come out larger.
func growth(c cutPiece) rooms.Length {
	grow := rooms.Length(0)
	for _, cut := range c.Cuts {
		switch {
		case !c.OnSite:
		case cut.Sized:
			grow = max(grow, cut.Most-cut.Size)
		default:
			grow = max(grow, onSiteRoom)
		}
	}
	return grow
}

// ownPose is a place of a piece in a tile: a turn of the tile onto itself, or for
// rectangular tiles any quarter turn that keeps the piece on the borders it needs.
type ownPose struct {
	self    *selfTurn
	quarter int
	move    rooms.Point
}

func (p ownPose) polygon(shape rooms.Polygon) rooms.Polygon {
	if p.self != nil {
		return p.self.polygon(shape)
	}
	return turnPolygon(shape, p.quarter).Moved(p.move)
}

// ownPoses lists the places of a piece in its tile, its own first. On a
// rectangular tile a side that must be the tile's own fixes the place across it,
// and a piece that needs none on either of two sides is tried at both ends and
// where it lies in its own tile.
func ownPoses(tile *Tile, c cutPiece, turns []selfTurn) []ownPose {
	list := []ownPose{{}}
	if !isBox(rooms.Polygon{Outer: tile.Shape}) {
		list = list[:0]
		for i := range turns {
			list = append(list, ownPose{self: &turns[i]})
		}
		return list
	}
	frame := tile.Shape.Box()
	for quarter := range 4 {
		if quarter > 0 && tile.Directional {
			break
		}
		b := turnRing(c.shape.Outer, quarter).Box()
		sides := c.need.Factory<<quarter | c.need.Factory>>(4-quarter)
		xs := ownPlaces(b.Min.X, b.Width(), frame.Width(), sides&nest.Left != 0, sides&nest.Right != 0, quarter == 0)
		ys := ownPlaces(b.Min.Y, b.Height(), frame.Height(), sides&nest.Bottom != 0, sides&nest.Top != 0, quarter == 0)
		for _, x := range xs {
			for _, y := range ys {
				if p := (ownPose{quarter: quarter, move: rooms.Point{X: x, Y: y}}); p != list[0] {
					list = append(list, p)
				}
			}
		}
	}
	return list
}

// ownPlaces lists the shifts along one axis: against the borders that are needed,
// else against either and, for the piece as it lies, where it is. None fits where
// the piece is longer than the tile, or needs both borders and is shorter.
func ownPlaces(from, long, full rooms.Length, low, high, own bool) []rooms.Length {
	atLow, atHigh := -from, full-long-from
	switch {
	case long > full+nearTile || low && high && long < full-nearTile:
		return nil
	case low && high && own:
		return []rooms.Length{0}
	case low:
		return []rooms.Length{atLow}
	case high:
		return []rooms.Length{atHigh}
	case own && from > 0 && from < full-long:
		return []rooms.Length{0, atLow, atHigh}
	}
	return []rooms.Length{atLow, atHigh}
}

// ownStock writes packed tiles as stock tiles, each named after its first piece
// in setting order.
func ownStock(tiles []ownTile, poses [][]ownPose, share []cutPiece) []StockTile {
	var list []StockTile
	for _, o := range tiles {
		var s StockTile
		first := slices.MinFunc(o.pieces, func(a, b int) int {
			return cmp.Or(cmp.Compare(share[a].need.Rank, share[b].need.Rank), cmp.Compare(a, b))
		})
		s.ID = share[first].ID
		for n, i := range o.pieces {
			s.Pieces = append(s.Pieces, StockPiece{share[i].ID, poses[i][o.turns[n]].polygon(share[i].shape)})
		}
		list = append(list, s)
	}
	return list
}
