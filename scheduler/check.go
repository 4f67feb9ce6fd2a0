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
// possible order, of one bed, no longer than the firm's longest and ending where it
// says, patches within open time and from live mixes, each cut once and in time, what
// is sawn wet dry before it is set, nothing mixed that is not bought, nothing
// delivered where nobody is and no tile cut or set before it has come. It shares no code but each with what
// makes a plan and joins all breaches into one error.
func CheckPlan(p *Plan) error {
	c := &checker{plan: p, act: map[string]*Activity{}, area: map[string]*Area{}, room: map[string]*rooms.Room{}, kind: map[string]string{}}
	c.index()
	if len(c.errs) == 0 {
		c.together((*checker).sheets, (*checker).order, (*checker).floors, (*checker).hours, (*checker).loads, (*checker).moves, (*checker).lags,
			(*checker).sequence, (*checker).areas, (*checker).mixes, (*checker).mixed, (*checker).heat, (*checker).air, (*checker).people, (*checker).saws, (*checker).sawnBefore, (*checker).sawnAhead, (*checker).stops, (*checker).orders, (*checker).arrived)
	}
	return errors.Join(c.errs...)
}

type checker struct {
	plan   *Plan
	act    map[string]*Activity
	area   map[string]*Area
	piece  map[string]*checkedPiece
	pieces []checkedPiece // in the order of the layouts
	room   map[string]*rooms.Room
	kind   map[string]string // of surfaces
	errs   []error
}

// checkedPiece is a piece with its layout, the one area it stands in, and when in
// the order of time it is set.
type checkedPiece struct {
	*takeoff.Piece
	layout *takeoff.Layout
	area   *Area
	turn   int
}

// together runs checks that only read what is indexed on all processors. What they
// find stands in their order, whichever ends first.
func (c *checker) together(checks ...func(*checker)) {
	found := make([][]error, len(checks))
	takeoff.Each(len(checks), 1, func(i int) {
		own := *c
		checks[i](&own)
		found[i] = own.errs
	})
	c.errs = slices.Concat(found...)
	c.errs = c.errs[:min(len(c.errs), mostBreaches)]
}

// mostBreaches is how many breaches are told: enough to see what is wrong.
const mostBreaches = 50

