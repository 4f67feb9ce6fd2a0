package scheduler

import (
	"cmp"
	"slices"
	"sort"
	"time"

	"potlife/rooms"
)

// Clock turns instants into minutes since an epoch and back. Minutes are
// elapsed minutes, so a day with a change to or from summer time has 1 380 or
// 1 500 of them.
type Clock struct {
	Epoch time.Time
	Zone  *time.Location
}

// NewClock returns the clock whose epoch is the first instant of day in zone.
func NewClock(day rooms.Date, zone *time.Location) Clock {
	if zone == nil {
		zone = time.UTC
	}
	return Clock{Epoch: day.In(zone).UTC(), Zone: zone}
}

// Minute returns the whole minutes from the epoch to t, rounded up.
func (c Clock) Minute(t time.Time) int {
	d := t.Sub(c.Epoch)
	m := int(d / time.Minute)
	if d%time.Minute > 0 {
		m++
	}
	return m
}

// At returns the instant of minute m in the clock's zone.
func (c Clock) At(m int) time.Time {
	return c.Epoch.Add(time.Duration(m) * time.Minute).In(c.Zone)
}

// Words names minute m in a sentence: "Mon 7 Dec 07:30".
func (c Clock) Words(m int) string { return rooms.MomentWords(c.At(m)) }

// DayWords names the day of minute m in a sentence: "Mon 7 Dec".
func (c Clock) DayWords(m int) string { return c.Day(m).Words() }

// Day returns the civil date of minute m in the clock's zone.
func (c Clock) Day(m int) rooms.Date { return rooms.DateOf(c.At(m)) }

// DayStart returns the minute at which d begins.
func (c Clock) DayStart(d rooms.Date) int { return c.Minute(d.In(c.Zone)) }

// OnDay returns the minute at which the clock on the wall of d shows minute
// (after midnight, up to 1 440). A time that a change to summer time leaves
// out counts as the same time after it.
func (c Clock) OnDay(d rooms.Date, minute int) int {
	return c.Minute(time.Date(d.Year, d.Month, d.Day, minute/60, minute%60, 0, 0, c.Zone))
}

// week returns the hours of each weekday.
func week(hours []rooms.DayHours) [7][]rooms.DayHours {
	var w [7][]rooms.DayHours
	for _, h := range hours {
		if h.Weekday >= 0 && h.Weekday < 7 && h.Start < h.End {
			w[h.Weekday] = append(w[h.Weekday], h)
		}
	}
	return w
}

// spanned writes the weekly hours out from minute from to minute to, for the
// days that works accepts; instead replaces the hours of a day where given.
func (c Clock) spanned(from, to int, day func(rooms.Date) []rooms.DayHours) []Interval {
	var out []Interval
	for d := c.Day(from); c.DayStart(d) < to; d = d.AddDays(1) {
		for _, h := range day(d) {
			a, b := max(c.OnDay(d, h.Start), from), min(c.OnDay(d, h.End), to)
			if a < b {
				out = append(out, Interval{a, b})
			}
		}
	}
	return normal(out)
}

// CrewHours returns the working intervals of a crew from minute from to minute
// to: its weekly hours less its own days off and the firm's holidays; a dated
// extra day of the crew counts although the firm is closed, one of the firm's
// unless the crew is off, with the hours of its weekday or, where that has none,
// Monday's. Hours in which none of its setters is there are left out.
func (c Clock) CrewHours(f Firm, crew Crew, from, to int) []Interval {
	w, off, on := week(crew.Hours), dateSet(crew.Off), dateSet(crew.On)
	closed, open := dateSet(f.Days.Off), dateSet(f.Days.On)
	return c.spanned(from, to, func(d rooms.Date) []rooms.DayHours {
		hours := w[d.Weekday()]
		special := datedHours(crew.Special, d)
		if len(special) == 0 {
			special = datedHours(f.Special, d)
		}
		switch {
		case off[d]:
			return nil
		case len(special) > 0:
			hours = special
		case closed[d] && !on[d]:
			return nil
		case (on[d] || open[d]) && len(hours) == 0:
			hours = w[time.Monday]
		}
		return crew.staffed(d, hours)
	})
}

