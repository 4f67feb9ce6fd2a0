package plandoc

import (
	"cmp"
	"slices"
	"strings"
	"time"
)

// checkOrder holds the setting order on walls to group 5: nothing is set under
// a piece that is already up, and no piece closes a gap in its course.
func (c *checker) checkOrder() {
	turn := make(map[string]int, len(c.order))
	areas := make([]*Area, 0, len(c.doc.Areas))
	for i := range c.doc.Areas {
		areas = append(areas, &c.doc.Areas[i])
	}
	slices.SortStableFunc(areas, func(a, b *Area) int { return c.instant(a.Start).Compare(c.instant(b.Start)) })
	for _, a := range areas {
		for _, p := range a.Pieces {
			turn[p] = len(turn)
		}
	}
	for i := range c.doc.Surfaces {
		s := &c.doc.Surfaces[i]
		for j := range s.Zones {
			kind, _, _ := strings.Cut(s.Zones[j].Pattern, " ")
			if s.Lie == "vertical" && (kind == "straight" || kind == "offset") {
				c.orderInZone(s, &s.Zones[j], turn)
			}
		}
	}
}

func (c *checker) orderInZone(s *Surface, z *Zone, turn map[string]int) {
	var pieces []*placedPiece
	var turns []int
	first, firstTurn := 0, -1
	for i := range z.Pieces {
		p := c.pieces[z.Pieces[i].ID]
		t, ok := turn[p.ID]
		if !ok {
			continue
		}
		pieces, turns = append(pieces, p), append(turns, t)
		if regular(p) && (firstTurn < 0 || t < firstTurn) {
			first, firstTurn = p.Course, t
		}
	}
	for i, p := range pieces {
		if regular(p) {
			c.orderOfPiece(s, z, i, pieces, turns, first)
		}
	}
}

// regular pieces are neither left out on purpose nor measured on site.
func regular(p *placedPiece) bool { return p.Late == nil && !p.OnSite }

// orderOfPiece holds the i-th piece to those that are up before it.
func (c *checker) orderOfPiece(s *Surface, z *Zone, i int, pieces []*placedPiece, turns []int, first int) {
	p := pieces[i]
	joint := float64(z.Joint)
	lo, hi := p.lo, p.hi
	left, right := "", ""
	for k, o := range pieces {
		if turns[k] >= turns[i] {
			continue
		}
		olo, ohi := o.lo, o.hi
		x, y := min(hi.x, ohi.x)-max(lo.x, olo.x), min(hi.y, ohi.y)-max(lo.y, olo.y)
		if gap := distanceAbove(hi.y, olo.y); x > 5 && gap <= joint+1 {
			c.underneath(s, p, o, first)
		}
		if y > 5 && o.Course == p.Course {
			if distanceAbove(ohi.x, lo.x) <= joint+1 {
				left = o.ID
			}
			if distanceAbove(hi.x, olo.x) <= joint+1 {
				right = o.ID
			}
		}
	}
	if left != "" && right != "" {
		c.breach("5 order", "%s closes the gap between %s and %s", p.ID, left, right)
	}
}

func distanceAbove(a, b float64) float64 { return max(a-b, b-a) }

// underneath decides whether p may be set below o, which is up: only under a
// ledger, and only when the field has held.
func (c *checker) underneath(s *Surface, p, o *placedPiece, first int) {
	if s.HoldMinutes == nil || p.Course >= first {
		c.breach("5 order", "%s is set under %s, which is already up", p.ID, o.ID)
		return
	}
	wait := minutesBetween(c.instant(c.areas[o.Area].Finish), c.instant(c.areas[p.Area].Start))
	if wait < float64(*s.HoldMinutes) {
		c.breach("5 order", "%s is set under the ledger %.0f min after %s, %d are due", p.ID, wait, o.ID, *s.HoldMinutes)
	}
}

