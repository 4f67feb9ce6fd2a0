package scheduler

import "potlife/scheduler/rcpsp"

// cutLater puts cutting that is an activity of its own off to the last day on which it is
// in time, where that moves nothing else: tile that is cut weeks before it is set lies
// about, and has to be there so much sooner. What the plan in force has stays.
func (m *maker) cutLater() {
	c := m.choice
	before := map[string]bool{}
	if m.in.Prior != nil {
		for i := range m.in.Prior.Activities {
			before[m.in.Prior.Activities[i].ID] = true
		}
	}
	var cuts []int
	last := 0
	for i, t := range c.net.tasks {
		if last = max(last, t.start+t.minutes); t.kind == kindCut && t.fixed == nil && !before[t.id] {
			cuts = append(cuts, i)
		}
	}
	if len(cuts) == 0 {
		return
	}
	p := c.net.problem(last)
	start := make([]int, len(p.Activities))
	for i := range start {
		if start[i] = p.Activities[i].Fixed; i < len(c.net.tasks) { // beside the tasks, who is away
			start[i] = c.net.tasks[i].start
		}
	}
	var days []int
	for d := m.in.Today; m.clock.DayStart(d) < last; d = d.AddDays(1) {
		days = append(days, m.clock.DayStart(d))
	}
	if start, ok := rcpsp.Later(p, start, cuts, days); ok {
		c.result.Start, c.result.Moves = start, rcpsp.Evaluate(p, start, nil).Moves
		c.net.take(c.result)
	}
}