func (c *checker) breach(format string, args ...any) {
	if len(c.errs) < mostBreaches {
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
	c.indexPieces()
	for i := range p.Activities {
		a := &p.Activities[i]
		if c.act[a.ID] != nil {
			c.breach("activity %s stands twice", a.ID)
		}
		c.act[a.ID] = a
	}
	c.indexAreas()
}

func (c *checker) indexPieces() {
	n := 0
	for i := range c.plan.Layouts {
		for _, z := range c.plan.Layouts[i].Zones {
			n += len(z.Pieces)
		}
	}
	c.piece, c.pieces = make(map[string]*checkedPiece, n), make([]checkedPiece, 0, n)
	for i := range c.plan.Layouts {
		l := &c.plan.Layouts[i]
		for z := range l.Zones {
			for k := range l.Zones[z].Pieces {
				q := &l.Zones[z].Pieces[k]
				if c.piece[q.ID] != nil {
					c.breach("piece %s stands twice", q.ID)
				}
				c.pieces = append(c.pieces, checkedPiece{Piece: q, layout: l})
				c.piece[q.ID] = &c.pieces[len(c.pieces)-1]
			}
		}
	}
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
	turn := 0
	for _, a := range byTime {
		for _, id := range a.Pieces {
			q := c.piece[id]
			switch {
			case q == nil:
				c.breach("area %s: piece %s does not exist", a.ID, id)
				continue
			case q.area != nil:
				c.breach("piece %s stands in %s and %s", id, q.area.ID, a.ID)
			}
			q.area, q.turn = a, turn
			turn++
		}
	}
	for i := range c.pieces {
		if q := &c.pieces[i]; q.area == nil {
			c.breach("piece %s is never set", q.ID)
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

// longestWork bounds an activity of a crew: it lies in one working interval, so
// nothing that began a day and a half before is still going on.
const longestWork = 36 * 60

// byCrew are the crews' activities in order of start.
func (c *checker) byCrew(of func(*Activity) string) (keys []string, lists map[string][]*Activity) {
	lists = map[string][]*Activity{}
	for i := range c.plan.Activities {
		if a := &c.plan.Activities[i]; a.Crew != "" {
			k := of(a)
			if lists[k] == nil {
				keys = append(keys, k)
			}
			lists[k] = append(lists[k], a)
		}
	}
	for _, l := range lists {
		slices.SortStableFunc(l, func(a, b *Activity) int { return a.Start - b.Start })
	}
	return keys, lists
}

// loads: at each start of work the people busy fit the crew and the room.
func (c *checker) loads() {
	crews := map[string]Crew{}
	for _, k := range c.plan.Firm.Crews {
		crews[k.Key] = k
	}
	busy := func(list []*Activity, i int) (setters, helpers int) {
		at := list[i].Start
		for k := i; k >= 0 && list[k].Start > at-longestWork; k-- {
			if list[k].Finish > at {
				setters += list[k].Setters
				helpers += list[k].Helpers
			}
		}
		for k := i + 1; k < len(list) && list[k].Start == at; k++ {
			setters += list[k].Setters
			helpers += list[k].Helpers
		}
		return setters, helpers
	}
	keys, lists := c.byCrew(func(a *Activity) string { return a.Crew })
	for _, crew := range keys {
		for i, a := range lists[crew] {
			if s, h := busy(lists[crew], i); s > crews[crew].Setters || h > crews[crew].Helpers {
				c.breach("crew %s at minute %d: %d setters and %d helpers busy, it has %d and %d", crew, a.Start, s, h, crews[crew].Setters, crews[crew].Helpers)
			}
		}
	}
	keys, lists = c.byCrew(func(a *Activity) string { return a.Room })
	for _, room := range keys {
		for i, a := range lists[room] {
			if s, h := busy(lists[room], i); c.room[room] == nil || s+h > c.room[room].People {
				c.breach("room %s at minute %d: %d people, more than fit", room, a.Start, s+h)
			}
		}
	}
}

// moves: a crew is on one site at a time and has the time to travel.
func (c *checker) moves() {
	way := map[[2]string]int{}
	longest := 0
	for _, t := range c.plan.Firm.Travel {
		longest = max(longest, t.Minutes)
		way[[2]string{t.From, t.To}] = max(way[[2]string{t.From, t.To}], t.Minutes)
		way[[2]string{t.To, t.From}] = way[[2]string{t.From, t.To}]
	}
	keys, lists := c.byCrew(func(a *Activity) string { return a.Crew })
	for _, crew := range keys {
		list := lists[crew]
		for i, b := range list {
			for k := i - 1; k >= 0 && list[k].Start > b.Start-longestWork-longest; k-- {
				a := list[k]
				if gap, due := b.Start-a.Finish, way[[2]string{a.Site, b.Site}]; a.Site != b.Site && gap < due {
					c.breach("crew %s: %d min from %s to %s, the way takes %d", crew, gap, a.ID, b.ID, due)
				}
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

var preparations = []string{"prepare", "flatten", "lay out", "level", "prime", "board", "membrane", "flood test"}

// sequence: per surface what prepares it ends before the first tile, each area
// rests before grout, and grout is done before sealing.
func (c *checker) sequence() {
	areas, grouts := map[string][]*Area{}, map[string][]*Activity{}
	for i := range c.plan.Areas {
		for _, k := range c.plan.Areas[i].Surfaces {
			areas[k] = append(areas[k], &c.plan.Areas[i])
		}
	}
	for i := range c.plan.Activities {
		if a := &c.plan.Activities[i]; a.Kind == "grout" {
			for _, k := range a.Surfaces {
				grouts[k] = append(grouts[k], a)
			}
		}
	}
	for i := range c.plan.Activities {
		a := &c.plan.Activities[i]
		for _, k := range a.Surfaces {
			for _, set := range areas[k] {
				if slices.Contains(preparations, a.Kind) && a.Finish > set.Start {
					c.breach("%s: %s ends after %s is begun", k, a.ID, set.ID)
				}
				if a.Kind == "grout" && len(set.Pieces) > 0 && a.Start-set.RestsFrom() < set.GroutAfter {
					c.breach("%s grouts %d min after %s, %d are due", a.ID, a.Start-set.RestsFrom(), set.ID, set.GroutAfter)
				}
			}
			for _, g := range grouts[k] {
				if a.Kind == "seal" && a.Start < g.Finish {
					c.breach("%s seals before %s is done", a.ID, g.ID)
				}
			}
		}
	}
	for i := range c.plan.Areas {
		for _, k := range c.plan.Areas[i].Surfaces {
			if len(grouts[k]) == 0 {
				c.breach("%s is set and never grouted", k)
			} else if v := sharesOf(grouts[k], k); v < 0.99 {
				c.breach("%s is grouted to %.0f %%", k, v*100)
			}
		}
	}
}

// sharesOf is how much of a surface activities do together.
func sharesOf(list []*Activity, surface string) float64 {
	sum := 0.0
	for _, a := range list {
		share := 1.0
		for _, s := range a.Shares {
			if s.Surface == surface {
				share = s.Share
			}
		}
		sum += share
	}
	return sum
}
