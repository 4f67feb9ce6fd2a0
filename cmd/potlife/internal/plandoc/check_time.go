package plandoc

import (
	"slices"
	"time"
)

// load is a change of what is busy at an instant.
type load struct {
	at    time.Time
	delta [2]int
}

// over returns the first instant at which more is busy than there is.
func over(loads []load, limit [2]int) (time.Time, bool) {
	slices.SortStableFunc(loads, func(a, b load) int {
		if d := a.at.Compare(b.at); d != 0 {
			return d
		}
		return (a.delta[0] + a.delta[1]) - (b.delta[0] + b.delta[1]) // what ends, ends first
	})
	var busy [2]int
	for _, l := range loads {
		busy[0] += l.delta[0]
		busy[1] += l.delta[1]
		if busy[0] > limit[0] || busy[1] > limit[1] {
			return l.at, true
		}
	}
	return time.Time{}, false
}

// move is one stretch of a crew's work at a site.
type move struct {
	from, to time.Time
	site, id string
	setters  int
}

// checkTime holds work to group 7 and the finish to group 10.
func (c *checker) checkTime() {
	byCrew, inRoom, moves := map[string][]load{}, map[string][]load{}, map[string][]move{}
	var last time.Time
	for i := range c.doc.Activities {
		a := &c.doc.Activities[i]
		start, finish := c.instant(a.Start), c.instant(a.Finish)
		if finish.After(last) {
			last = finish
		}
		for _, w := range c.spansOf(a.Work) {
			if w.to.Before(w.from) || w.from.Before(start) || w.to.After(finish) {
				c.breach("7 time", "%s works outside its start and finish", a.ID)
			}
			if a.Crew == nil {
				continue
			}
			if !within(w.from, w.to, c.crewHours[*a.Crew]) {
				c.breach("7 time", "%s works outside the hours of %s from %s", a.ID, *a.Crew, w.from.In(c.zone).Format("2 Jan 15:04"))
			}
			n, h := a.Setters, a.Helpers
			byCrew[*a.Crew] = append(byCrew[*a.Crew], load{w.from, [2]int{n, h}}, load{w.to, [2]int{-n, -h}})
			inRoom[a.Room] = append(inRoom[a.Room], load{w.from, [2]int{n + h, 0}}, load{w.to, [2]int{-n - h, 0}})
			moves[*a.Crew] = append(moves[*a.Crew], move{w.from, w.to, c.rooms[a.Room].Site, a.ID, n})
		}
		c.checkLags(a, start)
	}
	for _, k := range sortedKeys(byCrew) {
		if at, bad := over(byCrew[k], [2]int{c.crews[k].Setters, c.crews[k].Helpers}); bad {
			c.breach("7 time", "%s is booked twice at %s", k, at.In(c.zone).Format("2 Jan 15:04"))
		}
	}
	for _, k := range sortedKeys(inRoom) {
		if at, bad := over(inRoom[k], [2]int{c.rooms[k].People, 0}); bad {
			c.breach("7 time", "%s holds more than %d people at %s", k, c.rooms[k].People, at.In(c.zone).Format("2 Jan 15:04"))
		}
	}
	c.checkTravel(moves)
	c.checkFinish(last)
}

func (c *checker) checkFinish(last time.Time) {
	if last.IsZero() {
		return
	}
	if !c.instant(c.doc.Finish).Equal(last) {
		c.breach("10 finish", "finish is %s, the last activity ends %s", c.doc.Finish, last.Format(time.RFC3339))
	}
	if c.instant(c.doc.FinishBound).After(last) {
		c.breach("10 finish", "finish_bound is later than finish")
	}
}

func (c *checker) checkLags(a *Activity, start time.Time) {
	hours := c.hours
	if a.Crew != nil {
		hours = c.crewHours[*a.Crew]
	}
	for _, b := range a.After {
		done := c.instant(c.activities[b.Activity].Finish)
		if start.Before(done) {
			c.breach("7 time", "%s starts before %s is done", a.ID, b.Activity)
			continue
		}
		gap := minutesBetween(done, start)
		if b.Clock != "elapsed" {
			gap = workingMinutes(done, start, hours)
		}
		if gap < b.LeastMinutes-1e-6 {
			c.breach("7 time", "%s starts %.0f min after %s, %g are due (%s)", a.ID, gap, b.Activity, b.LeastMinutes, b.Why)
		}
		if b.MostMinutes != nil && gap > *b.MostMinutes+1e-6 {
			c.breach("7 time", "%s starts %.0f min after %s, %g at most (%s)", a.ID, gap, b.Activity, *b.MostMinutes, b.Why)
		}
	}
}

