package scheduler

import (
	"fmt"
	"slices"
	"strings"
)

// words are what is left of the quarrel, the latest times first.
func (q *quarrel) words() []string {
	var out []string
	called := q.works.called
	for _, a := range slices.Backward(q.kept()) {
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
		case "tool":
			out = append(out, q.toolWords(a.key))
		case "window":
			out = append(out, q.closedWords(a))
		}
	}
	return append(append(out, q.workWords()...), q.doneWords()...)
}

// workWords say what work is left of the quarrel, by crew.
func (q *quarrel) workWords() []string {
	by, crews := map[string][]*task{}, []string{}
	for _, a := range q.kept() {
		if a.kind == "work" {
			if by[a.task.crew] == nil {
				crews = append(crews, a.task.crew)
			}
			by[a.task.crew] = append(by[a.task.crew], a.task)
		}
	}
	var out []string
	for _, c := range crews {
		var parts []string
		list, sum := by[c], 0
		for _, t := range list {
			sum += t.minutes
			parts = append(parts, fmt.Sprintf("%s in %s (%s without a stop)", t.title, q.works.called.room(t.room.key), words(t.minutes)))
		}
		if n := len(list); n > 3 {
			parts = []string{fmt.Sprintf("%d activities from %s to %s in %s, together %s", n, list[0].title, list[n-1].title, q.roomsOf(list), words(sum))}
		}
		out = append(out, fmt.Sprintf("the work of %s: %s", q.works.called.crew(c), strings.Join(parts, ", ")))
	}
	return out
}

// roomsOf names the rooms of tasks.
func (q *quarrel) roomsOf(list []*task) string {
	var names []string
	for _, t := range list {
		if name := q.works.called.room(t.room.key); !slices.Contains(names, name) {
			names = append(names, name)
		}
	}
	if n := len(names); n > 4 {
		return fmt.Sprintf("%s and %d more rooms", strings.Join(names[:3], ", "), n-3)
	}
	return strings.Join(names, ", ")
}

// doneWords say what of it is done or issued.
func (q *quarrel) doneWords() []string {
	var out []string
	more := 0
	for _, a := range q.kept() {
		switch {
		case a.kind != "done":
		case len(out) == 6:
			more++
		default:
			out = append(out, fmt.Sprintf("in %s, %s is done or issued on %s", q.works.called.room(a.task.room.key), a.task.title, q.works.clock.DayWords(a.task.start)))
		}
	}
	if more > 0 {
		out = append(out, fmt.Sprintf("%d more activities that are done or issued", more))
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
	for _, a := range q.kept() {
		switch {
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
		case a.kind == "tool":
			add(fmt.Sprintf("another of the tool %q", a.key))
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
	return "hours that are closed to some of the work"
}

func (q *quarrel) toolWords(key string) string {
	for _, t := range q.works.firm.Tools {
		if t.Key == key {
			return fmt.Sprintf("no more than %d of the tool %q", t.Count, key)
		}
	}
	return fmt.Sprintf("the tool %q", key)
}
