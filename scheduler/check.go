package scheduler

import (
	"errors"
	"fmt"
	"slices"

	"potlife/rooms"
	"potlife/takeoff"
)

// CheckPlan holds a plan to its rules afresh: work inside the crews' hours and
// within their people and the room's, travel, every wait kept, preparation
// before setting before grout before sealing, each piece in one area in a
// possible order, patches within open time and from live mixes, each cut once
// and in time, nothing mixed that is not bought. It shares no code with what
// makes a plan and joins all breaches into one error.
func CheckPlan(p *Plan) error {
	c := &checker{plan: p, act: map[string]*Activity{}, area: map[string]*Area{}, piece: map[string]*takeoff.Piece{}, surface: map[string]*takeoff.Layout{},
		room: map[string]*rooms.Room{}, kind: map[string]string{}, areaOf: map[string]string{}, turn: map[string]int{}}
	c.index()
	if len(c.errs) == 0 {
		c.hours()
		c.loads()
		c.moves()
		c.lags()
		c.sequence()
		c.areas()
		c.mixes()
		c.order()
		c.sheets()
	}
	return errors.Join(c.errs...)
}

type checker struct {
	plan    *Plan
	act     map[string]*Activity
	area    map[string]*Area
	piece   map[string]*takeoff.Piece
	surface map[string]*takeoff.Layout // by piece
	room    map[string]*rooms.Room
	kind    map[string]string // of surfaces
	areaOf  map[string]string
	turn    map[string]int // pieces by time
	errs    []error
}

func (c *checker) breach(format string, args ...any) {
	if len(c.errs) < 50 {
		c.errs = append(c.errs, fmt.Errorf(format, args...))
	}
}

func (c *checker) index() {
	p := c.plan
	for _, j := range p.Jobs {
		for _, s := range j.Sites {
			for i := range s.Rooms {
				r := &s.Rooms[i]
				c.room[j.Key+"/"+r.Key] = r
				for _, f := range r.Surfaces {
					c.kind[j.Key+"/"+r.Key+"/"+f.Key] = f.Kind
				}
			}
		}
	}
	for i := range p.Layouts {
		for z := range p.Layouts[i].Zones {
			for k := range p.Layouts[i].Zones[z].Pieces {
				q := &p.Layouts[i].Zones[z].Pieces[k]
				if c.piece[q.ID] != nil {
					c.breach("piece %s stands twice", q.ID)
				}
				c.piece[q.ID], c.surface[q.ID] = q, &p.Layouts[i]
			}
		}
	}
	for i := range p.Activities {
		a := &p.Activities[i]
		if c.act[a.ID] != nil {
			c.breach("activity %s stands twice", a.ID)
		}
		c.act[a.ID] = a
	}
	c.indexAreas()
}

func (c *checker) indexAreas() {
	p := c.plan
	byTime := make([]*Area, 0, len(p.Areas))
	for i := range p.Areas {
		a := &p.Areas[i]
		if c.area[a.ID] != nil {
			c.breach("area %s stands twice", a.ID)
		}
		c.area[a.ID] = a
		byTime = append(byTime, a)
		if c.act[a.Activity] == nil {
			c.breach("area %s: activity %s does not exist", a.ID, a.Activity)
		}
	}
	slices.SortStableFunc(byTime, func(a, b *Area) int { return a.Start - b.Start })
	for _, a := range byTime {
		for _, id := range a.Pieces {
			if c.areaOf[id] != "" || c.piece[id] == nil {
				c.breach("piece %s stands in %s and %s, or does not exist", id, c.areaOf[id], a.ID)
			}
			c.areaOf[id] = a.ID
			c.turn[id] = len(c.turn)
		}
	}
	for id := range c.piece {
		if c.areaOf[id] == "" {
			c.breach("piece %s is never set", id)
			return
		}
	}
}

// hours: work lies in one working interval of its crew.
func (c *checker) hours() {
	for i := range c.plan.Activities {
		a := &c.plan.Activities[i]
		if a.Finish < a.Start {
			c.breach("activity %s ends before it starts", a.ID)
		}
		for _, w := range a.Work {
			ok := w.Start >= a.Start && w.End <= a.Finish
			in := false
			for _, h := range c.plan.Hours[a.Crew] {
				in = in || h.Start <= w.Start && w.End <= h.End
			}
			if a.Crew != "" && !(ok && in) {
				c.breach("activity %s: works from minute %d to %d outside the hours of crew %s", a.ID, w.Start, w.End, a.Crew)
			}
		}
	}
}

