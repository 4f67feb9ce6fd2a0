package scheduler

import (
	"slices"
	"strings"

	"potlife/rooms"
	"potlife/takeoff"
)

// areas: an area belongs to a setting activity of its crew and room, its
// patches run through its pieces in order and keep the open time.
func (c *checker) areas() {
	for i := range c.plan.Areas {
		a := &c.plan.Areas[i]
		act := c.act[a.Activity]
		if act.Kind != "set" || act.Crew != a.Crew || a.Start < act.Start || a.Finish > act.Finish {
			c.breach("area %s does not fit its activity %s", a.ID, act.ID)
		}
		var run []string
		at := a.Start
		for k, t := range a.Patches {
			run = append(run, t.Pieces...)
			if t.Start < at || t.SetBy < t.Start || t.SetBy > a.Finish || t.SetBy-t.Start > a.OpenMinutes {
				c.breach("area %s: patch %d from minute %d to %d is out of order or over the open time of %d", a.ID, k, t.Start, t.SetBy, a.OpenMinutes)
			}
			at = t.SetBy
		}
		if !slices.Equal(run, a.Pieces) {
			c.breach("area %s: patches do not run through its pieces in order", a.ID)
		}
		for _, id := range a.Pieces {
			if l := c.piece[id].layout; !slices.Contains(a.Surfaces, l.Surface) || l.Room != act.Room {
				c.breach("area %s holds piece %s of another surface or room", a.ID, id)
			}
		}
	}
}

// mixes: every patch is spread from a live mix, mixes amount to what areas
// take and to no more than is bought, in the yard or on order.
func (c *checker) mixes() {
	fed := map[MixPatch][]*Mix{}
	kg, due, bought, supply := map[string]float64{}, map[string]float64{}, map[string]float64{}, c.supply()
	for i := range c.plan.Mixes {
		m := &c.plan.Mixes[i]
		kg[m.Product] += m.Kg
		if m.Kg <= 0 || m.PotMinutes > 0 && (m.UseBy < m.Start || m.UseBy-m.Start > m.PotMinutes) {
			c.breach("mix %s: %g kg, used until minute %d, pot life %d min", m.ID, m.Kg, m.UseBy, m.PotMinutes)
		}
		for _, q := range m.Patches {
			fed[q] = append(fed[q], m)
		}
	}
	for i := range c.plan.Areas {
		a := &c.plan.Areas[i]
		if a.Mortar == "" {
			continue
		}
		for k, t := range a.Patches {
			live := func(m *Mix) bool {
				return m.Crew == a.Crew && m.Product == a.Mortar && m.Start <= t.Start && (m.UseBy < 0 || t.Start <= m.UseBy)
			}
			if !slices.ContainsFunc(fed[MixPatch{a.ID, k}], live) {
				c.breach("area %s: patch %d is spread from no live mix of %s", a.ID, k, a.Mortar)
			}
			for _, id := range t.Pieces {
				if q := c.piece[id]; q != nil { // else the patches do not run through the area's pieces
					due[a.Mortar] += a.KgPerM2 * q.AreaMM2 / 1e6
				}
			}
		}
	}
	for _, m := range c.plan.Materials {
		bought[m.Product] += m.Quantity
	}
	for _, k := range sortedKeys(kg, due) {
		if kg[k] < due[k]*0.99 {
			c.breach("%s: areas take %.1f kg, %.1f kg are mixed", k, due[k], kg[k])
		}
		if most := max(bought[k], supply[k]); kg[k] > most+0.051 {
			c.breach("%s: %.1f kg are mixed, %.1f kg are bought", k, kg[k], most)
		}
	}
}

// supply is what lies in the yard and what is on order, in the product's unit.
func (c *checker) supply() map[string]float64 {
	size, out := map[string]float64{}, map[string]float64{}
	for _, p := range c.plan.Firm.Catalogue.Products {
		size[p.Key] = p.PackageSize
	}
	for _, h := range c.plan.OnHand {
		out[h.Product] += h.Quantity * size[h.Product]
	}
	for _, o := range c.plan.Orders {
		for _, l := range o.Lines {
			out[l.Product] += l.Quantity * size[l.Product]
		}
	}
	return out
}

