package plandoc

import (
	"fmt"
	"slices"
	"strings"
)

// There is who of a crew is there on a day: Setters and Helpers at its start and end,
// less who is away for all of it, or has hours of his own and none on that day. Names are
// theirs, where the firm gives them: "Tom (helper)", with hours of those who are there for
// a part of the crew's by their own: "Ida 07:00–12:00". Part are these alone. Away names
// everybody who is absent, also for some hours alone.
type There struct {
	Setters, Helpers int
	Names, Part      []string
	Away             []Away
}

// Away is one person who is absent on a day.
type Away struct {
	Who   string // "Jon", or "a setter" where nobody is named
	Role  string // "setter" or "helper" where somebody is
	Hours string // of the day, empty for all of it
	Until string // the date of the last day
}

// There says who of a crew is there on a date.
func (x *Index) There(crew, date string) There {
	c := x.Crews[crew]
	if c == nil {
		return There{}
	}
	t := There{Setters: c.Setters, Helpers: c.Helpers, Away: x.away(c, date)}
	own := slices.ContainsFunc(c.People, func(p Person) bool { return p.ownHours() })
	var shifts []minutes
	if own {
		shifts = x.shifts(c, date)
	}
	t.Names, t.Part = x.names(c, date, shifts)
	miss := func(helper bool) {
		if helper {
			t.Helpers = max(0, t.Helpers-1)
		} else {
			t.Setters = max(0, t.Setters-1)
		}
	}
	for _, a := range c.Away {
		if a.From <= date && date <= a.To && !c.owns(a) {
			miss(a.Helper)
		}
	}
	for i := range c.People {
		if p := &c.People[i]; p.ownHours() && (c.awayAll(p, date) || len(p.on(date, shifts)) == 0) {
			miss(p.Helper)
		}
	}
	return t
}

// away are the absences of a date.
func (x *Index) away(c *Crew, date string) (out []Away) {
	for _, a := range c.Away {
		if a.From <= date && date <= a.To {
			out = append(out, a.named(""))
		}
	}
	w := Writing{Imperial: x.Doc.Units == "imperial"} // times of day, of no zone
	for _, a := range c.AwayHours {
		if a.From <= date && date <= a.To {
			out = append(out, a.named(w.Span(date+"T"+a.Start+":00Z", date+"T"+a.End+":00Z")))
		}
	}
	return out
}

// awayAll reports whether a person is absent for all of a date.
func (c *Crew) awayAll(p *Person, date string) bool {
	return slices.ContainsFunc(c.Away, func(a Absence) bool { return a.of(*p) && a.From <= date && date <= a.To })
}

func (x *Index) awayOf(crew, date string) []Away {
	if c := x.Crews[crew]; c != nil {
		return x.away(c, date)
	}
	return nil
}

// PeopleOf are the names of a crew's people, setters first; none where it has none.
func (x *Index) PeopleOf(crew string) (out []string) {
	for _, helper := range []bool{false, true} {
		for _, p := range x.peopleOf(crew) {
			if p.Helper == helper {
				out = append(out, p.Name)
			}
		}
	}
	return out
}

func (x *Index) peopleOf(crew string) []Person {
	if c := x.Crews[crew]; c != nil {
		return c.People
	}
	return nil
}

// names are those of a crew's people who are there for a part of a day at least, setters
// first; part are those of them who by their own hours are not there for all of it.
func (x *Index) names(c *Crew, date string, shifts []minutes) (all, part []string) {
	w := Writing{Imperial: x.Doc.Units == "imperial"}
	for _, helper := range []bool{false, true} {
		for i := range c.People {
			p := &c.People[i]
			there := p.on(date, shifts)
			if p.Helper != helper || c.awayAll(p, date) || p.ownHours() && len(there) == 0 {
				continue
			}
			name := p.Name
			if helper {
				name += " (helper)"
			}
			if p.ownHours() && !slices.Equal(there, shifts) {
				name += " " + spansOfDay(w, date, there)
				part = append(part, name)
			}
			all = append(all, name)
		}
	}
	return all, part
}

// spansOfDay writes times of a day: "07:00–12:00, 13:00–15:30".
func spansOfDay(w Writing, date string, list []minutes) string {
	var out []string
	for _, v := range list {
		out = append(out, w.Span(date+"T"+v.from.clock()+":00Z", date+"T"+v.to.clock()+":00Z"))
	}
	return strings.Join(out, ", ")
}

// of reports whether an absence is that of a person.
func (a Absence) of(p Person) bool { return strings.EqualFold(a.Who, p.Name) }

func (a Absence) named(hours string) Away {
	role := "setter"
	if a.Helper {
		role = "helper"
	}
	if a.Who == "" {
		return Away{"a " + role, "", hours, a.To}
	}
	return Away{a.Who, role, hours, a.To}
}

// Hands counts who is there: "1 setter, 2 helpers".
func (t There) Hands() string {
	var list []string
	for _, k := range []struct {
		n    int
		word string
	}{{t.Setters, "setter"}, {t.Helpers, "helper"}} {
		switch {
		case k.n == 1:
			list = append(list, "1 "+k.word)
		case k.n > 1:
			list = append(list, fmt.Sprintf("%d %ss", k.n, k.word))
		}
	}
	return strings.Join(list, ", ")
}

// AwayWords names who of a crew is away on a date: "Jon (setter) until Wed 5 Mar".
func (x *Index) AwayWords(crew, date string) (list []string) {
	w := x.Doc.Writing()
	for _, a := range x.awayOf(crew, date) {
		text := a.Who
		if a.Role != "" {
			text += " (" + a.Role + ")"
		}
		switch {
		case a.Hours != "":
			text += " " + a.Hours
		case a.Until != date:
			text += " until " + w.ShortDay(a.Until)
		}
		list = append(list, text)
	}
	return list
}

// CrewOn names a crew as it is on a date: "Ada's crew without Jon".
func (x *Index) CrewOn(crew, date string) string {
	var list []string
	for _, a := range x.awayOf(crew, date) {
		if a.Hours != "" {
			a.Who += " " + a.Hours
		}
		list = append(list, a.Who)
	}
	name := x.CrewName(crew)
	if len(list) == 0 {
		return name
	}
	last := len(list) - 1
	if last > 0 {
		list = []string{strings.Join(list[:last], ", ") + " and " + list[last]}
	}
	return name + " without " + list[0]
}
