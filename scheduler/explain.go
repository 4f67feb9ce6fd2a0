package scheduler

import (
	"context"
	"fmt"
	"slices"
	"strings"

	"potlife/scheduler/rcpsp"
)

// Infeasible is the error of a plan that cannot be: what cannot hold together,
// in the words of the trade.
type Infeasible struct {
	Rooms, Crews []string
	Text         string
}

func (e *Infeasible) Error() string { return e.Text }

// explain puts a conflict of the solver into words: of the work that cannot be,
// the fewest latest times, waits, hours and dates that exclude each other.
func (n *network) explain(ctx context.Context, r rcpsp.Result) error {
	e := &Infeasible{}
	if r.Status != rcpsp.Infeasible {
		e.Text = "no schedule was found within the search limit, and none is excluded: allow more schedules, or loosen the latest times of membranes and primers"
		return e
	}
	var tasks []*task
	for _, i := range r.Conflict {
		if i < 0 || i >= len(n.tasks) {
			continue
		}
		t := n.tasks[i]
		tasks = append(tasks, t)
		if !slices.Contains(e.Rooms, t.room.key) {
			e.Rooms = append(e.Rooms, t.room.key)
		}
		if t.crew != "" && !slices.Contains(e.Crews, t.crew) {
			e.Crews = append(e.Crews, t.crew)
		}
	}
	if len(tasks) == 0 {
		e.Text = "no schedule exists: " + r.Reason
		return e
	}
	q := newQuarrel(ctx, n.works, tasks)
	if !q.excluded() { // what leads from one to the other is missing
		q = newQuarrel(ctx, n.works, n.inRooms(e.Rooms))
	}
	if q.excluded() {
		q.shrink()
		long := n.longCover(e.Rooms)
		e.Text = "these cannot hold together: " + strings.Join(q.words(), "; ") + q.remedy(long != "") + long
		if !q.kept("hours") {
			e.Crews = nil
		}
		return e
	}
	var parts []string
	for _, t := range tasks[:min(8, len(tasks))] {
		parts = append(parts, n.bounds(t))
	}
	e.Text = "these cannot hold together: " + strings.Join(parts, "; ") + n.longCover(e.Rooms)
	return e
}

func (n *network) inRooms(keys []string) []*task {
	var out []*task
	for _, t := range n.tasks {
		if slices.Contains(keys, t.room.key) {
			out = append(out, t)
		}
	}
	return out
}

// bounds says what limits a task, with dates.
func (n *network) bounds(t *task) string {
	s := fmt.Sprintf("%s in %s", t.title, n.works.called.room(t.room.key))
	if t.crew != "" {
		s += fmt.Sprintf(" by %s (%s without a stop)", n.works.called.crew(t.crew), words(t.minutes))
	}
	if t.release > 0 {
		s += fmt.Sprintf(", not before %s", n.works.clock.DayWords(t.release))
	}
	said := 0
	for _, l := range t.after {
		if l.most < 0 {
			continue
		}
		switch said++; {
		case said == 1:
			s += fmt.Sprintf(", at least %s and at most %s after %s (%s)", words(l.least), words(l.most), l.task.title, l.why)
		case said == 2:
			s += ", and as much after others"
		}
	}
	return s
}

// quarrel is work that cannot be planned, with what is asked of it taken apart.
type quarrel struct {
	ctx    context.Context
	works  *works
	tasks  []*task
	asks   []ask
	inside map[*task]bool
}

// ask is one thing asked of the work: a latest time, a wait, hours, a date.
type ask struct {
	kind    string // "latest", "wait", "hours", "site", "window", "release", "hold", "people"
	task    *task
	lag     int // of task.after
	window  *window
	key     string // of the crew or site
	dropped bool
}