func sortedKeys(maps ...map[string]float64) []string {
	var out []string
	for _, m := range maps {
		for k := range m {
			if !slices.Contains(out, k) {
				out = append(out, k)
			}
		}
	}
	slices.Sort(out)
	return out
}

// order: on what stands, in straight and offset patterns, nothing goes in under
// a piece that is up and no piece closes a gap between two neighbours of its
// course; courses under a ledger wait until the field holds.
func (c *checker) order() {
	for i := range c.plan.Layouts {
		l := &c.plan.Layouts[i]
		k := c.kind[l.Surface]
		if k == rooms.Floor || k == rooms.ShowerFloor || k == rooms.Bench || k == rooms.Ceiling {
			continue
		}
		for z := range l.Zones {
			p := l.Zones[z].Zone.Pattern
			if strings.HasPrefix(p, "straight") || strings.HasPrefix(p, "offset") {
				c.orderInZone(l.Surface, &l.Zones[z])
			}
		}
	}
}

func (c *checker) orderInZone(surface string, z *takeoff.ZoneLayout) {
	type place struct {
		lo, hi rooms.Point
		turn   int
	}
	places := make([]place, len(z.Pieces))
	first, turn := 0, -1
	for i := range z.Pieces {
		p := &z.Pieces[i]
		at := &places[i]
		at.lo, at.hi = box(p)
		at.turn = c.piece[p.ID].turn
		if p.Late == "" && !p.OnSite && (turn < 0 || at.turn < turn) {
			first, turn = p.Course, at.turn
		}
	}
	for i := range z.Pieces {
		p := &z.Pieces[i]
		if p.Late != "" || p.OnSite {
			continue
		}
		left, right := false, false
		lo, hi := places[i].lo, places[i].hi
		for k := range z.Pieces {
			o := &z.Pieces[k]
			if k == i || places[k].turn > places[i].turn {
				continue
			}
			olo, ohi := places[k].lo, places[k].hi
			x, y := min(hi.X, ohi.X)-max(lo.X, olo.X), min(hi.Y, ohi.Y)-max(lo.Y, olo.Y)
			if x > 5*rooms.Millimetre && near(olo.Y, hi.Y, z.Zone.Joint) {
				c.under(surface, p, o, first)
			}
			if y > 5*rooms.Millimetre && o.Course == p.Course {
				left = left || near(lo.X, ohi.X, z.Zone.Joint)
				right = right || near(olo.X, hi.X, z.Zone.Joint)
			}
		}
		if left && right {
			c.breach("piece %s closes a gap in its course", p.ID)
		}
	}
}

func near(a, b, joint rooms.Length) bool {
	return max(a-b, b-a) <= joint+rooms.Millimetre
}

func box(p *takeoff.Piece) (lo, hi rooms.Point) {
	lo, hi = p.Polygon.Outer[0], p.Polygon.Outer[0]
	for _, q := range p.Polygon.Outer {
		lo = rooms.Point{X: min(lo.X, q.X), Y: min(lo.Y, q.Y)}
		hi = rooms.Point{X: max(hi.X, q.X), Y: max(hi.Y, q.Y)}
	}
	return lo, hi
}

func (c *checker) under(surface string, p, o *takeoff.Piece, first int) {
	hold, ok := c.plan.Holds[surface]
	if !ok || p.Course >= first {
		c.breach("piece %s is set under %s, which is already up", p.ID, o.ID)
		return
	}
	if wait := c.piece[p.ID].area.Start - c.piece[o.ID].area.Finish; wait < hold {
		c.breach("piece %s is set under the ledger %d min after %s, %d are due", p.ID, wait, o.ID, hold)
	}
}

