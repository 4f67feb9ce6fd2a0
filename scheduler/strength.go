package scheduler

import (
	"fmt"
	"slices"

	"potlife/rooms"
	"potlife/scheduler/rcpsp"
)

// Absence is one person of a crew away while the others work on.
type Absence struct {
	Who      string
	Helper   bool // else a setter
	From, To rooms.Date
	// Start and End are the hours on each of the days, in minutes after midnight;
	// both 0 is the whole day.
	Start, End int
}

// hourly reports whether the absence takes only hours of its days.
func (a Absence) hourly() bool { return a.End > 0 }

// on reports whether the person is away at a minute of a day.
func (a Absence) on(d rooms.Date, minute int) bool {
	return !d.Before(a.From) && !a.To.Before(d) && (!a.hourly() || a.Start <= minute && minute < a.End)
}

// DatedHours are working hours of one date in minutes after midnight, instead of
// those of its weekday: overtime, or an early finish.
type DatedHours struct {
	On         rooms.Date
	Start, End int
}

// strength is how many setters and helpers of a crew are there at a minute of a
// day.
func (c Crew) strength(d rooms.Date, minute int) (setters, helpers int) {
	return c.without(c.awayOn(d), d, minute)
}

// without is how many are left of a crew at a minute of a day with such absences.
func (c *Crew) without(away []Absence, d rooms.Date, minute int) (setters, helpers int) {
	setters, helpers = awayAt(away, d, minute)
	return max(0, c.Setters-setters), max(0, c.Helpers-helpers)
}

// awayAt counts the setters and helpers who are absent at a minute of a day.
func awayAt(away []Absence, d rooms.Date, minute int) (setters, helpers int) {
	for _, a := range away {
		switch {
		case !a.on(d, minute):
		case a.Helper:
			helpers++
		default:
			setters++
		}
	}
	return setters, helpers
}

// timesOf writes a span of a day, in minutes after midnight: "07:00 to 12:00".
func timesOf(start, end int) string {
	return fmt.Sprintf("%02d:%02d to %02d:%02d", start/60, start%60, end/60, end%60)
}

// turns are the minutes of a day at which somebody of a crew comes or goes, with
// its beginning.
func (c Crew) turns(d rooms.Date) []int { return turnsOf(c.awayOn(d), d) }

func turnsOf(away []Absence, d rooms.Date) []int {
	out := []int{0}
	for _, a := range away {
		if a.hourly() && a.on(d, a.Start) {
			out = append(out, a.Start)
			if a.End < 24*60 {
				out = append(out, a.End)
			}
		}
	}
	slices.Sort(out)
	return slices.Compact(out)
}

// staffed are the parts of a day's hours in which a setter of the crew is there:
// without one nothing is set.
func (c Crew) staffed(d rooms.Date, hours []rooms.DayHours) []rooms.DayHours {
	if !c.mayMiss() || c.Setters == 0 {
		return hours
	}
	var out []rooms.DayHours
	away := c.awayOn(d)
	turns := turnsOf(away, d)
	for _, h := range hours {
		for i, from := range turns {
			to := 24 * 60
			if i+1 < len(turns) {
				to = turns[i+1]
			}
			part := rooms.DayHours{Weekday: h.Weekday, Start: max(h.Start, from), End: min(h.End, to)}
			if s, _ := c.without(away, d, from); s > 0 && part.Start < part.End {
				out = append(out, part)
			}
		}
	}
	return out
}

// weakened is the crew as strong as on its weakest day with a setter in a span,
// and false where nobody is away then.
func (w *works) weakened(c *team) (team, bool) {
	weak := *c
	for _, h := range w.strengths(c) {
		weak = weak.reduced(weak.hands().least(h))
	}
	return weak, weak.Setters < c.Setters || weak.Helpers < c.Helpers
}

func later(a, b rooms.Date) rooms.Date {
	if a.Before(b) {
		return b
	}
	return a
}

// datedHours are the hours of a date that has its own.
func datedHours(in []DatedHours, d rooms.Date) []rooms.DayHours {
	var out []rooms.DayHours
	for _, h := range in {
		if h.On == d && h.Start < h.End {
			out = append(out, rooms.DayHours{Weekday: int(d.Weekday()), Start: h.Start, End: h.End})
		}
	}
	return out
}

