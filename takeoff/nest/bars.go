package nest

import (
	"cmp"
	"context"
	"fmt"
	"slices"
)

// BarProblem asks for the fewest bars of one stock length that give all items. All lengths are in one unit.
type BarProblem struct {
	Capacity int64   // stock length, at most 2³⁰
	Kerf     int64   // lost between two neighbouring items
	Items    []int64 // lengths wanted
}

// BarResult says which bar each item is cut from.
type BarResult struct {
	Status Status
	Bars   int
	Bound  int   // no plan uses fewer bars
	Bar    []int // by item: number of its bar, from 0
	Steps  int64 // work done
}

// Sentence tells the result in one line.
func (r BarResult) Sentence() string {
	switch r.Status {
	case Optimal, Feasible:
		if r.Bars == 1 {
			return fmt.Sprintf("1 bar; no plan needs fewer than %d", r.Bound)
		}
		return fmt.Sprintf("%d bars; no plan needs fewer than %d", r.Bars, r.Bound)
	case Infeasible:
		return "no plan: an item is longer than a bar"
	default:
		return "no plan found"
	}
}

const (
	maxBar          = 1 << 30
	defaultBarSteps = 200_000_000
)

func (p BarProblem) validate() error {
	if p.Capacity < 1 || p.Capacity > maxBar || p.Kerf < 0 || p.Kerf > maxBar {
		return fmt.Errorf("%w: bar of %d with kerf %d; the length must be 1 to %d, the kerf not negative", ErrProblem, p.Capacity, p.Kerf, maxBar)
	}
	for i, w := range p.Items {
		if w < 1 {
			return fmt.Errorf("%w: item %d is %d long", ErrProblem, i, w)
		}
	}
	return nil
}

// SolveBars plans the fewest bars. It returns ErrProblem (wrapped) where the problem is wrongly stated, and Infeasible
// with a nil error where an item is longer than a bar.
func SolveBars(ctx context.Context, p BarProblem, o Options) (BarResult, error) {
	if err := p.validate(); err != nil {
		return BarResult{}, err
	}
	for _, w := range p.Items {
		if w > p.Capacity {
			return BarResult{Status: Infeasible}, nil
		}
	}
	s := newBarSolver(ctx, p, o)
	s.solve()
	return s.result(p), nil
}

// barSolver works on sizes (lengths of which several items may be wanted), largest first, the kerf added to sizes and bar.
type barSolver struct {
	ctx      context.Context
	capacity int64
	size     []int64
	demand   []int
	items    [][]int // by size: the items
	steps    int64
	limit    int64
	seed     uint64
	best     []cutBar
	bound    int
	pool     []cutBar
	inPool   map[string]bool
	few      *fewPricer // where at most four items fit a bar
	within   bool       // solves a rest of another's problem
}

// cutBar is what is cut from one bar: the sizes' numbers, ascending, repeated.
type cutBar []int32

func newBarSolver(ctx context.Context, p BarProblem, o Options) *barSolver {
	s := &barSolver{ctx: ctx, capacity: p.Capacity + p.Kerf, limit: o.Steps, seed: o.Seed, inPool: map[string]bool{}}
	if s.limit <= 0 {
		s.limit = defaultBarSteps
	}
	order := make([]int, len(p.Items))
	for i := range order {
		order[i] = i
	}
	slices.SortStableFunc(order, func(a, b int) int { return cmp.Compare(p.Items[b], p.Items[a]) })
	for _, i := range order {
		w := p.Items[i] + p.Kerf
		if n := len(s.size); n == 0 || s.size[n-1] != w {
			s.size, s.demand, s.items = append(s.size, w), append(s.demand, 0), append(s.items, nil)
		}
		n := len(s.size) - 1
		s.demand[n]++
		s.items[n] = append(s.items[n], i)
	}
	return s
}

// over reports whether the budget is spent or the context has ended.
func (s *barSolver) over() bool { return s.steps > s.limit || s.ctx.Err() != nil }

// closed reports whether the best plan is proved.
func (s *barSolver) closed() bool { return s.best != nil && len(s.best) <= s.bound }

// take keeps a plan where it is better.
func (s *barSolver) take(plan []cutBar) {
	if s.best == nil || len(plan) < len(s.best) {
		s.best = slices.Clone(plan)
	}
}

// solve bounds and plans by rules of thumb and by swapping items, then by the linear relaxation, then by search.
func (s *barSolver) solve() {
	s.best = []cutBar{}
	if len(s.size) == 0 {
		return
	}
	s.best = nil
	s.bound = max(s.volumeBound(), s.dualBound())
	s.take(s.bestFit(s.demand))
	if s.closed() {
		return
	}
	s.take(s.fullest(s.demand))
	if s.swaps(); s.closed() {
		return
	}
	if s.fewInBar() {
		s.few = newFewPricer(s)
	}
	s.relax()
}

// result hands items out to the plan.
func (s *barSolver) result(p BarProblem) BarResult {
	r := BarResult{Status: Feasible, Bars: len(s.best), Bound: s.bound, Bar: make([]int, len(p.Items)), Steps: s.steps}
	next := make([]int, len(s.size))
	for b, bar := range s.best {
		for _, k := range bar {
			r.Bar[s.items[k][next[k]]] = b
			next[k]++
		}
	}
	if s.closed() {
		r.Status, r.Bound = Optimal, r.Bars
	}
	return r
}

// CheckBars holds a plan against its problem, sharing no code with the search.
func CheckBars(p BarProblem, r BarResult) error {
	if r.Status != Optimal && r.Status != Feasible {
		return nil
	}
	if len(r.Bar) != len(p.Items) {
		return fmt.Errorf("%d places for %d items", len(r.Bar), len(p.Items))
	}
	if r.Bound > r.Bars || (r.Status == Optimal) != (r.Bound == r.Bars) {
		return fmt.Errorf("status %v with %d bars and bound %d", r.Status, r.Bars, r.Bound)
	}
	length, count := make([]int64, r.Bars), make([]int64, r.Bars)
	for i, b := range r.Bar {
		if b < 0 || b >= r.Bars {
			return fmt.Errorf("item %d lies in bar %d of %d", i, b, r.Bars)
		}
		length[b] += p.Items[i]
		count[b]++
	}
	for b := range length {
		switch {
		case count[b] == 0:
			return fmt.Errorf("bar %d is empty", b)
		case length[b]+(count[b]-1)*p.Kerf > p.Capacity:
			return fmt.Errorf("bar %d: %d items of %d in all with %d kerfs exceed %d", b, count[b], length[b], count[b]-1, p.Capacity)
		}
	}
	return nil
}
