package scheduler

import (
	"maps"
	"slices"

	"potlife/rooms"
	"potlife/takeoff"
)

// saws: what is sawn wet on the day on which its tile comes, and set the same day, is
// spread no sooner than it can be dry: the saw runs from the crew's first minute on, on
// a site with hours for loud work from theirs.
func (c *checker) saws() {
	ready := c.comeAtTheEarliest()
	clock := Clock{c.plan.Epoch, c.plan.Firm.Zone}
	for i := range c.plan.Sheets {
		s := &c.plan.Sheets[i]
		for _, g := range s.Cuts {
			if g.Tool != takeoff.WetSaw && g.Tool != takeoff.HoleSaw {
				continue
			}
			for _, id := range g.Pieces {
				q := c.piece[id]
				if q == nil || q.area == nil || q.OnSite || ready[takeoff.Use{Product: q.Tile, Room: q.layout.Room}] != s.Date || clock.Day(q.area.Start) != s.Date {
					continue
				}
				if a := c.act[q.area.Activity]; a != nil && a.State == "planned" {
					c.dryBy(q, a, s.Date)
				}
			}
		}
	}
}

// sawnBefore: what a sheet that is out lists for the wet saw is cut by the end of its
// crew's hours on that day, and dries from then on before its mortar is spread, unless
// it is listed once more because it broke.
func (c *checker) sawnBefore() {
	clock := Clock{c.plan.Epoch, c.plan.Firm.Zone}
	listed, out := map[string]int{}, map[string]int{}
	for i := range c.plan.Sheets {
		s := &c.plan.Sheets[i]
		end := -1
		for _, h := range c.plan.Hours[s.Crew] {
			if clock.Day(h.Start) == s.Date {
				end = max(end, h.End)
			}
		}
		for _, g := range s.Cuts {
			for _, id := range g.Pieces {
				if listed[id]++; s.Revision > 0 && end >= 0 && (g.Tool == takeoff.WetSaw || g.Tool == takeoff.HoleSaw) {
					out[id] = max(out[id], end)
				}
			}
		}
	}
	for _, id := range slices.Sorted(maps.Keys(out)) {
		q := c.piece[id]
		if q == nil || q.area == nil || q.OnSite || c.act[q.area.Activity].State != "planned" || c.cutsAgain(id, listed[id]) {
			continue
		}
		dry := c.dries(q.Tile, q.area.Mortar)
		for _, t := range q.area.Patches {
			if slices.Contains(t.Pieces, id) && dry > 0 && t.Start < out[id]+dry {
				c.breach("piece %s is sawn wet by %s on a sheet that is out, dries %d min and is spread at %s", id, clock.Words(out[id]), dry, clock.Words(t.Start))
			}
		}
	}
}

// sawnAhead: what a sheet that is not out yet lists for the wet saw on a day before it is
// set can be dry when its mortar is spread: it is cut in the crew's hours of that day, the
// first minute of them at the earliest.
func (c *checker) sawnAhead() {
	clock := Clock{c.plan.Epoch, c.plan.Firm.Zone}
	for i := range c.plan.Sheets {
		s := &c.plan.Sheets[i]
		if s.Revision > 0 {
			continue
		}
		begin := -1
		for _, h := range c.plan.Hours[s.Crew] {
			if clock.Day(h.Start) == s.Date && (begin < 0 || h.Start < begin) {
				begin = h.Start
			}
		}
		for _, g := range s.Cuts {
			if begin < 0 || g.Tool != takeoff.WetSaw && g.Tool != takeoff.HoleSaw {
				continue
			}
			for _, id := range g.Pieces {
				if q := c.piece[id]; q != nil && q.area != nil && !q.OnSite && c.act[q.area.Activity].State == "planned" && s.Date.Before(clock.Day(q.area.Start)) {
					c.dryFrom(q, begin, clock)
				}
			}
		}
	}
}

// dryFrom holds the patch of a piece that is cut at a minute at the earliest.
func (c *checker) dryFrom(q *checkedPiece, begin int, clock Clock) {
	dry := c.dries(q.Tile, q.area.Mortar)
	for _, t := range q.area.Patches {
		if dry > 0 && t.Start < begin+dry && slices.Contains(t.Pieces, q.ID) {
			c.breach("piece %s is sawn wet ahead, not before %s, dries %d min and is spread at %s", q.ID, clock.Words(begin), dry, clock.Words(t.Start))
		}
	}
}

// cutsAgain reports whether a piece is listed more often than it has cuts.
func (c *checker) cutsAgain(id string, times int) bool { return times > len(c.piece[id].Cuts) }

// comeAtTheEarliest are the days on which tile can first be used that a room has from
// one order alone, placed or to be placed at once: what is ordered later comes when the
// schedule asks for it.
func (c *checker) comeAtTheEarliest() map[takeoff.Use]rooms.Date {
	ready, lines := map[takeoff.Use]rooms.Date{}, map[takeoff.Use]int{}
	for _, h := range c.plan.OnHand {
		lines[takeoff.Use{Product: h.Product}]++
	}
	for i := range c.plan.Orders {
		o := &c.plan.Orders[i]
		for k := range o.Lines {
			for _, r := range o.Lines[k].Rooms {
				use := takeoff.Use{Product: o.Lines[k].Product, Room: r}
				if lines[use]++; !c.plan.Today.Before(o.OrderBy) {
					ready[use] = o.ReadyOf(&o.Lines[k])
				}
			}
		}
	}
	for use := range ready {
		if lines[use] > 1 || lines[takeoff.Use{Product: use.Product}] > 0 {
			delete(ready, use)
		}
	}
	return ready
}

// dryBy holds the patch of a piece to when it can be dry.
func (c *checker) dryBy(q *checkedPiece, a *Activity, d rooms.Date) {
	dry := c.dries(q.Tile, q.area.Mortar)
	if dry <= 0 {
		return
	}
	clock := Clock{c.plan.Epoch, c.plan.Firm.Zone}
	begin := clock.DayStart(d.AddDays(1))
	for _, h := range c.plan.Hours[a.Crew] {
		if clock.Day(h.Start) == d {
			begin = min(begin, h.Start)
		}
	}
	for _, n := range c.noise(a.Site) {
		if int(d.Weekday()) == n.Weekday {
			begin = max(begin, clock.OnDay(d, n.Start))
			break
		}
	}
	for _, t := range q.area.Patches {
		if slices.Contains(t.Pieces, q.ID) && t.Start < begin+dry {
			c.breach("piece %s is sawn wet on the day it is set, not before %s, dries %d min and is spread at %s", q.ID, clock.Words(begin), dry, clock.Words(t.Start))
		}
	}
}

// noise are the hours for loud work of a site.
func (c *checker) noise(site string) []rooms.DayHours {
	for _, j := range c.plan.Jobs {
		for _, s := range j.Sites {
			if j.Key+"/"+s.Key == site {
				return s.Noise
			}
		}
	}
	return nil
}

// dries is how long a piece of a tile dries before it is set in a mortar.
func (c *checker) dries(tile, mortar string) int {
	dry, given := 0, false
	for _, t := range c.plan.Firm.Catalogue.Tiles {
		if t.Key == tile && t.SawDry != 0 {
			dry, given = max(dry, t.SawDry), true
		}
	}
	for _, p := range c.plan.Firm.Catalogue.Products {
		if p.Key == mortar && p.Sheet.SawDry != 0 {
			dry, given = max(dry, p.Sheet.SawDry), true
		}
	}
	if given {
		return dry
	}
	return c.plan.Firm.Limits.filled().SawDry
}
