package rcpsp

// runPlain serves problems of lags in one direction and capacities only: a population first, on two fifths of the
// budget at most, then the constraint engine, by turns on stretches of the population's schedules and on the whole
// problem, and the population again.
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
	ampleBudget = 20_000 // schedules from which large populations pay
	fewMembers  = 30
	someMembers = 100
	// enginePrice is how many placements of the population take as long as one that the engine counts, about.
	enginePrice = 150
)

// hybrid alternates between the population and the engine.
type hybrid struct {
	s     *search
	p     *population
	x     *exactRun
	n     *compress
	whole int64   // conflicts of the next turn on the whole problem
	ample bool    // the budget allows large populations
	lean  float64 // effort of the population over that of the engine
}

// first lets the population go before there is an engine; with an ample budget a larger one follows.
func (h *hybrid) first(limit int64) {
	for s := h.s; !s.over() && !s.atBound() && s.spent < limit; {
		if h.p.settled() {
			if !h.ample || len(h.p.now) > someMembers {
				return
			}
			h.grow()
		}
		h.p.generation()
	}
}

func (h *hybrid) run() {
	s := h.s
	if s.m.n <= smallPlain && !h.turn(nil, h.whole) || !h.raiseBound() {
		return
	}
	for !s.over() && !s.atBound() {
		before, from := s.score.Makespan, s.spent
		if !h.turn(nil, h.whole) {
			return
		}
		if !h.ample || (s.score.Makespan-s.bound.Makespan)*30 <= s.score.Makespan {
			h.whole += h.whole / 10
		}
		if !h.stretches() {
			return
		}
		if s.score.Makespan < before {
			h.lean = max(h.lean/1.25, 0.25)
		}
		h.breed(h.placements(s.spent - from))
	}
}

// stretches tries a number of them; with an ample budget one that gains is followed by as many again.
func (h *hybrid) stretches() bool {
	for left := 20; left > 0; left-- {
		before := h.s.score.Makespan
		if !h.stretch() {
			return false
		}
		if h.ample && h.s.score.Makespan < before {
			left = 20
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

// breed lets the population go on; one that no longer improves starts anew, larger where the budget is ample. The best
// schedule is put among it once it stops falling by itself: earlier it would take the place of all others.
func (h *hybrid) breed(placements int64) {
	s := h.s
	for limit := s.spent + placements; s.spent < limit && !s.over() && !s.atBound(); {
		if h.p.settled() {
			if h.ample {
				h.grow()
				h.lean = max(h.lean*0.9, 0.25)
			} else {
				h.p.seed()
			}
		}
		if h.p.stale >= 40 && h.p.best > int32(s.score.Makespan) || !h.ample {
			h.p.inject(s.best)
		}
		before := s.score.Makespan
		h.p.generation()
		if s.score.Makespan < before {
			h.lean = min(h.lean*1.5, 4)
		}
	}
}

// grow starts a population of four times the size. What is gained by size ends at about mostPlaces for each generation.
func (h *hybrid) grow() {
	if size := min(4*len(h.p.now), max(len(h.p.now), mostPlaces/h.s.m.n)); size > len(h.p.now) {
		h.p = newPopulation(h.s, size)
	}
	h.p.seed()
}

// mostPlaces bounds the population, in starts kept.
const mostPlaces = 200_000

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
