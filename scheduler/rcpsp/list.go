package rcpsp

import "slices"

// firstSchedules builds the schedules of a few priority rules, and of the order of the warm schedule. It stops at the
// first rule once the budget is spent. The builder holds the best of them afterwards.
func (s *search) firstSchedules(b *builder) bool {
	o := newOrderer(s.m)
	var best, list []int
	var score Score
	for _, key := range s.ruleKeys() {
		list = o.order(list, key)
		if ok := b.build(list); !ok {
			continue
		}
		got := s.m.score(b.start, s.o.Warm)
		s.offer(b.start)
		if best == nil || got.Less(score) {
			best, score = slices.Clone(list), got
		}
		if s.charge(b); s.over() {
			break
		}
	}
	if best == nil {
		return false
	}
	b.build(best)
	s.charge(b)
	return true
}

// charge moves the placements of a builder to the account of the search.
func (s *search) charge(b *builder) {
	s.spent += b.spent
	b.spent = 0
}

func (s *search) ruleKeys() [][]int {
	var keys [][]int
	if len(s.o.Warm) > 0 {
		value := slices.Clone(s.o.Warm)
		for i := range value {
			if value[i] < 0 {
				value[i] = s.m.head[i]
			}
		}
		keys = append(keys, s.m.blockKeys(value))
	}
	if s.m.p.Objective == LatenessFirst {
		keys = append(keys, s.m.dueKeys())
	}
	return append(keys, s.m.latestStartKeys(), s.m.blockKeys(s.m.head))
}
