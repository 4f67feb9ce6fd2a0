package nest

import "slices"

// exact decides whether as few tiles as the bound says would do, and raises the bound where not. Every tile of such a plan
// must be worth nearly a whole one under the duals of the relaxation: those patterns are listed, and a cover of the
// pieces by them is sought. Kinds worth nothing are left out and put in afterwards. It needs a problem without stock.
func (s *offcutSolver) exact(root *relaxation) {
	for s.tiles > s.bound && root.worth != nil && !s.over() {
		list, ok := s.listWorthy(root)
		if !ok {
			return
		}
		c := cover{demand: make([]int64, len(s.demand)), over: s.over, steps: &s.f.steps, nodes: 500}
		for k, d := range s.demand {
			if root.worth[k] > 0 {
				c.demand[k] = int64(d)
			}
		}
		for _, g := range list {
			c.cols = append(c.cols, g.column())
		}
		plan, proved := c.solve(s.bound)
		if proved {
			s.bound++
			continue
		}
		if plan != nil {
			s.take(s.completed(plan, list))
		}
		return
	}
}

// column counts the kinds of a group.
func (g *group) column() coverColumn {
	return cutBar(g.members).column()
}

// completed makes loads of the chosen groups and puts what they leave out where it fits.
func (s *offcutSolver) completed(chosen []int, list []*group) []load {
	left := rest{demand: slices.Clone(s.demand)}
	var open []load
	for _, j := range chosen {
		var l load
		left, l = s.less(left, pattern{-1, list[j]}, 1)
		open = append(open, l)
	}
	for k := range s.f.kinds {
		for n := left.demand[k]; n > 0; {
			open, n = s.putFirst(open, int32(k), n)
		}
	}
	return open
}

const (
	maxWorthy      = 6_000
	maxWorthyNodes = 300_000
)

// listWorthy lists the groups that a plan of as many tiles as the bound could hold; false where they are too many, or
// where it is not certain that all were found.
func (s *offcutSolver) listWorthy(root *relaxation) ([]*group, bool) {
	least := -int64(s.bound-1) * root.most
	for k, d := range s.demand {
		least += root.worth[k] * int64(d)
	}
	q := offcutPricer{s: s, worth: root.worth, demand: s.demand, in: s.holder(-1), nodes: maxWorthyNodes,
		weight: make([]int64, len(s.demand)), all: true}
	q.run(max(0, least-1))
	return q.found, q.nodes > 0 && q.upper == q.best && len(q.found) < maxWorthy
}
