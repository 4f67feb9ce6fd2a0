package scheduler

import (
	"cmp"
	"fmt"
	"strings"

	"potlife/rooms"
	"potlife/takeoff"
)

// Moved says in words what a plan takes off a crew's day that an earlier plan
// had on it, where it goes and what it waits for: work that is done by now or
// comes sooner is not named.
func Moved(was, is *Plan, crew string, date rooms.Date) []string {
	if was == nil || is == nil {
		return nil
	}
	before, after := clockOf(was), clockOf(is)
	now, called := map[string]*Activity{}, called(&is.Firm, is.Jobs)
	for i := range is.Activities {
		now[is.Activities[i].ID] = &is.Activities[i]
	}
	var out []string
	for i := range was.Activities {
		a := &was.Activities[i]
		if a.Crew != crew || before.Day(a.Start) != date {
			continue
		}
		b := now[a.ID]
		switch {
		case b == nil: // another split of the same work, or none of it
			continue
		case b.Crew == crew && !date.Before(after.Day(b.Start)):
			continue
		}
		text := fmt.Sprintf("%s in %s: now on %s", b.Title, called.room(b.Room), after.Words(b.Start))
		if b.Crew != crew {
			text += " by " + called.crew(b.Crew)
		}
		if b.Because != "" {
			text += ", because " + b.Because
		}
		out = append(out, text)
	}
	return out
}

func clockOf(p *Plan) Clock {
	c := Clock{p.Epoch, p.Firm.Zone}
	if c.Zone == nil {
		c.Zone = p.Epoch.Location()
	}
	return c
}

// because says what a task waited for last before it could start; "" where
// nothing held it.
func (m *maker) because(t *task) string {
	return m.becauseOf(t, 0)
}

func (m *maker) becauseOf(t *task, depth int) string {
	free, why := m.works.opens(t.crew), ""
	var on *task
	for _, l := range t.after {
		from := l.task.start + l.task.minutes
		if v := from + l.from(from); v > free {
			free, why, on = v, l.why, l.task
		}
	}
	if t.release > free {
		free, why, on = t.release, m.releaseWords(t), nil
	}
	if s, until := m.shutOut(t, free); s != "" && until <= t.start {
		return s
	}
	start, ok := earliest(m.works.openFor(t, t.crew), free, t.minutes)
	switch {
	case ok && start < t.start:
		if s := m.toolHeld(t, start); s != "" {
			return s
		}
		if s := m.keptBack(t, start); s != "" {
			return s
		}
		return "other work of " + m.works.called.crew(t.crew) + " comes before"
	case on != nil && on.fixed == nil && depth < 20 && free == on.start+on.minutes:
		if root := m.becauseOf(on, depth+1); root != "" {
			return root // what comes right before it was held up itself
		}
	}
	if why == "" || on == nil {
		return why
	}
	return fmt.Sprintf("%s: until %s", why, m.clock.Words(free))
}

// releaseWords says which product a task waits for, and of which order; of what is sawn
// wet before, that for which the saw waits too.
func (m *maker) releaseWords(t *task) string {
	at := t.release
	if t.why == sawnWhy {
		at = t.came
	}
	product := ""
	if t.why == "" || t.why == sawnWhy {
		product = m.comesOn(t, at)
	}
	switch {
	case product != "" && t.why != "":
		return product + ", and " + t.why
	case product != "" || t.why != "":
		return cmp.Or(product, t.why)
	}
	return fmt.Sprintf("the room is ready on %s", m.clock.DayWords(t.release))
}

// comesOn says which product of a task can be used from a minute, and of which order it
// is; "" where none can.
func (m *maker) comesOn(t *task, at int) string {
	for _, u := range t.products {
		d := m.works.releases[takeoff.Use{Product: u.Product, Room: t.room.key}]
		if d.IsZero() || m.clock.DayStart(d) != at {
			continue
		}
		text := fmt.Sprintf("%s can be used from %s", m.works.called.product(u.Product), d.Words())
		for _, o := range m.placed {
			for _, l := range o.Lines {
				i := strings.Index(o.Notes, OverdueNote)
				if l.Product == u.Product && i >= 0 {
					note, _, _ := strings.Cut(o.Notes[i:], ".")
					return text + " (order " + o.Key + " " + note + ")"
				}
			}
		}
		return text
	}
	return ""
}

// OverdueNote begins the note on an order that should have come and has not.
const OverdueNote = "overdue: expected"
