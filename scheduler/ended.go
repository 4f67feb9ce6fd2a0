package scheduler

import (
	"cmp"
	"math"
	"slices"

	"potlife/rooms"
)

// ends are the minutes at which work was reported done, by activity: what cures
// cures from then on. Of a setting activity the last of its areas counts.
func (c *carrying) ends() map[string]int {
	ended, areas := map[string]int{}, map[string]int{}
	for _, r := range c.maker.in.Records {
		if r.At.IsZero() {
			continue
		}
		switch at := c.maker.clock.Minute(r.At); r.Kind {
		case "activity done":
			ended[r.Activity] = at
		case "area done":
			areas[r.Area] = at
		case "activity not done":
			delete(ended, r.Activity)
		case "area not done":
			delete(areas, r.Area)
		}
	}
	for id, at := range areas {
		if act := c.activityOf[id]; act != "" {
			ended[act] = max(ended[act], at)
		}
	}
	return ended
}

// shiftOfWait is how many minutes later than planned, less than 0 for earlier, the
// waits after work that ended begin. What is set holds a ledger and its other
// neighbours by its planned end at the earliest; only grout goes by an earlier
// one.
func shiftOfWait(finish, ended int, kind, next string) int {
	switch {
	case ended == 0:
		return 0
	case kind == kindSet && next != kindGrout:
		return max(0, ended-finish)
	}
	return ended - finish
}

// crewDay is a crew's day.
type crewDay struct {
	crew string
	date rooms.Date
}

// postponing puts off, of what is issued and not begun, what a report has made
// too early: later on its day, with all that the crew has to do after it, where
// its hours allow; else off the day, to be planned again.
type postponing struct {
	*carrying
	byID  map[string]*Activity
	delay map[crewDay]int
}

// postpone looks at the work carried over in order of time.
func (c *carrying) postpone() {
	p := &postponing{c, map[string]*Activity{}, map[crewDay]int{}}
	var list []*Activity
	for i := range c.prior.Activities {
		if a := &c.prior.Activities[i]; c.keep[a.ID] {
			p.byID[a.ID] = a
			list = append(list, a)
		}
	}
	slices.SortStableFunc(list, func(a, b *Activity) int { return cmp.Or(cmp.Compare(a.Start, b.Start), cmp.Compare(a.ID, b.ID)) })
	for _, a := range list {
		if !c.begun(a) {
			p.place(a)
		}
	}
	for _, a := range list {
		if c.delay[a.ID] > 0 && p.crossed(a, list) {
			c.keep[a.ID] = false
		}
	}
	p.mixes()
	c.dropAfter(c.lastReported())
}

// begun reports whether work carried over had begun at the instant of planning.
func (c *carrying) begun(a *Activity) bool {
	return a.Start < c.maker.horizonOfWork() || c.reported[a.ID]
}

// later is by how much a wait ends later than it did in the plan in force.
func (c *carrying) later(b, a *Activity) int {
	return shiftOfWait(b.Finish, c.ended[b.ID], b.Kind, a.Kind) - shiftOfWait(b.Finish, b.Ended, b.Kind, a.Kind)
}

// place finds the first time on its day at which an activity may start.
func (p *postponing) place(a *Activity) {
	c := p.carrying
	day := crewDay{a.Crew, c.maker.clock.Day(a.Start)}
	free, latest := a.Start+p.delay[day], math.MaxInt
	for _, l := range a.After {
		b := p.byID[l.Activity]
		if b == nil || !c.keep[b.ID] {
			continue
		}
		end, later := b.Finish+c.delay[b.ID], c.later(b, a)
		if v := end + max(0, l.Least+later); v > free {
			free = (v + 4) / 5 * 5
		}
		if l.Most >= 0 {
			latest = min(latest, end+max(0, l.Most+later))
		}
	}
	if free == a.Start && free <= latest {
		return
	}
	start, ok := p.fits(a, free)
	if !ok || start > latest || c.maker.clock.Day(start) != day.date {
		c.keep[a.ID] = false
		return
	}
	p.delay[day], c.delay[a.ID] = start-a.Start, start-a.Start
}

