package nest

// likeness makes pieces of nearly one size alike, so that a problem of many sizes becomes one of few whose bound holds for
// it: every plan of the pieces is one of the smaller ones they are replaced by. Two groups of pieces at a time become
// one, of the lesser width and the lesser height, where that takes least off their area.
type likeness struct {
	list  []likePieces
	near  []int // by place in the list: the other group that it would lose least with, -1 for none
	loss  []int64
	count int // groups left
}

// likePieces is a group of pieces that have become alike.
type likePieces struct {
	piece  Piece // rank left out
	pieces []int // indices into the problem; nil for a group that has become part of another
}

// newLikeness starts from the pieces that are alike already; nil where those are too many to be compared.
func newLikeness(p *OffcutProblem) *likeness {
	l := &likeness{}
	index := map[Piece]int{}
	for i, q := range p.Pieces {
		if q.Whole {
			continue
		}
		q.Rank = 0
		at, seen := index[q]
		if !seen {
			at = len(l.list)
			index[q] = at
			l.list = append(l.list, likePieces{piece: q})
		}
		l.list[at].pieces = append(l.list[at].pieces, i)
	}
	if l.count = len(l.list); l.count > mostAlike {
		return nil
	}
	l.near, l.loss = make([]int, l.count), make([]int64, l.count)
	for i := range l.list {
		l.look(i)
	}
	return l
}

// merged is what two groups would become and what of their area that loses; ok is false where they may not. A side
// between two factory sides keeps its length, which is the tile's.
func (l *likeness) merged(i, j int) (q Piece, loss int64, ok bool) {
	a, b := &l.list[i], &l.list[j]
	if a.piece.Factory != b.piece.Factory || a.piece.Turns != b.piece.Turns {
		return q, 0, false
	}
	q = a.piece
	q.W, q.H = min(a.piece.W, b.piece.W), min(a.piece.H, b.piece.H)
	lost := func(g *likePieces) int64 { return (g.piece.W*g.piece.H - q.W*q.H) * int64(len(g.pieces)) }
	return q, lost(a) + lost(b), true
}

// look finds the nearest group of group i.
func (l *likeness) look(i int) {
	l.near[i] = -1
	for j := range l.list {
		if j != i && l.list[j].pieces != nil {
			l.offer(i, j)
		}
	}
}

// offer makes j the nearest of i where it is nearer than the one so far.
func (l *likeness) offer(i, j int) {
	if _, loss, ok := l.merged(i, j); ok && (l.near[i] < 0 || loss < l.loss[i] || loss == l.loss[i] && j < l.near[i]) {
		l.near[i], l.loss[i] = j, loss
	}
}

// reduce joins groups until so many are left, or none can be joined.
func (l *likeness) reduce(most int) {
	for l.count > most {
		best := -1
		for i, g := range l.list {
			if g.pieces != nil && l.near[i] >= 0 && (best < 0 || l.loss[i] < l.loss[best]) {
				best = i
			}
		}
		if best < 0 {
			return
		}
		l.join(best, l.near[best])
	}
}

// join makes group j part of group i.
func (l *likeness) join(i, j int) {
	l.list[i].piece, _, _ = l.merged(i, j)
	l.list[i].pieces = append(l.list[i].pieces, l.list[j].pieces...)
	l.list[j].pieces = nil
	l.count--
	for k := range l.list {
		switch {
		case l.list[k].pieces == nil:
		case k == i || l.near[k] == i || l.near[k] == j:
			l.look(k)
		default:
			l.offer(k, i)
		}
	}
}

// problem is the problem with the pieces as they have become. Ranks, whole pieces and the reach are left out, which only
// makes more plans possible.
func (l *likeness) problem(p *OffcutProblem) OffcutProblem {
	out := OffcutProblem{TileW: p.TileW, TileH: p.TileH, Kerf: p.Kerf, Stock: p.Stock}
	pieces := make([]Piece, len(p.Pieces))
	in := make([]bool, len(p.Pieces))
	for _, g := range l.list {
		for _, i := range g.pieces {
			pieces[i], in[i] = g.piece, true
		}
	}
	for i, q := range pieces {
		if in[i] {
			out.Pieces = append(out.Pieces, q)
		}
	}
	return out
}

// likeSteps are the numbers of sizes for which a problem is bounded, in turn: the fewer, the sooner the relaxation is solved;
// the more, the nearer the bound comes.
var likeSteps = [...]int{10, 25, 60, 110, 200, 360}

// mostAlike is the number of sizes beyond which comparing each with each takes too long.
const mostAlike = 4_000

// boundAlike bounds the problem by ones of fewer sizes, finer ones while the budget lasts.
func (s *offcutSolver) boundAlike(steps int64) int {
	best, end := 0, s.f.steps+steps
	for _, most := range likeSteps {
		l := newLikeness(s.p)
		if l == nil {
			return best
		}
		all := l.count
		l.reduce(most)
		p := l.problem(s.p)
		part := newOffcutSolver(s.ctx, &p, Options{Steps: max(1, end-s.f.steps)})
		if part == nil {
			return best
		}
		root := part.bounded(s.tiles)
		s.f.steps += part.f.steps + int64(all)*int64(all)/8
		best = max(best, root.bound)
		if !root.tight() || best >= s.tiles || most >= all || s.f.steps >= end {
			return best
		}
	}
	return best
}

// bounded solves the relaxation of the whole problem, starting from first fit.
func (s *offcutSolver) bounded(enough int) *relaxation {
	all := s.everything()
	for _, l := range s.firstFit(all) {
		s.addPattern(pattern{l.stock, l.group})
	}
	root := s.newRelaxation(all, nil)
	root.solve(enough)
	return root
}
