package scheduler

import (
	"time"

	"potlife/rooms"
	"potlife/takeoff"
)

// air: in rooms whose temperature is given by day, what is planned is done on
// days on which its products may be used, and each area has the cure of its
// sheet behind it when it is grouted, added up by the hour at what the day has.
func (c *checker) air() {
	products := map[string]takeoff.Product{}
	for _, p := range c.plan.Firm.Catalogue.Products {
		products[p.Key] = p
	}
	grouts := map[string][]*Activity{}
	for i := range c.plan.Activities {
		a := &c.plan.Activities[i]
		r := c.room[a.Room]
		if a.Kind == "grout" {
			for _, k := range a.Surfaces {
				grouts[k] = append(grouts[k], a)
			}
		}
		if a.Crew == "" || a.State != "planned" || r == nil || len(r.Temperatures) == 0 {
			continue
		}
		t := c.celsius(r, a.Start)
		if least := c.plan.Firm.fillerLeast(); a.Kind == kindFlatten && t < least {
			c.breach("activity %s fills ground at %g °C, filler is used from %g on", a.ID, t, least)
		}
		for _, u := range a.Products {
			s := products[u.Product].Sheet
			if s.MinCelsius != 0 && t < s.MinCelsius || s.MaxCelsius != 0 && t > s.MaxCelsius {
				c.breach("activity %s uses %s at %g °C, it may be used from %g to %g", a.ID, u.Product, t, s.MinCelsius, s.MaxCelsius)
			}
		}
	}
	for i := range c.plan.Areas {
		a := &c.plan.Areas[i]
		r := c.room[c.act[a.Activity].Room]
		if r == nil || len(r.Temperatures) == 0 || a.Mortar == "" {
			continue
		}
		s := products[a.Mortar].Sheet
		due := float64(max(0, s.GroutAfter))
		if s.GroutAfter == 0 {
			due = 24 * 60
		}
		for _, k := range a.Surfaces {
			for _, g := range grouts[k] {
				if got := c.ripe(r, a.RestsFrom(), g.Start, &s); g.State == "planned" && got < due-0.5 {
					c.breach("%s grouts %s when its mortar has cured %.0f min of %.0f", g.ID, a.ID, got, due)
				}
			}
		}
	}
}

func (c *checker) celsius(r *rooms.Room, minute int) float64 {
	at := c.plan.Epoch.Add(time.Duration(minute) * time.Minute)
	if z := c.plan.Firm.Zone; z != nil {
		at = at.In(z)
	}
	room := *r
	if _, known := r.Air(); !known {
		room.Celsius = 20
	}
	return room.CelsiusOn(rooms.DateOf(at))
}

// ripe adds up the cure between two minutes by the hour, in minutes at the
// reference temperature: a warm minute counts as one, a minute in frost or below
// the product's minimum as none.
func (c *checker) ripe(r *rooms.Room, from, to int, s *takeoff.DataSheet) float64 {
	at := s.Reference
	if at == 0 {
		at = 20
	}
	rule := RuleOf(s, &c.plan.Firm.Limits)
	var record []Spell
	for t := from; t < to; {
		next := min(to, t+60-t%60) // days change on the hour
		record = append(record, Spell{Hours: float64(next-t) / 60, Celsius: c.celsius(r, t)})
		t = next
	}
	return 60 * EquivalentAge(record, func(v float64) float64 {
		if v <= 0 || s.MinCelsius != 0 && v < s.MinCelsius {
			return 0
		}
		return min(1, rule.Rate(v, at))
	})
}
