package rcpsp

import (
	"cmp"
	"slices"
)

// soonerPasses is how often the best schedule is gone through at most: what has moved lets what follows it move.
const soonerPasses = 3

// sooner moves the activities of the best schedule of a general problem to the left, one after the other in order of
// their starts, where nothing is in force that would change by it; where that takes crews to more rooms, in turn. What the search has placed from the right, or where
// a schedule begun with had it, else leaves hours empty that nobody asked for.
func (s *search) sooner(b *builder) {
	if s.best == nil || !s.m.general || len(s.inForce()) > 0 || s.m.p.Objective == Makespan || !b.adopt(s.best) {
		return
	}
	order := make([]int, 0, s.m.n)
	for i := range s.best {
		if s.m.free(i) {
			order = append(order, i)
		}
	}
	if s.pulled(b, order, false) || !b.adopt(s.best) {
		return
	}
	s.pulled(b, order, true)
}

// pulled goes through the schedule of the builder and reports whether that became the best.
func (s *search) pulled(b *builder, order []int, inTurn bool) bool {
	for range soonerPasses {
		slices.SortFunc(order, func(i, j int) int { return cmp.Or(cmp.Compare(b.start[i], b.start[j]), cmp.Compare(i, j)) })
		if !b.pull(order, inTurn) {
			break
		}
	}
	s.charge(b)
	return s.offer(b.start)
}

// pull moves activities to the first start at which each fits, with all crews in turn none before the one that its
// crew begins before it, and reports whether one moved.
func (b *builder) pull(order []int, inTurn bool) (moved bool) {
	last := make([]int, len(b.visits))
	for _, i := range order {
		was := b.start[i]
		b.take(i)
		lo, _, _ := b.window(i)
		for _, u := range b.m.uses[i] {
			if inTurn && b.visits[u.res].moves {
				lo = max(lo, last[u.res])
			}
		}
		b.spent++
		now := min(was, b.fit(i, lo))
		b.put(i, now)
		moved = moved || now < was
		for _, u := range b.m.uses[i] {
			last[u.res] = max(last[u.res], now)
		}
	}
	return moved
}
