package rcpsp

// runPlain serves problems of lags in one direction and capacities only: a population first, on two fifths of the
// budget at most, then the constraint engine, by turns on stretches of the population's schedules and on the whole
// problem.
func (s *search) runPlain() {
	s.offerWarm()
	size := 30
	if s.budget > 20_000*int64(s.m.n) {
		size = 100
	}
	p := newPopulation(s, size)
	p.seed()
	limit := min(s.budget*2/5, 30_000*int64(s.m.n))
	if s.m.n <= smallPlain {
		limit = min(s.budget/3, 1700*int64(s.m.n))
	}
	for !s.over() && !s.atBound() && s.spent < limit && p.stale < 60 {
		p.generation()
	}
	if s.over() || s.atBound() {
		return
	}
	c, ok := newCP(s.m, s.score)
	if !ok {
		s.close()
		return
	}
	x := &exactRun{s: s, c: c, steps: never}
	x.guideBy(s.best)
	h := &hybrid{s: s, p: p, x: x, n: &compress{x: x, share: 0.4}, whole: 500}
	if s.m.n <= smallPlain {
		h.whole = 3000
	}
	h.run()
}

// smallPlain is the size up to which the engine usually closes the whole problem: it goes first.
const smallPlain = 50

// hybrid alternates between the population and the engine.
type hybrid struct {
	s     *search
	p     *population
	x     *exactRun
	n     *compress
	whole int64 // conflicts of the next turn on the whole problem
}

func (h *hybrid) run() {
	if h.s.m.n <= smallPlain && !h.turn(nil, h.whole) || !h.raiseBound() {
		return
	}
	for !h.s.over() && !h.s.atBound() {
		if !h.turn(nil, h.whole) {
			return
		}
		h.whole += h.whole / 10
		for range 20 {
			if !h.stretch() {
				return
			}
		}
		h.breed(min(40_000*int64(h.s.m.n), (h.s.budget-h.s.spent)/20))
	}
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

// breed puts the best schedule among the population and lets it go on; one that
// no longer improves starts anew, larger where the budget is worth it: small ones
// are quick, large ones go further.
func (h *hybrid) breed(placements int64) {
	s := h.s
	if h.p.stale > 60 {
		if size := 2 * len(h.p.now); size <= mostMembers && placements >= 50*int64(size*s.m.n) {
			h.p = newPopulation(s, size)
		}
		h.p.seed()
	}
	h.p.inject(s.best)
	for limit := s.spent + placements; s.spent < limit && !s.over() && !s.atBound(); {
		h.p.generation()
	}
}

// mostMembers bounds the population.
const mostMembers = 400

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

// stretch frees a random stretch of the best schedule.
func (h *hybrid) stretch() bool {
	h.load()
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

// load pushes the best schedule to the right and to the left until both have the same span.
func (h *hybrid) load() {
	p, n := h.p, h.n
	defer func(side int) { p.side = side }(p.side)
	c := &p.child[0]
	start := h.s.best
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
