package rcpsp

import (
	"cmp"
	"slices"
)

// bounds proves a lower bound on the lateness and on the makespan without search: the longest path through lags and
// calendars, and per resource the work that has to fit between heads and tails.
func (m *model) bounds() Score {
	var s Score
	s.Lateness = m.latenessBound()
	for i := range m.p.Activities {
		end := m.head[i] + m.dur[i]
		s.Makespan = max(s.Makespan, end)
		if m.free(i) {
			s.Makespan = max(s.Makespan, m.head[i]+m.tail[i])
		}
	}
	for r := range m.p.Resources {
		s.Makespan = max(s.Makespan, m.workBound(r))
	}
	return s
}

// workBound takes the users of a resource from the latest head down: all of them need their work after the least of
// their heads, and the least of their tails after the last of it.
func (m *model) workBound(r int) int {
	type job struct{ head, work, rest int }
	var jobs []job
	for i := range m.uses {
		for _, u := range m.uses[i] {
			if u.res == r && m.free(i) {
				jobs = append(jobs, job{m.head[i], u.q * m.dur[i], m.tail[i] - m.dur[i]})
			}
		}
	}
	slices.SortFunc(jobs, func(a, b job) int { return cmp.Compare(b.head, a.head) })
	best, work, rest := 0, 0, never
	capacity := m.p.Resources[r].Capacity
	if capacity == 0 {
		return 0
	}
	open := newOpenTime(m, r)
	for _, j := range jobs {
		work += j.work
		rest = min(rest, j.rest)
		best = max(best, open.end(j.head, (work+capacity-1)/capacity)+rest)
	}
	return best
}
