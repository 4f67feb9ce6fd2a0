package scheduler

import (
	"context"
	"fmt"
	"math"
	"slices"

	"potlife/takeoff"
)

// defaultRecoatSafety is the share of the time between the first and the last minute
// for a next coat in which it is planned, so that a small delay does not spoil it;
// common practice.
const defaultRecoatSafety = 0.75

// spareAfter keeps a task from the last minutes of its latest time after u, where
// there is a plan that does.
func (t *task) spareAfter(u *task) {
	for i := range t.after {
		if l := &t.after[i]; l.task == u && l.most > 0 {
			l.spare = true
		}
	}
}

// latest is the latest time of a lag as it is planned, -1 for none.
func (w *works) latest(l *lag) int {
	if !l.spare || w.brinkAll || w.brink[l.task.room.key] {
		return l.most
	}
	return w.withMargin(l)
}

func (w *works) withMargin(l *lag) int {
	return max(l.least, l.most-int(math.Round(float64(l.most-l.least)*(1-w.limits.RecoatSafety))))
}

// maySpare reports whether some latest time is planned with a margin, which a plan
// that is not found otherwise goes without.
func (m *maker) maySpare() bool {
	if m.brinkAll || m.limits.RecoatSafety >= 1 {
		return false
	}
	for _, p := range m.products {
		if p.Kind == takeoff.KindMembrane && p.Sheet.RecoatWithin > 0 {
			return true
		}
	}
	return false
}

// dropSpare goes without the margins of the rooms that cannot keep them even alone, and
// where that is not enough without all.
func (m *maker) dropSpare(ctx context.Context, c *chooser, warm map[string]int) {
	if m.brink == nil {
		if m.brink = c.spareless(ctx, warm); len(m.brink) > 0 {
			return
		}
	}
	m.brinkAll = true
}

// aloneSchedules is how many schedules of one room are tried.
const aloneSchedules = 4

// spareless are the rooms that cannot keep their margins with any crew, all other rooms
// left out.
func (c *chooser) spareless(ctx context.Context, warm map[string]int) map[string]bool {
	out := map[string]bool{}
	for room, r := range c.rooms {
		if !c.keepsSpare(ctx, room, warm) {
			out[r.key] = true
		}
	}
	return out
}

func (c *chooser) keepsSpare(ctx context.Context, room int, warm map[string]int) bool {
	allowed, err := c.allowed(room)
	if err != nil {
		return true // it is not for its margins that there is no plan
	}
	for _, k := range allowed {
		n := &network{works: c.w, rooms: []*roomWork{c.rooms[room]}, crew: []*team{&c.w.teams[k]}}
		n.tasks, n.missed = c.tasks(room, k)
		if !slices.ContainsFunc(n.tasks, func(t *task) bool { return slices.ContainsFunc(t.after, func(l lag) bool { return l.spare }) }) {
			return true
		}
		n.unexplained = true
		n.guess(warm)
		if _, err := n.solve(ctx, aloneSchedules, warm); err == nil {
			return true
		}
	}
	return false
}

// onTheBrink names coats that had to be planned close to their latest time.
func (m *maker) onTheBrink() (out []takeoff.Finding) {
	for _, t := range m.choice.net.tasks {
		for i := range t.after {
			l := &t.after[i]
			gap := t.start - l.task.start - l.task.minutes
			if !l.spare || t.fixed != nil || gap <= m.works.withMargin(l) {
				continue
			}
			out = append(out, takeoff.Finding{Rule: "latest time", Severity: takeoff.Warn, Where: t.room.key,
				Message: fmt.Sprintf("%s begins %s before the latest time after %s; no plan was found that leaves it more: a delay on that day spoils the coat", t.title, words(l.most-gap), l.task.title),
				Value:   float64(gap), Limit: float64(l.most), Source: "data sheet"})
		}
	}
	return out
}