// checkAreas holds patches and mixes to group 6.
func (c *checker) checkAreas() {
	type live struct {
		from  time.Time
		until *time.Time
		mix   *Mix
	}
	fed := map[MixPatch][]live{}
	mixed, due := map[string]float64{}, map[string]float64{}
	for i := range c.doc.Mixes {
		m := &c.doc.Mixes[i]
		l := live{from: c.instant(m.Start), mix: m}
		if m.UseBy != nil {
			until := c.instant(*m.UseBy)
			l.until = &until
		}
		mixed[m.Product] += m.Kg
		if m.Kg <= 0 {
			c.breach("6 area", "mix %s: %g kg", m.ID, m.Kg)
		}
		if m.PotMinutes != nil && (l.until == nil || minutesBetween(l.from, *l.until) > *m.PotMinutes+1e-6) {
			c.breach("6 area", "mix %s: used past its pot life of %g min", m.ID, *m.PotMinutes)
		}
		for _, q := range m.Patches {
			fed[q] = append(fed[q], l)
		}
		c.checkGoesOn(m, l.until)
	}
	placed := make(map[string]int, len(c.order))
	for i := range c.doc.Areas {
		a := &c.doc.Areas[i]
		c.checkArea(a, placed)
		for k, patch := range a.Patches {
			if a.Mortar == nil {
				continue
			}
			for _, id := range patch.Pieces {
				if p := c.pieces[id]; p != nil {
					due[*a.Mortar] += a.KgPerM2 * p.area / 1e6
				}
			}
			x := c.instant(patch.Start)
			if !slices.ContainsFunc(fed[MixPatch{a.ID, k}], func(l live) bool {
				return l.mix.Crew == a.Crew && l.mix.Product == *a.Mortar && !l.from.After(x) && (l.until == nil || !x.After(*l.until))
			}) {
				c.breach("6 area", "%s: patch %d is spread from no live mix of %s", a.ID, k, *a.Mortar)
			}
		}
	}
	for _, p := range c.order {
		if placed[p.ID] != 1 {
			c.breach("1 reference", "piece %s stands in %d areas", p.ID, placed[p.ID])
		}
	}
	for _, product := range sortedKeys(due) {
		if mixed[product] < due[product]*0.99 {
			c.breach("6 area", "%s: areas take %.1f kg, %.1f kg are mixed", product, due[product], mixed[product])
		}
	}
}

// checkGoesOn holds the work that a mix goes on to to that for which it is begun: of its
// crew and site, begun while the mix may be used, and no more than is mixed.
func (c *checker) checkGoesOn(m *Mix, until *time.Time) {
	first, kg := c.activities[m.Activity], 0.0
	for _, w := range m.Also {
		kg += w.Kg
		a := c.activities[w.Activity]
		if first == nil || a == nil || c.rooms[a.Room] == nil || c.rooms[first.Room] == nil {
			continue // told by group 1
		}
		if a.Crew == nil || *a.Crew != m.Crew || c.rooms[a.Room].Site != c.rooms[first.Room].Site || until != nil && until.Before(c.instant(a.Start)) || len(m.Patches) > 0 {
			c.breach("6 area", "mix %s cannot go on to %s", m.ID, a.ID)
		}
	}
	if kg > m.Kg+0.05 {
		c.breach("6 area", "mix %s: %.1f kg, other work takes %.1f kg of it", m.ID, m.Kg, kg)
	}
}

func (c *checker) checkArea(a *Area, placed map[string]int) {
	act := c.activities[a.Activity]
	if act.Kind != "set" || act.Crew == nil || *act.Crew != a.Crew {
		c.breach("6 area", "%s: its activity %s is of another kind or crew", a.ID, act.ID)
	}
	var run []string
	for _, p := range a.Pieces {
		placed[p]++
		if c.pieces[p].Area != a.ID {
			c.breach("1 reference", "area %s and piece %s do not name each other", a.ID, p)
		}
		if c.pieces[p].surface.Room != act.Room {
			c.breach("6 area", "%s: piece %s lies in another room than %s", a.ID, p, act.ID)
		}
	}
	before, finish, work := c.instant(a.Start), c.instant(a.Finish), c.spansOf(act.Work)
	for k, t := range a.Patches {
		run = append(run, t.Pieces...)
		x, y := c.instant(t.Start), c.instant(t.SetBy)
		if y.Before(x) || minutesBetween(x, y) > a.OpenMinutes+1e-6 {
			c.breach("6 area", "%s: patch %d takes %.0f min, open time %g", a.ID, k, minutesBetween(x, y), a.OpenMinutes)
		}
		if x.Before(before) || y.After(finish) || !within(x, y, work) {
			c.breach("6 area", "%s: patch %d is out of order or outside the work of its activity", a.ID, k)
		}
		before = x
	}
	if !slices.Equal(run, a.Pieces) {
		c.breach("6 area", "%s: patches do not run through its pieces in order", a.ID)
	}
}

func within(x, y time.Time, hours []span) bool {
	return slices.ContainsFunc(hours, func(h span) bool { return !x.Before(h.from) && !y.After(h.to) })
}

func sortedKeys[K cmp.Ordered, V any](m map[K]V) []K {
	keys := make([]K, 0, len(m))
	for k := range m {
		keys = append(keys, k)
	}
	slices.Sort(keys)
	return keys
}
