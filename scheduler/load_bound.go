package scheduler

import (
	"math/bits"
	"sort"
)

// supply is a crew's setters with its working hours, from the minute on from which it
// is free.
type supply struct {
	setters, opens int
	hours          []Interval
}

// by is how many setter-minutes it can work from one minute to another.
func (s supply) by(from, to int) int {
	return s.setters * Working(s.hours, max(s.opens, from), to)
}

// load is the work of a room: the crews that may do it (bit k is crew k), the least
// setter-minutes with any of them, and the minute before which nothing of it starts.
type load struct {
	crews   uint64
	minutes int
	from    int
}

// loadBound is a minute before which loads cannot all be done: whichever crew takes
// which room, what the rooms of a set of crews take is no more than these crews can
// work. The sets looked at are those that some room may be done by, and all crews.
func loadBound(loads []load, crews []supply, horizon int) int {
	sets, seen := []uint64{1<<len(crews) - 1}, map[uint64]bool{}
	for _, l := range loads {
		if !seen[l.crews] && bits.OnesCount64(l.crews) > 0 {
			seen[l.crews] = true
			sets = append(sets, l.crews)
		}
	}
	bound := 0
	for _, set := range sets {
		work, from := 0, horizon
		for _, l := range loads {
			if l.minutes > 0 && l.crews&^set == 0 {
				work, from = work+l.minutes, min(from, l.from)
			}
		}
		if work == 0 {
			continue
		}
		enough := func(t int) bool {
			sum := 0
			for k, c := range crews {
				if set>>k&1 == 1 {
					sum += c.by(from, t)
				}
			}
			return sum >= work
		}
		if t := sort.Search(horizon, enough); t < horizon {
			bound = max(bound, t)
		}
	}
	return bound
}

// workBound is loadBound of what is still to be done in the rooms.
func (m *maker) workBound() int {
	at, crews := map[string]int{}, []supply{}
	if len(m.in.Firm.Crews) > 64 {
		return 0
	}
	for i, c := range m.in.Firm.Crews {
		at[c.Key] = i
		crews = append(crews, supply{max(1, c.Setters), m.works.opens(c.Key), m.works.hours[c.Key]})
	}
	var loads []load
	for i := range m.rooms {
		allowed, err := m.choice.allowed(i)
		if err != nil {
			continue
		}
		l := load{minutes: -1, from: m.works.horizon}
		for _, k := range allowed {
			l.crews |= 1 << at[m.works.teams[k].Key]
			sum := 0
			for _, t := range m.choice.shape(i, k).seq {
				if t.fixed == nil && t.crew != "" {
					_, work := m.works.quickest(t, m.works.teams[k].Key)
					sum += work
					l.from = min(l.from, max(0, t.release))
				}
			}
			if l.minutes < 0 || sum < l.minutes {
				l.minutes = sum
			}
		}
		loads = append(loads, l)
	}
	return loadBound(loads, crews, m.works.horizon)
}
