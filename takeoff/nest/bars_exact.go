package nest

import (
	"cmp"
	"slices"
)

// exact decides whether as few bars as the bound says would do, and raises the bound where not, round after round. It
// lists every bar that such a plan could hold: bars whose worth under the duals of the relaxation is not too small, and
// whose waste is no more than all the waste the plan may have. Then a cover of the sizes by those bars is sought. Sizes
// worth nothing are left out of the list at first, which would otherwise hold every way to fill up with them, and are put
// into what stays free. It takes so many bars in the list, and about so many steps, at most.
func (s *barSolver) exact(prices []barPrices, bars int, steps int64) {
	end := s.steps + min(steps, s.limit)
	over := func() bool { return s.over() || s.steps > end }
	level, shake := 0, 0
	for !s.closed() && !over() {
		demand := s.worthy(prices, level)
		l, ok := s.listBars(prices, demand, s.bound, bars)
		if !ok {
			return
		}
		c := cover{demand: make([]int64, len(s.size)), over: over, steps: &s.steps, nodes: 1_000_000, shake: shake}
		for k, d := range demand {
			c.demand[k] = int64(d)
		}
		for _, bar := range l {
			c.cols = append(c.cols, bar.column())
		}
		switch plan, proved := c.solve(s.bound); {
		case proved:
			s.bound++
		case plan == nil || level == len(worthyLevels)-1:
			s.complete(s.planOf(plan, l), len(s.best)-1)
			return
		case !s.complete(s.planOf(plan, l), s.bound):
			if shake += coverTries; shake%(3*coverTries) == 0 {
				level++
			}
		}
	}
}

// worthyLevels are the parts of the capacity below which sizes worth next to nothing are left out, level after level.
var worthyLevels = [...]int64{1, 8, 30, maxBar * 2}

// worthy is the demand without short sizes that are worth next to nothing.
func (s *barSolver) worthy(prices []barPrices, level int) []int {
	demand := slices.Clone(s.demand)
	for k := range demand {
		worth := int64(0)
		for _, p := range prices {
			worth = max(worth, p.worth[k])
		}
		if worth < worthUnit>>20 && s.size[k] <= s.capacity/worthyLevels[level] {
			demand[k] = 0
		}
	}
	return demand
}

// complete puts what a plan leaves out into its bars and takes the plan if that succeeds with so many bars: by best fit, or
// by filling the fullest bars first, each as well as it can be.
func (s *barSolver) complete(plan []cutBar, target int) bool {
	if len(plan) == 0 || len(plan) > target {
		return false
	}
	for len(plan) < target {
		plan = append(plan, nil)
	}
	left := slices.Clone(s.demand)
	free := make([]int64, len(plan))
	order := make([]int, len(plan))
	for i, bar := range plan {
		free[i], order[i] = s.capacity, i
		for _, k := range bar {
			left[k]--
			free[i] -= s.size[k]
		}
	}
	if s.completeBestFit(slices.Clone(plan), slices.Clone(left), slices.Clone(free)) {
		return true
	}
	slices.SortStableFunc(order, func(a, b int) int { return cmp.Compare(free[a], free[b]) })
	f := filler{s: s, left: left}
	for _, i := range order {
		plan[i] = f.fill(slices.Clone(plan[i]), free[i])
		slices.Sort(plan[i])
	}
	if slices.ContainsFunc(left, func(d int) bool { return d > 0 }) {
		return false
	}
	s.take(dropEmpty(plan))
	return true
}

func (s *barSolver) completeBestFit(plan []cutBar, left []int, free []int64) bool {
	for k, d := range left {
		for range d {
			at := -1
			for i, f := range free {
				if f >= s.size[k] && (at < 0 || f < free[at]) {
					at = i
				}
			}
			if at < 0 {
				return false
			}
			free[at] -= s.size[k]
			plan[at] = append(slices.Clone(plan[at]), int32(k))
			slices.Sort(plan[at])
		}
	}
	s.take(dropEmpty(plan))
	return true
}

func dropEmpty(plan []cutBar) []cutBar {
	return slices.DeleteFunc(slices.Clone(plan), func(b cutBar) bool { return len(b) == 0 })
}

// column counts the sizes of a bar.
func (b cutBar) column() coverColumn {
	var c coverColumn
	for _, k := range b {
		if n := len(c.rows); n > 0 && c.rows[n-1] == k {
			c.count[n-1]++
		} else {
			c.rows, c.count = append(c.rows, k), append(c.count, 1)
		}
	}
	return c
}

