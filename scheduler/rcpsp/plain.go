package rcpsp

// runPlain serves problems of lags in one direction and capacities only: a population first, with an ample budget
// annealing after it, on two fifths of the budget at most; then the constraint engine, by turns on stretches of the best
// schedules and on the whole problem, and again what was first.
func (s *search) runPlain() {
	s.offerWarm()
	h := &hybrid{s: s, p: newPopulation(s, fewMembers), whole: 500, ample: s.budget > ampleBudget*int64(s.m.n), lean: float64(s.m.n) / 60}
	limit := s.budget * 2 / 5
	switch {
	case s.m.n <= smallPlain:
		limit, h.whole = min(s.budget/3, 1700*int64(s.m.n)), 3000
	case h.ample:
		limit = min(limit, 150_000*int64(s.m.n))
	}
	if h.ample {
		h.p = newPopulation(s, someMembers)
		h.a = newAnneal(s, h.p)
	}
	h.p.seed()
	h.first(limit)
	if s.over() || s.atBound() {
		return
	}
	c, ok := newCP(s.m, s.score)
	if !ok {
		s.close()
		return
	}
	h.x = &exactRun{s: s, c: c, steps: never}
	h.x.guideBy(s.best)
	h.n = &compress{x: h.x, share: 0.4}
	h.run()
}

const (
	smallPlain  = 50     // activities up to which the engine usually closes the whole problem: it goes first
	ampleBudget = 20_000 // schedules from which annealing pays
	fewMembers  = 30
	someMembers = 100
	// enginePrice is how many placements of the population take as long as one that the engine counts, about.
	enginePrice = 150
)

// hybrid alternates between the population, or annealing, and the engine.
type hybrid struct {
	s     *search
	p     *population
	a     *anneal
	x     *exactRun
	n     *compress
	whole int64   // conflicts of the next turn on the whole problem
	ample bool    // the budget allows annealing
	lean  float64 // effort of the annealing over that of the engine
}

// first lets the population go before there is an engine; with an ample budget annealing follows.
func (h *hybrid) first(limit int64) {
	for s := h.s; !s.over() && !s.atBound() && s.spent < limit; {
		if h.p.settled() {
			if h.ample {
				h.a.run(limit - s.spent)
			}
			return
		}
		h.p.generation()
	}
}

func (h *hybrid) run() {
	s := h.s
	if s.m.n <= smallPlain && !h.turn(nil, h.whole) || !h.raiseBound() {
		return
	}
	if h.ample && h.far() {
		h.lean *= 5
	}
	for !s.over() && !s.atBound() {
		before, from := s.score.Makespan, s.spent
		if !h.turn(nil, h.whole) {
			return
		}
		if !h.ample || !h.far() {
			h.whole += h.whole / 10
		}
		if !h.stretches() {
			return
		}
		switch {
		case s.score.Makespan < before:
			h.lean = max(h.lean/1.25, 0.25)
		case s.m.n <= smallPlain: // what is left is the proof
			h.lean = max(h.lean*0.7, 0.03)
		}
		h.breed(h.placements(s.spent - from))
	}
}

// far reports that the bound is so low that the engine will not meet it.
func (h *hybrid) far() bool {
	return (h.s.score.Makespan-h.s.bound.Makespan)*30 > h.s.score.Makespan
}

// stretches tries a number of them, few where little is to be expected; with an ample budget one that gains is followed
// by as many again.
func (h *hybrid) stretches() bool {
	most := 20
	if h.ample && h.far() {
		most = 4
	}
	for left := most; left > 0; left-- {
		before := h.s.score.Makespan
		if !h.stretch() {
			return false
		}
		if h.ample && h.s.score.Makespan < before {
			left = most
		}
	}
	return true
}

// placements is what the population may make after the engine made so many.
func (h *hybrid) placements(engine int64) int64 {
	if h.ample {
		return int64(h.lean * float64(enginePrice*engine))
	}
	return min(40_000*int64(h.s.m.n), (h.s.budget-h.s.spent)/20)
}