func workingMinutes(a, b time.Time, hours []span) float64 {
	sum := 0.0
	for _, h := range hours {
		from, to := h.from, h.to
		if from.Before(a) {
			from = a
		}
		if to.After(b) {
			to = b
		}
		sum += max(0, minutesBetween(from, to))
	}
	return sum
}

func (c *checker) checkTravel(moves map[string][]move) {
	way := map[[2]string]int{}
	for _, t := range c.doc.Travel {
		way[[2]string{t.From, t.To}], way[[2]string{t.To, t.From}] = t.Minutes, t.Minutes
	}
	for _, k := range sortedKeys(moves) {
		rows := moves[k]
		slices.SortStableFunc(rows, func(a, b move) int { return a.from.Compare(b.from) })
		for i := 1; i < len(rows); i++ {
			a, b := rows[i-1], rows[i]
			due := way[[2]string{a.site, b.site}]
			if a.site == b.site || a.setters+b.setters <= c.crews[k].Setters || b.from.Before(a.to) {
				continue
			}
			if gap := minutesBetween(a.to, b.from); gap < float64(due) {
				c.breach("7 time", "%s: %.0f min from %s to %s, the way takes %d", k, gap, a.id, b.id, due)
			}
		}
	}
}

// beforeSetting are the kinds of activity that precede the first tile.
var beforeSetting = []string{"prepare", "flatten", "lay out", "level", "prime", "board", "membrane", "flood test"}

// checkSequence holds each surface to its order of work: what is due before
// setting, the cure before grout, grout before seal.
func (c *checker) checkSequence() {
	type kindOn struct{ surface, kind string }
	kinds := map[kindOn][]*Activity{}
	for i := range c.doc.Activities {
		a := &c.doc.Activities[i]
		for _, s := range a.Surfaces {
			k := kindOn{s, a.Kind}
			kinds[k] = append(kinds[k], a)
		}
	}
	areasOn := map[string][]*Area{}
	for i := range c.doc.Areas {
		a := &c.doc.Areas[i]
		on := map[string]bool{}
		for _, p := range a.Pieces {
			on[c.pieces[p].surface.Key] = true
		}
		for _, s := range sortedKeys(on) {
			areasOn[s] = append(areasOn[s], a)
			if !slices.Contains(a.Surfaces, s) {
				c.breach("1 reference", "area %s has pieces on %s, which it does not name", a.ID, s)
			}
		}
	}
	for _, s := range sortedKeys(areasOn) {
		first := c.instant(areasOn[s][0].Start)
		for _, a := range areasOn[s] {
			if t := c.instant(a.Start); t.Before(first) {
				first = t
			}
		}
		for _, kind := range beforeSetting {
			for _, b := range kinds[kindOn{s, kind}] {
				if c.instant(b.Finish).After(first) {
					c.breach("7 time", "%s: %s ends after the first tile is set", s, b.ID)
				}
			}
		}
		c.checkGrout(s, areasOn[s], kinds[kindOn{s, "grout"}], kinds[kindOn{s, "seal"}])
	}
}

func (c *checker) checkGrout(surface string, areas []*Area, grouts, seals []*Activity) {
	if len(grouts) == 0 {
		c.breach("7 time", "%s: set, and never grouted", surface)
	}
	for _, g := range grouts {
		for _, a := range areas {
			if wait := minutesBetween(c.instant(a.Finish), c.instant(g.Start)); wait < a.GroutAfterMinutes-1e-6 {
				c.breach("7 time", "%s: %s grouts %.0f min after %s, %g are due", surface, g.ID, wait, a.ID, a.GroutAfterMinutes)
			}
		}
		for _, s := range seals {
			if c.instant(s.Start).Before(c.instant(g.Finish)) {
				c.breach("7 time", "%s: %s seals before %s is done", surface, s.ID, g.ID)
			}
		}
	}
}
