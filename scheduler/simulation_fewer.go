package scheduler

// simGang is who does an activity in a run, and when that can be.
type simGang struct {
	setters, helpers int
	longer           float64 // than with those for whom it is planned
	needs            []simNeed
	hours            []Interval
	longest          int
}

// gangs are those who can do an activity: first those for whom it is planned, then,
// where people of the crew may be away, fewer of them. What two people lift is not done
// by one.
func (s *simulation) gangs(a *Activity, crew *Crew, pool int, tools map[string]int, hours *simHours, lifted bool) []simGang {
	single := s.plan.Firm.Rates.filled().SingleSetter
	made := func(setters, helpers int) simGang {
		b := Activity{Crew: a.Crew, Site: a.Site, Noisy: a.Noisy, Tools: a.Tools, Setters: setters, Helpers: helpers} // others write to the rest beside this
		g := simGang{setters: setters, helpers: helpers, longer: 1, needs: needsOf(&b, pool, tools), hours: hours.of(&b)}
		for _, h := range g.hours {
			g.longest = max(g.longest, h.End-h.Start)
		}
		if setters != a.Setters || helpers != a.Helpers {
			g.longer = speedOf(a.Setters, a.Helpers, single) / speedOf(setters, helpers, single)
		}
		return g
	}
	out := []simGang{made(a.Setters, a.Helpers)}
	if !crew.mayMiss() {
		return out
	}
	for setters := a.Setters; setters > 0; setters-- {
		for helpers := a.Helpers; helpers >= 0; helpers-- {
			if setters+helpers < a.Setters+a.Helpers && !(lifted && setters+helpers < 2) {
				out = append(out, made(setters, helpers))
			}
		}
	}
	return out
}

// choose dates an activity that takes so many minutes with those for whom it is planned.
// Where it comes to a later day than planned, as they are not all there when it could
// begin, those who are there do it, if it is done sooner so. It gives the minutes that it
// takes then.
func (s *simulation) choose(n *simNode, ready, minutes int) int {
	n.use(0)
	d := min(minutes, n.longest)
	n.start = s.free(n, ready, max(1, d-s.u.OverrunMinutes))
	if len(n.gangs) < 2 || s.clock.DayStart(s.clock.Day(n.start)) <= n.planned {
		return d
	}
	best, start, took, holder := 0, n.start, d, n.holder
	ready = max(ready, n.planned)
	for k := 1; k < len(n.gangs); k++ {
		n.use(k)
		d := ceilMinutes(float64(minutes) * n.gangs[k].longer)
		if _, ok := earliest(n.hours, ready, d); !ok || d > n.longest {
			continue
		}
		if at := s.free(n, ready, max(1, d-s.u.OverrunMinutes)); at+d < start+took {
			best, start, took, holder = k, at, d, n.holder
		}
	}
	n.use(best)
	n.start, n.holder = start, holder
	return took
}

// use takes those who do an activity in this run.
func (n *simNode) use(k int) {
	g := &n.gangs[k]
	n.by, n.needs, n.hours, n.longest = k, g.needs, g.hours, g.longest
}

// liftedBy names the activities that set tile which two people lift.
func (s *simulation) liftedBy(pieces [][]*indexedPiece) map[string]bool {
	limit := s.plan.Firm.Limits.filled().LiftKg
	known, out := map[string]bool{}, map[string]bool{}
	for i := range s.plan.Firm.Catalogue.Tiles {
		t := &s.plan.Firm.Catalogue.Tiles[i]
		known[t.Key] = heavy(t, limit)
	}
	for i, list := range pieces {
		for _, q := range list {
			if q != nil && known[q.Tile] {
				out[s.plan.Areas[i].Activity] = true
				break
			}
		}
	}
	return out
}