// raiseBound asks for spans halfway between the bound and the best: what the engine refutes quickly raises the bound
// (destructive lower bounds, Klein & Scholl 1999). It reports false where the search is over.
func (h *hybrid) raiseBound() bool {
	s, c := h.s, h.x.c
	most := s.score.Makespan - 1 // spans from here on are not refuted quickly
	for s.bound.Makespan < most {
		t := (s.bound.Makespan + most) / 2
		if !h.x.tighten() {
			s.close()
			return false
		}
		switch c.run([]atom{{2*c.span + 1, -int32(t)}}, 300, h.x.stop) {
		case refuted:
			s.bound.Makespan = t + 1
		case solution:
			h.x.take()
			most = min(most, s.score.Makespan-1)
		case closed:
			s.close()
			return false
		case gaveUp:
			most = t
		}
		if s.over() || s.atBound() {
			return false
		}
	}
	return true
}

// breed lets the annealing or the population go on; a population that no longer improves starts anew, and the best
// schedule is put among it.
func (h *hybrid) breed(placements int64) {
	s := h.s
	before := s.score.Makespan
	if h.ample {
		h.a.run(placements)
		if s.score.Makespan < before {
			h.lean = min(h.lean*1.5, 12)
		}
		return
	}
	for limit := s.spent + placements; s.spent < limit && !s.over() && !s.atBound(); {
		if h.p.settled() {
			h.p.seed()
		}
		h.p.inject(s.best)
		h.p.generation()
	}
}

// turn runs the engine for something better than the best; false ends the search.
func (h *hybrid) turn(assume []atom, conflicts int64) bool {
	if !h.x.tighten() {
		h.s.close()
		return false
	}
	return h.after(h.x.c.run(assume, conflicts, h.x.stop))
}

func (h *hybrid) after(got outcome) bool {
	switch got {
	case solution:
		h.x.take()
	case closed:
		h.s.close()
		return false
	}
	return !h.s.over() && !h.s.atBound()
}

// stretch frees a random stretch of a good schedule: the best or, as often, one of the population's.
func (h *hybrid) stretch() bool {
	h.load(h.pick())
	if !h.x.tighten() {
		h.s.close()
		return false
	}
	n, rng := h.n, h.s.rng
	h.x.c.weighs = false
	defer func() { h.x.c.weighs = true }()
	length := int32(float64(n.span) * n.share)
	from := rng.Int32N(max(1, n.span-length+n.span/4)) - n.span/8
	got := n.window(from, from+length, n.span-int32(h.s.score.Makespan)+1, 500)
	switch got {
	case refuted:
		n.share = min(0.9, n.share*1.02)
	case gaveUp:
		n.share = max(0.1, n.share*0.98)
	}
	return h.after(got)
}

// pick is the best schedule or the best of a few of the population.
func (h *hybrid) pick() []int {
	p, rng := h.p, h.s.rng
	if !h.ample || rng.IntN(2) == 0 {
		return h.s.best
	}
	best := &p.now[rng.IntN(len(p.now))]
	for range 7 {
		if c := &p.now[rng.IntN(len(p.now))]; c.span < best.span {
			best = c
		}
	}
	if int(best.span) > h.s.score.Makespan+1+h.s.score.Makespan/100 {
		return h.s.best
	}
	return p.forward(best)
}

// load pushes a schedule to the right and to the left until both have the same span.
func (h *hybrid) load(start []int) {
	p, n := h.p, h.n
	defer func(side int) { p.side = side }(p.side)
	c := &p.child[0]
	for {
		p.side = 1
		for i := range p.key {
			p.key[i] = -int32(start[i] + h.s.m.dur[i])
		}
		p.make(c)
		right := p.forward(c)
		n.span = c.span
		p.side = 0
		for i := range p.key {
			p.key[i] = int32(right[i])
		}
		p.make(c)
		n.left, n.right = append(n.left[:0], c.start...), n.right[:0]
		for _, t := range right {
			n.right = append(n.right, int32(t))
		}
		if c.span >= n.span {
			return
		}
		start = p.forward(c)
	}
}
