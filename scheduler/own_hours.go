package scheduler

import (
	"slices"
	"strings"

	"potlife/rooms"
)

// ownHours reports whether a person has hours or dates of his or her own.
func (p *Person) ownHours() bool {
	return len(p.Hours)+len(p.Off)+len(p.On)+len(p.Special) > 0
}

// ownHours reports whether one of the crew's people has.
func (c *Crew) ownHours() bool {
	return slices.ContainsFunc(c.People, func(p Person) bool { return p.ownHours() })
}

// mayMiss reports whether somebody of a crew may be away while it works.
func (c *Crew) mayMiss() bool { return len(c.Away) > 0 || c.ownHours() }

func compareOwnHours(a, b Person) int {
	switch x, y := a.ownHours(), b.ownHours(); {
	case x == y:
		return 0
	case y:
		return -1
	}
	return 1
}

// missing are the times of a day, in minutes after midnight, at which a person is not
// there by hours of his or her own.
func (p *Person) missing(d rooms.Date) []Interval {
	spans := datedHours(p.Special, d)
	switch {
	case slices.Contains(p.Off, d):
		return []Interval{{0, 24 * 60}}
	case len(spans) > 0:
	case len(p.Hours) == 0 || slices.Contains(p.On, d):
		return nil
	default:
		spans = week(p.Hours)[d.Weekday()]
	}
	var in []Interval
	for _, h := range spans {
		in = append(in, Interval{h.Start, h.End})
	}
	return Outside(normal(in), 0, 24*60)
}

// awayOn are the absences of a crew that count on a day, and more of other days: those
// dated, and the times that its people's own hours leave out. Who is away for two reasons
// at a time is away once.
func (c *Crew) awayOn(d rooms.Date) []Absence {
	if !c.ownHours() {
		return c.Away
	}
	var out []Absence
	for _, a := range c.Away {
		if p, known := c.Named(a.Who); !known || !p.ownHours() {
			out = append(out, a)
		}
	}
	for i := range c.People {
		p := &c.People[i]
		if !p.ownHours() {
			continue
		}
		missing := p.missing(d)
		for _, a := range c.Away {
			switch {
			case !strings.EqualFold(a.Who, p.Name) || d.Before(a.From) || a.To.Before(d):
			case a.hourly():
				missing = append(missing, Interval{a.Start, a.End})
			default:
				missing = append(missing, Interval{0, 24 * 60})
			}
		}
		for _, v := range normal(missing) {
			out = append(out, Absence{Who: p.Name, Helper: p.Helper, From: d, To: d, Start: v.Start, End: v.End})
		}
	}
	return out
}

// shifts are the hours of a crew on a day, days off left aside; the whole day where it
// usually does not work.
func (c *Crew) shifts(d rooms.Date) []Interval {
	hours := datedHours(c.Special, d)
	if len(hours) == 0 {
		hours = week(c.Hours)[d.Weekday()]
	}
	var out []Interval
	for _, h := range hours {
		out = append(out, Interval{h.Start, h.End})
	}
	if len(out) == 0 {
		out = []Interval{{0, 24 * 60}}
	}
	return normal(out)
}

// ownWords says when of a day a person is not there by hours of his or her own, of
// those in which the crew works; "" where never.
func (p *Person) ownWords(d rooms.Date, shifts []Interval) string {
	missing := p.missing(d)
	there := Common(shifts, Outside(missing, 0, 24*60))
	switch {
	case len(Common(shifts, missing)) == 0:
		return ""
	case len(there) == 0:
		return p.Name + " on " + d.Words()
	}
	text := ""
	for i, v := range there {
		if i > 0 {
			text += " and "
		}
		text += timesOf(v.Start, v.End)
	}
	return p.Name + " but for " + text
}
