package scheduler

import (
	"context"
	"slices"

	"potlife/scheduler/rcpsp"
)

// explainEffort is what is spent on finding the fewest things that exclude each other,
// in changes of bounds and placements; tryEffort is the most that one try takes of it.
const (
	explainEffort = 20_000_000
	tryEffort     = 400_000
	triedTasks    = 3_000 // beyond which rooms are not tried together
)

// trials is the effort of an explanation, and whether it was enough.
type trials struct {
	ctx   context.Context
	left  int64
	loose bool // of something kept it was not shown that it is needed
}

// verdict of a try.
type verdict int

const (
	undecided verdict = iota // the effort did not suffice
	excluded                 // proved: there is no schedule
	possible                 // there is one
)

func (x *trials) try(p rcpsp.Problem) verdict {
	if x.left <= 0 || x.ctx.Err() != nil {
		return undecided
	}
	r, err := rcpsp.Decide(x.ctx, p, min(tryEffort, x.left))
	x.left -= max(1, r.Schedules)
	switch {
	case err != nil || r.Status == rcpsp.Unknown:
		return undecided
	case r.Status == rcpsp.Infeasible:
		return excluded
	}
	return possible
}

// words say so where fewer things might do.
func (x *trials) words() string {
	if !x.loose {
		return ""
	}
	return " (whether fewer of these exclude each other already was not found out within the search limit)"
}

// filter drops what is not needed of n things that exclude each other: first halves,
// then quarters, at last one by one (deletion filter, Chinneck & Dravnieks 1991). drop
// takes some out or puts them back.
func (x *trials) filter(n int, try func() verdict, drop func(i int, out bool)) {
	gone := make([]bool, n)
	for chunk := (n + 1) / 2; chunk > 0; chunk /= 2 {
		for at := 0; at < n; at += chunk {
			var tried []int
			for i := at; i < min(at+chunk, n); i++ {
				if !gone[i] {
					tried = append(tried, i)
				}
			}
			if len(tried) == 0 {
				continue
			}
			for _, i := range tried {
				drop(i, true)
			}
			v := try()
			for _, i := range tried {
				if gone[i] = v == excluded; !gone[i] {
					drop(i, false)
				}
			}
			if chunk == 1 && v == undecided {
				x.loose = true
			}
		}
	}
}

// smallest is the least that was found of a network to exclude itself; nil where none
// of it was shown to.
func (n *network) smallest(x *trials, r rcpsp.Result) *quarrel {
	var q *quarrel
	for _, rooms := range n.suspects(r) {
		tasks := n.inRooms(rooms)
		if len(tasks) > triedTasks {
			continue
		}
		if q = newQuarrel(x, n, tasks); q.tried() == excluded {
			break
		}
		q = nil
	}
	if q == nil {
		return nil
	}
	q.shrinkRooms()
	q.shrink()
	return q
}

// suspects are the sets of rooms that may exclude each other, the smallest first: each
// alone, those of a crew, all. Where the solver's proof names some, no others.
func (n *network) suspects(r rcpsp.Result) [][]string {
	var all []string
	for i, t := range n.tasks {
		if (r.Status != rcpsp.Infeasible || slices.Contains(r.Conflict, i)) && !slices.Contains(all, t.room.key) {
			all = append(all, t.room.key)
		}
	}
	var out [][]string
	byCrew, crews := map[string][]string{}, []string{}
	for _, k := range all {
		out = append(out, []string{k})
	}
	for _, t := range n.tasks {
		if k := t.room.key; t.crew != "" && slices.Contains(all, k) && !slices.Contains(byCrew[t.crew], k) {
			if byCrew[t.crew] == nil {
				crews = append(crews, t.crew)
			}
			byCrew[t.crew] = append(byCrew[t.crew], k)
		}
	}
	for _, c := range crews {
		if k := len(byCrew[c]); k > 1 && k < len(all) {
			out = append(out, byCrew[c])
		}
	}
	if len(all) > 1 {
		out = append(out, all)
	}
	return out
}

// quarrel is work that cannot be planned, with what is asked of it taken apart.
type quarrel struct {
	*trials
	works  *works
	until  int // see network
	tasks  []*task
	asks   []ask
	at     map[ask]int
	gone   []bool // by ask
	inside map[*task]bool
}

