package jobfile

import (
	"slices"

	"potlife/rooms"
	"potlife/scheduler"
)

// checkHours refuses a site whose hours for loud work lie outside all of its hours, and
// one in whose hours no crew ever works.
func (s *site) checkHours(r *reader) {
	if len(s.Hours) == 0 || r.told(s.v.get("hours")) {
		return
	}
	if len(s.Noise) > 0 && !meet(s.Noise, s.Hours) && !r.told(s.v.get("noise")) {
		r.failf(s.v.at("noise"), "hours for loud work within hours", "on site %s loud work is allowed only when no work is", s.Key)
	}
	r.later = append(r.later, func(c *catalog) {
		if c.firm == nil || len(c.firm.Crews) == 0 || len(c.firm.Special)+len(c.firm.Days.On) > 0 {
			return
		}
		comes := func(k scheduler.Crew) bool {
			return len(k.Hours) == 0 || len(k.Special)+len(k.On) > 0 || meet(k.Hours, s.Hours)
		}
		if !slices.ContainsFunc(c.firm.Crews, comes) {
			r.failf(s.v.at("hours"), "hours of the site in which a crew works", "no crew works in the hours of site %s", s.Key)
		}
	})
}

// checkOpen refuses a site that is closed for the year from the job's start on.
func (s *site) checkOpen(r *reader, j *job) {
	if len(s.Closed) == 0 || j.Start.IsZero() || r.told(s.v.get("hours")) {
		return
	}
	for n := range 366 {
		d := j.Start.AddDays(n)
		open := len(s.Hours) == 0 || slices.ContainsFunc(s.Hours, func(h rooms.DayHours) bool { return h.Weekday == int(d.Weekday()) })
		if open && !slices.Contains(s.Closed, d) {
			return
		}
	}
	r.failf(s.v.at("closed"), "fewer dates on which it is closed", "site %s is open on no day in the year from %s on", s.Key, j.Start)
}

// meet reports whether two weeks have a minute in common.
func meet(a, b []rooms.DayHours) bool {
	for _, x := range a {
		for _, y := range b {
			if x.Weekday == y.Weekday && max(x.Start, y.Start) < min(x.End, y.End) {
				return true
			}
		}
	}
	return false
}
