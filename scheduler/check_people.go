package scheduler

import (
	"slices"
	"strings"
	"time"

	"potlife/rooms"
	"potlife/takeoff"
)

// people: what is planned is done with the people who are there that day, by
// crews that may do it, at hours the site allows, loud work at those it allows
// for that, and with no more of a shared tool than the firm has.
func (c *checker) people() {
	sites := map[string]rooms.Site{}
	for _, j := range c.plan.Jobs {
		for _, s := range j.Sites {
			sites[j.Key+"/"+s.Key] = s
		}
	}
	crews := map[string]Crew{}
	for _, k := range c.plan.Firm.Crews {
		crews[k.Key] = k
	}
	for i := range c.plan.Activities {
		a := &c.plan.Activities[i]
		if a.Crew == "" || a.State != "planned" {
			continue
		}
		if s := sites[a.Site]; len(s.Hours) > 0 && !c.inHours(s.Hours, a) {
			c.breach("activity %s lies outside the hours of site %s", a.ID, a.Site)
		}
		if s := sites[a.Site]; slices.Contains(s.Closed, c.dayOf(a.Start)) {
			c.breach("activity %s is on a day on which site %s is closed", a.ID, a.Site)
		}
		if s := sites[a.Site]; a.Noisy && !c.inHours(s.Noise, a) {
			c.breach("activity %s is loud outside the hours of site %s for that", a.ID, a.Site)
		}
		for _, s := range a.Skills {
			if k := crews[a.Crew]; len(k.Skills) > 0 && !slices.Contains(k.Skills, s) {
				c.breach("activity %s asks for the skill %q, which crew %s lacks", a.ID, s, a.Crew)
			}
		}
		c.absent(crews[a.Crew], a)
	}
	for i := range c.plan.Areas {
		a := &c.plan.Areas[i]
		c.lifted(a, crews)
		if act := c.act[a.Activity]; act != nil && act.State == "planned" && !act.Noisy && len(sites[act.Site].Noise) > 0 && c.sawsInPlace(a) {
			c.breach("area %s cuts in place with power tools and is not held to the hours of site %s for that", a.ID, act.Site)
		}
	}
	for _, t := range c.plan.Firm.Tools {
		c.shared(t)
	}
}

// inHours reports whether an activity lies in one span of hours by weekday.
func (c *checker) inHours(hours []rooms.DayHours, a *Activity) bool {
	zone := c.plan.Firm.Zone
	if zone == nil {
		zone = time.UTC
	}
	start := c.plan.Epoch.Add(time.Duration(a.Start) * time.Minute).In(zone)
	end := c.plan.Epoch.Add(time.Duration(a.Finish) * time.Minute).In(zone)
	from := start.Hour()*60 + start.Minute()
	to := from + int(end.Sub(start).Minutes())
	return slices.ContainsFunc(hours, func(h rooms.DayHours) bool {
		return h.Weekday == int(start.Weekday()) && h.Start <= from && to <= h.End
	})
}

func (c *checker) dayOf(minute int) rooms.Date {
	zone := c.plan.Firm.Zone
	if zone == nil {
		zone = time.UTC
	}
	return rooms.DateOf(c.plan.Epoch.Add(time.Duration(minute) * time.Minute).In(zone))
}

// absent: at the start of an activity, and where somebody goes while it lasts, its
// crew has the people for all that it does then.
func (c *checker) absent(k Crew, a *Activity) {
	ends := ownEnds(k, c.dayOf(a.Start))
	if len(k.Away)+len(ends) == 0 {
		return
	}
	d := c.dayOf(a.Start)
	clock := Clock{c.plan.Epoch, c.plan.Firm.Zone}
	if clock.Zone == nil {
		clock.Zone = time.UTC
	}
	c.manned(k, a, a.Start, d)
	for _, x := range k.Away {
		if at := clock.OnDay(d, x.Start); x.End > 0 && a.Start < at && at < a.Finish {
			c.manned(k, a, at, d)
		}
	}
	for _, m := range ends {
		if at := clock.OnDay(d, m); a.Start < at && at < a.Finish {
			c.manned(k, a, at, d)
		}
	}
}

// ownEnds are the minutes of a day at which somebody of a crew may go by hours of his
// own, and its beginning where there are such people.
func ownEnds(k Crew, d rooms.Date) (out []int) {
	for _, p := range k.People {
		if len(p.Hours)+len(p.Off)+len(p.Special) > 0 {
			out = append(out, 0)
		}
		for _, h := range p.Hours {
			if h.Weekday == int(d.Weekday()) {
				out = append(out, h.End)
			}
		}
		for _, h := range p.Special {
			if h.On == d {
				out = append(out, h.End)
			}
		}
	}
	return out
}

