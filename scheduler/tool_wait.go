package scheduler

import (
	"cmp"
	"fmt"
	"slices"
	"sort"
)

// inUse are a plan's tasks by crew, by shared tool and by room, each in order of start.
type inUse struct{ crews, tools, rooms map[string][]*task }

// used sorts the tasks once.
func (m *maker) used() *inUse {
	if m.busy != nil {
		return m.busy
	}
	u := &inUse{map[string][]*task{}, map[string][]*task{}, map[string][]*task{}}
	for _, t := range m.byStart() {
		u.rooms[t.room.key] = append(u.rooms[t.room.key], t)
		if t.crew != "" {
			u.crews[t.crew] = append(u.crews[t.crew], t)
		}
		for _, k := range t.tools {
			u.tools[k] = append(u.tools[k], t)
		}
	}
	m.busy = u
	return u
}

// during are those of a list that go on in a span, without one; nothing lasts longer
// than two days of work.
func during(list []*task, from, to int, but *task) (out []*task) {
	i := sort.Search(len(list), func(k int) bool { return list[k].start >= from-2*1440 })
	for ; i < len(list) && list[i].start < to; i++ {
		if t := list[i]; t != but && t.start+t.minutes > from {
			out = append(out, t)
		}
	}
	return out
}

// toolHeld says which shared tool is with others when a task could begin and its own
// crew is free for it; "" where none is. A tool stays with a task as long as it lasts:
// the mixer for all mixes of an area, the saw for all its cuts.
func (m *maker) toolHeld(t *task, at int) string {
	crew := m.works.crews[t.crew]
	if crew == nil || len(t.tools) == 0 {
		return ""
	}
	setters, helpers := t.gang.setters, t.gang.helpers
	for _, u := range during(m.used().crews[t.crew], at, at+t.minutes, t) {
		setters, helpers = setters+u.gang.setters, helpers+u.gang.helpers
	}
	if setters > crew.Setters || helpers > crew.Helpers {
		return ""
	}
	for _, k := range m.in.Firm.Tools {
		if !slices.Contains(t.tools, k.Key) {
			continue
		}
		others := during(m.used().tools[k.Key], at, at+t.minutes, t)
		if len(others) < k.Count || len(others) == 0 {
			continue
		}
		last := slices.MaxFunc(others, func(a, b *task) int { return cmp.Compare(a.start+a.minutes, b.start+b.minutes) })
		return fmt.Sprintf("the %s is with %s, for %s in %s", k.Key, m.works.called.crew(last.crew), last.title, m.works.called.room(last.room.key))
	}
	return ""
}
