package scheduler

import (
	"fmt"
	"slices"
	"strings"

	"potlife/rooms"
)

// LongestReported is for how many days at most a report says somebody away; what lasts
// longer is a change of the firm.
const LongestReported = 366

// WithReported are crews short of those whom reports of kind "away" call absent, beside
// the absences of the firm. A report on a crew or a person that the firm has no more
// says nothing.
func WithReported(crews []Crew, records []Record) []Crew {
	var out []Crew
	for _, r := range records {
		if r.Kind != "away" || r.Away == nil {
			continue
		}
		i := slices.IndexFunc(crews, func(c Crew) bool { return c.Key == r.Crew })
		if i < 0 || crews[i].Stranger(crews[i].asNamed(*r.Away)) != "" {
			continue
		}
		if out == nil {
			out = slices.Clone(crews)
		}
		out[i].Away = slices.Concat(out[i].Away, out[i].Missing(*r.Away))
	}
	if out == nil {
		return crews
	}
	return out
}

// Missing are the parts of an absence that the crew's absences do not hold yet: who is
// called away twice is one fewer, not two. Absences without a name are somebody else's
// each.
func (c *Crew) Missing(a Absence) []Absence {
	a = c.asNamed(a)
	if a.Who == "" {
		return []Absence{a}
	}
	var out []Absence
	for d := a.From; !a.To.Before(d); d = d.AddDays(1) {
		for _, part := range c.freeOf(a, d) {
			out = lengthened(out, part)
		}
	}
	return out
}

// asNamed is an absence with the name and the part in the crew that its person has there.
func (c *Crew) asNamed(a Absence) Absence {
	if p, known := c.Named(a.Who); known {
		a.Who, a.Helper = p.Name, p.Helper
	}
	return a
}

// freeOf are the hours of one day of an absence in which the person is not away anyhow.
func (c *Crew) freeOf(a Absence, d rooms.Date) []Absence {
	first := Absence{Who: a.Who, Helper: a.Helper, From: d, To: d, Start: a.Start, End: a.End}
	if !a.hourly() {
		first.Start, first.End = 0, 24*60
	}
	out := []Absence{first}
	for _, b := range c.Away {
		if !strings.EqualFold(b.Who, a.Who) || b.Helper != a.Helper || d.Before(b.From) || b.To.Before(d) {
			continue
		}
		start, end := b.Start, b.End
		if !b.hourly() {
			start, end = 0, 24*60
		}
		var left []Absence
		for _, p := range out {
			before, after := p, p
			before.End, after.Start = min(p.End, start), max(p.Start, end)
			for _, q := range []Absence{before, after} {
				if q.Start < q.End {
					left = append(left, q)
				}
			}
		}
		out = left
	}
	for i := range out {
		if out[i].Start == 0 && out[i].End == 24*60 {
			out[i].End = 0 // the whole day
		}
	}
	return out
}

// lengthened adds a day's absence to others: where they end the day before with the same
// hours, they last a day longer.
func lengthened(list []Absence, day Absence) []Absence {
	for i := len(list) - 1; i >= 0; i-- {
		if l := &list[i]; l.To.AddDays(1) == day.From && l.Start == day.Start && l.End == day.End {
			l.To = day.To
			return list
		}
	}
	return append(list, day)
}

// takenBack is where somebody stops being away.
const takenBack = "; a report of it is changed or taken back on the page of the crews"

// Refuses says why an absence cannot be reported of the crew, "" where it can. The
// crew's absences are those of the firm with what is reported already.
func (c *Crew) Refuses(a Absence) string {
	if a = c.asNamed(a); c.Stranger(a) != "" {
		return fmt.Sprintf("it has nobody called %q; its people are %s", a.Who, strings.Join(slices.Concat(c.Names(false), c.Names(true)), ", "))
	}
	if a.To.Before(a.From) {
		return fmt.Sprintf("the last day, %s, lies before the first, %s", a.To.Words(), a.From.Words())
	}
	if a.From.AddDays(LongestReported).Before(a.To) {
		return fmt.Sprintf("from %s to %s is more than a year; what lasts longer belongs in the firm's file", a.From.Words(), a.To.Words())
	}
	if a.hourly() && (a.Start < 0 || a.Start >= a.End || a.End > 24*60) {
		return fmt.Sprintf("%s is no part of a day", timesOf(a.Start, a.End))
	}
	more := c.Missing(a)
	if len(more) == 0 {
		return fmt.Sprintf("%s is away then already%s", a.Who, takenBack)
	}
	with := *c
	with.Away = slices.Concat(c.Away, more)
	for d := a.From; !a.To.Before(d); d = d.AddDays(1) {
		for _, at := range with.turns(d) {
			if setters, helpers := awayAt(with.Away, d, at); setters > c.Setters || helpers > c.Helpers {
				role, has := "setter", c.Setters
				if helpers > c.Helpers {
					role, has = "helper", c.Helpers
				}
				return fmt.Sprintf("it has %s, and all of them are away on %s already%s", several(has, role), d.Words(), takenBack)
			}
		}
	}
	return ""
}
