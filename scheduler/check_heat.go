package scheduler

import (
	"math"

	"potlife/takeoff"
)

// heat: what is planned is spread within the open time that its mortar has in the
// room on that day, and from mixes no older than their pot life in the warmest room
// they serve, each at its own time; both are halved for each 10 °C above the
// sheet's temperature.
func (c *checker) heat() {
	products := map[string]takeoff.Product{}
	for _, p := range c.plan.Firm.Catalogue.Products {
		products[p.Key] = p
	}
	for i := range c.plan.Areas {
		a := &c.plan.Areas[i]
		s := products[a.Mortar].Sheet
		open := s.OpenMinutes
		if open == 0 {
			open = 20
		}
		if most := c.lasts(open, s, a.Activity, a.Start, a.Finish); c.act[a.Activity].State == "planned" && a.Mortar != "" && a.OpenMinutes > most {
			c.breach("area %s: spread for %d min, in the room and on the day its mortar stays open for %d", a.ID, a.OpenMinutes, most)
		}
	}
	for i := range c.plan.Mixes {
		m := &c.plan.Mixes[i]
		p := products[m.Product]
		if act := c.act[m.Activity]; m.PotMinutes == 0 || act == nil || act.State != "planned" {
			continue
		}
		pot := p.Sheet.PotMinutes
		switch {
		case pot > 0:
		case p.Sheet.Resin:
			pot = 45
		case p.Kind == takeoff.KindGrout:
			pot = 60
		default:
			pot = 120
		}
		most := c.lasts(pot, p.Sheet, m.Activity, m.Start, m.Start)
		for _, w := range m.Also {
			if act := c.act[w.Activity]; act != nil {
				most = min(most, c.lasts(pot, p.Sheet, w.Activity, act.Start, min(act.Finish, max(act.Start, m.UseBy))))
			}
		}
		for _, q := range m.Patches {
			if a := c.area[q.Area]; a != nil && q.Index < len(a.Patches) {
				at := a.Patches[q.Index].Start
				most = min(most, c.lasts(pot, p.Sheet, a.Activity, at, at))
			}
		}
		if m.PotMinutes > most {
			c.breach("mix %s: used for %d min, where it is spread it lasts %d", m.ID, m.PotMinutes, most)
		}
	}
}

// lasts is how many of a sheet's minutes are left in the room of an activity in the
// warmest hour between two minutes.
func (c *checker) lasts(minutes int, s takeoff.DataSheet, activity string, from, to int) int {
	act := c.act[activity]
	if act == nil || c.room[act.Room] == nil {
		return minutes
	}
	reference, warm := s.Reference, -273.0
	if reference == 0 {
		reference = 20
	}
	for t := from; ; t = min(to, t+60) {
		warm = max(warm, c.celsius(c.room[act.Room], t))
		if t >= to {
			break
		}
	}
	if s.MaxCelsius > 0 {
		warm = min(warm, s.MaxCelsius)
	}
	if warm <= reference {
		return minutes
	}
	return max(1, int(float64(minutes)/math.Pow(2, (warm-reference)/10)+1e-6))
}
