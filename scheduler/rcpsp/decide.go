package rcpsp

import "context"

// Decide tells whether a problem has any schedule at all, whatever it is worth: Feasible with its starts, Infeasible, or
// Unknown where the effort did not suffice. Effort counts changes of bounds and placements; Result.Schedules is what was
// spent of it. What costs least comes first: the bounds of lags and calendars, then those of capacities and travel, then
// schedules by priority rules, at last the search. The same problem and effort give the same answer on any machine.
func Decide(ctx context.Context, p Problem, effort int64) (Result, error) {
	if err := p.Validate(); err != nil {
		return Result{}, err
	}
	for i := range p.Activities { // a due date excludes nothing
		if p.Activities[i].Due >= 0 {
			p = p.undated()
			break
		}
	}
	m, bad := compile(p)
	if bad != nil {
		return Result{Status: Infeasible, Conflict: bad.conflict, Reason: bad.reason, Schedules: int64(len(p.Activities))}, nil
	}
	d := &decision{search: newSearch(ctx, m, Options{}), effort: effort}
	d.budget = effort
	d.run()
	r := d.result()
	r.Schedules = d.spent + int64(m.n)
	if r.Status == Optimal {
		r.Status = Feasible
	}
	return r, nil
}

// undated is the problem without due dates.
func (p Problem) undated() Problem {
	all := make([]Activity, len(p.Activities))
	copy(all, p.Activities)
	for i := range all {
		all[i].Due, all[i].Weight = -1, 0
	}
	p.Activities = all
	return p
}

type decision struct {
	*search
	effort int64
}

func (d *decision) run() {
	if d.m.n == 0 {
		return
	}
	c, ok := newCP(d.m, Score{Lateness: never, Makespan: d.m.horizon})
	if d.spent += c.steps; !ok {
		d.close()
		return
	}
	if d.firstSchedules(newBuilder(d.m)); d.best != nil || d.over() {
		return
	}
	placed := d.spent - c.steps
	stop := func() bool {
		d.spent = placed + c.steps + c.search.decisions
		return d.over()
	}
	switch c.run(nil, 1<<60, stop) {
	case solution:
		start := make([]int, c.n)
		for i := range start {
			start[i] = int(c.lb(int32(i)))
		}
		d.offer(start)
	case closed, refuted:
		d.close()
	}
	stop()
}
