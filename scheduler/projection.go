package scheduler

import (
	"cmp"
	"slices"
)

// projection dates the tasks of a network once more, in their order of time, each with
// those of its crew who are there when its turn comes: two where two are there, one
// goes on alone while the other is away. It is rough, as areas are not divided anew
// while it runs; what it is for is to tell by whom each piece of work is done.
type projection struct {
	w          *works
	start, end map[*task]int
	by         map[*task]hands
	busy       booking
}

// project dates a network's tasks by who is there.
func (n *network) project() *projection {
	x := &projection{w: n.works, start: make(map[*task]int, len(n.tasks)), end: make(map[*task]int, len(n.tasks)), by: map[*task]hands{}, busy: newBooking(n.works)}
	order := slices.Clone(n.tasks)
	slices.SortStableFunc(order, func(a, b *task) int { return cmp.Compare(a.start, b.start) })
	for _, t := range order { // what is issued stands, whatever comes before
		if t.fixed != nil {
			x.put(t, t.start, t.minutes, t.gang.hands())
		}
	}
	for _, t := range order {
		if t.fixed == nil {
			x.place(t)
		}
	}
	return x
}

func (x *projection) put(t *task, start, minutes int, people hands) {
	x.start[t], x.end[t] = start, start+minutes
	if t.crew != "" {
		x.busy.put(t.crew, stay{Interval{start, start + minutes}, people, t.room.site, nil})
	}
}

// place dates a task as early as what it waits for, its crew and its site let it.
func (x *projection) place(t *task) {
	at := max(0, t.release, t.until)
	for _, l := range t.after {
		f, ok := x.end[l.task]
		if !ok {
			f = l.task.start + l.task.minutes
		}
		at = max(at, f+l.from(f))
	}
	if t.crew == "" {
		x.put(t, at, t.minutes, hands{})
		return
	}
	crew, open := x.w.crews[t.crew], x.w.openFor(t, t.crew)
	for at < x.w.horizon {
		by := x.w.clock.there(crew, at, at+1)
		g, minutes, can := x.w.gangBy(t, by)
		start, ok := earliest(open, at, minutes)
		switch {
		case !can:
			at = x.w.clock.nextTurn(crew, at)
			continue
		case !ok:
			at = x.w.horizon
			continue
		case start > at && x.w.clock.there(crew, start, start+1) != by:
			at = min(start, x.w.clock.nextTurn(crew, at))
			continue
		}
		if all := x.w.clock.there(crew, start, start+minutes); all != by { // somebody goes meanwhile
			by = all
			if g, minutes, can = x.w.gangBy(t, by); !can || !Within(open, start, start+minutes) {
				at = x.w.clock.nextTurn(crew, start)
				continue
			}
		}
		if next := x.clash(t, start, minutes, by, g); next > start {
			at = next
			continue
		}
		x.by[t] = by
		x.put(t, start, minutes, g.hands())
		return
	}
	x.put(t, t.start, t.minutes, t.gang.hands()) // it stays where it is
}

// clash is the minute at which the first of a crew's other work is over beside which
// a task cannot begin at a minute, with those who are there; 0 where it can.
func (x *projection) clash(t *task, start, minutes int, by hands, g gang) int {
	next, setters, helpers := 0, g.setters, g.helpers
	for c := range x.busy.claims(t.crew, t.room.site, Interval{start, start + minutes}, nil) {
		if c.elsewhere { // the crew is at one site at a time
			setters = by.setters + 1
		} else {
			setters, helpers = setters+c.people.setters, helpers+c.people.helpers
		}
		if next == 0 || c.End < next {
			next = c.End
		}
	}
	if setters <= by.setters && helpers <= by.helpers {
		return 0
	}
	return next
}

// gangBy is the gang and the time of a task with so many of its crew there, and false
// where they cannot do it.
func (w *works) gangBy(t *task, by hands) (gang, int, bool) {
	if by == t.by {
		return t.gang, t.minutes, by.setters > 0
	}
	if !t.anyGang {
		return t.gang, w.minutesBy(t, t.gang, by), t.gang.setters <= by.setters && t.gang.helpers <= by.helpers
	}
	crew := *w.crews[t.crew]
	pair := t.area != nil && by.setters+by.helpers < 2 && !crew.LiftAid && crew.Setters+crew.Helpers > 1 && w.heavyOf(t.area.items) != ""
	g := gangOf(crew.reduced(by).Crew, t.room.people, w.rates)
	return g, w.minutesBy(t, g, by), by.setters > 0 && !pair
}

func (g gang) hands() hands { return hands{setters: g.setters, helpers: g.helpers} }

// minutesBy is the time of a task with another gang of its crew, of those who are there.
func (w *works) minutesBy(t *task, g gang, by hands) int {
	crew := w.crews[t.crew]
	minutes := float64(t.minutes) * t.gang.speed / g.speed
	if by.who != t.by.who || g != t.gang {
		kind, single := w.rateKindOf(t), w.rates.SingleSetter
		minutes = float64(minutes*crew.paceOf(by.who, kind, g, single)) / crew.paceOf(t.by.who, kind, t.gang, single)
	}
	return max(1, int(minutes+0.5))
}
