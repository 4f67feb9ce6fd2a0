package rcpsp

import (
	"context"
	"fmt"
	"math/rand/v2"
)

// Solve searches for the best schedule within the budget. The same problem and options give the same result on any
// machine; a context that ends only stops it early, and Result.Stopped says so. The error is nil or wraps ErrProblem;
// an infeasible or unsolved problem is a Status.
func Solve(ctx context.Context, p Problem, o Options) (Result, error) {
	if err := p.Validate(); err != nil {
		return Result{}, err
	}
	if len(o.Warm) != 0 && len(o.Warm) != len(p.Activities) {
		return Result{}, fmt.Errorf("%w: %d warm starts for %d activities", ErrProblem, len(o.Warm), len(p.Activities))
	}
	if len(o.Order) != 0 && len(o.Order) != len(p.Activities) {
		return Result{}, fmt.Errorf("%w: an order of %d for %d activities", ErrProblem, len(o.Order), len(p.Activities))
	}
	m, bad := compile(p)
	if bad != nil {
		return Result{Status: Infeasible, Conflict: bad.conflict, Reason: bad.reason}, nil
	}
	s := newSearch(ctx, m, o)
	s.run()
	return s.result(), nil
}

// search holds the best schedule and the bounds, whoever found them.
type search struct {
	ctx     context.Context
	m       *model
	o       Options
	rng     *rand.Rand
	budget  int64 // placements
	spent   int64
	best    []int
	score   Score
	bound   Score // proved: Lateness and Makespan
	stopped bool
	proved  bool // no schedule beats best, or none exists
	bad     *infeasibility
}

// lastSteps is how many schedules the engine may make between one look at the account and the next: the search ends so
// much sooner, not later than it was told.
const lastSteps = 5

func newSearch(ctx context.Context, m *model, o Options) *search {
	s := &search{ctx: ctx, m: m, o: o, rng: rand.New(rand.NewPCG(o.Seed, 0x9e3779b97f4a7c15))}
	schedules := o.Schedules
	if schedules <= 0 {
		schedules = defaultSchedules(m.n, len(o.Warm) > 0)
	}
	if limit := int64(1) << 56; schedules > limit/int64(m.n+1) {
		s.budget = limit
	} else {
		s.budget = schedules * int64(m.n)
	}
	if schedules >= 20*lastSteps && m.isPlain() {
		s.budget -= lastSteps * int64(m.n)
	}
	s.bound = m.bounds()
	if m.p.Objective == Makespan {
		s.bound.Lateness = 0
	}
	if m.n == 0 {
		s.best = []int{}
	}
	return s
}

// defaultSchedules keeps the default effort about constant: many schedules of a small problem, few of a large one,
// fewer where a previous schedule is at hand.
func defaultSchedules(n int, warm bool) int64 {
	if warm {
		return int64(max(10, min(1000, 60_000/(n+1))))
	}
	return int64(max(20, min(2000, 300_000/(n+1))))
}

// inForce is the schedule that is to change as little as it must, nil without one.
func (s *search) inForce() []int {
	if s.o.Draft {
		return nil
	}
	return s.o.Warm
}

// over reports whether the search has to end; it polls the context.
func (s *search) over() bool {
	if s.proved || s.spent >= s.budget {
		return true
	}
	if s.ctx.Err() != nil {
		s.stopped = true
	}
	return s.stopped
}

// offer keeps a schedule if it is better than the best, and reports whether it was.
func (s *search) offer(start []int) bool {
	return s.offerScored(start, s.m.score(start, s.inForce()))
}

// offerScored spares the evaluation where the score is known.
func (s *search) offerScored(start []int, score Score) bool {
	if s.best != nil && !score.Less(s.score) {
		return false
	}
	s.best = append(s.best[:0], start...)
	s.score = score
	return true
}

// score is Evaluate with what the objective ignores left at 0.
func (m *model) score(start, warm []int) Score {
	s := Evaluate(m.p, start, warm)
	if m.p.Objective == Makespan {
		return Score{Makespan: s.Makespan}
	}
	return s
}

func (s *search) atBound() bool {
	return s.best != nil && s.score.Lateness <= s.bound.Lateness && s.score.Makespan <= s.bound.Makespan
}

// done reports that nothing is left to gain: the bounds are met, and the objective asks for no more.
func (s *search) done() bool {
	return s.atBound() && s.m.p.Objective == Makespan
}

func (s *search) run() {
	if s.m.n == 0 {
		return
	}
	if s.m.isPlain() {
		s.runPlain()
		return
	}
	b := newBuilder(s.m)
	defer s.sooner(b)
	found := s.firstSchedules(b)
	if s.over() || s.done() {
		return
	}
	if !found && s.m.general && s.m.n <= firstActivities && s.exactOnce() {
		found = b.adopt(s.best)
	}
	if found && s.m.general {
		newReinsertion(s, b).run(s.budget * 3 / 4)
	}
	if s.over() || s.atBound() || s.m.general && s.m.n > exactActivities {
		return
	}
	s.exact()
}

func (s *search) result() Result {
	r := Result{Bound: s.bound.Makespan, LatenessBound: s.bound.Lateness, Stopped: s.stopped}
	if s.m.n > 0 {
		r.Schedules = (s.spent + int64(s.m.n) - 1) / int64(s.m.n)
	}
	switch {
	case s.best == nil && s.bad != nil:
		r.Status, r.Conflict, r.Reason = Infeasible, s.bad.conflict, s.bad.reason
	case s.best != nil:
		r.Status = Feasible
		all := Evaluate(s.m.p, s.best, s.inForce())
		r.Start, r.Makespan, r.Lateness, r.Moves = s.best, all.Makespan, all.Lateness, all.Moves
		if s.proved || s.atBound() {
			r.Status = Optimal
		}
	}
	return r
}
