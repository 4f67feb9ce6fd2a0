package plandoc

import (
	"fmt"
	"slices"
	"strconv"
	"strings"
	"time"
)

// minute is a time of a day, in minutes after midnight.
type minute int

func minuteOf(clock string) minute {
	h, m, _ := strings.Cut(clock, ":")
	hours, _ := strconv.Atoi(h)
	rest, _ := strconv.Atoi(m)
	return minute(hours*60 + rest)
}

// clock prints a time of day; the end of the day is its midnight.
func (m minute) clock() string { return fmt.Sprintf("%02d:%02d", int(m)/60%24, int(m)%60) }

// minutes is a span of a day.
type minutes struct{ from, to minute }

func (p *Person) ownHours() bool {
	return len(p.Hours)+len(p.Off)+len(p.On)+len(p.Dates) > 0
}

// hoursOn are the times of a date at which a person is there by hours of his own, in
// order; all of it where these say nothing of it.
func (p *Person) hoursOn(date string) []minutes {
	if slices.Contains(p.Off, date) {
		return nil
	}
	var out []minutes
	for _, h := range p.Dates {
		if h.Date == date {
			out = append(out, minutes{minuteOf(h.Start), minuteOf(h.End)})
		}
	}
	d, err := time.Parse(time.DateOnly, date)
	switch {
	case len(out) > 0:
	case len(p.Hours) == 0 || slices.Contains(p.On, date) || err != nil:
		return []minutes{{0, 24 * 60}}
	default:
		for _, h := range p.Hours {
			if h.Weekday == (int(d.Weekday())+6)%7+1 {
				out = append(out, minutes{minuteOf(h.Start), minuteOf(h.End)})
			}
		}
	}
	slices.SortFunc(out, func(a, b minutes) int { return int(a.from - b.from) })
	return out
}

// at reports whether a time lies in one of the spans.
func at(list []minutes, m minute) bool {
	return slices.ContainsFunc(list, func(v minutes) bool { return v.from <= m && m < v.to })
}

// on are the times of a day's shifts at which a person is there by hours of his own.
func (p *Person) on(date string, shifts []minutes) (out []minutes) {
	for _, s := range shifts {
		last := -1 // the part of the shift that the next may go on from
		for _, v := range p.hoursOn(date) {
			switch from, to := max(s.from, v.from), min(s.to, v.to); {
			case from >= to:
			case last >= 0 && out[last].to == from:
				out[last].to = to
			default:
				last = len(out)
				out = append(out, minutes{from, to})
			}
		}
	}
	return out
}

// shifts are a crew's hours on a date; the whole day where it has none.
func (x *Index) shifts(c *Crew, date string) (out []minutes) {
	w := x.Doc.Writing()
	for _, h := range c.Hours {
		if w.DateOf(h[0]) == date {
			from, to := w.Time(h[0]), w.Time(h[1])
			start := minute(from.Hour()*60 + from.Minute())
			out = append(out, minutes{start, start + minute(to.Sub(from).Minutes())})
		}
	}
	if len(out) == 0 {
		return []minutes{{0, 24 * 60}}
	}
	return out
}

// owns reports whether an absence is that of somebody with hours of his own: he is counted
// once, whatever keeps him away.
func (k *Crew) owns(x Absence) bool {
	i := slices.IndexFunc(k.People, x.of)
	return i >= 0 && k.People[i].ownHours()
}

// awayOn are the times of a date at which a person with hours of his own is not there, or
// is absent, minute by minute as the clock on the wall has them.
func (c *checker) awayOn(k *Crew, p *Person, date string) (out []load) {
	one := [2]int{1, 0}
	if p.Helper {
		one = [2]int{0, 1}
	}
	day, err := time.ParseInLocation(time.DateOnly, date, c.zone)
	if err != nil {
		return nil
	}
	end, gone, hours := day.AddDate(0, 0, 1), false, p.hoursOn(date)
	for now := day; now.Before(end); now = now.Add(time.Minute) {
		m := minute(now.Hour()*60 + now.Minute())
		away := !at(hours, m) || slices.ContainsFunc(k.Away, func(x Absence) bool { return x.of(*p) && x.From <= date && date <= x.To }) ||
			slices.ContainsFunc(k.AwayHours, func(x HourlyAbsence) bool {
				return x.of(*p) && x.From <= date && date <= x.To && minuteOf(x.Start) <= m && m < minuteOf(x.End)
			})
		switch {
		case away && !gone:
			out = append(out, load{now, one})
		case gone && !away:
			out = append(out, load{now, [2]int{-one[0], -one[1]}})
		}
		gone = away
	}
	if gone {
		out = append(out, load{end, [2]int{-one[0], -one[1]}})
	}
	return out
}
