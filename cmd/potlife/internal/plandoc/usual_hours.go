package plandoc

import (
	"strings"
	"time"
)

// UsualHours writes the weekly hours of a person who has his or her own:
// "Mon–Wed 07:00–12:00 and 12:30–16:00, Fri 07:00–12:00"; "" where there are none.
func (w Writing) UsualHours(p Person) string {
	of := Writing{Imperial: w.Imperial} // times of day, of no zone
	var days [8]string
	for _, h := range p.Hours {
		if h.Weekday < 1 || h.Weekday > 7 {
			continue
		}
		if days[h.Weekday] != "" {
			days[h.Weekday] += " and "
		}
		const day = "2026-03-02T" // any
		days[h.Weekday] += of.Span(day+h.Start+":00Z", day+h.End+":00Z")
	}
	var parts []string
	for from := 1; from <= 7; {
		to := from
		for to < 7 && days[to+1] == days[from] {
			to++
		}
		if days[from] != "" {
			parts = append(parts, weekdays(from, to)+" "+days[from])
		}
		from = to + 1
	}
	return strings.Join(parts, ", ")
}

// weekdays names the days from one to another, 1 Monday to 7 Sunday.
func weekdays(from, to int) string {
	name := func(n int) string { return time.Weekday(n % 7).String()[:3] }
	switch to {
	case from:
		return name(from)
	case from + 1:
		return name(from) + " and " + name(to)
	}
	return name(from) + "–" + name(to)
}

// Roster are a crew's people, setters first, with the weekly hours of those who have
// their own: "Ida", "Mia (helper), Mon–Wed 07:00–12:00".
func (x *Index) Roster(crew string) (out []string) {
	for _, helper := range []bool{false, true} {
		for _, p := range x.peopleOf(crew) {
			if p.Helper != helper {
				continue
			}
			text := p.Name
			if p.Helper {
				text += " (helper)"
			}
			if hours := x.Doc.Writing().UsualHours(p); hours != "" {
				text += ", " + hours
			}
			out = append(out, text)
		}
	}
	return out
}