// fits is the first start of an activity in the hours that its crew and site had
// when it was issued. What is bound to more than hours is planned again instead.
func (p *postponing) fits(a *Activity, free int) (int, bool) {
	m := p.maker
	if len(a.Tools) > 0 || a.Noisy || len(a.Work) != 1 {
		return 0, false
	}
	end := m.clock.DayStart(m.clock.Day(a.Start).AddDays(1))
	for _, j := range m.jobs {
		for i := range j.Sites {
			if s := &j.Sites[i]; j.Key+"/"+s.Key == a.Site {
				return earliest(Common(p.prior.Hours[a.Crew], m.clock.SiteHours(*s, a.Start, end)), free, a.Finish-a.Start)
			}
		}
	}
	return 0, false
}

// crossed reports whether an activity put off meets another crew in its room
// that it did not meet before.
func (p *postponing) crossed(a *Activity, list []*Activity) bool {
	meet := func(a, b *Activity, da, db int) bool { return a.Start+da < b.Finish+db && b.Start+db < a.Finish+da }
	return slices.ContainsFunc(list, func(b *Activity) bool {
		return b.Room == a.Room && b.Crew != a.Crew && b.Crew != "" && p.keep[b.ID] &&
			meet(a, b, p.carrying.delay[a.ID], p.carrying.delay[b.ID]) && !meet(a, b, 0, 0)
	})
}

// mixes takes off what shares a bucket with work that goes at another time.
func (p *postponing) mixes() {
	for _, x := range p.prior.Mixes {
		least, most := math.MaxInt, 0
		acts := []string{x.Activity}
		for _, w := range x.Also {
			acts = append(acts, w.Activity)
		}
		for _, q := range x.Patches {
			acts = append(acts, p.activityOf[q.Area])
		}
		for _, id := range acts {
			least, most = min(least, p.carrying.delay[id]), max(most, p.carrying.delay[id])
		}
		if least == most {
			continue
		}
		for _, id := range acts {
			if p.carrying.delay[id] > 0 {
				p.keep[id] = false
			}
		}
	}
}

// lastReported is, by room, the start of the last work reported done.
func (c *carrying) lastReported() map[string]int {
	last := map[string]int{}
	for _, a := range c.prior.Activities {
		if c.reported[a.ID] {
			last[a.Room] = max(last[a.Room], a.Start)
		}
	}
	return last
}

// asItStands is an activity carried over with what reports have changed of its
// times: its own where it was put off, and the waits before it.
func (c *carrying) asItStands(a Activity, byID map[string]*Activity) Activity {
	a.Ended = c.ended[a.ID]
	d := c.delay[a.ID]
	a.Start, a.Finish = a.Start+d, a.Finish+d
	a.Work = slices.Clone(a.Work)
	for i := range a.Work {
		a.Work[i].Start, a.Work[i].End = a.Work[i].Start+d, a.Work[i].End+d
	}
	a.After = slices.Clone(a.After)
	if c.begun(&a) {
		return a // what was waited for when it began stays as it was
	}
	for i := range a.After {
		l := &a.After[i]
		if b := byID[l.Activity]; b != nil && c.keep[b.ID] {
			later := c.later(b, &a)
			l.Least += later
			if l.Most >= 0 {
				l.Most = max(0, l.Most+later)
			}
		}
	}
	return a
}

// areaEnded is when the cure of an area carried over began, 0 for as planned:
// where grout on it had begun before that cure was over, the plan goes by what
// it knew then.
func (c *carrying) areaEnded(a *Area) int {
	end := c.ended[a.Activity]
	for _, g := range c.prior.Activities {
		if end > 0 && g.Kind == kindGrout && c.keep[g.ID] && c.begun(&g) && g.Start < end+a.GroutAfter &&
			slices.ContainsFunc(g.Surfaces, func(k string) bool { return slices.Contains(a.Surfaces, k) }) {
			return a.Ended
		}
	}
	return end
}

// postponed is an area with its times put off.
func (a Area) postponed(by int) Area {
	a.Start, a.Finish = a.Start+by, a.Finish+by
	a.Patches = slices.Clone(a.Patches)
	for i := range a.Patches {
		a.Patches[i].Start, a.Patches[i].SetBy = a.Patches[i].Start+by, a.Patches[i].SetBy+by
	}
	return a
}

// RestsFrom is the minute from which an area rests before its grout: when it was
// reported set, else when it is planned to be.
func (a *Area) RestsFrom() int {
	if a.Ended > 0 {
		return a.Ended
	}
	return a.Finish
}
