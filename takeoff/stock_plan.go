package takeoff

import (
	"context"
	"fmt"
	"slices"

	"potlife/rooms"
	"potlife/takeoff/nest"
)

// cutting is new tiles, and pieces cut from what is left of kept ones.
type cutting struct {
	tiles []StockTile
	kept  map[int][]StockPiece // by index of the row's tile
}

// planner cuts pieces of one tile.
type planner struct {
	t      *taker
	tile   *Tile
	square bool
	left   []nest.Offcut // of kept tiles, numbered -1 and down
}

// plan cuts the pieces from as few tiles as it finds; bound is the solver's
// where it proves one for them all, else -1. Pieces that are no rectangles lie
// as in their own tiles, and the rectangles come from what is left beside them
// before any new tile; or all lie as in their own; or all go by their boxes.
func (p *planner) plan(ctx context.Context, share []cutPiece) (best *cutting, bound int, err error) {
	var exact, loose []cutPiece
	mixed := [2]bool{}
	for _, c := range share {
		if c.exact && p.square {
			exact = append(exact, c)
		} else {
			loose = append(loose, c)
		}
		mixed[btoi(c.wet)] = true
	}
	if len(loose) == 0 {
		best, bound, err = p.nest(ctx, nil, exact)
		if mixed[0] && mixed[1] {
			bound = -1
		}
		return best, bound, err
	}
	for _, way := range [][2][]cutPiece{{loose, exact}, {share, nil}, {nil, share}} {
		if len(way[0]) == 0 && !p.square {
			continue
		}
		tiles, poses := p.t.packOwn(p.tile, way[0])
		got, _, err := p.nest(ctx, ownStock(tiles, poses, way[0]), way[1])
		if err != nil {
			return nil, 0, err
		}
		if best == nil || len(got.tiles) < len(best.tiles) {
			best = got
		}
	}
	return best, -1, nil
}

func btoi(b bool) int {
	if b {
		return 1
	}
	return 0
}

// nest cuts pieces, as their bounding boxes, from what is left of kept tiles and
// of the tiles begun, and from new ones by the solver.
func (p *planner) nest(ctx context.Context, begun []StockTile, share []cutPiece) (*cutting, int, error) {
	got := &cutting{tiles: begun, kept: map[int][]StockPiece{}}
	if len(share) == 0 {
		return got, 0, nil
	}
	problem := p.t.nestProblem(p.tile, share)
	problem.Stock = slices.Clone(p.left)
	if p.square {
		for i := range begun {
			problem.Stock = append(problem.Stock, p.t.offcutsOf(p.tile, &begun[i], i)...)
		}
	}
	r, err := nest.SolveOffcuts(ctx, problem, nest.Options{Steps: p.t.steps})
	if err == nil && r.Status != nest.Optimal && r.Status != nest.Feasible {
		err = fmt.Errorf("%s", r.Sentence())
	}
	if err != nil {
		return nil, 0, err
	}
	got.tiles = append(slices.Clone(begun), make([]StockTile, r.Tiles)...)
	frame := p.tile.Shape.Box()
	for i, q := range r.Placements {
		number := len(begun) + q.Tile
		if q.Stock >= 0 {
			from := problem.Stock[q.Stock]
			number, q.X, q.Y = from.Tile, q.X+from.X, q.Y+from.Y
		}
		piece := StockPiece{share[i].ID, placeShape(share[i], q, frame)}
		if number < 0 {
			got.kept[-1-number] = append(got.kept[-1-number], piece)
			continue
		}
		s := &got.tiles[number]
		if q.Opens {
			s.ID = share[i].ID
		}
		s.Pieces = append(slices.Clip(s.Pieces), piece)
	}
	return got, r.Bound, nil
}

// nestProblem states the pieces' packing. One kerf holds for the whole of it.
func (t *taker) nestProblem(tile *Tile, share []cutPiece) nest.OffcutProblem {
	b := tile.Shape.Box()
	p := nest.OffcutProblem{TileW: int64(b.Width()), TileH: int64(b.Height())}
	first := firstRank(share)
	for _, c := range share {
		need := c.need
		need.Rank -= first
		p.Pieces = append(p.Pieces, need)
		if c.wet {
			p.Kerf = int64(t.kerf())
		}
	}
	return p
}

// placeShape turns a piece's shape and moves it to its place, against the sides
// it needs where its place is larger than itself.
func placeShape(c cutPiece, q nest.Placement, frame rooms.Box) rooms.Polygon {
	turns := map[nest.Turn]int{nest.Turn0: 0, nest.Turn90: 1, nest.Turn180: 2, nest.Turn270: 3}[q.Turn]
	shape := turnPolygon(c.shape, turns)
	b := shape.Outer.Box()
	sides := c.need.Factory<<turns | c.need.Factory>>(4-turns)
	to := rooms.Point{X: rooms.Length(q.X), Y: rooms.Length(q.Y)}
	if sides&nest.Left == 0 && (sides&nest.Right != 0 || rooms.Length(q.X+q.W) == frame.Width()) {
		to.X = rooms.Length(q.X+q.W) - b.Width()
	}
	if sides&nest.Bottom == 0 && (sides&nest.Top != 0 || rooms.Length(q.Y+q.H) == frame.Height()) {
		to.Y = rooms.Length(q.Y+q.H) - b.Height()
	}
	return shape.Moved(rooms.Point{X: to.X - b.Min.X, Y: to.Y - b.Min.Y})
}

// turnPolygon turns a polygon by quarter turns about 0, 0, counter-clockwise.
func turnPolygon(p rooms.Polygon, quarters int) rooms.Polygon {
	out := rooms.Polygon{Outer: turnRing(p.Outer, quarters)}
	for _, h := range p.Holes {
		out.Holes = append(out.Holes, turnRing(h, quarters))
	}
	return out
}

func turnRing(r rooms.Ring, quarters int) rooms.Ring {
	out := make(rooms.Ring, len(r))
	for i, p := range r {
		for range quarters & 3 {
			p = rooms.Point{X: -p.Y, Y: p.X}
		}
		out[i] = p
	}
	return out
}
