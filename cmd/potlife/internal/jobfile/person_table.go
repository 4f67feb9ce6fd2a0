package jobfile

import (
	"fmt"
	"strings"

	"potlife/rooms"
	"potlife/scheduler"
)

type person = scheduler.Person

var personObject = object[person]{
	name: "person", doc: "one of a crew",
	fields: []field[person]{
		keep("name", "what he or she is called: reports and absences name the person by it", textForm, func(p *person) *string { return &p.Name }).needed(),
		keep("helper", "a helper; a setter if left out", flagForm, func(p *person) *bool { return &p.Helper }),
		keep("pace", "how many times as long as at the firm's rates he or she takes (1); what reports say of the person goes on top", amount(0.2, 5, "times"), func(p *person) *float64 { return &p.Pace }),
		keep("hours", "weekly hours of his or her own, as the crew's; whenever the crew works if left out. He or she is there where both say so: what lies outside the crew's hours adds nothing to them", hoursForm, func(p *person) *[]rooms.DayHours { return &p.Hours }),
		keep("off", "days off of his or her own, beside those in away", datesForm, func(p *person) *[]rooms.Date { return &p.Off }),
		keep("on", "dates on which he or she is there whenever the crew works, whatever hours says", datesForm, func(p *person) *[]rooms.Date { return &p.On }),
		keep("dates", "his or her hours of single dates instead of the week's: {2026-12-19: 09:00-14:00}", datedForm, func(p *person) *[]scheduler.DatedHours { return &p.Special }),
	},
}

// checkPeople refuses people who are not as many as the crew has, or stand there twice,
// and an absence of somebody whom the crew has not. An absence of somebody with a name
// need not say what part he has in the crew.
func checkPeople(r *reader, v *value, c *crew) {
	in := v.get("people")
	if in == nil || r.told(in) || len(in.items) != len(c.People) {
		return
	}
	for i, p := range c.People {
		for k, q := range c.People[:i] {
			if strings.EqualFold(p.Name, q.Name) {
				r.failf(in.items[i].place, "each name once", "crew %s names %s twice (first in line %d)", c.Key, p.Name, in.items[k].line)
				return
			}
		}
	}
	for _, helper := range []bool{false, true} {
		has, role := c.Setters, "setter"
		if helper {
			has, role = c.Helpers, "helper"
		}
		if n := len(c.Names(helper)); n > 0 && n != has {
			r.failf(v.at("people"), fmt.Sprintf("a name for each of the %ss, or for none of them", role), "crew %s has %d %s and names %d", c.Key, has, rooms.Plural(role, float64(has)), n)
		}
	}
	away := itemsOf(v, "away")
	for i := range c.Away {
		if len(away) == len(c.Away) {
			checkStranger(r, away[i], c, &c.Away[i])
		}
	}
}

// checkStranger holds an absence to the people of its crew.
func checkStranger(r *reader, v *value, c *crew, a *scheduler.Absence) {
	p, known := c.Named(a.Who)
	if known {
		a.Who = p.Name
		if v.get("helper") == nil {
			a.Helper = p.Helper
		}
	}
	why := c.Stranger(*a)
	switch {
	case why == "":
	case known:
		r.failf(v.at("helper"), "helper as the crew's people have it, or left out", "crew %s: %s", c.Key, why)
	default:
		names := strings.Join(c.Names(a.Helper), ", ")
		r.failf(v.at("who"), "one of "+names, "crew %s: %s", c.Key, why)
	}
}
