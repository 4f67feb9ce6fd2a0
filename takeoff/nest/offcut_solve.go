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

// CountOffcuts is SolveOffcuts for who asks only how many new tiles are taken: their
// number, and one that no plan comes below. Both are 0 where a piece fits no tile.
func CountOffcuts(ctx context.Context, p OffcutProblem, o Options) (tiles, bound int, err error) {
	if err := p.validate(); err != nil {
		return 0, 0, err
	}
	s := newOffcutSolver(ctx, &p, o)
	if s == nil {
		return 0, 0, nil
	}
	s.solve()
	return s.count(), s.bound + len(s.whole), nil
}

// The budget where none is given. A step takes some ten nanoseconds. Bathrooms, of a few dozen kinds, are nearly all proved
// in a tenth of theirs, and kept to a tenth of a second; buildings get a second.
const (
	roomKinds     = 110
	roomSteps     = 8_000_000
	buildingSteps = 60_000_000
	pieceSteps    = 5_000 // more for each piece

	alikeSteps  = 100_000 // smaller budgets are for a first look, not for a bound
	pricingPart = 20      // steps of the budget for each node that one search for a pattern may take
)

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
	steps  int64 // budget
	best   []load
	tiles  int // new tiles of best, without whole pieces
	bound  int // the same, from below

	pool         []pattern
	inPool       map[pattern]bool
	complete     bool  // the pool holds every maximal pattern
	pricingNodes int64 // limit of one search for a pattern
	branchNodes  int   // limit of the exact search
	nodesLeft    int   // of that limit
}

func newOffcutSolver(ctx context.Context, p *OffcutProblem, o Options) *offcutSolver {
	s := &offcutSolver{ctx: ctx, p: p, o: o}
	kinds, ok := s.sortKinds()
	if !ok {
		return nil
	}
	s.f = newFitter(p, kinds)
	s.inPool = map[pattern]bool{}
	s.steps, s.branchNodes = o.Steps, 2_000
	if s.steps <= 0 {
		s.steps = roomSteps + pieceSteps*int64(len(p.Pieces))
		if len(kinds) > roomKinds {
			s.steps += buildingSteps - roomSteps
		}
	}
	s.pricingNodes = max(1_000, min(1_000_000, s.steps/pricingPart))
	for _, k := range kinds {
		s.demand = append(s.demand, len(k.pieces))
	}
	return s
}

// sortKinds gathers equal pieces, largest first. ok is false where a piece fits no tile.
func (s *offcutSolver) sortKinds() (kinds []kind, ok bool) {
	index := map[Piece]int{}
	for i, q := range s.p.Pieces {
		key := q
		if s.o.Reach <= 0 {
			key.Rank = 0
		}
		k, seen := index[key]
		if !seen {
			poses := s.p.poses(q)
			if len(poses) == 0 {
				return nil, false
			}
			if q.Whole {
				s.whole = append(s.whole, i)
				continue
			}
			k = len(kinds)
			index[key] = k
			kinds = append(kinds, kind{piece: key, poses: poses, area: (q.W + s.p.Kerf) * (q.H + s.p.Kerf), corners: corners(q.Factory)})
		}
		kinds[k].pieces = append(kinds[k].pieces, i)
	}
	slices.SortStableFunc(kinds, func(a, b kind) int { return cmp.Compare(b.area, a.area) })
	for _, k := range kinds {
		slices.SortStableFunc(k.pieces, func(a, b int) int { return cmp.Compare(s.p.Pieces[a].Rank, s.p.Pieces[b].Rank) })
	}
	return kinds, true
}

// solve bounds, plans greedily, then closes the gap: by the linear relaxation, by diving along it, by search.
func (s *offcutSolver) solve() {
	all := s.everything()
	s.bound = s.areaBound()
	first := s.firstFit(all)
	s.take(first)
	for _, l := range first {
		s.addPattern(pattern{l.stock, l.group})
	}
	if s.tiles <= s.bound {
		return
	}
	if crowded(first) && s.steps >= alikeSteps {
		if s.bound = max(s.bound, s.boundAlike(s.steps/8)); s.tiles <= s.bound {
			return
		}
	}
	if len(s.f.kinds) > manyKinds {
		if s.solveLarge(); s.tiles <= s.bound || len(s.f.kinds) > mostRelaxed {
			return
		}
	}
	root := s.newRelaxation(all, nil)
	root.solveWithin(s.tiles, (s.steps-s.f.steps)*2/3)
	s.bound = max(s.bound, root.bound)
	if !root.tight() && len(s.f.kinds) <= manyKinds && s.tiles > s.bound && s.steps >= alikeSteps { // of a large one that has been tried
		s.bound = max(s.bound, s.boundAlike(max((s.steps-s.f.steps)/2, s.steps/8)))
	}
	if s.tiles > s.bound {
		s.dive(root)
	}
	s.shrink(squeezeTries, s.steps/squeezePart)
	if s.tiles > s.bound && len(s.p.Stock) == 0 {
		s.exact(root)
	}
	if s.tiles > s.bound {
		s.tighten(all)
	}
	if s.tiles > s.bound && s.branch(all, nil, 0, s.branchNodes) && s.tiles > s.bound {
		s.bound = s.tiles // every plan with fewer tiles has been excluded
	}
}

// crowded reports whether a tile of a plan holds so many pieces that the relaxation of all kinds takes long to solve.
func crowded(plan []load) bool {
	return slices.ContainsFunc(plan, func(l load) bool { return len(l.group.members) > nearLargest })
}

// everything is the problem as a rest, before anything has been cut.
func (s *offcutSolver) everything() rest {
	all := rest{slices.Clone(s.demand), make([]bool, len(s.p.Stock))}
	for i := range all.stock {
		all.stock[i] = true
	}
	return all
}

// over reports whether the budget is spent or the context has ended.
func (s *offcutSolver) over() bool {
	return s.f.steps > s.steps || s.ctx.Err() != nil
}

// take keeps a plan where it is better than the best.
func (s *offcutSolver) take(plan []load) {
	if t := newTiles(plan); s.best == nil || t < s.tiles {
		s.best, s.tiles = slices.Clone(plan), t
	}
}

// newTiles counts the tiles of a plan that do not come from stock.
func newTiles(plan []load) int {
	n := 0
	for _, l := range plan {
		if l.stock < 0 {
			n += l.count
		}
	}
	return n
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