// loads: at each start of work the people busy fit the crew and the room.
func (c *checker) loads() {
	crews := map[string]Crew{}
	for _, k := range c.plan.Firm.Crews {
		crews[k.Key] = k
	}
	for i := range c.plan.Activities {
		a := &c.plan.Activities[i]
		if a.Crew == "" {
			continue
		}
		setters, helpers, people := 0, 0, 0
		for k := range c.plan.Activities {
			b := &c.plan.Activities[k]
			if b.Crew == "" || b.Start > a.Start || b.Finish <= a.Start {
				continue
			}
			if b.Crew == a.Crew {
				setters += b.Setters
				helpers += b.Helpers
			}
			if b.Room == a.Room {
				people += b.Setters + b.Helpers
			}
		}
		if k := crews[a.Crew]; setters > k.Setters || helpers > k.Helpers {
			c.breach("crew %s at minute %d: %d setters and %d helpers busy, it has %d and %d", a.Crew, a.Start, setters, helpers, k.Setters, k.Helpers)
		}
		if r := c.room[a.Room]; r == nil || people > r.People {
			c.breach("room %s at minute %d: %d people, more than fit", a.Room, a.Start, people)
		}
	}
}

// moves: a crew is on one site at a time and has the time to travel.
func (c *checker) moves() {
	way := map[[2]string]int{}
	for _, t := range c.plan.Firm.Travel {
		way[[2]string{t.From, t.To}] = max(way[[2]string{t.From, t.To}], t.Minutes)
		way[[2]string{t.To, t.From}] = way[[2]string{t.From, t.To}]
	}
	for i := range c.plan.Activities {
		for k := range c.plan.Activities[:i] {
			a, b := &c.plan.Activities[k], &c.plan.Activities[i]
			if a.Crew == "" || a.Crew != b.Crew || a.Site == b.Site {
				continue
			}
			if b.Start < a.Start {
				a, b = b, a
			}
			if gap := b.Start - a.Finish; gap < way[[2]string{a.Site, b.Site}] {
				c.breach("crew %s: %d min from %s to %s, the way takes %d", a.Crew, gap, a.ID, b.ID, way[[2]string{a.Site, b.Site}])
			}
		}
	}
}

func (c *checker) lags() {
	for i := range c.plan.Activities {
		a := &c.plan.Activities[i]
		for _, l := range a.After {
			b := c.act[l.Activity]
			if b == nil {
				c.breach("activity %s follows %s, which does not exist", a.ID, l.Activity)
				continue
			}
			gap := a.Start - b.Finish
			if l.Working {
				gap = 0
				for _, h := range c.plan.Hours[a.Crew] {
					gap += max(0, min(h.End, a.Start)-max(h.Start, b.Finish))
				}
			}
			if a.Start < b.Finish || gap < l.Least || l.Most >= 0 && gap > l.Most {
				c.breach("activity %s starts %d min after %s: at least %d and at most %d are due (%s)", a.ID, gap, b.ID, l.Least, l.Most, l.Why)
			}
		}
	}
}

var preparations = []string{"prepare", "level", "prime", "board", "membrane", "flood test"}

// sequence: per surface what prepares it ends before the first tile, each area
// rests before grout, and grout is done before sealing.
func (c *checker) sequence() {
	first := map[string]int{}
	for i := range c.plan.Areas {
		for _, k := range c.plan.Areas[i].Surfaces {
			if v, ok := first[k]; !ok || c.plan.Areas[i].Start < v {
				first[k] = c.plan.Areas[i].Start
			}
		}
	}
	grouted := map[string]bool{}
	for i := range c.plan.Activities {
		a := &c.plan.Activities[i]
		for _, k := range a.Surfaces {
			set, ok := first[k]
			switch {
			case ok && slices.Contains(preparations, a.Kind) && a.Finish > set:
				c.breach("%s: %s ends after the first tile is set", k, a.ID)
			case a.Kind == "grout":
				grouted[k] = true
				c.beforeGrout(a, k)
			case a.Kind == "seal":
				c.beforeSeal(a, k)
			}
		}
	}
	for i := range c.plan.Areas {
		for _, k := range c.plan.Areas[i].Surfaces {
			if !grouted[k] {
				c.breach("%s is set and never grouted", k)
			}
		}
	}
}

func (c *checker) beforeGrout(g *Activity, surface string) {
	for i := range c.plan.Areas {
		a := &c.plan.Areas[i]
		if slices.Contains(a.Surfaces, surface) && len(a.Pieces) > 0 && g.Start-a.Finish < a.GroutAfter {
			c.breach("%s grouts %d min after %s, %d are due", g.ID, g.Start-a.Finish, a.ID, a.GroutAfter)
		}
	}
}

func (c *checker) beforeSeal(s *Activity, surface string) {
	for i := range c.plan.Activities {
		g := &c.plan.Activities[i]
		if g.Kind == "grout" && slices.Contains(g.Surfaces, surface) && s.Start < g.Finish {
			c.breach("%s seals before %s is done", s.ID, g.ID)
		}
	}
}