// ask is one thing asked of the work: that it is done, a latest time, a wait, hours, a
// date.
type ask struct {
	kind   string // "work", "done", "site", "window", "tool", "people", "hours", "release", "hold", "wait", "latest"
	task   *task
	lag    int // of task.after
	window *window
	key    string // of the crew, site or tool
}

func newQuarrel(x *trials, n *network, tasks []*task) *quarrel {
	q := &quarrel{trials: x, works: n.works, until: n.until}
	q.of(tasks)
	return q
}

// of takes tasks apart. What a reader cares for least comes first: it is dropped first.
func (q *quarrel) of(tasks []*task) {
	q.tasks, q.asks, q.at, q.inside = tasks, nil, map[ask]int{}, map[*task]bool{}
	for _, t := range tasks {
		q.inside[t] = true
	}
	for _, t := range tasks {
		switch {
		case t.fixed != nil:
			q.add(ask{kind: "done", task: t})
		case t.crew != "":
			q.add(ask{kind: "work", task: t})
		}
	}
	q.gather(func(t *task) {
		for _, win := range t.windows {
			q.add(ask{kind: "window", window: win})
		}
		if open := q.works.siteHours[t.room.site]; t.crew != "" && Working(open, 0, q.works.horizon) < q.works.horizon {
			q.add(ask{kind: "site", key: t.room.site})
		}
		for _, k := range t.tools {
			if slices.ContainsFunc(q.works.firm.Tools, func(o Tool) bool { return o.Key == k }) {
				q.add(ask{kind: "tool", key: k})
			}
		}
	})
	q.gather(func(t *task) {
		if t.crew != "" {
			q.add(ask{kind: "people", key: t.crew})
			q.add(ask{kind: "hours", key: t.crew})
		}
		if t.release > max(q.works.opens(t.crew), t.room.ready) {
			q.add(ask{kind: "release", task: t})
		}
		if t.kind == kindHold {
			q.add(ask{kind: "hold", task: t})
		}
	})
	for _, kind := range []string{"wait", "latest"} {
		q.gather(func(t *task) {
			for i, l := range t.after {
				if q.inside[l.task] && (kind == "wait" && l.least > 0 || kind == "latest" && l.most >= 0) {
					q.add(ask{kind: kind, task: t, lag: i})
				}
			}
		})
	}
	q.gone = make([]bool, len(q.asks))
}

func (q *quarrel) gather(of func(*task)) {
	for _, t := range q.tasks {
		if t.fixed == nil {
			of(t)
		}
	}
}

func (q *quarrel) add(a ask) {
	if _, ok := q.at[a]; !ok {
		q.at[a] = len(q.asks)
		q.asks = append(q.asks, a)
	}
}

// drops reports whether a thing is no longer asked.
func (q *quarrel) drops(a ask) bool {
	i, ok := q.at[a]
	return ok && q.gone[i]
}

// kept are the asks that are left.
func (q *quarrel) kept() []ask {
	var out []ask
	for i, a := range q.asks {
		if !q.gone[i] {
			out = append(out, a)
		}
	}
	return out
}

// shrinkRooms leaves out rooms that the others exclude each other without.
func (q *quarrel) shrinkRooms() {
	var rooms []string
	for _, t := range q.tasks {
		if !slices.Contains(rooms, t.room.key) {
			rooms = append(rooms, t.room.key)
		}
	}
	if len(rooms) < 2 {
		return
	}
	all, without := q.tasks, map[string]bool{}
	less := func() []*task {
		return slices.DeleteFunc(slices.Clone(all), func(t *task) bool { return without[t.room.key] })
	}
	q.filter(len(rooms), func() verdict {
		part := &quarrel{trials: q.trials, works: q.works, until: q.until}
		part.of(less())
		return part.tried()
	}, func(i int, out bool) { without[rooms[i]] = out })
	q.of(less())
}

// shrink drops whatever the work cannot be planned without as well.
func (q *quarrel) shrink() {
	q.filter(len(q.asks), q.tried, func(i int, out bool) { q.gone[i] = out })
}

// tried is the verdict on what is still asked.
func (q *quarrel) tried() verdict { return q.try(q.problem()) }

