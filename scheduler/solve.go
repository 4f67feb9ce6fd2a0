package scheduler

import (
	"context"
	"errors"
	"fmt"
	"slices"

	"potlife/scheduler/rcpsp"
)

// network is the tasks of all rooms under one choice of crews.
type network struct {
	works  *works
	rooms  []*roomWork
	crew   []*team // per room
	tasks  []*task
	missed []missed
	index  map[*task]int
	like   func(*task) int // start in a like plan, -1 where it has none; nil: there is none

	until       int            // absences up to then are known to matter
	unexplained bool           // whoever asks for a schedule has others to try
	narrowed    map[int]string // crews by resource of the problem, see narrow
}

// problem writes a network down for the solver: each crew is one resource of
// as many units as it has setters, and one of its helpers; a site with hours of
// its own is one that is away outside them. Rooms need none, for their activities
// follow one another, but those in which there is cutting beside them and no place
// for all. People who are away before a minute take up their crew; of those later,
// nothing is known to matter yet.
func (n *network) problem(until int) rcpsp.Problem {
	p := rcpsp.Problem{Objective: rcpsp.LatenessFirst, Horizon: n.works.horizon}
	crew := map[string]int{}
	for _, c := range n.works.firm.Crews {
		crew[c.Key] = len(p.Resources)
		away := toIntervals(Outside(n.works.hours[c.Key], 0, n.works.horizon))
		p.Resources = append(p.Resources, rcpsp.Resource{Capacity: max(1, c.Setters), Forbidden: away, Moves: true},
			rcpsp.Resource{Capacity: c.Helpers, Forbidden: away})
		if roll := n.works.crews[c.Key].roll; roll != nil {
			most := most(n.works.strong[c.Key])
			of := p.Resources[crew[c.Key]:]
			of[0].Capacity, of[1].Capacity = max(1, most.setters), most.helpers
			of[0].Lent, of[1].Lent = roll.loans(most, n.works.hours[c.Key], n.works.shut(c.Key), n.works.horizon)
		}
	}
	site, sites := map[string]int{}, []string{}
	for _, r := range n.rooms {
		if slices.Contains(sites, r.site) {
			continue
		}
		sites = append(sites, r.site)
		if open := n.works.siteHours[r.site]; Working(open, 0, n.works.horizon) < n.works.horizon {
			site[r.site] = len(p.Resources)
			p.Resources = append(p.Resources, rcpsp.Resource{Capacity: siteCapacity, Forbidden: toIntervals(Outside(open, 0, n.works.horizon))})
		}
	}
	window := n.windows(&p)
	narrow, tool := n.narrow(&p), n.tools(&p)
	siteNo := map[string]int{}
	for i, k := range sites {
		siteNo[k] = i
	}
	p.Travel = n.works.travel(sites)
	n.index = make(map[*task]int, len(n.tasks))
	for i, t := range n.tasks {
		n.index[t] = i
	}
	roomNo := map[*roomWork]int{}
	for i, r := range n.rooms {
		roomNo[r] = i
	}
	for _, t := range n.tasks {
		a := rcpsp.Activity{Duration: t.minutes, Release: max(0, t.release, t.until), Latest: -1, Due: -1, Fixed: -1,
			Site: siteNo[t.room.site], Room: roomNo[t.room]}
		if t.crew != "" {
			a.Demand = n.demand(t, crew, site, window, tool)
			if k, ok := narrow[t.room]; ok {
				a.Demand = append(a.Demand, make([]int, max(0, k+1-len(a.Demand)))...)
				a.Demand[k] = t.gang.setters + t.gang.helpers
			}
		}
		if t.kind == kindHandOver && t.room.due >= 0 {
			a.Due, a.Weight = t.room.due, 1
		}
		if t.kind == kindHandOver && t.room.first {
			a.Due, a.Weight = 0, firstWeight
		}
		if t.fixed != nil {
			a.Fixed = max(0, t.start)
		}
		p.Activities = append(p.Activities, a)
	}
	n.lags(&p)
	p.Activities = append(p.Activities, n.away(crew, until)...)
	return p
}

// firstWeight is how much more a minute of a room that is to be first counts than
// one of lateness.
const firstWeight = 100

// siteCapacity is more people than any site sees.
const siteCapacity = 1 << 16

