package rcpsp

// firstSchedules adopts the warm schedule and builds those of a few priority rules. It stops early once the budget is
// spent. The builder holds the best of them afterwards.
func (s *search) firstSchedules(b *builder) bool {
	var best []int
	var score Score
	rule := s.rules(b)
	adopted := len(s.o.Warm) > 0 && b.adopt(s.o.Warm)
	if adopted {
		score = s.m.score(b.start, s.inForce())
		s.offerScored(b.start, score)
	}
	s.charge(b)
	for k := range rule.keys {
		if s.over() && s.best != nil {
			break
		}
		r := rule.schedule(k)
		s.spent += r.spent
		if r.start == nil {
			continue
		}
		s.offerScored(r.start, r.score)
		if best == nil && !adopted || r.score.Less(score) {
			best, score = r.list, r.score
		}
	}
	rule.end()
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
