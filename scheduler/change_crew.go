package scheduler

import (
	"fmt"
	"slices"

	"potlife/rooms"
	"potlife/scheduler/rcpsp"
	"potlife/takeoff"
)

// A room stays with its crew when a plan is made again: a change costs the time to
// show the room and to fetch tools, and upsets people. Where its crew is away for days
// others may go on with it, if all is so much the better for it, and on the same terms
// the crew that began it takes it back when it is there again.

// changeMinutes is how much less late rooms are together, or how much sooner all is
// done, for each room that changes its crew: half a working day; common practice.
const changeMinutes = 240

// awayDays is from how many of its working days on a crew counts as away.
const awayDays = 2

// movable reports whether a room that is planned for a crew may go to another: its
// crew is away for days before the room was to be done, and nobody named it for the
// room.
func (c *chooser) movable(room int) bool {
	crew := c.prior[c.rooms[room].key]
	if !c.w.replan || crew == "" || c.rooms[room].room.Crew != "" {
		return false
	}
	return c.away(crew, room)
}

// away reports whether a crew is away for days before a room is done by the plan in
// force: weeks that it is off later are no reason to change crews now.
func (c *chooser) away(crew string, room int) bool {
	gone, known := c.gone[crew]
	if !known {
		gone = c.w.horizon
		if from, _, days := c.w.offDays(crew); days >= awayDays {
			gone = c.w.clock.DayStart(from)
		}
		if c.gone == nil {
			c.gone = map[string]int{}
		}
		c.gone[crew] = gone
	}
	return gone < c.rooms[room].endBefore
}

// back is the crew that began a room which has gone to another since, where it is there
// again to take it back; empty where there is none, or somebody is named for the room. A
// room that is back leaves its crew again only when that is away, so it does not go to
// and fro.
func (c *chooser) back(room int) string {
	r := c.rooms[room]
	now := c.prior[r.key]
	if !c.w.replan || now == "" || r.room.Crew != "" {
		return ""
	}
	first := firstAtWork(r)
	if first == now || c.w.crews[first] == nil || c.away(first, room) {
		return ""
	}
	return first
}

// firstAtWork is the crew that began a room, empty where none has.
func firstAtWork(r *roomWork) string {
	for _, f := range r.fixed {
		if f.Crew != "" {
			return f.Crew
		}
	}
	return ""
}

// mayChange reports whether a room that is planned for a crew may go to another.
func (c *chooser) mayChange(room int) bool { return c.movable(room) || c.back(room) != "" }

// begun is the crew at work in a room, the last one where there were several; empty
// where none is or the firm has it no longer.
func (c *chooser) begun(room int) string {
	crew := ""
	for _, f := range c.rooms[room].fixed {
		if f.Crew != "" {
			crew = f.Crew
		}
	}
	if now := c.prior[c.rooms[room].key]; crew != "" && now != "" { // it has gone to another already
		crew = now
	}
	if c.w.crews[crew] == nil {
		return ""
	}
	return crew
}

// offDays are the first days to come, one after the other but for those on which it
// never works, on which a crew is off by itself, and how many of them it would work.
func (w *works) offDays(key string) (from, to rooms.Date, days int) {
	crew := w.crews[key]
	if crew == nil || len(crew.Off) == 0 && !crew.mayMiss() {
		return from, to, 0
	}
	hours, closed, open, off := week(crew.Hours), dateSet(w.firm.Days.Off), dateSet(w.firm.Days.On), dateSet(crew.Off)
	last := w.clock.Day(w.opens(key)).AddDays(aheadOff)
	for d := w.clock.Day(w.opens(key)); !last.Before(d); d = d.AddDays(1) {
		usual := hours[d.Weekday()]
		if len(usual) == 0 || closed[d] && !open[d] {
			continue
		}
		if !off[d] && len(crew.staffed(d, usual)) > 0 {
			if days >= awayDays {
				break
			}
			days = 0
			continue
		}
		if days == 0 {
			from = d
		}
		to = d
		days++
	}
	return from, to, days
}

// aheadOff is how many days ahead it is looked whether a crew is off.
const aheadOff = 60

// changed is how many rooms an assignment gives to another crew than before.
func (c *chooser) changed(crew []int) int {
	n := 0
	if !c.w.replan {
		return 0
	}
	for r, k := range crew {
		if was := c.prior[c.rooms[r].key]; was != "" && was != c.w.teams[k].Key && c.mayChange(r) {
			n++
		}
	}
	return n
}

// worth reports whether a plan in which so many more rooms change their crew is better
// by as much as that costs.
func worth(next, best rcpsp.Score, more int) bool {
	if more <= 0 {
		return next.Less(best)
	}
	cost := more * changeMinutes
	if next.Lateness != best.Lateness {
		return best.Lateness-next.Lateness >= cost
	}
	return best.Makespan-next.Makespan >= cost
}

// handedOn is a room with whose work one crew goes on after another.
type handedOn struct {
	from, to string
	first    *task // that is planned for the other
	back     bool  // that one began it
	begun    bool  // the one has worked in it
}

// handOns are the rooms that change their crew: those begun by one and planned for
// another, those planned for another than before, and those that go back to who began
// them.
func (m *maker) handOns() map[*roomWork]handedOn {
	out := map[*roomWork]handedOn{}
	for _, t := range m.choice.net.tasks {
		if t.crew == "" || t.fixed != nil {
			continue
		}
		before := m.crewBefore[t.room.key]
		n := handedOn{from: before, to: t.crew, first: t, back: firstAtWork(t.room) == t.crew}
		for _, f := range t.room.fixed {
			if f.Crew != "" {
				n.from, n.begun = f.Crew, true
			}
		}
		if n.back && n.from == t.crew && before != "" { // the other had not come to it yet
			n.from, n.begun = before, false
		}
		if h, ok := out[t.room]; n.from != "" && n.from != t.crew && (!ok || t.start < h.first.start) {
			out[t.room] = n
		}
	}
	return out
}

// tellHandOns says on the first activity of a crew that goes on with a room who began
// it, and as a finding which rooms change their crew and why.
func (m *maker) tellHandOns() (out []takeoff.Finding) {
	list := m.handOns()
	for _, r := range m.rooms {
		h, ok := list[r]
		if !ok {
			continue
		}
		called := m.works.called
		text, note := fmt.Sprintf("is planned for %s instead of %s", called.crew(h.to), called.crew(h.from)), ""
		switch {
		case h.back:
			text = fmt.Sprintf("is planned for %s, who began it, instead of %s", called.crew(h.to), called.crew(h.from))
			note = fmt.Sprintf("%s went on with it: ask them how it stands.", called.crew(h.from))
		case h.begun:
			text = fmt.Sprintf("was begun by %s and goes on with %s", called.crew(h.from), called.crew(h.to))
			note = fmt.Sprintf("Begun by %s: ask them how it stands.", called.crew(h.from))
		}
		if h.begun {
			h.first.notes = append(slices.Clip(h.first.notes), note)
		}
		text += " from " + m.clock.DayWords(h.first.start)
		if from, to, days := m.works.offDays(h.from); days >= awayDays {
			text += fmt.Sprintf(": %s is away from %s to %s", called.crew(h.from), from.Words(), to.Words())
		}
		out = append(out, takeoff.Finding{Rule: "change of crew", Severity: takeoff.Info, Where: r.key, Message: text, Source: "the crews' calendars and the due dates"})
	}
	return out
}