// comes reports whether a person's own hours have him there at a minute of a day: those
// of the date, or else of the weekday; all where he has none, and on his extra days.
func comes(p Person, d rooms.Date, minute int) bool {
	if slices.Contains(p.Off, d) {
		return false
	}
	dated, there := false, false
	for _, h := range p.Special {
		if h.On == d && h.Start < h.End {
			dated, there = true, there || h.Start <= minute && minute < h.End
		}
	}
	if dated || len(p.Hours) == 0 || slices.Contains(p.On, d) {
		return there || !dated
	}
	return slices.ContainsFunc(p.Hours, func(h rooms.DayHours) bool {
		return h.Weekday == int(d.Weekday()) && h.Start <= minute && minute < h.End
	})
}

// manned: at a minute the crew of an activity has the people for all it does.
func (c *checker) manned(k Crew, a *Activity, at int, d rooms.Date) {
	setters, helpers := k.Setters, k.Helpers
	wall := c.plan.Epoch.Add(time.Duration(at) * time.Minute)
	if c.plan.Firm.Zone != nil {
		wall = wall.In(c.plan.Firm.Zone)
	}
	minute := wall.Hour()*60 + wall.Minute()
	for _, x := range k.Away {
		if !d.Before(x.From) && !x.To.Before(d) && (x.End == 0 || x.Start <= minute && minute < x.End) {
			if x.Helper {
				helpers--
			} else {
				setters--
			}
		}
	}
	setters, helpers = min(setters, c.byName(k, false, setters, d, minute)), min(helpers, c.byName(k, true, helpers, d, minute))
	s, h := 0, 0
	for i := range c.plan.Activities {
		if b := &c.plan.Activities[i]; b.Crew == k.Key && b.State == "planned" && b.Start <= at && at < b.Finish {
			s, h = s+b.Setters, h+b.Helpers
		}
	}
	if s > setters || h > helpers {
		c.breach("crew %s on %s: %d setters and %d helpers at work in %s and elsewhere, %d and %d are there", k.Key, d, s, h, a.ID, setters, helpers)
	}
}

// byName counts who of a crew's setters or helpers is there at a minute of a day, where
// they have names; else it leaves the number as it is. An absence takes the one whom it
// names, whatever part in the crew it says.
func (c *checker) byName(k Crew, helper bool, n int, d rooms.Date, minute int) int {
	there, named := 0, false
	for _, p := range k.People {
		if p.Helper != helper {
			continue
		}
		named = true
		if comes(p, d, minute) && !slices.ContainsFunc(k.Away, func(x Absence) bool {
			return strings.EqualFold(x.Who, p.Name) && !d.Before(x.From) && !x.To.Before(d) && (x.End == 0 || x.Start <= minute && minute < x.End)
		}) {
			there++
		}
	}
	if !named {
		return n
	}
	return there
}

// shared: at the start of each activity that takes a tool, no more of them are
// in use than there are.
func (c *checker) shared(t Tool) {
	var users []*Activity
	for i := range c.plan.Activities {
		if a := &c.plan.Activities[i]; slices.Contains(a.Tools, t.Key) {
			users = append(users, a)
		}
	}
	for _, a := range users {
		n := 0
		for _, b := range users {
			if b.Start <= a.Start && a.Start < b.Finish {
				n++
			}
		}
		if n > t.Count && a.State == "planned" {
			c.breach("%d activities use the %s when %s starts, the firm has %d", n, t.Key, a.ID, t.Count)
		}
	}
}

// sawsInPlace reports whether a piece of an area is measured on site and cut by more
// than score and snap.
func (c *checker) sawsInPlace(a *Area) bool {
	return slices.ContainsFunc(a.Pieces, func(id string) bool {
		p, ok := c.piece[id]
		return ok && p.OnSite && slices.ContainsFunc(p.Cuts, func(k takeoff.Cut) bool { return k.Tool != takeoff.Snap })
	})
}

// lifted: a tile that two people lift is set by two, where the crew has two and the
// room holds them.
func (c *checker) lifted(a *Area, crews map[string]Crew) {
	act, k := c.act[a.Activity], crews[a.Crew]
	if act == nil || act.State != "planned" || act.Setters+act.Helpers > 1 || k.LiftAid || k.Setters+k.Helpers < 2 {
		return
	}
	if r := c.room[act.Room]; r == nil || r.People < 2 {
		return
	}
	for i := range c.plan.Firm.Catalogue.Tiles {
		t := &c.plan.Firm.Catalogue.Tiles[i]
		kg := tileKg(t)
		if kg < c.plan.Firm.Limits.filled().LiftKg {
			continue // before its pieces are looked up, which takes long in a large plan
		}
		if slices.ContainsFunc(a.Pieces, func(id string) bool { p, ok := c.piece[id]; return ok && p.Tile == t.Key }) {
			c.breach("area %s: one person is planned to lift %s of %.1f kg", a.ID, t.Key, kg)
		}
	}
}
