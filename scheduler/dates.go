package scheduler

import (
	"cmp"
	"context"
	"errors"
	"fmt"
	"math"
	"slices"

	"potlife/scheduler/rcpsp"
)

// schedule builds the network, chooses crews and dates. A first plan is dated
// twice: quickly, to learn the order in which the rooms are set, and again after
// the takeoff has nested offcuts in that order. Where a plan is known already, days
// long after its end are looked at only if there is no other way.
func (m *maker) schedule(ctx context.Context, order []string) error {
	warm, crews := m.warm()
	again, filled := 0, false
	if m.in.Prior != nil {
		m.near = m.in.Prior.Finish + nearDays*1440
	}
	var eased *chooser // of the try before, where latest times were in the way
	for pass := 0; ; pass++ {
		c, got, err := m.date(ctx, eased, warm, crews, pass == 0 && m.twice)
		if err != nil {
			again := false
			if eased, again = m.otherwise(ctx, c, warm, err); !again {
				return err
			}
			pass--
			continue
		}
		eased = nil
		m.choice = got
		last := pass == 1 || !m.twice
		changed := m.reheat(again, last)
		if last && !changed && !filled {
			if err := m.refill(ctx); err != nil {
				return err
			}
			got, filled = m.choice, true
			changed = m.reheat(again, last)
		}
		if last && !changed {
			m.cutLater()
			return m.fewerDrives(ctx, again)
		}
		if again++; last {
			pass--
		} else {
			if err := m.takeoff(ctx, m.setOrder(order), 0); err != nil {
				return err
			}
		}
		warm, crews = m.dated()
		for _, t := range got.net.tasks {
			m.near = max(m.near, t.start+t.minutes+nearDays*1440)
		}
	}
}

// otherwise is what is tried next where no schedule was found: latest times after work
// that is done are noted only where they cannot be kept; coats are planned to the last
// minute of their time; days far off are looked at. It returns the chooser whose tasks
// the next try goes on with, nil for none, and whether there is one.
func (m *maker) otherwise(ctx context.Context, c *chooser, warm map[string]int, err error) (eased *chooser, again bool) {
	var not *Infeasible
	infeasible := c != nil && errors.As(err, &not)
	late := infeasible && m.mayRelax()
	switch {
	case late && c.anyTooLate():
	case infeasible && m.maySpare() && ctx.Err() == nil:
		m.dropSpare(ctx, c, warm)
		return c, true
	case m.near > 0 && ctx.Err() == nil:
		m.near = 0
		return nil, true
	}
	m.relax = m.relax || late
	return c, late
}

// nearDays after the end of a plan are looked at when it is made again: more than any
// report puts it off.
const nearDays = 120

// date chooses crews and dates once, by what stands of the try before, if one is
// given, whose latest times are eased.
func (m *maker) date(ctx context.Context, c *chooser, warm map[string]int, crews map[string]string, quick bool) (*chooser, *choice, error) {
	if c != nil && !c.dated {
		m.works.again = m.mayTryAgain()
		m.works.brink, m.works.brinkAll = m.brink, m.brinkAll
		c.ease(m.relax)
	} else {
		if err := m.prepare(); err != nil {
			return nil, nil, err
		}
		m.works.quick = quick
		c = newChooser(m.works, m.rooms)
	}
	before := m.before()
	c.prepare(crews, before)
	if !quick { // the takeoff is final
		m.beside()
	}
	got, err := c.choose(ctx, warm, before)
	return c, got, err
}

// before is what is known of who does what on which day: of the schedule made before
// this one, or else of the plan in force.
func (m *maker) before() *daily {
	switch {
	case len(m.works.teams) == len(m.in.Firm.Crews): // nobody is away
		return nil
	case m.choice != nil:
		d := m.choice.daily()
		d.score = &rcpsp.Score{Lateness: m.choice.result.Lateness, Makespan: m.choice.result.Makespan, Moves: math.MaxInt}
		return d
	case m.in.Prior != nil:
		d := m.priorDaily()
		for _, r := range m.rooms {
			r.manned = d.manned[r.key]
		}
		d.score = m.priorScore()
		return d
	}
	return nil
}

// priorScore is what the plan in force is worth, but for its changes of room; nil where
// its crews or its rooms are not those of now.
func (m *maker) priorScore() *rcpsp.Score {
	p, s := m.in.Prior, rcpsp.Score{Moves: math.MaxInt}
	if fmt.Sprint(p.Firm.Crews) != fmt.Sprint(m.in.Firm.Crews) {
		return nil
	}
	finish := map[string]int{}
	for _, d := range p.RoomDates {
		finish[d.Room] = d.Finish
	}
	for _, r := range m.rooms {
		v, known := finish[r.key]
		switch {
		case !known:
			return nil
		case r.first:
			s.Lateness += firstWeight * v
		case r.due >= 0:
			s.Lateness += max(0, v-r.due)
		}
	}
	for i := range p.Activities {
		s.Makespan = max(s.Makespan, p.Activities[i].Finish)
	}
	return &s
}

// mayTryAgain reports whether there is another way where no schedule is found.
func (m *maker) mayTryAgain() bool { return m.mayRelax() || m.near > 0 || m.maySpare() }

// mayRelax reports whether there is work that is done, whose latest times can be
// noted where no schedule keeps them.
func (m *maker) mayRelax() bool { return len(m.kept.activities) > 0 && !m.relax }

// warm is the plan in force as a start: activities' starts and rooms' crews.
func (m *maker) warm() (map[string]int, map[string]string) {
	if m.in.Prior == nil {
		return nil, nil
	}
	start, crew := map[string]int{}, map[string]string{}
	for _, a := range m.in.Prior.Activities {
		start[a.ID] = a.Start
		if a.Crew != "" {
			crew[a.Room] = a.Crew
		}
	}
	m.crewBefore = crew
	end := map[string]int{}
	for _, d := range m.in.Prior.RoomDates {
		end[d.Room] = d.Finish
	}
	for _, r := range m.rooms {
		r.endBefore = end[r.key]
	}
	return start, crew
}

// dated is the schedule just made as a start for the next.
func (m *maker) dated() (map[string]int, map[string]string) {
	start, crew := map[string]int{}, map[string]string{}
	for i, k := range m.choice.crew {
		crew[m.rooms[i].key] = m.works.teams[k].Key
	}
	for _, t := range m.choice.net.tasks {
		start[t.id] = t.start
	}
	return start, crew
}

// setOrder lists the rooms by their first setting in the schedule.
func (m *maker) setOrder(before []string) []string {
	first := map[string]int{}
	for _, t := range m.choice.net.tasks {
		if t.kind != kindSet {
			continue
		}
		if v, ok := first[t.room.key]; !ok || t.start < v {
			first[t.room.key] = t.start
		}
	}
	out := slices.Clone(before)
	slices.SortStableFunc(out, func(a, b string) int { return cmp.Compare(first[a], first[b]) })
	return out
}
