package nest

import (
	"cmp"
	"slices"
)

const (
	manyKinds  = 400 // beyond this a problem is planned in parts
	partPieces = 150 // pieces of one part
	gridParts  = 48  // steps of a tile's side to which sizes are rounded for the bound
)

// solveLarge plans a building: the bound comes from the relaxation of a problem with fewer, smaller pieces, the plan from
// stretches of the setting order that are planned one by one, or from first fit where that is better.
func (s *offcutSolver) solveLarge() {
	s.bound = max(s.bound, s.boundRounded())
	if s.tiles > s.bound {
		s.take(s.planParts())
	}
}

// boundRounded rounds sizes down to a grid, where no two factory sides fix them, so that many pieces become alike. Any plan
// of the true pieces is one of the smaller ones, hence what these need at least, those do. Ranks and reach are left out,
// which only makes more plans possible.
func (s *offcutSolver) boundRounded() int {
	p := OffcutProblem{TileW: s.p.TileW, TileH: s.p.TileH, Kerf: s.p.Kerf, Stock: s.p.Stock}
	type class struct {
		factory Sides
		turns   Turn
		w, h    int64
	}
	least := map[class]Piece{}
	of := func(q Piece) class {
		c := class{q.Factory, q.Turns, q.W, q.H}
		if !q.Factory.has(Left | Right) {
			c.w = -1 - q.W*gridParts/p.TileW
		}
		if !q.Factory.has(Bottom | Top) {
			c.h = -1 - q.H*gridParts/p.TileH
		}
		return c
	}
	for _, q := range s.p.Pieces {
		c := of(q)
		if e, ok := least[c]; ok {
			q.W, q.H = min(q.W, e.W), min(q.H, e.H)
		}
		q.Rank = 0
		least[c] = q
	}
	for _, q := range s.p.Pieces {
		if !q.Whole {
			p.Pieces = append(p.Pieces, least[of(q)])
			p.Pieces[len(p.Pieces)-1].Whole = false
		}
	}
	rounded := newOffcutSolver(s.ctx, &p, Options{Steps: s.steps / 2})
	if rounded == nil || len(rounded.f.kinds) > 2*manyKinds {
		return 0
	}
	root := rounded.newRelaxation(rounded.everything(), nil)
	root.solve(s.tiles)
	s.f.steps += rounded.f.steps
	return root.bound
}

// planParts plans stretches of the pieces by rank; the first takes the stock.
func (s *offcutSolver) planParts() []load {
	kindOf := make([]int32, len(s.p.Pieces))
	var order []int
	for k := range s.f.kinds {
		for _, i := range s.f.kinds[k].pieces {
			kindOf[i] = int32(k)
			order = append(order, i)
		}
	}
	slices.SortFunc(order, func(a, b int) int {
		return cmp.Or(cmp.Compare(s.p.Pieces[a].Rank, s.p.Pieces[b].Rank), cmp.Compare(a, b))
	})
	var plan []load
	share := s.steps * partPieces / int64(2*len(order))
	for from := 0; from < len(order); from += partPieces {
		part := order[from:min(len(order), from+partPieces)]
		p := *s.p
		p.Pieces = nil
		if from > 0 {
			p.Stock = nil
		}
		for _, i := range part {
			p.Pieces = append(p.Pieces, s.p.Pieces[i])
		}
		sub := newOffcutSolver(s.ctx, &p, Options{Steps: share, Reach: s.o.Reach, Seed: s.o.Seed})
		sub.solve()
		s.f.steps += sub.f.steps
		for _, l := range sub.best {
			moved, ok := s.moved(l, sub, part, kindOf)
			if !ok {
				return s.best
			}
			plan = append(plan, moved)
		}
	}
	return plan
}

// moved is a part's load in terms of the whole problem's kinds.
func (s *offcutSolver) moved(l load, sub *offcutSolver, part []int, kindOf []int32) (load, bool) {
	members := make([]int32, len(l.group.members))
	for i, k := range l.group.members {
		members[i] = kindOf[part[sub.f.kinds[k].pieces[0]]]
	}
	slices.Sort(members)
	g := s.f.group(members)
	return load{l.stock, g, l.count}, s.fitsIn(g, l.stock)
}