// problem is what is still asked. Whatever is dropped, each schedule from before holds:
// work that is no longer asked takes no time, but what follows it may come as late as
// ever.
func (q *quarrel) problem() rcpsp.Problem {
	sub := &network{works: q.works, index: map[*task]int{}}
	copies := map[*task]*task{}
	for _, t := range q.tasks {
		c := q.eased(t)
		copies[t] = c
		sub.tasks = append(sub.tasks, c)
		if !slices.Contains(sub.rooms, t.room) {
			sub.rooms = append(sub.rooms, t.room)
		}
	}
	for _, t := range q.tasks {
		c := copies[t]
		c.after = nil
		for i := range t.after {
			if on := copies[t.after[i].task]; on != nil {
				c.after = append(c.after, q.easedLag(t, i, on))
			}
		}
	}
	p := sub.problem(q.until)
	for _, t := range q.tasks {
		if t.fixed != nil {
			p.Horizon = max(p.Horizon, t.start+t.minutes)
		}
	}
	q.easeResources(sub, &p)
	return p
}

// eased is a task without what is no longer asked of it.
func (q *quarrel) eased(t *task) *task {
	c := *t
	switch {
	case q.drops(ask{kind: "done", task: t}):
		c.fixed, c.crew, c.release, c.until, c.minutes = nil, "", 0, 0, 0
	case q.drops(ask{kind: "work", task: t}):
		c.crew, c.minutes = "", 0
	}
	if q.drops(ask{kind: "release", task: t}) {
		c.release = max(q.works.opens(t.crew), t.room.ready)
	}
	if q.drops(ask{kind: "hold", task: t}) {
		c.until, c.minutes = 0, 0
	}
	c.windows = slices.DeleteFunc(slices.Clone(t.windows), func(w *window) bool { return q.drops(ask{kind: "window", window: w}) })
	return &c
}

// easedLag is wait i of a task, on the copy of what it waits for.
func (q *quarrel) easedLag(t *task, i int, on *task) lag {
	l := t.after[i]
	l.most, l.spare = q.works.latest(&l), false
	if q.drops(ask{kind: "latest", task: t, lag: i}) {
		l.most = -1
	} else if l.most >= 0 {
		l.most += l.task.minutes - on.minutes
	}
	if q.drops(ask{kind: "wait", task: t, lag: i}) {
		l.least = 0
	}
	l.task = on
	return l
}

// easeResources opens the hours and adds to the people and tools that are no longer
// asked.
func (q *quarrel) easeResources(sub *network, p *rcpsp.Problem) {
	crews, tools := q.works.firm.Crews, q.works.firm.Tools
	for i := range p.Resources {
		r := &p.Resources[i]
		r.Forbidden = q.away(sub, i, r.Forbidden)
		if k := i / 2; k < len(crews) && q.drops(ask{kind: "people", key: crews[k].Key}) {
			r.Capacity, r.Moves = siteCapacity, false
		}
		if k, ok := sub.narrowed[i]; ok && q.drops(ask{kind: "people", key: k}) {
			r.Capacity = siteCapacity
		}
		if k := i - len(p.Resources) + len(tools); k >= 0 && q.drops(ask{kind: "tool", key: tools[k].Key}) {
			r.Capacity = siteCapacity
		}
	}
}

// away are the forbidden times of a resource, none where the hours of its crew
// or site are dropped.
func (q *quarrel) away(sub *network, i int, had []rcpsp.Interval) []rcpsp.Interval {
	crews := q.works.firm.Crews
	if i < 2*len(crews) {
		if q.drops(ask{kind: "hours", key: crews[i/2].Key}) {
			return nil
		}
		return had
	}
	at := 2 * len(crews) // sites with hours of their own follow, in the order of the rooms
	var seen []string
	for _, r := range sub.rooms {
		if slices.Contains(seen, r.site) {
			continue
		}
		seen = append(seen, r.site)
		if Working(q.works.siteHours[r.site], 0, q.works.horizon) < q.works.horizon {
			if at == i && q.drops(ask{kind: "site", key: r.site}) {
				return nil
			}
			at++
		}
	}
	return had
}

// named are the rooms and crews that what is left names.
func (q *quarrel) named() (rooms, crews []string) {
	room := func(t *task) {
		if !slices.Contains(rooms, t.room.key) {
			rooms = append(rooms, t.room.key)
		}
	}
	for _, a := range q.kept() {
		if a.task != nil {
			room(a.task)
		}
		if (a.kind == "hours" || a.kind == "people") && !slices.Contains(crews, a.key) {
			crews = append(crews, a.key)
		}
	}
	if len(rooms) == 0 {
		for _, t := range q.tasks {
			room(t)
		}
	}
	return rooms, crews
}
