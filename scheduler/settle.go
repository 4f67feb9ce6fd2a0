package scheduler

import (
	"context"
)

// settleRounds is how often the waits of a plan are brought to its dates before
// each takes the longest that any date asks for.
const settleRounds = 8

// settle brings the waits of rooms whose temperature changes from day to day to
// the dates of the work before them: a plan is made with the waits as they are
// guessed, then with those its own dates ask for, until all are long enough.
// From the second round on a wait only grows, so this ends.
func (c *choice) settle(ctx context.Context) error {
	for round := 0; c.net.redate(round); round++ {
		warm := map[string]int{}
		for _, t := range c.net.tasks {
			warm[t.id] = t.start
		}
		r, err := c.net.solve(ctx, max(4, c.w.budget(len(c.net.tasks))/4), warm)
		if err != nil {
			return err
		}
		c.result = r
		c.net.take(r)
	}
	c.waits = nil
	c.net.eachWait(func(l *lag) { c.waits = append(c.waits, l.least) })
	return nil
}

// back gives the tasks the dates and waits of the choice, once settled, again: another
// that was tried since shares some of them.
func (c *choice) back() {
	c.net.take(c.result)
	i := 0
	c.net.eachWait(func(l *lag) { l.least, i = c.waits[i], i+1 })
}

// eachWait goes through the waits of all tasks, always in one order.
func (n *network) eachWait(note func(*lag)) {
	for _, t := range n.tasks {
		for i := range t.after {
			note(&t.after[i])
		}
	}
}

// guess sets the waits by a plan that is known already, so that it holds for them
// from the start.
func (n *network) guess(starts map[string]int) {
	for _, t := range n.tasks {
		for i := range t.after {
			l := &t.after[i]
			if s, ok := starts[l.task.id]; ok && len(l.due.cures) > 0 && t.fixed == nil {
				l.least = l.from(s + l.task.minutes)
			}
		}
	}
}

// redate sets the waits by the dates of the plan and reports whether one that
// matters changed.
func (n *network) redate(round int) bool {
	changed := false
	for _, t := range n.tasks {
		if len(t.room.air) == 0 || t.fixed != nil {
			continue
		}
		for i := range t.after {
			l := &t.after[i]
			if len(l.due.cures) == 0 {
				continue
			}
			need := l.from(l.task.start + l.task.minutes)
			switch {
			case need > l.least:
				changed = true
				if l.least = need; round >= settleRounds {
					l.least = max(0, l.shift+t.room.longest(l.due, n.works.begin, n.works.horizon))
				}
			case round == 0 && need < l.least-30:
				l.least, changed = need, true
			}
		}
	}
	return changed
}

// longest is as long as a wait takes from any minute of a span on, or a little
// longer: a cure ends no later than one that begins later, so what begins within
// an hour waits at most that hour longer than what begins at its end.
func (r *roomWork) longest(d due, from, to int) int {
	longest := 0
	if len(r.air) > 0 {
		to = min(to, max(from, r.air[len(r.air)-1].from))
	}
	for t := from; t <= to; t += 60 {
		longest = max(longest, r.after(d, t))
	}
	return longest + 60
}
