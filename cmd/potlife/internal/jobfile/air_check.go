package jobfile

import (
	"fmt"
	"math"
	"slices"
	"strings"

	"potlife/rooms"
	"potlife/scheduler"
	"potlife/takeoff"
)

// checkAir holds a room's temperature to the products that are used in it: one
// that is too cold or too warm on every day, and one so cold that a product must
// be covered before it can be.
func (m *room) checkAir(r *reader, out rooms.Room) {
	at := m.v.at("temperature")
	if c := m.celsius; c != nil && *c <= 0 && len(m.Temperatures) > 0 {
		r.failf(at, "the temperature at which work goes on", "room %s has %s °C on days that temperatures says nothing of: nothing cures", m.Key, decimals(*c))
	}
	r.later = append(r.later, func(c *catalog) {
		if c.firm == nil {
			return
		}
		words := degrees(c.imperial())
		usual := out
		usual.Temperatures = append([]rooms.Temperature{{Celsius: out.Celsius}}, out.Temperatures...)
		low, high := usual.Temperatures[0].Celsius, usual.Temperatures[0].Celsius
		for _, t := range usual.Temperatures {
			low, high = min(low, t.Celsius), max(high, t.Celsius)
		}
		has := words(low)
		if high != low {
			has += " to " + words(high)
		}
		var cold, warm []string
		for _, p := range c.used(out) {
			switch s := p.Sheet; {
			case s.MaxCelsius != 0 && s.MaxCelsius <= s.MinCelsius: // reported already: no room keeps both
			case s.MinCelsius != 0 && high < s.MinCelsius:
				cold = append(cold, fmt.Sprintf("%s (%s)", p.Key, words(s.MinCelsius)))
			case s.MaxCelsius != 0 && low > s.MaxCelsius:
				warm = append(warm, fmt.Sprintf("%s (%s)", p.Key, words(s.MaxCelsius)))
			default:
				m.checkWaits(r, c, at, p, high, words)
			}
		}
		switch {
		case len(cold) > 0:
			r.failf(at, "a heated room, or products made for the cold", "room %s has %s, and its products may not be used below: %s", m.Key, has, strings.Join(cold, ", "))
		case high <= 0:
			r.failf(at, "a heated room", "room %s has %s: at or below freezing nothing cures", m.Key, has)
		case len(warm) > 0:
			r.failf(at, "a cooler room, or products made for the heat", "room %s has %s, and its products may not be used above: %s", m.Key, has, strings.Join(warm, ", "))
		}
	})
}

// checkWaits refuses a product whose latest time is over before its earliest in
// the room at its warmest.
func (m *room) checkWaits(r *reader, c *catalog, at place, p *takeoff.Product, celsius float64, words func(float64) string) {
	for _, w := range []struct {
		least, most  int
		first, after string
	}{
		{p.Sheet.TileAfter, p.Sheet.CoverWithin, "tiled", "cover_within"},
		{p.Sheet.RecoatAfter, p.Sheet.RecoatWithin, "coated again", "recoat_within"},
	} {
		if least, ok := scheduler.CureOf(w.least, &p.Sheet, &c.firm.Limits).At(celsius); ok && w.most > 0 && w.least <= w.most && least > w.most {
			r.failf(at, "a warmer room, or a product that may stay open longer", "in room %s at %s %s cannot be %s before %s, and its sheet says %s %s",
				m.Key, words(celsius), p.Key, w.first, writeWait(least), w.after, writeWait(w.most))
		}
	}
}

// writeWait prints a wait, rounded up to the half hour where it is long.
func writeWait(minutes int) string {
	if minutes > 120 {
		minutes = (minutes + 29) / 30 * 30
	}
	if minutes%60 == 0 || minutes < 60 {
		return writeMinutes(minutes)
	}
	return fmt.Sprintf("%dh %dmin", minutes/60, minutes%60)
}

// degrees prints a temperature on the firm's scale.
func degrees(imperial bool) func(float64) string {
	return func(celsius float64) string {
		if imperial {
			return decimals(math.Round(celsius*9/5+32)) + " °F"
		}
		return decimals(math.Round(celsius*10)/10) + " °C"
	}
}

// used lists the products that a room's surfaces are prepared and set with.
func (c *catalog) used(m rooms.Room) []*takeoff.Product {
	var out []*takeoff.Product
	add := func(p *takeoff.Product) {
		if p != nil && !slices.Contains(out, p) {
			out = append(out, p)
		}
	}
	takes := map[string]string{"level": takeoff.KindLeveller, "prime": takeoff.KindPrimer, "membrane": takeoff.KindMembrane}
	for _, s := range m.Surfaces {
		for _, p := range s.Prepare {
			if kind, ok := takes[p]; ok {
				add(c.firm.Catalogue.Of(kind))
			}
		}
		for _, z := range s.Zones {
			for _, key := range []string{z.Mortar, z.Grout, z.Sealant} {
				add(c.goods[key])
			}
		}
	}
	return out
}

// checkCrewWorks refuses a crew without a working day in the year from the first
// job on (from its own first absence where no job is read).
func checkCrewWorks(r *reader, v *value, crew scheduler.Crew) {
	if len(crew.Off) == 0 || len(crew.Hours) == 0 {
		return
	}
	r.later = append(r.later, func(c *catalog) {
		from := slices.MinFunc(crew.Off, rooms.Date.Compare)
		for i, j := range c.jobs {
			if i == 0 || j.Start.Before(from) {
				from = j.Start
			}
		}
		off := map[rooms.Date]bool{}
		for _, list := range [][]rooms.Date{crew.Off, c.firm.Days.Off} {
			for _, d := range list {
				off[d] = true
			}
		}
		for d, n := from, 0; n < 366; d, n = d.AddDays(1), n+1 {
			works := slices.Contains(crew.On, d) || slices.ContainsFunc(crew.Hours, func(h rooms.DayHours) bool { return h.Weekday == int(d.Weekday()) })
			if works && !off[d] {
				return
			}
		}
		r.failf(v.at("off"), "fewer absences, or no crew", "crew %s works on no day in the year from %s on", crew.Key, from)
	})
}
