package scheduler

import (
	"fmt"
	"slices"
)

// delay is a stretch of time before a task with what took it: a cure or a delivery,
// days off, hours that are closed to such work, or other work.
type delay struct {
	task    *task
	minutes int
	until   int    // when it is over
	key     string // delays of one key have one cause
	why     string
	many    bool // however short, many of them add up to a late room
}

// delays takes the time between the end of what a task follows and its start apart.
func (m *maker) delays(t *task) []delay {
	ready, why, key := m.works.opens(t.crew), "", ""
	for _, l := range t.after {
		ready = max(ready, l.task.start+l.task.minutes)
	}
	free := ready
	for _, l := range t.after {
		if v := l.task.start + l.task.minutes + l.least; v > free {
			free, why = v, l.why
		}
	}
	if t.release > free {
		free, why = t.release, m.releaseWords(t)
		if free == t.room.ready && t.room.room.Ready.IsZero() {
			key = startKey
		}
	}
	if key == "" {
		key = why
	}
	at := free
	if t.crew == "" {
		return []delay{{t, free - ready, free, key, why, false}}
	}
	called := m.works.called.crew(t.crew)
	var closed []delay
	if v, ok := earliest(m.works.common[[2]string{t.crew, t.room.site}], free, t.minutes); ok && v <= t.start {
		closed, at = m.closedDays(t, free, v), v
	}
	out := append([]delay{{t, free - ready, at, key, why, false}}, closed...)
	if why, until := m.shutOut(t, free); why != "" && until <= t.start {
		out = append(out, delay{t, until - at, until, "closed", why, true})
		at = until
	}
	if s := m.toolHeld(t, at); s != "" && at < t.start {
		return append(out, delay{t, t.start - at, t.start, "busy", s, false})
	}
	if s := m.keptBack(t, at); s != "" {
		return append(out, delay{t, t.start - at, t.start, "kept back", s, false})
	}
	return append(out, delay{t, t.start - at, t.start, "busy", "other work of " + called + m.awayOn(t.crew, free), false})
}

// awayOn adds who of a crew is away at a minute.
func (m *maker) awayOn(crew string, minute int) string {
	if c := m.works.crews[crew]; c != nil {
		if who := c.awayWords(m.clock.Day(minute)); who != "" {
			return " (away: " + who + ")"
		}
	}
	return ""
}

// shutOut says what besides the hours of crew and site puts a task off that could
// begin at a minute, and until when: of the times closed to it those that put it off
// the longest; "" where none does.
func (m *maker) shutOut(t *task, free int) (string, int) {
	common := from(m.works.common[[2]string{t.crew, t.room.site}], free)
	base, ok := earliest(common, free, t.minutes)
	until, may := earliest(m.works.openFor(t, t.crew), free, t.minutes)
	if !ok || !may || until <= base {
		return "", base
	}
	near := Common(common, []Interval{{free, until + t.minutes}})
	var worst *window
	longest := -1
	for _, win := range t.windows {
		if v, ok := earliest(Common(near, win.open), free, t.minutes); ok && v > base && v > longest {
			worst, longest = win, v
		}
	}
	if worst == nil { // each alone would let it begin
		return "", base
	}
	return worst.why(Outside(worst.open, base, base+t.minutes)[0].Start), until
}

// startKey is the key of what waits for the job's own start.
const startKey = "start"

// mostDelay is how long a delay may be and need no word.
const mostDelay = 12 * 60

// leadingOf is the work that leads to the last of a room's tasks: of what each task
// follows, that which let it begin last. It ends where a date lets work begin: a
// delivery's, a hold's or that on which the room is ready. What else the room waits for
// does not make it late.
func leadingOf(seq []*task) []*task {
	var t *task
	for _, o := range seq {
		if o.fixed == nil && (t == nil || o.start+o.minutes > t.start+t.minutes) {
			t = o
		}
	}
	var out []*task
	for t != nil && t.fixed == nil {
		out = append(out, t)
		free := t.release
		var before *task
		for _, l := range t.after {
			if v := l.task.start + l.task.minutes + l.least; v > free {
				free, before = v, l.task
			}
		}
		if t.kind == kindHold && t.until > 0 && t.start+t.minutes >= t.until {
			before = nil
		}
		t = before
	}
	return out
}

// held is how long others hold up what follows them: from the end of what the hold
// follows, or the day on which its room is ready, to its own end.
func (m *maker) held(hold, next *task) delay {
	begin := max(hold.room.ready, m.works.begin)
	for _, l := range hold.after {
		begin = max(begin, l.task.start+l.task.minutes+l.least)
	}
	return delay{task: next, minutes: hold.start + hold.minutes - begin, until: next.start, key: "hold", why: hold.title}
}

// blocked says what the work that leads to the last of a room's tasks waits for longest.
// Hours that are closed to it count together: each area waits a day for them, and all
// of them a week.
func (m *maker) blocked(seq []*task) string {
	var worst, start, weekend delay
	var many []delay
	leading := leadingOf(seq)
	for i, t := range leading {
		if t.kind == kindCut { // cutting goes on beside the rest
			continue
		}
		list := m.delays(t)
		if t.kind == kindHold && i > 0 {
			list = []delay{m.held(t, leading[i-1])}
		}
		for _, d := range list {
			switch {
			case d.minutes <= 0 || d.why == "":
			case d.key == startKey: // the job's own start, said where there is nothing else
				start = d
			case d.key == weekendKey: // so are days on which nobody ever works
				if d.minutes > weekend.minutes {
					weekend = d
				}
			case d.many:
				many = append(many, d)
			case d.minutes > mostDelay && d.minutes > worst.minutes:
				worst = d
			}
		}
	}
	together := 0
	for _, d := range many {
		together += d.minutes
	}
	text := ""
	if worst.task != nil && worst.minutes >= together {
		text = worst.words(m.clock)
	}
	if text == "" && together <= mostDelay && weekend.minutes > max(mostDelay, start.minutes) {
		return weekend.words(m.clock)
	}
	if text == "" && start.minutes > mostDelay && together <= mostDelay {
		return start.words(m.clock)
	}
	if len(many) == 0 || together <= mostDelay || text != "" && together < 24*60 {
		return text
	}
	shut := slices.MaxFunc(many, func(a, b delay) int { return a.minutes - b.minutes })
	if text != "" {
		text += "; "
	}
	text += shut.words(m.clock)
	if len(many) > 1 {
		text += fmt.Sprintf("; for that %s of the room wait %s together", several(len(many), "activity"), words(together))
	}
	return text
}

func (d delay) words(c Clock) string {
	return fmt.Sprintf("%s waits until %s: %s", d.task.title, c.Words(d.until), d.why)
}
