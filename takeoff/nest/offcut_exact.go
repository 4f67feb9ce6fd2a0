package nest

import "slices"

// exact decides whether as few tiles as the bound says would do, and raises the bound where not. Every tile of such a plan
// must be worth nearly a whole one under the duals of the relaxation: those patterns are listed, and a cover of the
// pieces by them is sought. Kinds worth nothing are left out at first and put in afterwards; where that fails they are
// listed too. It needs a problem without stock.
func (s *offcutSolver) exact(root *relaxation) {
	if root.worth == nil {
		return
	}
	worth, most := root.worth, root.most
	for round := 0; round < 6 && s.tiles > s.bound && !s.over(); round++ {
		list, ok := s.listWorthy(worth, most)
		if !ok {
			return
		}
		plan, proved := s.coverBy(list, worth)
		switch {
		case proved:
			s.bound++
		case plan == nil:
			return
		default:
			s.take(s.completed(plan, list))
			if s.tiles > s.bound && !slices.Contains(worth, 0) {
				return
			}
			worth, most = s.raised(worth, most)
		}
	}
}

// raised gives worthless kinds the least worth there is. A tile may then be worth a little more, by as many units as it
// holds such pieces.
func (s *offcutSolver) raised(worth []int64, most int64) ([]int64, int64) {
	out := slices.Clone(worth)
	var count int64
	whole := (s.p.TileW + s.p.Kerf) * (s.p.TileH + s.p.Kerf)
	for k, v := range out {
		if v == 0 {
			out[k] = 1
			count = max(count, whole/s.f.kinds[k].area)
		}
	}
	return out, most + count
}

func (s *offcutSolver) coverBy(list []*group, worth []int64) (plan []int, proved bool) {
	c := cover{demand: make([]int64, len(s.demand)), steps: new(int64), nodes: 500}
	work := func() int64 {
		if c.lp == nil {
			return 0
		}
		return (c.work + c.lp.s.work) / workPerStep
	}
	c.over = func() bool { return s.f.steps+work() > s.steps || s.ctx.Err() != nil }
	defer func() { s.f.steps += work() }()
	for k, d := range s.demand {
		if worth[k] > 0 {
			c.demand[k] = int64(d)
		}
	}
	for _, g := range list {
		c.cols = append(c.cols, g.column())
	}
	return c.solve(s.bound)
}

// column counts the kinds of a group.
func (g *group) column() coverColumn {
	return cutBar(g.members).column()
}

// completed makes loads of the chosen groups and finds places for what they leave out, in further tiles where that fails.
func (s *offcutSolver) completed(chosen []int, list []*group) []load {
	left := rest{demand: slices.Clone(s.demand)}
	q := squeeze{s: s, end: s.f.steps + s.steps/squeezePart}
	for _, j := range chosen {
		var l load
		left, l = s.less(left, pattern{-1, list[j]}, 1)
		q.open = append(q.open, l)
	}
	open := slices.Clone(q.open)
	for k := len(left.demand) - 1; k >= 0; k-- { // the largest is placed first
		for range left.demand[k] {
			q.left = append(q.left, int32(k))
		}
	}
	if q.run(squeezeTries) {
		return q.open
	}
	for k := range s.f.kinds {
		for n := left.demand[k]; n > 0; {
			open, n = s.putFirst(open, int32(k), n)
		}
	}
	return open
}

const (
	maxWorthy      = 30_000
	maxWorthyNodes = 300_000
)

// listWorthy lists the groups that a plan of as many tiles as the bound could hold and that nothing of worth can be added
// to; false where they are too many, or where it is not certain that all were found.
func (s *offcutSolver) listWorthy(worth []int64, most int64) ([]*group, bool) {
	least := -int64(s.bound-1) * most
	for k, d := range s.demand {
		least += worth[k] * int64(d)
	}
	q := offcutPricer{s: s, worth: worth, demand: s.demand, in: s.holder(-1), nodes: maxWorthyNodes,
		weight: make([]int64, len(s.demand)), all: true}
	q.run(max(0, least-1))
	complete := q.nodes > 0 && q.upper == q.best && len(q.found) < maxWorthy
	if !complete {
		return nil, false
	}
	return s.maximal(q.found), true
}

// maximal drops the groups beside which a further piece fits: where the list is complete, each is another of the list
// less one piece.
func (s *offcutSolver) maximal(list []*group) []*group {
	part := make(map[*group]bool, len(list))
	for _, g := range list {
		for i := range g.members {
			if e := s.f.without(g, i); e != nil {
				part[e] = true
			}
		}
	}
	return slices.DeleteFunc(list, func(g *group) bool { return part[g] })
}
