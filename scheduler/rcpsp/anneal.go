package rcpsp

import "math/bits"

// anneal improves one schedule of a plain problem by simulated annealing over the order in which activities are placed
// (lists: Bouleimen & Lecocq 2003). A schedule is turned into the other direction of time (justification: Valls,
// Ballestín & Quintanilla 2005); the order of that one is disturbed and built again until a result is accepted, which
// is turned in its place. So each accepted step is a forward or a backward pass too, and most steps cost less than one
// schedule: what stands before the first disturbed place is known, and what goes wrong is given up half-way.
type anneal struct {
	s      *search
	net    [2]*lanes // forward, mirrored
	side   int       // direction of the schedule
	start  []int32   // of the schedule
	energy int64
	span   int32
	list   []int32 // order in which it was placed
	order  []int32 // the same, disturbed
	child  []int32
	keys   keySort
	weight []int64 // of each start in the energy
	reach  int     // places that an activity moves at most
	length int     // steps of this descent
	left   int     // of these, still to do
	least  int64   // temperature at the end
}

// energyUnit is one unit of time in the energy: the span, and twice the mean time at which work starts, which tells
// schedules of one span apart.
const energyUnit = 1 << 20

const (
	firstDescent = 800  // steps for each activity, first descent
	longDescent  = 3300 // and from the third on
	hottest      = 160  // part of the span that is the temperature at the start
	coolings     = 4    // times that it halves until the end
)

func newAnneal(s *search, p *population) *anneal {
	n := s.m.n
	make32 := func() []int32 { return make([]int32, n) }
	a := &anneal{s: s, net: p.net, start: make32(), list: make32(), order: make32(), child: make32(),
		weight: make([]int64, n), reach: n/10 + 1, keys: newKeySort(n)}
	total := int64(1)
	for _, w := range p.weight {
		total += w
	}
	for i, w := range p.weight {
		a.weight[i] = 2 * energyUnit * w / total
	}
	return a
}

// run goes on for so many placements, a descent after the other.
func (a *anneal) run(placements int64) {
	s := a.s
	for limit := s.spent + placements; s.spent < limit && !s.over() && !s.atBound(); {
		if a.left == 0 {
			a.begin()
		}
		a.cool(limit)
	}
}

// begin starts a descent, longer than the one before, from the schedule of the minimum latest start rule.
func (a *anneal) begin() {
	m := a.s.m
	a.length = min(max(2*a.length, firstDescent*m.n), longDescent*m.n)
	a.left = a.length
	for i, t := range m.tail {
		a.keys.key[i] = -int32(t)
	}
	a.keys.sort(a.order, 0)
	a.span, a.side = a.net[0].build(a.order, a.start), 0
	a.s.spent += int64(m.n)
	a.turn()
	a.least = int64(a.span) * energyUnit / hottest >> coolings
}

// cool makes the next steps of the descent, a thousand at most.
func (a *anneal) cool(limit int64) {
	temperature := a.least * exp2(coolings*energyUnit*int64(a.left)/int64(a.length)) / energyUnit
	n := int64(len(a.list))
	for steps := min(a.left, 1000); steps > 0; steps-- {
		a.left--
		a.step(temperature * exponential(a.s.rng.Uint64()) / energyUnit)
		if a.s.spent += n; a.s.spent >= limit || a.s.spent >= a.s.budget || a.s.atBound() {
			return
		}
	}
}

// step disturbs the order by up to four moves and accepts what has at most so much more energy.
func (a *anneal) step(spare int64) {
	net := a.net[a.side]
	known := a.disturb()
	span, ok := net.buildNear(a.order, known, a.start, a.child, a.weight, spare+energyUnit)
	if !ok || a.energyOf(a.child, span) > a.energy+spare {
		return
	}
	a.offer(a.child, span)
	a.child, a.start = a.start, a.child
	a.turn()
}

// disturb moves activities to other places of the order and returns the first place that is not as in the list.
func (a *anneal) disturb() int {
	rng, n := a.s.rng, len(a.list)
	copy(a.order, a.list)
	known := n
	for range 1 + rng.IntN(4) {
		from := rng.IntN(n)
		to := min(n-1, max(0, from+rng.IntN(2*a.reach+1)-a.reach))
		i := a.order[from]
		if to < from {
			copy(a.order[to+1:from+1], a.order[to:from])
		} else {
			copy(a.order[from:to], a.order[from+1:to+1])
		}
		a.order[to] = i
		known = min(known, from, to)
	}
	return known
}

// turn builds the schedule in the other direction: what ends last is placed first.
func (a *anneal) turn() {
	dur := a.net[0].dur
	for i, t := range a.start {
		a.keys.key[i] = -t - dur[i]
	}
	a.keys.sort(a.order, 0)
	a.side ^= 1
	net := a.net[a.side]
	a.span = net.build(a.order, a.start)
	copy(a.list, net.placed)
	a.energy = a.energyOf(a.start, a.span)
	a.s.spent += int64(len(a.start))
	a.offer(a.start, a.span)
}

func (a *anneal) energyOf(start []int32, span int32) int64 {
	e := int64(span) * energyUnit
	for i, t := range start {
		e += int64(t) * a.weight[i]
	}
	return e
}

func (a *anneal) offer(start []int32, span int32) {
	if s := a.s; s.best == nil || int(span) < s.score.Makespan {
		s.offer(s.m.realTime(start, span, a.side))
	}
}

// exponential turns 64 random bits into a number from about the exponential distribution of mean 1, in 20 binary
// places. Whole numbers only: rounding must not differ between machines.
func exponential(random uint64) int64 {
	zeros := bits.LeadingZeros64(random | 1)
	fraction := int64(random << 1 << zeros >> 44)
	return (int64(zeros+1)<<20 - fraction) * 710 >> 10 // natural logarithm of 2
}

// exp2 is about the power of 2, both in 20 binary places, x ≥ 0.
func exp2(x int64) int64 {
	return (1<<20 + x&(1<<20-1)) << (x >> 20)
}