// demand is what a task takes of each resource, no longer than it has to be.
func (n *network) demand(t *task, crew, site map[string]int, window map[*window]int, tool map[string]int) []int {
	c, known := crew[t.crew]
	s, limited := site[t.room.site]
	size := 0
	if known {
		size = c + 2
	}
	if limited {
		size = max(size, s+1)
	}
	for _, win := range t.windows {
		size = max(size, window[win]+1)
	}
	for _, k := range t.tools {
		if r, ok := tool[k]; ok {
			size = max(size, r+1)
		}
	}
	d := make([]int, size)
	if known {
		d[c], d[c+1] = t.gang.setters, t.gang.helpers
	}
	if limited {
		d[s] = 1
	}
	for _, win := range t.windows {
		d[window[win]] = 1
	}
	for _, k := range t.tools {
		if r, ok := tool[k]; ok {
			d[r] = 1
		}
	}
	return d
}

// tools adds a resource for each shared tool.
func (n *network) tools(p *rcpsp.Problem) map[string]int {
	no := map[string]int{}
	for _, k := range n.works.firm.Tools {
		no[k.Key] = len(p.Resources)
		p.Resources = append(p.Resources, rcpsp.Resource{Capacity: k.Count})
	}
	return no
}

// narrow adds a resource for each room that holds fewer people than its crew has and
// in which one of them cuts beside the rest: as many units as people fit.
func (n *network) narrow(p *rcpsp.Problem) map[*roomWork]int {
	no := map[*roomWork]int{}
	n.narrowed = map[int]string{}
	for _, t := range n.tasks {
		if _, ok := no[t.room]; ok || t.kind != kindCut {
			continue
		}
		if c := n.works.crews[t.crew]; c != nil && t.room.people < c.Setters+c.Helpers {
			no[t.room], n.narrowed[len(p.Resources)] = len(p.Resources), t.crew
			p.Resources = append(p.Resources, rcpsp.Resource{Capacity: t.room.people})
		}
	}
	return no
}

// windows adds a resource for each time that is closed to some work: one that is
// away then and otherwise enough for all.
func (n *network) windows(p *rcpsp.Problem) map[*window]int {
	no := map[*window]int{}
	for _, t := range n.tasks {
		for _, win := range t.windows {
			if _, ok := no[win]; !ok {
				no[win] = len(p.Resources)
				p.Resources = append(p.Resources, rcpsp.Resource{Capacity: siteCapacity, Forbidden: toIntervals(Outside(win.open, 0, n.works.horizon))})
			}
		}
	}
	return no
}

func (n *network) lags(p *rcpsp.Problem) {
	for i, t := range n.tasks {
		for _, l := range t.after {
			from := n.index[l.task]
			p.Lags = append(p.Lags, rcpsp.Lag{From: from, To: i, Min: l.task.minutes + l.least})
			if most := n.works.latest(&l); most >= 0 {
				p.Lags = append(p.Lags, rcpsp.Lag{From: i, To: from, Min: -(l.task.minutes + most)})
			}
		}
	}
}

func toIntervals(in []Interval) []rcpsp.Interval {
	out := make([]rcpsp.Interval, len(in))
	for i, v := range in {
		out[i] = rcpsp.Interval{Start: v.Start, End: v.End}
	}
	return out
}

// travel is the matrix of ways between sites.
func (w *works) travel(sites []string) [][]int {
	m := make([][]int, len(sites))
	for i := range m {
		m[i] = make([]int, len(sites))
	}
	for _, t := range w.firm.Travel {
		i, j := slices.Index(sites, t.From), slices.Index(sites, t.To)
		if i >= 0 && j >= 0 && i != j {
			m[i][j] = max(m[i][j], t.Minutes)
			m[j][i] = m[i][j]
		}
	}
	return m
}

// solve dates the network's tasks; warm gives earlier starts by activity id.
func (n *network) solve(ctx context.Context, schedules int64, warm map[string]int) (rcpsp.Result, error) {
	if r, ok := n.settled(); ok {
		return r, nil
	}
	for until := 0; ; {
		n.until = until
		p := n.problem(until)
		o := rcpsp.Options{Schedules: schedules, Seed: n.works.limits.Seed, Draft: !n.works.replan}
		if len(warm) > 0 {
			o.Warm = n.warm(warm, len(p.Activities))
		}
		if n.like != nil {
			o.Order = n.likely(len(p.Activities))
		}
		r, err := rcpsp.Solve(ctx, p, o)
		if err != nil {
			return r, fmt.Errorf("schedule: %w", err)
		}
		if r.Start == nil {
			if n.unexplained || n.works.again {
				return r, &Infeasible{}
			}
			return r, n.explain(ctx, r)
		}
		finish := n.finish(r)
		if finish <= until || !n.missingAfter(until, finish) {
			return r, nil
		}
		until = finish // absences past the finish would hold it up by themselves
	}
}