func newQuarrel(ctx context.Context, w *works, tasks []*task) *quarrel {
	q := &quarrel{ctx: ctx, works: w, tasks: tasks, inside: map[*task]bool{}}
	for _, t := range tasks {
		q.inside[t] = true
	}
	// What a reader cares for least is dropped first.
	q.gather(func(t *task) {
		for _, win := range t.windows {
			q.add(ask{kind: "window", window: win, task: t})
		}
		if open := w.siteHours[t.room.site]; t.crew != "" && Working(open, 0, w.horizon) < w.horizon {
			q.add(ask{kind: "site", key: t.room.site})
		}
	})
	q.gather(func(t *task) {
		if t.crew != "" {
			q.add(ask{kind: "people", key: t.crew})
			q.add(ask{kind: "hours", key: t.crew})
		}
		if t.release > max(w.opens(t.crew), t.room.ready) {
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
	return q
}

func (q *quarrel) gather(of func(*task)) {
	for _, t := range q.tasks {
		if t.fixed == nil {
			of(t)
		}
	}
}

func (q *quarrel) add(a ask) {
	if (a.kind == "hours" || a.kind == "site" || a.kind == "people") && slices.ContainsFunc(q.asks, func(o ask) bool { return o.kind == a.kind && o.key == a.key }) {
		return
	}
	if a.kind == "window" && slices.ContainsFunc(q.asks, func(o ask) bool { return o.window == a.window }) {
		return
	}
	q.asks = append(q.asks, a)
}

// shrink drops whatever the work cannot be planned without as well: first halves,
// then quarters, at last one by one (deletion filter).
func (q *quarrel) shrink() {
	for chunk := (len(q.asks) + 1) / 2; chunk > 0; chunk /= 2 {
		for at := 0; at < len(q.asks); at += chunk {
			var tried []int
			for i := at; i < min(at+chunk, len(q.asks)); i++ {
				if !q.asks[i].dropped {
					q.asks[i].dropped = true
					tried = append(tried, i)
				}
			}
			if len(tried) > 0 && (q.ctx.Err() != nil || !q.excluded()) {
				for _, i := range tried {
					q.asks[i].dropped = false
				}
			}
		}
	}
}

func (q *quarrel) kept(kind string) bool {
	return slices.ContainsFunc(q.asks, func(a ask) bool { return a.kind == kind && !a.dropped })
}

// drops reports whether a thing asked is dropped.
func (q *quarrel) drops(match func(ask) bool) bool {
	i := slices.IndexFunc(q.asks, match)
	return i >= 0 && q.asks[i].dropped
}

// excluded reports whether what is still asked is proved impossible.
func (q *quarrel) excluded() bool {
	sub := &network{works: q.works, index: map[*task]int{}}
	copies := map[*task]*task{}
	for _, t := range q.tasks {
		c := *t
		copies[t] = &c
		sub.tasks = append(sub.tasks, &c)
		if !slices.Contains(sub.rooms, t.room) {
			sub.rooms = append(sub.rooms, t.room)
		}
	}
	for _, t := range q.tasks {
		c := copies[t]
		c.after = nil
		for i, l := range t.after {
			if !q.inside[l.task] {
				continue
			}
			l.task = copies[l.task]
			at := func(kind string) func(ask) bool {
				return func(a ask) bool { return a.kind == kind && a.task == t && a.lag == i }
			}
			if q.drops(at("wait")) {
				l.least = 0
			}
			if q.drops(at("latest")) {
				l.most = -1
			}
			c.after = append(c.after, l)
		}
		if q.drops(func(a ask) bool { return a.kind == "release" && a.task == t }) {
			c.release = max(q.works.opens(t.crew), t.room.ready)
		}
		if q.drops(func(a ask) bool { return a.kind == "hold" && a.task == t }) {
			c.until, c.minutes = 0, 0
		}
		c.windows = slices.DeleteFunc(slices.Clone(t.windows), func(w *window) bool {
			return q.drops(func(a ask) bool { return a.window == w })
		})
	}
	p := sub.problem(0)
	for i := range p.Resources {
		p.Resources[i].Forbidden = q.away(sub, i, p.Resources[i].Forbidden)
		if k := i / 2; k < len(q.works.firm.Crews) && q.drops(func(a ask) bool { return a.kind == "people" && a.key == q.works.firm.Crews[k].Key }) {
			p.Resources[i].Capacity, p.Resources[i].Moves = siteCapacity, false
		}
	}
	r, err := rcpsp.Solve(q.ctx, p, rcpsp.Options{Schedules: int64(20 + 4000/len(p.Activities)), Seed: q.works.limits.Seed, Unexplained: true})
	return err == nil && r.Status == rcpsp.Infeasible
}

// away are the forbidden times of a resource, none where the hours of its crew
// or site are dropped.
func (q *quarrel) away(sub *network, i int, had []rcpsp.Interval) []rcpsp.Interval {
	crews := q.works.firm.Crews
	if i < 2*len(crews) {
		if q.drops(func(a ask) bool { return a.kind == "hours" && a.key == crews[i/2].Key }) {
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
			if at == i && q.drops(func(a ask) bool { return a.kind == "site" && a.key == r.site }) {
				return nil
			}
			at++
		}
	}
	return had
}

// words are what is left of the quarrel, the latest times first.
func (q *quarrel) words() []string {
	var out []string
	called := q.works.called
	for i := len(q.asks) - 1; i >= 0; i-- {
		a := q.asks[i]
		if a.dropped {
			continue
		}
		switch a.kind {
		case "latest":
			l := a.task.after[a.lag]
			out = append(out, fmt.Sprintf("in %s, %s at most %s after %s (%s)", called.room(a.task.room.key), a.task.title, words(l.most), l.task.title, l.why))
		case "wait":
			l := a.task.after[a.lag]
			out = append(out, fmt.Sprintf("in %s, %s at least %s after %s (%s)", called.room(a.task.room.key), a.task.title, words(l.least), l.task.title, l.why))
		case "release":
			w := &maker{works: q.works, clock: q.works.clock}
			out = append(out, fmt.Sprintf("%s not before %s (%s)", a.task.title, q.works.clock.DayWords(a.task.release), w.releaseWords(a.task)))
		case "hold":
			if a.task.until > 0 {
				out = append(out, fmt.Sprintf("%s until %s", a.task.title, q.works.clock.DayWords(a.task.until-1)))
			} else {
				out = append(out, fmt.Sprintf("%s for %s", a.task.title, words(a.task.minutes)))
			}
		case "hours":
			out = append(out, "the working hours of "+called.crew(a.key))
		case "people":
			out = append(out, called.crew(a.key)+": no more people than these, at one site at a time")
		case "site":
			out = append(out, "the hours of the site "+called.site(a.key))
		case "window":
			out = append(out, q.closedWords(a))
		}
	}
	if len(out) == 1 {
		out = append(out, q.between()...)
	}
	for _, t := range q.tasks {
		if t.fixed != nil && len(out) < 12 {
			out = append(out, fmt.Sprintf("%s is done or issued on %s", t.title, q.works.clock.DayWords(t.start)))
		}
	}
	return out
}

// remedy says what of the quarrel can be changed. A membrane that takes too long to
// cover is spoken of apart.
func (q *quarrel) remedy(longCover bool) string {
	var out []string
	add := func(s string) {
		if !slices.Contains(out, s) {
			out = append(out, s)
		}
	}
	for _, a := range q.asks {
		switch {
		case a.dropped:
		case a.kind == "latest" && longCover && a.task.kind == kindSet:
			return ""
		case a.kind == "latest":
			add("a product whose data sheet leaves more time")
		case a.kind == "hours":
			add("longer hours of " + q.works.called.crew(a.key) + " on some days, or another crew")
		case a.kind == "people":
			add("more people in " + q.works.called.crew(a.key) + ", or another crew")
		case a.kind == "site", a.kind == "window":
			add("other hours of the site")
		case a.kind == "hold":
			add(fmt.Sprintf("another time or place in the sequence for the stop %q", a.task.title))
		case a.kind == "release":
			add("goods that come sooner")
		}
	}
	if len(out) == 0 {
		return ""
	}
	slices.Sort(out)
	return ". What would help: " + strings.Join(out, "; ")
}

// between says how much work lies between what is held together by one latest
// time.
func (q *quarrel) between() []string {
	minutes, n := 0, 0
	for _, t := range q.tasks {
		if t.fixed == nil && t.crew != "" {
			minutes += t.minutes
			n++
		}
	}
	if n == 0 {
		return nil
	}
	return []string{fmt.Sprintf("the work from one to the other is %d activities of together %s", n, words(minutes))}
}

// closedWords says why a window is closed, at its first closed minute from now.
func (q *quarrel) closedWords(a ask) string {
	for _, v := range Outside(a.window.open, q.works.begin, q.works.horizon) {
		if why := a.window.why(v.Start); why != "" {
			if a.window.daily {
				return why
			}
			return fmt.Sprintf("from %s: %s", q.works.clock.Words(v.Start), why)
		}
	}
	return "hours that are closed to " + a.task.title
}