// OfficeHours returns the firm's office hours on its working days.
func (c Clock) OfficeHours(f Firm, from, to int) []Interval {
	w := week(f.Office)
	return c.spanned(from, to, func(d rooms.Date) []rooms.DayHours {
		if f.Days.Any() && !f.Days.Works(d) {
			return nil
		}
		return w[d.Weekday()]
	})
}

// SiteHours returns the intervals in which work is allowed on a site, and the
// whole span where it names no hours, less the dates on which it is closed.
func (c Clock) SiteHours(s rooms.Site, from, to int) []Interval {
	if len(s.Hours) == 0 {
		var shut []Interval
		for _, d := range s.Closed {
			shut = append(shut, Interval{c.DayStart(d), c.DayStart(d.AddDays(1))})
		}
		return Outside(normal(shut), from, to)
	}
	w, closed := week(s.Hours), dateSet(s.Closed)
	return c.spanned(from, to, func(d rooms.Date) []rooms.DayHours {
		if closed[d] {
			return nil
		}
		return w[d.Weekday()]
	})
}

func dateSet(days []rooms.Date) map[rooms.Date]bool {
	m := make(map[rooms.Date]bool, len(days))
	for _, d := range days {
		m[d] = true
	}
	return m
}

// normal sorts intervals and joins those that touch or overlap.
func normal(in []Interval) []Interval {
	sort.Slice(in, func(i, j int) bool { return in[i].Start < in[j].Start })
	var out []Interval
	for _, v := range in {
		if n := len(out); n > 0 && v.Start <= out[n-1].End {
			out[n-1].End = max(out[n-1].End, v.End)
			continue
		}
		out = append(out, v)
	}
	return out
}

// Common returns the times that lie in both lists; each is sorted and disjoint.
func Common(a, b []Interval) []Interval {
	if len(a) == 0 || len(b) == 0 {
		return nil
	}
	a, b = endingAfter(a, b[0].Start), endingAfter(b, a[0].Start)
	var out []Interval
	for i, j := 0, 0; i < len(a) && j < len(b); {
		s, e := max(a[i].Start, b[j].Start), min(a[i].End, b[j].End)
		if s < e {
			if out == nil {
				out = make([]Interval, 0, min(len(a)-i, len(b)-j)+1)
			}
			out = append(out, Interval{s, e})
		}
		if a[i].End < b[j].End {
			i++
		} else {
			j++
		}
	}
	return out
}

// endingAfter leaves out the first times, which are over by a minute.
func endingAfter(in []Interval, minute int) []Interval {
	i, _ := slices.BinarySearchFunc(in, minute+1, func(v Interval, m int) int { return cmp.Compare(v.End, m) })
	return in[i:]
}

// Outside returns what of [from, to) lies in none of the intervals.
func Outside(in []Interval, from, to int) []Interval {
	var out []Interval
	at := from
	for _, v := range in {
		if v.End <= at {
			continue
		}
		if v.Start >= to {
			break
		}
		if v.Start > at {
			out = append(out, Interval{at, v.Start})
		}
		at = v.End
	}
	if at < to {
		out = append(out, Interval{at, to})
	}
	return out
}

// Within reports whether [start, end) lies inside one of the intervals.
func Within(in []Interval, start, end int) bool {
	i := sort.Search(len(in), func(k int) bool { return in[k].End >= end })
	return i < len(in) && in[i].Start <= start
}

// Working returns how many minutes of [start, end) lie in the intervals.
func Working(in []Interval, start, end int) int {
	n := 0
	for _, v := range in {
		n += max(0, min(end, v.End)-max(start, v.Start))
	}
	return n
}

// earliest returns the first start at or after t of d uninterrupted minutes in
// the intervals, and false where there is none.
func earliest(in []Interval, t, d int) (int, bool) {
	i := sort.Search(len(in), func(k int) bool { return in[k].End > t })
	for ; i < len(in); i++ {
		if s := max(t, in[i].Start); s+d <= in[i].End {
			return s, true
		}
	}
	return 0, false
}