// why is the reason for which solve, not asked for one, found no schedule.
func (n *network) why(ctx context.Context, r rcpsp.Result, err error) error {
	var not *Infeasible
	if n.works.again || !errors.As(err, &not) {
		return err
	}
	return n.explain(ctx, r)
}

func (n *network) finish(r rcpsp.Result) int {
	last := 0
	for i, t := range n.tasks {
		last = max(last, r.Start[i]+t.minutes)
	}
	return last
}

// warm is a start for the solver from a plan's starts by activity.
func (n *network) warm(starts map[string]int, size int) []int {
	out := make([]int, size)
	for i := range out {
		out[i] = -1
		if i < len(n.tasks) {
			if s, ok := starts[n.tasks[i].id]; ok {
				out[i] = s
			}
		}
	}
	return out
}

// likely are the starts in a like plan.
func (n *network) likely(size int) []int {
	out := make([]int, size)
	for i := range out {
		out[i] = -1
		if i < len(n.tasks) {
			out[i] = n.like(n.tasks[i])
		}
	}
	return out
}

// settled is the result where all work is carried over and nothing is to decide.
func (n *network) settled() (rcpsp.Result, bool) {
	r := rcpsp.Result{Status: rcpsp.Optimal, Start: make([]int, len(n.tasks))}
	for i, t := range n.tasks {
		if t.fixed == nil {
			return r, false
		}
		r.Start[i] = t.start
		r.Makespan = max(r.Makespan, t.start+t.minutes)
	}
	r.Bound = r.Makespan
	n.index = map[*task]int{}
	return r, true
}

func (n *network) take(r rcpsp.Result) {
	for i, t := range n.tasks {
		t.start = r.Start[i]
	}
}

// words prints minutes as a foreman says them.
func words(minutes int) string {
	switch {
	case minutes < 120:
		return fmt.Sprintf("%d min", minutes)
	case minutes%60 == 0:
		return fmt.Sprintf("%d h", minutes/60)
	}
	return fmt.Sprintf("%d h %02d min", minutes/60, minutes%60)
}

// earliestFinish is the longest path of a room's tasks: no plan with this crew
// hands the room over earlier.
func (w *works) earliestFinish(seq []*task, crew string) int {
	last := 0
	for _, v := range w.earliestEnds(seq, crew) {
		last = max(last, v)
	}
	return last
}

// earliestEnds are the ends of a room's tasks, each at the first time its crew and
// site allow, all other rooms left out.
func (w *works) earliestEnds(seq []*task, crew string) map[*task]int {
	at := make(map[*task]int, len(seq))
	var finish func(t *task) int
	finish = func(t *task) int {
		if v, ok := at[t]; ok {
			return v
		}
		if t.fixed != nil {
			at[t] = t.fixed.Finish
			return t.fixed.Finish
		}
		s := max(0, t.release, t.until)
		minutes, _ := w.quickest(t, crew)
		for _, l := range t.after {
			f := finish(l.task)
			s = max(s, f+l.from(f))
		}
		if t.crew != "" {
			if v, ok := earliest(w.openFor(t, crew), s, minutes); ok {
				s = v
			}
		}
		at[t] = s + minutes
		return at[t]
	}
	for _, t := range seq {
		finish(t)
	}
	return at
}

// anyTooLate reports whether some room is too late.
func (c *chooser) anyTooLate() bool {
	for room := range c.rooms {
		if c.tooLate(room) {
			return true
		}
	}
	return false
}

// tooLate reports whether a room alone cannot keep a latest time after work that is
// done, whoever of the crews that may do it goes on and however far one looks.
func (c *chooser) tooLate(room int) bool {
	allowed, err := c.allowed(room)
	if err != nil {
		return false
	}
	for _, k := range allowed {
		seq := c.shape(room, k).seq
		ends := c.w.earliestEnds(seq, c.w.teams[k].Key)
		late := slices.ContainsFunc(seq, func(t *task) bool {
			minutes, _ := c.w.quickest(t, c.w.teams[k].Key)
			return t.fixed == nil && slices.ContainsFunc(t.after, func(l lag) bool {
				return l.most >= 0 && l.task.fixed != nil && ends[t]-minutes > l.task.start+l.task.minutes+l.most
			})
		})
		if !late {
			return false
		}
	}
	return true
}
