package scheduler

import (
	"slices"

	"potlife/rooms"
)

// hands are the people of a crew who are there for a piece of work, and who they are
// where that makes a difference.
type hands struct {
	setters, helpers int
	who              who
}

// least are the fewer of both; of as many the slower, as a rule.
func (h hands) least(o hands) hands {
	return hands{min(h.setters, o.setters), min(h.helpers, o.helpers),
		who{fewer(h.setters, o.setters, h.who.setters, o.who.setters), fewer(h.helpers, o.helpers, h.who.helpers, o.who.helpers)}}
}

// fewer is the set of the smaller number.
func fewer(n, m int, a, b uint64) uint64 {
	switch {
	case n < m:
		return a
	case m < n:
		return b
	}
	return min(a, b)
}

func (c *team) hands() hands { return hands{c.Setters, c.Helpers, c.who} }

// handsAt are those of a crew who are there at a minute of a day.
func (c *team) handsAt(d rooms.Date, minute int) hands {
	return c.handsOf(c.awayOn(d), d, minute)
}

// handsOf are those who are left of a crew at a minute of a day with such absences.
func (c *team) handsOf(away []Absence, d rooms.Date, minute int) hands {
	s, h := c.without(away, d, minute)
	return hands{s, h, c.whoOf(away, d, minute)}
}

// reduced is the crew with no more of its people.
func (c team) reduced(h hands) team {
	c.Setters, c.Helpers, c.who = h.setters, h.helpers, h.who
	return c
}

// manning says with how many of its crew the work of a room is done: setting by
// piece, work in fields by slot and surface, other work by slot. All of the crew do
// what it does not name.
type manning map[string]hands

// note keeps the fewest of those by whom something is done.
func (m manning) note(key string, h hands) {
	if was, ok := m[key]; ok {
		h = h.least(was)
	}
	m[key] = h
}

// noteWork notes a slot's work on surfaces.
func (m manning) noteWork(slot string, surfaces []string, h hands) {
	m.note(slot, h)
	for _, k := range surfaces {
		m.note(slot+"/"+k, h)
	}
}

// handsFor are the people for a step's work of a key: as its manning says, or all of
// the crew where the step asks for more than that.
func (b *builder) handsFor(s Step, key string) hands {
	whole := b.whole.hands()
	h, ok := b.manned[key]
	if h = h.least(whole); !ok || h.setters < max(1, s.Setters) || h.helpers < s.Helpers {
		return whole
	}
	return h
}

// handsForBlock are the people for a block that is set: all of them where a tile
// takes two and one would be there.
func (b *builder) handsForBlock(s Step, k block) hands {
	if len(b.manned) == 0 {
		return b.whole.hands()
	}
	h := b.handsFor(s, k.items[0].piece.ID)
	if h.setters+h.helpers < 2 && !b.crew.LiftAid && b.heavyOf(k.items) != "" {
		return b.whole.hands()
	}
	return h
}

// with lets so many of the crew do what is built next.
func (b *builder) with(h hands) {
	if b.crew.hands() == h {
		return
	}
	if whole := b.whole; whole.hands() == h {
		b.crew = whole
	} else {
		some := whole.reduced(h)
		b.crew = &some
	}
	b.gang = gangOf(b.crew.Crew, b.r.people, b.rates)
}

// alike reports whether other people of the crew take as long for the room's setting as
// those for whom it is built: who finds no place in the room is not missed there.
func (b *builder) alike(by hands) bool {
	if by == b.crew.hands() {
		return true
	}
	if by.who != b.crew.who {
		return false
	}
	return gangOf(b.crew.reduced(by).Crew, b.r.people, b.rates) == b.gang && (by.helpers == 0) == (b.crew.Helpers == 0)
}

// strengths are how many of a crew are there at some time of a span: all of them first,
// or the most that ever are where people have hours of their own.
func (w *works) strengths(c *team) []hands {
	if c.roll != nil {
		return w.strong[c.Key]
	}
	return c.strengths(w.clock.Day(w.begin), w.clock.Day(w.horizon))
}

func (c *team) strengths(from, to rooms.Date) []hands {
	out := []hands{c.hands()}
	for _, a := range c.Away {
		for d := later(a.From, from); !to.Before(d) && !a.To.Before(d); d = d.AddDays(1) {
			for _, at := range c.turns(d) {
				if h := c.handsAt(d, at); h.setters > 0 && !slices.Contains(out, h) {
					out = append(out, h)
				}
			}
		}
	}
	return out
}

// there are the people of a crew who are there all the time from one minute to
// another.
func (c Clock) there(crew *team, start, finish int) hands {
	if !crew.mayMiss() {
		return crew.hands()
	}
	h := c.handsAt(crew, start)
	for at := c.nextTurn(crew, start); at < finish; at = c.nextTurn(crew, at) {
		h = h.least(c.handsAt(crew, at))
	}
	return h
}

func (c Clock) handsAt(crew *team, minute int) hands {
	if crew.roll != nil {
		return crew.roll[crew.roll.find(minute)].hands
	}
	at := c.At(minute)
	return crew.handsAt(rooms.DateOf(at), at.Hour()*60+at.Minute())
}

// nextTurn is the next minute at which somebody of a crew may come or go: on a new
// day at the latest.
func (c Clock) nextTurn(crew *team, minute int) int {
	d := c.Day(minute)
	if i := crew.roll.find(minute) + 1; i < len(crew.roll) {
		return crew.roll[i].at
	}
	for _, m := range crew.turns(d) {
		if at := c.OnDay(d, m); at > minute {
			return at
		}
	}
	return c.DayStart(d.AddDays(1))
}
