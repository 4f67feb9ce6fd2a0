package scheduler

import (
	"fmt"
	"slices"

	"potlife/rooms"
	"potlife/takeoff"
)

// carrying decides what of the plan in force stands: what its crew began before
// the instant up to which it is issued, or is reported done, less what the
// reports say did not happen.
type carrying struct {
	maker      *maker
	prior      *Plan
	keep       map[string]bool // activities
	reported   map[string]bool
	activityOf map[string]string            // of areas
	out        map[string]map[string]string // per area, pieces to be set again or still, with the reason
	order      map[string][]string          // per area, its pieces
	short      map[string]bool              // areas reported that stopped before their last piece
	ended      map[string]int               // minute at which activities were reported done
	whole      map[string]whole             // pieces said to have broken that did not
	delay      map[string]int               // minutes by which activities not begun are put off
	findings   []takeoff.Finding
}

func newCarrying(m *maker, p *Plan) *carrying {
	c := &carrying{maker: m, prior: p, keep: map[string]bool{}, reported: map[string]bool{}, activityOf: map[string]string{},
		out: map[string]map[string]string{}, order: map[string][]string{}, short: map[string]bool{}, delay: map[string]int{}}
	for _, a := range p.Areas {
		c.activityOf[a.ID], c.order[a.ID] = a.Activity, a.Pieces
	}
	undone := c.reports()
	c.ended = c.ends()
	exists := map[string]bool{}
	for _, j := range m.jobs {
		for _, s := range j.Sites {
			for _, r := range s.Rooms {
				exists[j.Key+"/"+r.Key] = true
			}
		}
	}
	for _, a := range p.Activities {
		if a.State == "done" && !undone[a.ID] {
			c.reported[a.ID] = true
		}
		// Holds are worked out anew: their end is what others say today.
		c.keep[a.ID] = a.Kind != kindHold && exists[a.Room] && !undone[a.ID] && (!m.in.supposed.putOff[a.ID] || c.reported[a.ID]) && (a.Start < m.frozen[a.Crew] || c.reported[a.ID])
	}
	c.before()
	for i := range p.Areas {
		if a := &p.Areas[i]; c.keep[a.Activity] {
			c.unset(a)
		}
	}
	return c
}

// reports notes which activities are reported done and returns those that are
// reported not to have been done; the last report of each counts. An activity
// some of whose areas were done is done as far as these go.
func (c *carrying) reports() (undone map[string]bool) {
	undone = map[string]bool{}
	areaDone := map[string]bool{}
	for _, r := range c.maker.in.Records {
		switch r.Kind {
		case "area done":
			areaDone[r.Area] = true
		case "area not done":
			areaDone[r.Area] = false
		case "activity done":
			c.reported[r.Activity], undone[r.Activity] = true, false
		case "activity not done":
			c.reported[r.Activity], undone[r.Activity] = false, true
		}
	}
	known, not := map[string]int{}, map[string]int{}
	for _, a := range c.prior.Areas {
		done, said := areaDone[a.ID]
		known[a.Activity]++
		switch {
		case done:
			c.reported[a.Activity] = true
		case said:
			not[a.Activity]++
		}
	}
	for id, n := range not {
		if n == known[id] {
			undone[id], c.reported[id] = true, false
		}
	}
	return undone
}

// before keeps what reported work follows: whoever set an area ahead of its day
// has prepared its ground.
func (c *carrying) before() {
	byID := map[string]*Activity{}
	for i := range c.prior.Activities {
		byID[c.prior.Activities[i].ID] = &c.prior.Activities[i]
	}
	var back func(a *Activity)
	back = func(a *Activity) {
		for _, l := range a.After {
			if b := byID[l.Activity]; b != nil && !c.keep[b.ID] && b.Kind != kindHold {
				c.keep[b.ID] = true
				back(b)
			}
		}
	}
	for i := range c.prior.Activities {
		if a := &c.prior.Activities[i]; c.reported[a.ID] && c.keep[a.ID] {
			back(a)
		}
	}
}