// planOf drops what the chosen bars hold beyond the demand.
func (s *barSolver) planOf(chosen []int, bars []cutBar) []cutBar {
	left := slices.Clone(s.demand)
	var plan []cutBar
	for _, j := range chosen {
		var bar cutBar
		for _, k := range bars[j] {
			if left[k] > 0 {
				left[k]--
				bar = append(bar, k)
			}
		}
		if len(bar) > 0 {
			plan = append(plan, bar)
		}
	}
	return plan
}

// listBars lists the bars that no further item fits into and that a plan of so many bars could hold; false where they
// are more than most.
func (s *barSolver) listBars(prices []barPrices, demand []int, target, most int) ([]cutBar, bool) {
	l := barLister{s: s, left: slices.Clone(demand), most: most, waste: int64(target) * s.capacity}
	for k, d := range demand {
		l.waste -= s.size[k] * int64(d)
	}
	l.length = make([]int64, len(demand)+1)
	for k := len(demand) - 1; k >= 0; k-- {
		l.length[k] = l.length[k+1] + int64(l.left[k])*s.size[k]
	}
	for _, p := range prices {
		l.tests = append(l.tests, s.worthTest(p, demand, target))
	}
	l.grow(0, s.capacity)
	s.steps += int64(l.nodes)
	return l.found, !l.full
}

// barLister walks over the sets of sizes, largest first.
type barLister struct {
	s      *barSolver
	left   []int
	waste  int64 // a bar may waste this
	tests  []worthTest
	length []int64 // by size: total length from here on
	stack  cutBar
	found  []cutBar
	most   int
	nodes  int
	full   bool
}

// worthTest asks of a bar that it be worth least under one set of worths.
type worthTest struct {
	worth   []int64
	least   int64
	density []float64 // by size: the greatest worth per length from here on
	v       int64     // worth of the present bar
}

// worthTest: in a plan of so many bars each is worth what the demand is, less the most that the others can be.
func (s *barSolver) worthTest(p barPrices, demand []int, target int) worthTest {
	t := worthTest{worth: p.worth, least: -int64(target-1) * p.most, density: make([]float64, len(demand)+1)}
	for k, d := range demand {
		t.least += p.worth[k] * int64(d)
	}
	for k := len(demand) - 1; k >= 0; k-- {
		t.density[k] = t.density[k+1]
		if demand[k] > 0 {
			t.density[k] = max(t.density[k], float64(p.worth[k])/float64(s.size[k]))
		}
	}
	return t
}

// hopeless reports whether no bar that goes on from size k can pass all tests.
func (l *barLister) hopeless(k int, free int64) bool {
	if free-l.length[k] > l.waste {
		return true
	}
	for i := range l.tests {
		t := &l.tests[i]
		if float64(t.v)+float64(free)*t.density[k]*(1+1e-9)+1 < float64(t.least) {
			return true
		}
	}
	return false
}

// passes reports whether the bar as it is passes all tests.
func (l *barLister) passes(free int64) bool {
	if free > l.waste || !l.maximal(free) {
		return false
	}
	for i := range l.tests {
		if l.tests[i].v < l.tests[i].least {
			return false
		}
	}
	return true
}

// grow decides on size k: as many as fit down to none.
func (l *barLister) grow(k int, free int64) {
	if l.nodes++; l.full || len(l.found) >= l.most || l.nodes > 2_000_000 {
		l.full = true
		return
	}
	if l.hopeless(k, free) {
		return
	}
	for k < len(l.left) && l.s.size[k] > free {
		k++
	}
	if k == len(l.left) {
		if l.passes(free) {
			l.found = append(l.found, slices.Clone(l.stack))
		}
		return
	}
	most := min(int64(l.left[k]), free/l.s.size[k])
	for n := most; n >= 0; n-- {
		l.add(k, n)
		l.grow(k+1, free-n*l.s.size[k])
		l.add(k, -n)
	}
}

// add puts n of size k on the present bar, or takes them off.
func (l *barLister) add(k int, n int64) {
	for range n {
		l.stack = append(l.stack, int32(k))
	}
	l.stack = l.stack[:len(l.stack)+int(min(n, 0))]
	l.left[k] -= int(n)
	for i := range l.tests {
		l.tests[i].v += n * l.tests[i].worth[k]
	}
}

// maximal reports whether nothing that is left fits into the free length.
func (l *barLister) maximal(free int64) bool {
	for k := len(l.left) - 1; k >= 0 && l.s.size[k] <= free; k-- {
		if l.left[k] > 0 {
			return false
		}
	}
	return true
}
