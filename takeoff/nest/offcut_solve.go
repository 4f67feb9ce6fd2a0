package nest

import (
	"cmp"
	"context"
	"slices"
)

// SolveOffcuts plans the fewest new tiles. It returns ErrProblem (wrapped) where the problem is wrongly stated, and
// Infeasible with a nil error where a piece fits no tile.
func SolveOffcuts(ctx context.Context, p OffcutProblem, o Options) (OffcutResult, error) {
	if err := p.validate(); err != nil {
		return OffcutResult{}, err
	}
	s := newOffcutSolver(ctx, &p, o)
	if s == nil {
		return OffcutResult{Status: Infeasible, Reach: o.Reach}, nil
	}
	s.solve()
	return s.result(), nil
}

// load is a holder with what is cut from it, count times over.
type load struct {
	stock int // index of the stock offcut, -1 for new tiles
	group *group
	count int
}

// offcutSolver is one run. Whole pieces stay outside the search and are added at the end.
type offcutSolver struct {
	ctx    context.Context
	p      *OffcutProblem
	o      Options
	f      *fitter
	demand []int
	whole  []int // pieces that take a tile alone
	best   []load
	tiles  int // new tiles of best, without whole pieces
	bound  int // the same, from below
}

func newOffcutSolver(ctx context.Context, p *OffcutProblem, o Options) *offcutSolver {
	s := &offcutSolver{ctx: ctx, p: p, o: o}
	kinds, ok := s.sortKinds()
	if !ok {
		return nil
	}
	s.f = newFitter(p, kinds)
	for _, k := range kinds {
		s.demand = append(s.demand, len(k.pieces))
	}
	return s
}

// sortKinds gathers equal pieces, largest first. ok is false where a piece fits no tile.
func (s *offcutSolver) sortKinds() (kinds []kind, ok bool) {
	index := map[Piece]int{}
	for i, q := range s.p.Pieces {
		poses := s.p.poses(q)
		if len(poses) == 0 {
			return nil, false
		}
		if q.Whole {
			s.whole = append(s.whole, i)
			continue
		}
		key := q
		if s.o.Reach <= 0 {
			key.Rank = 0
		}
		k, seen := index[key]
		if !seen {
			k = len(kinds)
			index[key] = k
			kinds = append(kinds, kind{piece: key, poses: poses, area: (q.W + s.p.Kerf) * (q.H + s.p.Kerf)})
		}
		kinds[k].pieces = append(kinds[k].pieces, i)
	}
	slices.SortStableFunc(kinds, func(a, b kind) int { return cmp.Compare(b.area, a.area) })
	for _, k := range kinds {
		slices.SortStableFunc(k.pieces, func(a, b int) int { return cmp.Compare(s.p.Pieces[a].Rank, s.p.Pieces[b].Rank) })
	}
	return kinds, true
}

func (s *offcutSolver) solve() {
	s.bound = s.areaBound()
	s.take(s.firstFit())
}

// take keeps a plan where it is better than the best.
func (s *offcutSolver) take(plan []load) {
	tiles := 0
	for _, l := range plan {
		if l.stock < 0 {
			tiles += l.count
		}
	}
	if s.best == nil || tiles < s.tiles {
		s.best, s.tiles = plan, tiles
	}
}

// areaBound divides what is to be cut, less the stock, by a tile; every piece takes a kerf to its right and above, and so
// does the tile. Whole tiles and the rest are summed apart, which cannot overflow.
func (s *offcutSolver) areaBound() int {
	kerf := s.p.Kerf
	tile := (s.p.TileW + kerf) * (s.p.TileH + kerf)
	var tiles, rest int64
	add := func(area, n int64) {
		for range n {
			rest += area
			tiles, rest = tiles+rest/tile, rest%tile
		}
	}
	for i, d := range s.demand {
		add(s.f.kinds[i].area, int64(d))
	}
	for _, q := range s.p.Stock {
		add(-(q.W+kerf)*(q.H+kerf), 1)
	}
	return int(max(0, tiles+ceilDiv(rest, tile)))
}

// holder gives the rectangle of a stock offcut, or of a tile for -1. The reach limits new tiles only: how long their
// offcuts lie about. Stock lies there already.
func (s *offcutSolver) holder(stock int) holder {
	if stock < 0 {
		return holder{s.p.TileW, s.p.TileH, AllSides, s.o.Reach}
	}
	q := s.p.Stock[stock]
	return holder{q.W, q.H, q.Factory, 0}
}

// firstFit puts the pieces, largest first, each into the first stock offcut or open tile that can still hold it.
func (s *offcutSolver) firstFit() []load {
	var open []load
	for stock := range s.p.Stock {
		open = append(open, load{stock: stock, count: 1})
	}
	for k := range s.f.kinds {
		for left := s.demand[k]; left > 0; {
			open, left = s.putFirst(open, int32(k), left)
		}
	}
	return slices.DeleteFunc(open, func(l load) bool { return l.group == nil })
}

// putFirst puts as many of the left pieces of a kind as share one open load, and gives the number still left.
func (s *offcutSolver) putFirst(open []load, k int32, left int) ([]load, int) {
	for i, l := range open {
		g := s.with(l.group, k)
		if _, ok := s.f.spotIn(g, s.holder(l.stock)); !ok {
			continue
		}
		n := min(left, l.count)
		if n == l.count {
			open[i].group = g
			return open, left - n
		}
		open[i].count -= n
		return slices.Insert(open, i, load{l.stock, g, n}), left - n
	}
	return append(open, load{-1, s.f.group([]int32{k}), left}), 0
}

// with is the group and one more piece.
func (s *offcutSolver) with(g *group, k int32) *group {
	if g == nil {
		return s.f.group([]int32{k})
	}
	at, _ := slices.BinarySearch(g.members, k)
	return s.f.group(slices.Insert(slices.Clone(g.members), at, k))
}
