package scheduler

import (
	"context"
	"maps"

	"potlife/scheduler/rcpsp"
)

// A crew drives to another site for a short step, and back, as soon as the step may be
// done: the search places all work as early as it can, and its objective counts
// changes of room, of a site or between two. When a plan is dated, such steps are moved
// to when the crew is there anyway, or drives there or home, where no room is late for
// it and the finish stays.

const (
	restMinutes = 240 // away from work from which on a crew comes from home again: an evening, not a break
	shortStay   = 60  // minutes at a site that are moved to spare the way; common practice
)

// fewerDrives spares drives of the chosen plan, unless areas would have to be sized anew
// by the dates that this gives them.
func (m *maker) fewerDrives(ctx context.Context, again int) error {
	c := m.choice
	if len(m.in.Firm.Travel) == 0 {
		return nil
	}
	was, waits, heat := c.result, c.waits, maps.Clone(m.heat)
	finish := c.net.finish(was)
	p := c.net.problem(finish)
	start := make([]int, len(p.Activities))
	for i := range start {
		if start[i] = p.Activities[i].Fixed; i < len(c.net.tasks) { // beside the tasks, who is away
			start[i] = c.net.tasks[i].start
		}
	}
	start, any := rcpsp.FewerTrips(p, start, rcpsp.TripOptions{Rest: restMinutes, Short: shortStay, Finish: m.latestEnds(len(start), finish)})
	if !any {
		return nil
	}
	c.result.Start, c.result.Moves = start, rcpsp.Evaluate(p, start, nil).Moves
	c.net.take(c.result)
	if err := c.settle(ctx); err == nil && !scoreOf(was).Less(scoreOf(c.result)) && !m.reheat(again, true) {
		return nil
	}
	c.result, c.waits, m.heat = was, waits, heat
	c.back()
	return ctx.Err()
}

// latestEnds are the minutes by which activities are to be over so that no room is later
// for it: each is handed over on the day on which it is now, and not when it is due.
func (m *maker) latestEnds(n, finish int) []int {
	last := map[*roomWork]int{}
	for _, t := range m.choice.net.tasks {
		last[t.room] = max(last[t.room], t.start+t.minutes)
	}
	for r, end := range last {
		if r.first || r.due >= 0 && r.due <= end {
			continue
		}
		if last[r] = min(m.clock.DayStart(m.clock.Day(end).AddDays(1)), finish); r.due >= 0 {
			last[r] = min(last[r], r.due)
		}
	}
	out := make([]int, n)
	for i := range out {
		if out[i] = finish; i < len(m.choice.net.tasks) {
			out[i] = last[m.choice.net.tasks[i].room]
		}
	}
	return out
}
