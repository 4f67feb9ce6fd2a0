package takeoff

import (
	"context"
	"math"
	"slices"

	"potlife/rooms"
	"potlife/takeoff/nest"
)

// looseBound is a number of tiles below which no plan comes, where not all pieces
// are rectangles or lose the same kerf: by area; by corners, as a piece's corner
// that is the tile's own can only come from a corner of a tile; and by the
// solver's bound for the rectangles among them. Pieces beside which nothing else
// fits take a tile each, whatever becomes of the others.
func (t *taker) looseBound(ctx context.Context, tile *Tile, pieces []cutPiece) int {
	var exact, loose []cutPiece
	var areas, corners []float64
	own := make([]int, 0, len(pieces))
	for _, c := range pieces {
		k := ownCorners(tile.Shape, c.shape.Outer)
		areas, corners = append(areas, c.shape.AreaMM2()-1), append(corners, float64(k))
		if c.exact && isBox(rooms.Polygon{Outer: tile.Shape}) {
			exact = append(exact, c)
		} else {
			loose = append(loose, c)
			own = append(own, k)
		}
	}
	full, n := tile.Shape.AreaMM2(), float64(len(tile.Shape))
	bound := max(fewestBins(areas, full), fewestBins(corners, n))
	alone := 0
	areas, corners = nil, nil // of those that are not alone
	for i, c := range loose {
		if own[i] > 0 && closed(tile, c, exact) && shutOut(tile, loose, own, i) {
			alone++
			continue
		}
		areas, corners = append(areas, c.shape.AreaMM2()-1), append(corners, float64(own[i]))
	}
	for _, c := range exact {
		areas, corners = append(areas, c.shape.AreaMM2()-1), append(corners, float64(ownCorners(tile.Shape, c.shape.Outer)))
	}
	return max(bound, alone+max(fewestBins(areas, full), fewestBins(corners, n), t.rectBound(ctx, tile, exact)))
}

// fewestBins is a number of bins of a capacity below which sizes cannot be
// packed. For a threshold, what leaves less than it beside itself takes a bin
// alone, what is over half the capacity a bin each, and what is at least the
// threshold and not over half fills what those leave and then more bins (the
// bound L2 of Martello and Toth). Sizes under the smallest threshold count by
// their sum.
func fewestBins(sizes []float64, capacity float64) int {
	thresholds := []float64{0}
	for _, s := range sizes {
		if s > 0 && s <= capacity/2 {
			thresholds = append(thresholds, s)
		}
	}
	slices.Sort(thresholds)
	thresholds = slices.Compact(thresholds)
	step := max(1, len(thresholds)/64)
	best := 0
	for i := 0; i < len(thresholds); i += step {
		k := thresholds[i]
		bins, free, rest := 0, 0.0, 0.0
		for _, s := range sizes {
			switch {
			case s > capacity-k:
				bins++
			case s > capacity/2:
				bins++
				free += capacity - s
			case s >= k:
				rest += s
			}
		}
		best = max(best, bins+int(math.Ceil(max(0, rest-free)/capacity-1e-9)))
	}
	return best
}

// closed reports whether no rectangle fits beside a piece that has a corner of
// its tile, and so lies where it does whatever the plan. Rectangles with a corner
// are tried in the tile's four; for those without, any room of their area counts
// as fitting.
func closed(tile *Tile, c cutPiece, exact []cutPiece) bool {
	frame := tile.Shape.Box()
	left := tile.Shape.AreaMM2() - c.shape.AreaMM2()
	type size struct{ w, h rooms.Length }
	tried := map[size]bool{}
	for _, e := range exact {
		b := e.shape.Outer.Box()
		s := size{b.Width(), b.Height()}
		if e.shape.AreaMM2() > left+1 || tried[s] {
			continue
		}
		if ownCorners(tile.Shape, e.shape.Outer) == 0 {
			return false
		}
		tried[s] = true
		for _, d := range [2]size{s, {s.h, s.w}} {
			if fitsCorner(frame, c.shape, d.w, d.h) {
				return false
			}
		}
	}
	return true
}

