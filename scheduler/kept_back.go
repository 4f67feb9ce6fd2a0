package scheduler

import "slices"

// keptBack says for what a task waits from a minute on that its crew could do sooner:
// for work that is to follow it within a time, and comes no sooner; "" where there is
// none, or the crew is at work all the while.
func (m *maker) keptBack(t *task, from int) string {
	at, ok := m.crewFree(t, from)
	if !ok {
		return ""
	}
	next, l := m.followsIn(t, at)
	if next == nil {
		return ""
	}
	text := next.title + " is to follow within " + words(l.most)
	if l.task != t {
		text += " of " + l.task.title
	}
	if u := m.awaited(next, t, at+t.minutes); u != nil {
		return text + "; " + m.releaseWords(u)
	}
	if slices.ContainsFunc(during(m.used().crews[next.crew], at, next.start, t), func(u *task) bool { return u.room != t.room }) {
		text += "; other work of " + m.works.called.crew(next.crew) + " comes before that"
	}
	return text
}

// crewFree is the first minute, from one on and before a task begins, at which its crew
// could do it beside all its other work.
func (m *maker) crewFree(t *task, from int) (int, bool) {
	crew, open := m.works.crews[t.crew], m.works.openFor(t, t.crew)
	if crew == nil {
		return 0, false
	}
	farthest := 0
	for _, w := range m.in.Firm.Travel {
		farthest = max(farthest, w.Minutes)
	}
	for {
		at, ok := earliest(open, from, t.minutes)
		if !ok || at >= t.start {
			return 0, false
		}
		until, setters, helpers := t.start, t.gang.setters, t.gang.helpers
		for _, u := range during(m.used().crews[t.crew], at-farthest, at+t.minutes+farthest, t) {
			way := m.works.way(u.room.site, t.room.site)
			if u.start+u.minutes+way <= at || at+t.minutes+way <= u.start {
				continue
			}
			if until = min(until, u.start+u.minutes+way); u.room.site != t.room.site {
				setters = crew.Setters + 1
			}
			setters, helpers = setters+u.gang.setters, helpers+u.gang.helpers
		}
		if setters <= crew.Setters && helpers <= crew.Helpers {
			return at, true
		}
		if from = max(until, at+1); from >= t.start {
			return 0, false
		}
	}
}

// followsIn is the work in a task's room that would come too late after it, were it
// done at a minute, with the wait that says so; of work that is to follow upon such work
// in turn, the last.
func (m *maker) followsIn(t *task, at int) (*task, *lag) {
	var next *task
	var wait *lag
	sooner := t.start - at
	for last := t; ; last = next {
		var after *task
		for _, u := range m.used().rooms[t.room.key] {
			for i := range u.after {
				l := &u.after[i]
				if l.task != last || m.works.latest(l) < 0 || last.start-sooner+last.minutes+m.works.latest(l) >= u.start {
					continue
				}
				if after == nil || u.start-m.works.latest(l) > after.start-m.works.latest(wait) {
					after, wait = u, l
				}
			}
		}
		if after == nil {
			return next, wait
		}
		next = after
	}
}

// awaited is the work up to a task, and not before another, which a date after a minute
// lets begin last; nil where none has such a date.
func (m *maker) awaited(t, but *task, minute int) *task {
	var worst *task
	list := []*task{t}
	for i := 0; i < len(list); i++ {
		if u := list[i]; u.release > minute && (worst == nil || u.release > worst.release) {
			worst = u
		}
		for _, l := range list[i].after {
			if l.task != but && !slices.Contains(list, l.task) {
				list = append(list, l.task)
			}
		}
	}
	return worst
}
