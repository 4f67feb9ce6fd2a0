package rcpsp

import (
	"fmt"
	"sort"
)

// Violation is one broken rule of a schedule; Activities are those involved.
type Violation struct {
	Activities []int
	Text       string
}

func (v *Violation) Error() string { return "rcpsp: " + v.Text }

func violated(activities []int, format string, args ...any) error {
	return &Violation{Activities: activities, Text: fmt.Sprintf(format, args...)}
}

// Check verifies a schedule against every rule of the Problem: fixed starts, releases, latest starts, the horizon,
// lags, calendars, capacities, moves and travel. It returns the first *Violation, or nil. It shares no code with the
// search and is deliberately plain.
func Check(p Problem, start []int) error {
	if err := p.Validate(); err != nil {
		return err
	}
	if len(start) != len(p.Activities) {
		return violated(nil, "%d starts for %d activities", len(start), len(p.Activities))
	}
	for i, a := range p.Activities {
		if err := checkWindow(p, i, a, start[i]); err != nil {
			return err
		}
	}
	for _, l := range p.Lags {
		if p.Activities[l.From].Fixed >= 0 && p.Activities[l.To].Fixed >= 0 {
			continue
		}
		if start[l.To] < start[l.From]+l.Min {
			return violated([]int{l.From, l.To}, "activity %d starts at %d, before %d + %d, the start of activity %d and their lag",
				l.To, start[l.To], start[l.From], l.Min, l.From)
		}
	}
	for r := range p.Resources {
		if err := checkCapacity(p, r, start); err != nil {
			return err
		}
		if err := checkLent(p, r, start); err != nil {
			return err
		}
		if err := checkMoves(p, r, start); err != nil {
			return err
		}
	}
	return nil
}

func checkWindow(p Problem, i int, a Activity, s int) error {
	one := []int{i}
	if a.Fixed >= 0 {
		if s != a.Fixed {
			return violated(one, "activity %d starts at %d, fixed is %d", i, s, a.Fixed)
		}
		return nil
	}
	end := s + a.Duration
	switch {
	case s < 0 || s < a.Release:
		return violated(one, "activity %d starts at %d, before its release at %d", i, s, max(0, a.Release))
	case a.Latest >= 0 && s > a.Latest:
		return violated(one, "activity %d starts at %d, after its latest start %d", i, s, a.Latest)
	case p.Horizon > 0 && end > p.Horizon:
		return violated(one, "activity %d ends at %d, after the horizon %d", i, end, p.Horizon)
	}
	if a.Duration == 0 {
		return nil
	}
	for r, q := range a.Demand {
		if q == 0 {
			continue
		}
		for _, f := range p.Resources[r].Forbidden {
			if f.Start < f.End && s < f.End && f.Start < end {
				return violated(one, "activity %d at [%d, %d) overlaps [%d, %d), when resource %d is away", i, s, end, f.Start, f.End, r)
			}
		}
	}
	return nil
}

// checkCapacity sums the load at each start: the load can only rise there.
func checkCapacity(p Problem, r int, start []int) error {
	users := usersOf(p, r)
	sort.SliceStable(users, func(x, y int) bool { return start[users[x]] < start[users[y]] })
	for x, i := range users {
		load, free := 0, false
		var at []int
		for _, j := range users[:x+1] {
			if start[j]+p.Activities[j].Duration > start[i] {
				load += p.Activities[j].Demand[r]
				at = append(at, j)
				free = free || p.Activities[j].Fixed < 0
			}
		}
		for _, j := range users[x+1:] {
			if start[j] > start[i] {
				break
			}
			load += p.Activities[j].Demand[r]
			at = append(at, j)
			free = free || p.Activities[j].Fixed < 0
		}
		if load > p.Resources[r].Capacity && free {
			return violated(at, "at %d activities %v need %d of resource %d, it has %d", start[i], at, load, r, p.Resources[r].Capacity)
		}
	}
	return nil
}

// checkLent holds what is used while some of a resource is lent to what is left of it, wherever that use can rise.
func checkLent(p Problem, r int, start []int) error {
	users := usersOf(p, r)
	for _, l := range p.Resources[r].Lent {
		for _, i := range users {
			t := max(start[i], l.Start)
			if t >= min(start[i]+p.Activities[i].Duration, l.End) {
				continue
			}
			load, free := 0, false
			for _, j := range users {
				if start[j] <= t && t < start[j]+p.Activities[j].Duration {
					load, free = load+p.Activities[j].Demand[r], free || p.Activities[j].Fixed < 0
				}
			}
			if load > p.Resources[r].Capacity-l.Count && free {
				return violated([]int{i}, "at %d %d of resource %d are used, of %d it has lent %d", t, load, r, p.Resources[r].Capacity, l.Count)
			}
		}
	}
	return nil
}

func usersOf(p Problem, r int) []int {
	var users []int
	for i, a := range p.Activities {
		if r < len(a.Demand) && a.Demand[r] > 0 && a.Duration > 0 {
			users = append(users, i)
		}
	}
	return users
}

func checkMoves(p Problem, r int, start []int) error {
	if !p.Resources[r].Moves {
		return nil
	}
	users := usersOf(p, r)
	for x, i := range users {
		for _, j := range users[:x] {
			a, b := p.Activities[i], p.Activities[j]
			if a.Site < 0 || b.Site < 0 || a.Site == b.Site || a.Fixed >= 0 && b.Fixed >= 0 {
				continue
			}
			if start[i] < start[j]+b.Duration+p.Travel[b.Site][a.Site] && start[j] < start[i]+a.Duration+p.Travel[a.Site][b.Site] {
				return violated([]int{j, i}, "resource %d cannot be at site %d for activity %d at [%d, %d) and at site %d for activity %d at [%d, %d)",
					r, b.Site, j, start[j], start[j]+b.Duration, a.Site, i, start[i], start[i]+a.Duration)
			}
		}
	}
	return nil
}

// Evaluate returns the Score of a schedule; warm may be nil.
func Evaluate(p Problem, start, warm []int) Score {
	var s Score
	for i, a := range p.Activities {
		end := start[i] + a.Duration
		s.Makespan = max(s.Makespan, end)
		if a.Due >= 0 && end > a.Due {
			s.Lateness += a.Weight * (end - a.Due)
		}
		switch {
		case len(warm) != len(start):
			s.Change += start[i]
		case warm[i] >= 0:
			s.Change += max(start[i]-warm[i], warm[i]-start[i])
		}
	}
	for r := range p.Resources {
		if p.Resources[r].Moves {
			s.Moves += countMoves(p, r, start)
		}
	}
	return s
}

func countMoves(p Problem, r int, start []int) int {
	users := usersOf(p, r)
	sort.SliceStable(users, func(x, y int) bool { return start[users[x]] < start[users[y]] })
	moves, room := 0, -1
	for _, i := range users {
		at := p.Activities[i].Room
		if at < 0 {
			continue
		}
		if room >= 0 && at != room {
			moves++
		}
		room = at
	}
	return moves
}
