package jobfile

import (
	"slices"
	"strings"
	"time"

	"potlife/rooms"
	"potlife/scheduler"
)

// checkOwnHours refuses hours of a crew's people that say nothing: none at all, such as
// lie outside those of the crew on their day, a date both off and worked, and such that
// no setter is ever there. What lies outside the crew's hours in part is left out.
func checkOwnHours(r *reader, v *value, c crew) {
	in := v.get("people")
	if in == nil || r.told(in) || len(in.items) != len(c.People) || len(c.Hours) == 0 {
		return
	}
	for i := range c.People {
		p, at := c.People[i], in.items[i]
		if h := at.get("hours"); h != nil && len(p.Hours) == 0 && !r.told(h) {
			r.failf(h.place, "hours such as {monday-wednesday: 07:00-12:00}, or left out for the crew's", "%s of crew %s has no hours", p.Name, c.Key)
			return
		}
		checkBoth(r, at, p.Name, p.Off, "off", p.On, "on")
		checkBoth(r, at, p.Name, p.Off, "off", datesOf(p.Special), "dates")
	}
	if len(c.Names(false)) > 0 && !slices.ContainsFunc(c.People, func(p person) bool { return !p.Helper && (len(p.Hours) == 0 || meet(p.Hours, c.Hours)) }) {
		r.failf(in.place, "a setter with hours among those of the crew", "crew %s has no setter who is ever there in its hours", c.Key)
		return
	}
	r.later = append(r.later, func(k *catalog) {
		if k.firm == nil {
			return
		}
		for i := range c.People {
			outsideWeek(r, in.items[i], c, &c.People[i], k.firm)
			outsideDates(r, in.items[i], c, &c.People[i], k.firm)
		}
	})
}

// outsideWeek refuses a person's hours of a weekday on which the crew works at other
// times only, or never.
func outsideWeek(r *reader, v *value, c crew, p *person, f *firm) {
	for d := range 7 {
		own, crews := ofWeekday(p.Hours, d), ofWeekday(c.Hours, d)
		if len(own) == 0 || meet(own, crews) || len(crews) == 0 && opens(c, f, d) {
			continue
		}
		says := "never works"
		if len(crews) > 0 {
			says = "works " + spanWords(crews)
		}
		r.failf(v.at("hours"), "hours among those of the crew, or longer hours of the crew", "%s is there on %s %s, when crew %s %s", p.Name, weekdays[d], spanWords(own), c.Key, says)
		return
	}
}

// outsideDates does the same for hours of single dates.
func outsideDates(r *reader, v *value, c crew, p *person, f *firm) {
	for _, d := range datesOf(p.Special) {
		own, crews := onDate(p.Special, d), onDate(c.Special, d)
		if len(crews) == 0 {
			crews = onDate(f.Special, d)
		}
		if len(crews) == 0 {
			crews = ofWeekday(c.Hours, int(d.Weekday()))
		}
		if len(crews) == 0 && (slices.Contains(c.On, d) || slices.Contains(f.Days.On, d)) {
			crews = ofWeekday(c.Hours, int(time.Monday))
			for i := range crews {
				crews[i].Weekday = int(d.Weekday())
			}
		}
		if meet(own, crews) {
			continue
		}
		says := "does not work"
		if len(crews) > 0 {
			says = "works " + spanWords(crews)
		}
		r.failf(v.at("dates"), "hours among those of the crew on that date, or hours of the crew for it (its dates, or on)", "%s is there on %s %s, when crew %s %s", p.Name, d, spanWords(own), c.Key, says)
		return
	}
}

// opens reports whether a crew works on some date of a weekday on which it usually does
// not.
func opens(c crew, f *firm, weekday int) bool {
	return slices.ContainsFunc(slices.Concat(c.On, datesOf(c.Special), f.Days.On, datesOf(f.Special)), func(d rooms.Date) bool { return int(d.Weekday()) == weekday })
}

func ofWeekday(hours []rooms.DayHours, d int) (out []rooms.DayHours) {
	for _, h := range hours {
		if h.Weekday == d {
			out = append(out, h)
		}
	}
	return out
}

func onDate(hours []scheduler.DatedHours, d rooms.Date) (out []rooms.DayHours) {
	for _, h := range hours {
		if h.On == d {
			out = append(out, rooms.DayHours{Weekday: int(d.Weekday()), Start: h.Start, End: h.End})
		}
	}
	return out
}

func spanWords(hours []rooms.DayHours) string {
	var out []string
	for _, h := range hours {
		out = append(out, writeSpan(h))
	}
	return strings.Join(out, " and ")
}
