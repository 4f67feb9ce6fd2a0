package rcpsp

// population improves plain problems by crossing schedules: one half of it is pushed to the left, the other, made from
// it and turned into it again, to the right. Each child is built against the direction of its parents, so that every
// generation is a forward or a backward pass at the same time (bi-population idea: Debels & Vanhoucke 2005; passes:
// Li & Willis 1992; crossover about busy stretches: Valls, Ballestín & Quintanilla 2008).
type population struct {
	keySort
	s      *search
	m      *model
	net    [2]*lanes // forward, mirrored
	now    []member  // the generation, made by net[side]
	next   []member
	side   int
	child  [2]member
	order  []int32
	best   int32
	weight []int64 // share of the capacities an activity takes
	stale  int     // generations without a better best
}

// member is a schedule in its own direction of time. Of two that end together the one whose work lies earlier leaves
// more room at the end.
type member struct {
	start []int32
	span  int32
	work  int64 // starts, weighted
}

func (a *member) better(b *member) bool {
	return a.span < b.span || a.span == b.span && a.work < b.work
}

func newPopulation(s *search, size int) *population {
	p := &population{keySort: newKeySort(s.m.n), s: s, m: s.m, order: make([]int32, s.m.n), best: never}
	p.net[0], p.net[1] = newLanes(s.m, false), newLanes(s.m, true)
	p.weight = make([]int64, s.m.n)
	for i := range p.weight {
		for _, u := range s.m.uses[i] {
			p.weight[i] += int64(1000 * u.q / s.m.p.Resources[u.res].Capacity)
		}
	}
	make1 := func() member { return member{start: make([]int32, s.m.n)} }
	for range size {
		p.now = append(p.now, make1())
		p.next = append(p.next, make1())
	}
	p.child[0], p.child[1] = make1(), make1()
	return p
}

// seed fills the first generation by the minimum latest start rule with noise; the first member has none.
func (p *population) seed() {
	p.side, p.best, p.stale = 0, never, 0
	longest := int32(1)
	for _, t := range p.m.tail {
		longest = max(longest, int32(t))
	}
	for k := range p.now {
		noise := longest * int32(k) / int32(2*len(p.now))
		for i := range p.key {
			p.key[i] = longest - int32(p.m.tail[i])
			if noise > 0 {
				p.key[i] += p.s.rng.Int32N(noise + 1)
			}
		}
		p.make(&p.now[k])
		if p.s.over() || p.s.atBound() {
			return
		}
	}
}

// make builds a member from key on the current side.
func (p *population) make(c *member) {
	p.sort(p.order, p.s.rng.IntN(len(p.key)))
	c.span = p.net[p.side].build(p.order, c.start)
	c.work = p.early(c)
	p.s.spent += int64(p.m.n)
	if c.span < p.best {
		p.best = c.span
		p.stale = 0
	}
	if p.s.best == nil || int(c.span) < p.s.score.Makespan {
		p.s.offer(p.forward(c))
	}
}

// early is least where the work lies early.
func (p *population) early(c *member) (sum int64) {
	for i, t := range c.start {
		sum += int64(t) * p.weight[i]
	}
	return sum
}

// forward turns a member into starts in real time.
func (p *population) forward(c *member) []int { return p.m.realTime(c.start, c.span, p.side) }

// realTime turns starts in either direction of time into starts in real time.
func (m *model) realTime(start []int32, span int32, side int) []int {
	real := make([]int, m.n)
	for i, t := range start {
		real[i] = int(t)
		if side == 1 {
			real[i] = int(span-t) - m.dur[i]
		}
	}
	return real
}

// inject replaces a random member by a schedule in real time.
func (p *population) inject(start []int) {
	c := &p.now[p.s.rng.IntN(len(p.now))]
	c.span = 0
	for i, t := range start {
		c.start[i] = int32(t)
		c.span = max(c.span, int32(t+p.m.dur[i]))
	}
	if p.side == 1 {
		for i := range start {
			c.start[i] = c.span - c.start[i] - int32(p.m.dur[i])
		}
	}
	c.work = p.early(c)
}

// generation makes the next members against the direction of the present ones.
func (p *population) generation() {
	p.stale++
	p.side ^= 1
	for k := range p.now {
		mate := p.tournament(k)
		for c := range p.child {
			if c == 0 {
				p.cross(&p.now[k], &p.now[mate])
			} else {
				p.cross(&p.now[mate], &p.now[k])
			}
			p.make(&p.child[c])
			if p.s.over() || p.s.atBound() {
				return
			}
		}
		c := 0
		if p.child[1].better(&p.child[0]) {
			c = 1
		}
		p.next[k], p.child[c] = p.child[c], p.next[k]
	}
	p.now, p.next = p.next, p.now
}

// settled reports that little is left to gain: no better best for long.
func (p *population) settled() bool { return p.stale >= 60 }

func (p *population) tournament(not int) int {
	best := -1
	for range 2 {
		k := p.s.rng.IntN(len(p.now))
		if k != not && (best < 0 || p.now[k].better(&p.now[best])) {
			best = k
		}
	}
	if best < 0 {
		best = (not + 1) % len(p.now)
	}
	return best
}

// cross makes the keys of a child: what ends within a stretch of a's time keeps a's order there, what b has before and
// after keeps b's. The mirrored time of the child turns the order of ends into that of starts.
func (p *population) cross(a, b *member) {
	rng := p.s.rng
	span := max(a.span, b.span) + 1
	length := max(1, span/4+rng.Int32N(span/4+1))
	dur := p.net[0].dur
	from := p.busyStretch(a, span, length)
	to := from + length
	for i := range p.key {
		ea := a.start[i] + dur[i]
		if ea >= from && ea < to {
			p.key[i] = -ea
			continue
		}
		eb := b.start[i] + dur[i]
		if eb < (from+to)/2 {
			p.key[i] = span - eb
		} else {
			p.key[i] = -span - eb
		}
	}
	p.mutate(span)
}

// mutate moves few activities by a little.
func (p *population) mutate(span int32) {
	rng := p.s.rng
	for range 4 {
		if rng.IntN(2) == 0 {
			p.key[rng.IntN(len(p.key))] += rng.Int32N(span/8+2) - span/16
		}
	}
}

// busyStretch is the busiest of three stretches of a's time drawn at random.
func (p *population) busyStretch(a *member, span, length int32) (from int32) {
	dur := p.net[0].dur
	best := int64(-1)
	for range 3 {
		f := p.s.rng.Int32N(max(1, span-length) + 1)
		work := int64(0)
		for i, s := range a.start {
			if overlap := min(f+length, s+dur[i]) - max(f, s); overlap > 0 {
				work += int64(overlap) * p.weight[i]
			}
		}
		if work > best {
			best, from = work, f
		}
	}
	return from
}
