package scheduler

import (
	"slices"

	"potlife/rooms"
	"potlife/scheduler/rcpsp"
)

// mark is who of a crew is there from a minute on.
type mark struct {
	at    int
	hands hands
}

// roll is who of a crew is there at all times up to the horizon, written out once where
// its people have hours of their own: they come and go every day, and planning asks for
// it at every turn.
type roll []mark

// called writes a crew's roll.
func (c Clock) called(crew *team, to int) roll {
	var out roll
	c.eachTurn(&crew.Crew, to, func(at int, away []Absence, d rooms.Date, minute int) {
		out = out.put(mark{at, crew.handsOf(away, d, minute)})
	})
	return out
}

// eachTurn calls with each minute up to an end at which somebody of a crew may come or
// go, with the absences of its day and the time on the wall. On the days on which the
// clock is put forward or back, a time of which may not be or be twice, it calls with
// every minute.
func (c Clock) eachTurn(crew *Crew, to int, with func(at int, away []Absence, d rooms.Date, minute int)) {
	for d := c.Day(0); c.DayStart(d) < to; d = d.AddDays(1) {
		away, at, end := crew.awayOn(d), c.DayStart(d), c.DayStart(d.AddDays(1))
		if end-at == 24*60 {
			for _, m := range turnsOf(away, d) {
				with(at+m, away, d, m)
			}
			continue
		}
		for ; at < end; at++ {
			wall := c.At(at)
			with(at, away, d, wall.Hour()*60+wall.Minute())
		}
	}
}

// put adds a mark behind all others, where it says something new.
func (r roll) put(m mark) roll {
	if n := len(r); n > 0 && r[n-1].hands == m.hands {
		return r
	}
	return append(r, m)
}

// find is the mark that holds at a minute.
func (r roll) find(minute int) int {
	i, found := slices.BinarySearchFunc(r, minute, func(m mark, at int) int { return m.at - at })
	if !found {
		i--
	}
	return max(0, i)
}

// spans calls with each part of an interval in which the same people are there.
func (r roll) spans(h Interval, with func(Interval, hands)) {
	for i := r.find(h.Start); i < len(r) && r[i].at < h.End; i++ {
		part := Interval{max(h.Start, r[i].at), h.End}
		if i+1 < len(r) {
			part.End = min(part.End, r[i+1].at)
		}
		with(part, r[i].hands)
	}
}

// loans are the times from a minute on at which fewer setters than so many are there, and
// fewer helpers, where they reach into the crew's hours.
func (r roll) loans(most hands, hours []Interval, begin, end int) (setters, helpers []rcpsp.Loan) {
	add := func(list []rcpsp.Loan, v Interval, n int) []rcpsp.Loan {
		if n <= 0 {
			return list
		}
		if k := len(list); k > 0 && list[k-1].End == v.Start && list[k-1].Count == n {
			list[k-1].End = v.End
			return list
		}
		return append(list, rcpsp.Loan{Interval: rcpsp.Interval{Start: v.Start, End: v.End}, Count: n})
	}
	r.spans(Interval{begin, end}, func(v Interval, h hands) {
		setters, helpers = add(setters, v, most.setters-h.setters), add(helpers, v, most.helpers-h.helpers)
	})
	idle := func(l rcpsp.Loan) bool {
		next := from(hours, l.Start+1)
		return len(next) == 0 || next[0].Start >= l.End
	}
	return slices.DeleteFunc(setters, idle), slices.DeleteFunc(helpers, idle)
}

// strengths are those of a crew who are there at some time of its hours, as the roll has
// them.
func (r roll) strengths(hours []Interval) (out []hands) {
	for _, h := range hours {
		r.spans(h, func(_ Interval, by hands) {
			if by.setters > 0 && !slices.Contains(out, by) {
				out = append(out, by)
			}
		})
	}
	return out
}

// manned are the parts of hours in which a gang can be made up of those who are there.
func (r roll) manned(hours []Interval, g gang) (out []Interval) {
	for _, h := range hours {
		r.spans(h, func(v Interval, by hands) {
			switch n := len(out); {
			case by.setters < g.setters || by.helpers < g.helpers:
			case n > 0 && out[n-1].End == v.Start && v.Start > h.Start:
				out[n-1].End = v.End
			default:
				out = append(out, v)
			}
		})
	}
	return out
}

// most are as many as are ever there of each.
func most(of []hands) (out hands) {
	for _, h := range of {
		out.setters, out.helpers = max(out.setters, h.setters), max(out.helpers, h.helpers)
	}
	return out
}

// strongest are the most of those there at some time: setters before helpers.
func strongest(of []hands) hands {
	best := of[0]
	for _, h := range of[1:] {
		if h.setters > best.setters || h.setters == best.setters && h.helpers > best.helpers {
			best = h
		}
	}
	return best
}
