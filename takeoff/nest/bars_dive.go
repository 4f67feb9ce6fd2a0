package nest

import (
	"cmp"
	"slices"
)

// relax solves the relaxation and closes what gap is left.
func (s *barSolver) relax() {
	for _, bar := range s.best {
		s.addPool(bar)
	}
	root := s.newMaster(s.demand)
	root.solve(len(s.best))
	s.bound = max(s.bound, root.bound)
	if s.closed() || s.over() {
		return
	}
	s.dive(root)
}

// dive follows the relaxation down to a plan: it fixes the bars used whole times, or the most used ones where none is, and
// solves what is left again. Every rest is also finished by rules of thumb.
func (s *barSolver) dive(m *barMaster) {
	left := slices.Clone(m.demand)
	var plan []cutBar
	for {
		plan = s.fixBars(m, left, plan)
		if !slices.ContainsFunc(left, func(d int) bool { return d > 0 }) {
			s.take(plan)
			return
		}
		s.take(slices.Concat(plan, s.bestFit(left)))
		if !s.closed() {
			s.take(slices.Concat(plan, s.fullest(left)))
		}
		if s.closed() || len(plan)+1 >= len(s.best) || s.over() {
			return
		}
		m = s.newMaster(slices.Clone(left))
		m.solve(len(s.best) - len(plan))
		if len(plan)+m.bound >= len(s.best) {
			return
		}
	}
}

// fixBars cuts bars of the relaxation from what is left.
func (s *barSolver) fixBars(m *barMaster, left []int, plan []cutBar) []cutBar {
	type used struct {
		bar cutBar
		x   float64
	}
	var list []used
	for place, j := range m.lp.basis {
		if m.use[j] != nil && m.lp.x[place] > 1e-6 {
			list = append(list, used{m.use[j], m.lp.x[place]})
		}
	}
	slices.SortStableFunc(list, func(a, b used) int { return cmp.Compare(b.x, a.x) })
	before := len(plan)
	for _, u := range list {
		for n := int(u.x + 1e-5); n > 0; n-- {
			plan = append(plan, s.cut(u.bar, left))
		}
	}
	if len(plan) > before {
		return plan
	}
	for i, u := range list {
		if i > 0 && (u.x < 0.75 || !s.wanted(u.bar, left)) {
			break
		}
		plan = append(plan, s.cut(u.bar, left))
	}
	return plan
}

// wanted reports whether every place of a bar is still needed for its own size.
func (s *barSolver) wanted(bar cutBar, left []int) bool {
	for i, j := 0, 0; i < len(bar); i = j {
		for j = i; j < len(bar) && bar[j] == bar[i]; j++ {
		}
		if left[bar[i]] < j-i {
			return false
		}
	}
	return true
}

// cut takes a bar from what is left: each place for its own size or the largest smaller one left, then the space that
// remains is filled as well as it can be.
func (s *barSolver) cut(bar cutBar, left []int) cutBar {
	free := s.capacity
	var out cutBar
	for _, k := range bar {
		for int(k) < len(left) && left[k] == 0 {
			k++
		}
		if int(k) < len(left) {
			left[k]--
			free -= s.size[k]
			out = append(out, k)
		}
	}
	f := filler{s: s, left: left}
	out = f.fill(out, free)
	slices.Sort(out)
	return out
}