// unset notes the pieces of an area that the reports say were not set, or broke
// after setting began.
func (c *carrying) unset(a *Area) {
	out := map[string]string{}
	start := c.maker.clock.At(a.Start)
	for _, r := range c.maker.in.Records {
		day := r.Day
		if day.IsZero() {
			day = rooms.DateOf(r.At.In(c.maker.clock.Zone))
		}
		switch {
		case r.Kind == "area done" && r.Area == a.ID:
			clear(out)
			c.short[a.ID] = false
			for _, id := range a.Pieces {
				if len(r.Pieces) > 0 && !slices.Contains(r.Pieces, id) {
					out[id] = fmt.Sprintf("not set on %s, the field went on", day.Words())
					c.short[a.ID] = true
				}
			}
		case r.Kind == "area not done" && r.Area == a.ID:
			for _, id := range a.Pieces {
				out[id] = fmt.Sprintf("not set on %s, the field went on", day.Words())
			}
			c.short[a.ID] = true
		case r.Kind == "pieces broken" && !r.At.Before(start):
			for _, id := range r.Pieces {
				if slices.Contains(a.Pieces, id) {
					out[id] = fmt.Sprintf("broken on %s, cut again", day.Words())
				}
			}
		}
	}
	if len(out) > 0 {
		c.out[a.ID] = out
	}
}

// drop takes back what cannot have happened after an area stopped early, and
// the grouting that has to wait for a piece that broke: unless it is reported,
// or work after it is.
func (c *carrying) drop() {
	last := c.lastReported()
	for i := range c.prior.Areas {
		area := &c.prior.Areas[i]
		if len(c.out[area.ID]) == 0 {
			continue
		}
		room := roomOfSurface(area.Surfaces[0])
		for _, a := range c.prior.Activities {
			if a.Room != room || a.Start <= area.Start || c.reported[a.ID] || a.Start < last[room] {
				continue
			}
			if c.short[area.ID] || phase(a.Kind) >= 2 || a.Kind == kindClean {
				c.keep[a.ID] = false
			}
		}
	}
	// A room's work is dropped from a point on, never from its middle.
	c.dropAfter(last)
}

// dropAfter drops what follows, in a room, something dropped.
func (c *carrying) dropAfter(last map[string]int) {
	first := map[string]int{}
	for _, a := range c.prior.Activities {
		if !c.keep[a.ID] && a.Kind != kindHold {
			if v, ok := first[a.Room]; !ok || a.Start < v {
				first[a.Room] = a.Start
			}
		}
	}
	for _, a := range c.prior.Activities {
		if v, ok := first[a.Room]; ok && a.Start >= v && !c.reported[a.ID] && a.Start >= last[a.Room] {
			c.keep[a.ID] = false
		}
	}
}

// giveBack lets pieces count as set where their surface is grouted already: a
// replacement is then a repair of its own.
func (c *carrying) giveBack() {
	grouted := map[string]bool{}
	for _, a := range c.prior.Activities {
		if c.keep[a.ID] && a.Kind == kindGrout {
			for _, k := range a.Surfaces {
				grouted[k] = true
			}
		}
	}
	for i := range c.prior.Areas {
		a := &c.prior.Areas[i]
		if len(c.out[a.ID]) == 0 || !slices.ContainsFunc(a.Surfaces, func(k string) bool { return grouted[k] }) {
			continue
		}
		c.findings = append(c.findings, takeoff.Finding{Rule: "repair", Severity: takeoff.Warn, Where: a.ID,
			Message: fmt.Sprintf("%d pieces are reported broken or not set and their surface is grouted: replace them as a repair", len(c.out[a.ID])),
			Value:   float64(len(c.out[a.ID])), Source: "the reports"})
		delete(c.out, a.ID)
	}
}
