package rcpsp

// exact proves or improves by the constraint engine: first the lateness, then the makespan.
func (s *search) exact() {
	for again := true; again && !s.over(); {
		again = s.exactOnce()
	}
}

// exactOnce reports true where the first schedule was found and the engine has to be set up for its lateness.
func (s *search) exactOnce() bool {
	upper := Score{Lateness: never, Makespan: s.m.horizon}
	if s.best != nil {
		upper = s.score
	}
	if s.m.p.Objective == LatenessFirst && s.best != nil {
		upper.Makespan = s.m.horizon
	}
	c, ok := newCP(s.m, upper)
	if !ok {
		s.close()
		return false
	}
	if s.m.p.Objective == LatenessFirst && s.best != nil && c.late < 0 {
		return false // too late to be counted in 32 bits
	}
	c.weighs = false
	x := &exactRun{s: s, c: c, steps: never}
	if s.m.general {
		x.steps = generalSteps
	}
	x.run()
	return x.again
}

// generalSteps limits the engine on problems with calendars, whose bounds move in many small steps.
const generalSteps = 400_000

// exactActivities is the size up to which it is tried on them.
const exactActivities = 400

// firstActivities is the size up to which it is asked for a first schedule where placing in series found none.
const firstActivities = 3000

type exactRun struct {
	s       *search
	c       *cp
	counted int64
	again   bool
	steps   int64 // changes of bounds allowed
}

// close notes that nothing better than the best exists, or nothing at all.
func (s *search) close() {
	s.proved = true
	if s.best == nil {
		all := make([]int, s.m.n)
		for i := range all {
			all[i] = i
		}
		s.bad = &infeasibility{all, "these activities cannot all keep their lags, resources and dates"}
	} else if s.m.p.Objective == Makespan {
		s.bound.Makespan = s.score.Makespan
	}
}

func (x *exactRun) run() {
	s, c := x.s, x.c
	for {
		if s.best != nil && !x.tighten() {
			s.close()
			return
		}
		var assume []atom
		if s.best != nil && c.late >= 0 && s.score.Lateness > s.bound.Lateness {
			assume = append(assume, atom{2*c.late + 1, -int32(s.score.Lateness - 1)})
		}
		switch c.run(assume, 1<<60, x.stop) {
		case gaveUp:
			return
		case solution:
			if !x.take() {
				return // cannot be: tighten asked for better. Never loop on it.
			}
			if s.m.p.Objective == LatenessFirst && c.late < 0 {
				x.again = true
				return
			}
		case refuted:
			s.bound.Lateness = s.score.Lateness
		case closed:
			s.close()
			return
		}
	}
}

// tighten asks the root for something better than the best; false where that fails at once.
func (x *exactRun) tighten() bool {
	s, c := x.s, x.c
	c.backTo(0)
	if c.late >= 0 {
		if !c.set(2*c.late+1, -int32(s.score.Lateness), reason{kind: byDecision}) {
			return false
		}
		if s.score.Lateness > s.bound.Lateness {
			return true
		}
	}
	return c.set(2*c.span+1, -int32(s.score.Makespan-1), reason{kind: byDecision})
}

// take offers the schedule in the bounds and lets it guide the search.
func (x *exactRun) take() bool {
	c := x.c
	start := make([]int, c.n)
	for i := range start {
		start[i] = int(c.lb(int32(i)))
	}
	x.guideBy(start)
	return x.s.offer(start)
}

func (x *exactRun) guideBy(start []int) {
	x.c.search.guide = x.c.search.guide[:0]
	for _, t := range start {
		x.c.search.guide = append(x.c.search.guide, int32(t))
	}
}

// stop charges the placements made since, each decision as one more, and tells whether the search is over.
func (x *exactRun) stop() bool {
	spent := x.c.placed + x.c.search.decisions
	x.s.spent += spent - x.counted
	x.counted = spent
	return x.c.steps > x.steps || x.s.over()
}
