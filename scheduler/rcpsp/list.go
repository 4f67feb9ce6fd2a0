package rcpsp

import "slices"

// firstSchedules adopts the warm schedule and builds those of a few priority rules. It stops early once the budget is
// spent. The builder holds the best of them afterwards.
func (s *search) firstSchedules(b *builder) bool {
	o := newOrderer(s.m)
	var best, list []int
	var score Score
	adopted := len(s.o.Warm) > 0 && b.adopt(s.o.Warm)
	if adopted {
		score = s.m.score(b.start, s.o.Warm)
		s.offer(b.start)
	}
	for _, key := range s.ruleKeys() {
		if s.charge(b); s.over() && s.best != nil {
			break
		}
		list = o.order(list, key)
		if ok := b.build(list); !ok {
			continue
		}
		got := s.m.score(b.start, s.o.Warm)
		s.offer(b.start)
		if best == nil && !adopted || got.Less(score) {
			best, score = slices.Clone(list), got
		}
	}
	s.charge(b)
	switch {
	case best != nil:
		return b.build(best)
	case adopted:
		return b.adopt(s.o.Warm)
	}
	return false
}

// charge moves the placements of a builder to the account of the search.
func (s *search) charge(b *builder) {
	s.spent += b.spent
	b.spent = 0
}

func (s *search) ruleKeys() [][]int {
	var keys [][]int
	if len(s.o.Order) > 0 {
		keys = append(keys, s.m.orderKeys(s.o.Order))
	}
	if s.m.p.Objective == LatenessFirst {
		keys = append(keys, s.m.dueKeys())
	}
	return append(keys, s.m.latestStartKeys(), s.m.blockKeys(s.m.head))
}

// offerWarm keeps the previous schedule where it still holds.
func (s *search) offerWarm() {
	if len(s.o.Warm) == s.m.n && s.m.n > 0 && Check(s.m.p, s.o.Warm) == nil {
		s.offer(s.o.Warm)
	}
}