// sheets: each activity and area stands on the sheet of its day and crew, each
// cut of each piece not measured on site once and in time.
func (c *checker) sheets() {
	clock := Clock{c.plan.Epoch, c.plan.Firm.Zone}
	type crewDay struct {
		day  rooms.Date
		crew string
	}
	type work struct {
		crewDay
		id string
	}
	seen, on := map[crewDay]bool{}, make(map[work]bool, len(c.plan.Activities)+len(c.plan.Areas))
	cut := make(map[listedCut][]rooms.Date, len(c.pieces)/4)
	for i := range c.plan.Sheets {
		s := &c.plan.Sheets[i]
		k := crewDay{s.Date, s.Crew}
		if seen[k] {
			c.breach("two sheets for %s %s", s.Date, s.Crew)
		}
		seen[k] = true
		for _, list := range [][]string{s.Activities, s.Areas} {
			for _, id := range list {
				on[work{k, id}] = true
			}
		}
		for _, g := range s.Cuts {
			for _, id := range g.Pieces {
				key := cutOf(id, g.Tool, g.Sized, g.Size)
				cut[key] = append(cut[key], s.Date)
			}
		}
	}
	for i := range c.plan.Activities {
		a := &c.plan.Activities[i]
		if a.Crew != "" && !on[work{crewDay{clock.Day(a.Start), a.Crew}, a.ID}] {
			c.breach("activity %s stands on no sheet of its day", a.ID)
		}
	}
	for i := range c.plan.Areas {
		a := &c.plan.Areas[i]
		if !on[work{crewDay{clock.Day(a.Start), a.Crew}, a.ID}] {
			c.breach("area %s stands on no sheet of its day", a.ID)
		}
	}
	c.cutsOnce(cut, clock)
	c.carried()
}

// carried: by the day a tile is cut or set, its crew or another has carried in
// as many boxes of it as the tiles opened so far fill.
func (c *checker) carried() {
	tileOf, perBox := make(map[string]*takeoff.StockTile, len(c.pieces)), map[string]int{}
	for i := range c.plan.Stock {
		for _, q := range c.plan.Stock[i].Pieces {
			tileOf[q.Piece] = &c.plan.Stock[i]
		}
	}
	for _, t := range c.plan.Firm.Catalogue.Tiles {
		perBox[t.Key] = max(1, t.PerBox)
	}
	type lot struct{ tile, lot string }
	opened, boxes := map[lot]map[*takeoff.StockTile]bool{}, map[lot]float64{}
	var today []string
	for i := range c.plan.Sheets {
		s := &c.plan.Sheets[i]
		for _, k := range s.Carry {
			boxes[lot{k.Product, k.Lot}] += k.Quantity
		}
		today = today[:0]
		for _, g := range s.Cuts {
			today = append(today, g.Pieces...)
		}
		for _, id := range s.Areas {
			today = append(today, c.area[id].Pieces...)
		}
		for _, id := range today {
			t := tileOf[id]
			if t == nil || t.Offcut != nil { // an offcut in hand comes out of no box
				continue
			}
			k := lot{takeoff.GoodsKey(t.Tile), t.Lot}
			if opened[k] == nil {
				opened[k] = map[*takeoff.StockTile]bool{}
			}
			opened[k][t] = true
			if n := float64(perBox[t.Tile]) * boxes[k]; n < float64(len(opened[k])) {
				c.breach("sheet %s %s: %d tiles %s of lot %q are opened by then, the boxes carried hold %g", s.Date, s.Crew, len(opened[k]), t.Tile, t.Lot, n)
				return
			}
		}
	}
}

// listedCut is a cut of a piece as a sheet names it; cuts that are no size are told
// apart by their tool alone.
type listedCut struct {
	piece, tool string
	sized       bool
	size        rooms.Length
}

func cutOf(id, tool string, sized bool, size rooms.Length) listedCut {
	if !sized {
		size = 0
	}
	return listedCut{id, tool, sized, size}
}

func (c *checker) cutsOnce(cut map[listedCut][]rooms.Date, clock Clock) {
	due, listed := 0, 0
	for _, d := range cut {
		listed += len(d)
	}
	for i := range c.pieces {
		p := &c.pieces[i]
		if p.OnSite || len(p.Cuts) == 0 {
			continue
		}
		due += len(p.Cuts)
		day := clock.Day(p.area.Start)
		for _, k := range p.Cuts {
			key, n := cutOf(p.ID, k.Tool, k.Sized, k.Size), 0
			for _, o := range p.Cuts {
				if cutOf(p.ID, o.Tool, o.Sized, o.Size) == key {
					n++
				}
			}
			if len(cut[key]) != n {
				c.breach("cut of %s (%s) is listed %d times, %d due", p.ID, k.Tool, len(cut[key]), n)
			}
			for _, d := range cut[key] {
				if day.Before(d) {
					c.breach("cut of %s is listed on %s, after it is set", p.ID, d)
				}
			}
		}
	}
	if due != listed {
		c.breach("%d cuts are listed, %d are due", listed, due)
	}
}