// away is work that nobody does: people of a crew who are absent, over its
// working intervals that begin before a minute. Those who come and go every day by hours
// of their own are lent instead.
func (n *network) away(crew map[string]int, until int) []rcpsp.Activity {
	var out []rcpsp.Activity
	for _, c := range n.works.firm.Crews {
		if len(c.Away) == 0 || n.works.crews[c.Key].roll != nil {
			continue
		}
		for _, h := range n.works.hours[c.Key] {
			if h.Start >= until {
				break
			}
			if h.End <= n.works.shut(c.Key) {
				continue
			}
			for _, part := range n.works.clock.turned(c, h) {
				s, p := n.works.clock.strength(c, part.Start)
				if s == c.Setters && p == c.Helpers {
					continue
				}
				d := make([]int, crew[c.Key]+2)
				d[crew[c.Key]], d[crew[c.Key]+1] = c.Setters-s, c.Helpers-p
				out = append(out, rcpsp.Activity{Duration: part.End - part.Start, Demand: d, Latest: -1, Due: -1, Fixed: part.Start, Site: -1, Room: -1})
			}
		}
	}
	return out
}

// strength is how many setters and helpers of a crew are there at a minute.
func (c Clock) strength(crew Crew, minute int) (setters, helpers int) {
	at := c.At(minute)
	return crew.strength(rooms.DateOf(at), at.Hour()*60+at.Minute())
}

// turned parts a working interval where somebody of a crew comes or goes.
func (c Clock) turned(crew Crew, h Interval) []Interval {
	d := c.Day(h.Start)
	out := []Interval{h}
	for _, m := range crew.turns(d) {
		last := &out[len(out)-1]
		if at := c.OnDay(d, m); last.Start < at && at < last.End {
			out = append(out, Interval{at, last.End})
			out[len(out)-2].End = at
		}
	}
	return out
}

// missingAfter reports whether somebody of a crew is away in an interval that
// begins at a minute or later and before another.
func (n *network) missingAfter(from, to int) bool {
	for _, c := range n.works.firm.Crews {
		if n.works.crews[c.Key].roll != nil {
			continue
		}
		for _, a := range c.Away {
			start, end := n.works.clock.DayStart(a.From), n.works.clock.DayStart(a.To.AddDays(1))
			if start < to && end > max(from, n.works.shut(c.Key)) {
				return true
			}
		}
	}
	return false
}

// teamsOf are the crews, and behind them each crew that is short of somebody for
// a time once more, as strong as it is then: a room may be planned for the
// fewer, so that it does not wait until all are back.
//
// A crew whose people have hours of their own may never be all there: the first of its
// two is then as strong as it ever is.
func (w *works) teamsOf(crews []team) []team {
	out := slices.Clone(crews)
	for i := range crews {
		c := &crews[i]
		if c.roll != nil {
			if list := w.strengths(c); len(list) > 0 {
				out[i] = c.reduced(strongest(list))
			}
		}
		if weak, ok := w.weakened(c); ok && weak.hands() != out[i].hands() {
			out = append(out, weak)
		}
	}
	return out
}

// whole is a crew as strong as it ever is.
func (w *works) whole(key string) *team {
	i := slices.IndexFunc(w.firm.Crews, func(c Crew) bool { return c.Key == key })
	return &w.teams[i]
}

// awayWords says who of a crew is away on a day, or "".
func (c Crew) awayWords(d rooms.Date) string {
	text := ""
	for _, a := range c.Away {
		if d.Before(a.From) || a.To.Before(d) {
			continue
		}
		if text != "" {
			text += ", "
		}
		who := a.Who
		if who == "" {
			who = "somebody"
		}
		if text += fmt.Sprintf("%s until %s", who, a.To.Words()); a.hourly() {
			text += ", " + timesOf(a.Start, a.End)
		}
	}
	for i := range c.People {
		if own := c.People[i].ownWords(d, c.shifts(d)); own != "" {
			if text != "" {
				text += ", "
			}
			text += own
		}
	}
	return text
}
