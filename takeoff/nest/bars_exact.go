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
func (s *barSolver) exact(price barPrices, bars int, steps int64) {
	end := s.steps + min(steps, s.limit)
	over := func() bool { return s.over() || s.steps > end }
	level, shake := 0, 0
	for !s.closed() && !over() {
		demand := s.worthy(price, level)
		l, ok := s.listBars(price, demand, s.bound, bars)
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
func (s *barSolver) worthy(price barPrices, level int) []int {
	demand := slices.Clone(s.demand)
	for k := range demand {
		if price.worth[k] < worthUnit>>20 && s.size[k] <= s.capacity/worthyLevels[level] {
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
func (s *barSolver) listBars(price barPrices, demand []int, target, most int) ([]cutBar, bool) {
	l := barLister{s: s, worth: price.worth, left: slices.Clone(demand), most: most, waste: int64(target) * s.capacity}
	l.least = -int64(target-1) * price.most
	for k, d := range demand {
		l.least += price.worth[k] * int64(d)
		l.waste -= s.size[k] * int64(d)
	}
	l.suffixes()
	l.grow(0, s.capacity, 0)
	s.steps += int64(l.nodes)
	return l.found, !l.full
}

// barLister walks over the sets of sizes, largest first.
type barLister struct {
	s       *barSolver
	worth   []int64
	left    []int
	least   int64     // a bar must be worth this
	waste   int64     // and may waste this
	density []float64 // by size: the greatest worth per length from here on
	length  []int64   // by size: total length from here on
	stack   cutBar
	found   []cutBar
	most    int
	nodes   int
	full    bool
}

func (l *barLister) suffixes() {
	n := len(l.left)
	l.density, l.length = make([]float64, n+1), make([]int64, n+1)
	for k := n - 1; k >= 0; k-- {
		l.density[k] = max(l.density[k+1], float64(l.worth[k])/float64(l.s.size[k]))
		l.length[k] = l.length[k+1] + int64(l.left[k])*l.s.size[k]
	}
}

// grow decides on size k: as many as fit down to none.
func (l *barLister) grow(k int, free, v int64) {
	if l.nodes++; l.full || len(l.found) >= l.most || l.nodes > 2_000_000 {
		l.full = true
		return
	}
	if free-l.length[k] > l.waste {
		return
	}
	if float64(v)+float64(free)*l.density[k]*(1+1e-9)+1 < float64(l.least) {
		return
	}
	for k < len(l.left) && l.s.size[k] > free {
		k++
	}
	if k == len(l.left) {
		if l.maximal(free) && v >= l.least && free <= l.waste {
			l.found = append(l.found, slices.Clone(l.stack))
		}
		return
	}
	most := min(int64(l.left[k]), free/l.s.size[k])
	for n := most; n >= 0; n-- {
		depth := len(l.stack)
		for range n {
			l.stack = append(l.stack, int32(k))
		}
		l.left[k] -= int(n)
		l.grow(k+1, free-n*l.s.size[k], v+n*l.worth[k])
		l.left[k] += int(n)
		l.stack = l.stack[:depth]
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