// fitsCorner reports whether a rectangle fits into any corner of the tile beside
// a piece, give or take ten micrometres.
func fitsCorner(frame rooms.Box, piece rooms.Polygon, w, h rooms.Length) bool {
	if w > frame.Width() || h > frame.Height() {
		return false
	}
	for _, x := range [2]rooms.Length{frame.Min.X, frame.Max.X - w} {
		for _, y := range [2]rooms.Length{frame.Min.Y, frame.Max.Y - h} {
			b := rooms.Box{Min: rooms.Point{X: x + nearTile, Y: y + nearTile}, Max: rooms.Point{X: x + w - nearTile, Y: y + h - nearTile}}
			if b.Width() <= 0 || b.Height() <= 0 || isFree(b, []rooms.Polygon{piece}, 0) {
				return true
			}
		}
	}
	return false
}

// shutOut reports whether none of the other pieces that are no rectangles can
// share a tile with piece i, by area or by corners.
func shutOut(tile *Tile, loose []cutPiece, own []int, i int) bool {
	left := tile.Shape.AreaMM2() - loose[i].shape.AreaMM2()
	for j, c := range loose {
		if j != i && c.shape.AreaMM2() <= left+1 && own[i]+own[j] <= len(tile.Shape) {
			return false
		}
	}
	return true
}

// rectBound is the solver's bound for rectangles, some of which may be snapped
// and others sawn. Between two pieces of which one is sawn a kerf is lost, so
// half a kerf is counted to every sawn side; and half to every side on the
// tile's border, of a tile larger by as much, so that nothing is counted where a
// piece that needs no edge happens to lie at one.
func (t *taker) rectBound(ctx context.Context, tile *Tile, pieces []cutPiece) int {
	if len(pieces) == 0 {
		return 0
	}
	p := t.nestProblem(tile, pieces)
	half := int64(t.kerf()) / 2
	p.Kerf, p.TileW, p.TileH = 0, p.TileW+2*half, p.TileH+2*half
	for i := range p.Pieces {
		q := &p.Pieces[i]
		for _, side := range []nest.Sides{nest.Left, nest.Right, nest.Bottom, nest.Top} {
			switch {
			case q.Factory&side == 0 && !pieces[i].wet:
			case side&(nest.Left|nest.Right) != 0:
				q.W = min(q.W+half, p.TileW)
			default:
				q.H = min(q.H+half, p.TileH)
			}
		}
		q.Whole = q.W == p.TileW && q.H == p.TileH
	}
	_, bound, err := nest.CountOffcuts(ctx, p, nest.Options{Steps: t.steps})
	if err != nil {
		return 0
	}
	return bound
}

// ownCorners counts the corners of the tile that a piece has whole: the corner
// is a point of the piece and both of its sides are on the tile's border for a
// way.
func ownCorners(tile, piece rooms.Ring) int {
	n := 0
	for i, c := range tile {
		before, after := tile[(i+len(tile)-1)%len(tile)], tile[(i+1)%len(tile)]
		for j, q := range piece {
			if !near(q, c) {
				continue
			}
			in, out := piece[(j+len(piece)-1)%len(piece)], piece[(j+1)%len(piece)]
			if onSegment(in, c, before) && onSegment(out, c, after) {
				n++
			}
			break
		}
	}
	return n
}

func near(a, b rooms.Point) bool {
	return max(a.X-b.X, b.X-a.X) <= nearTile && max(a.Y-b.Y, b.Y-a.Y) <= nearTile
}

// onSegment reports whether q lies within nearTile of the segment from a to b.
func onSegment(q, a, b rooms.Point) bool {
	if q.X < min(a.X, b.X)-nearTile || q.X > max(a.X, b.X)+nearTile || q.Y < min(a.Y, b.Y)-nearTile || q.Y > max(a.Y, b.Y)+nearTile {
		return false
	}
	dx, dy := float64(b.X-a.X), float64(b.Y-a.Y)
	off := float64(float64(q.X-a.X)*dy) - float64(float64(q.Y-a.Y)*dx)
	return off*off <= float64(nearTile)*float64(nearTile)*(float64(dx*dx)+float64(dy*dy))
}
