package takeoff

import (
	"slices"

	"potlife/rooms"
)

// reached is a tile with the edges that run through it from somewhere in a
// window, and what is left of it.
type reached struct {
	tile  *borderTile
	edges []int32
	// Of a tile with one edge: how deep it reaches.
	low, high float64
	// Of one with several: what is left at least and at most, where known.
	known        bool
	small, large left
	// sure: it is one piece that is cut and can be set, from every origin.
	sure bool
}

// one: a single straight edge runs through it.
func (x *reached) one() bool { return len(x.edges) == 1 && x.edges[0] >= 0 }

// bound is how good an origin in a window can be at best.
type bound struct {
	rank axisRank
	// settled: no limit is known to run through the window.
	settled bool
	// cut is where to divide the window next, between what counts for different
	// things: along x, or y where up, the upper part beginning there.
	cut   rooms.Length
	up    bool
	found bool
	score float64
	rest  bool // the criteria after the first three are weighed too
}

// bound weighs a window. The first three criteria come first: where they alone
// are worse than those of the best origin found so far the others are left at 0.
func (c *cellSearch) bound(tiles []*borderTile, w rooms.Box) bound {
	b := bound{settled: true}
	list := c.list[:0]
	edges := c.room[:0]
	c.parts, c.points = c.parts[:0], c.points[:0]
	for _, t := range tiles {
		from := len(edges)
		for _, k := range t.edges {
			if c.reaches(t, int(k), w) {
				edges = append(edges, k)
			}
		}
		c.work++
		if len(edges) == from {
			continue
		}
		x := reached{tile: t, edges: edges[from:len(edges):len(edges)]}
		if x.one() {
			if !c.boundOne(&b, &x, w) {
				continue
			}
		} else if !c.boundSeveral(&b, &x, w) {
			continue
		}
		list = append(list, x)
	}
	c.list, c.room = list, edges
	if slices.Compare(b.rank[:rankLacks], c.best[:rankLacks]) == 0 {
		b.rest = true
		c.boundRest(&b, list, w)
	}
	return b
}

// boundOne counts a tile with one edge; false where it counts for nothing.
func (c *cellSearch) boundOne(b *bound, x *reached, w rooms.Box) bool {
	e := &c.edges[x.edges[0]]
	t := c.table(e, x.tile.member)
	x.low, x.high = c.depths(e, x.tile, w)
	if x.high < t.narrow-t.fuzz || x.low >= t.whole+t.fuzz {
		return false
	}
	x.sure = x.low >= t.narrow+t.fuzz && x.high < t.whole-t.fuzz
	least, most := t.classes(x.low, x.high)
	if least > 0 {
		b.rank[3-least]++
	}
	if least != most {
		b.settled = false
		c.divide(b, e, t, x.low, x.high, w)
	}
	return true
}

// boundSeveral is boundOne for a tile with several edges.
func (c *cellSearch) boundSeveral(b *bound, x *reached, w rooms.Box) bool {
	c.work += 6
	blocks, ok := c.blocks(x.tile, x.edges, w)
	if !ok {
		b.settled = false
		return true
	}
	x.large = c.shape(x.tile, &blocks, w, true)
	if len(x.large.parts) == 0 {
		return false
	}
	x.small = c.shape(x.tile, &blocks, w, false)
	whole := c.z.lay.tiles[x.tile.member].whole.MM2()
	cut := len(x.large.parts) > 1 || whole-x.large.area > 1 // not the whole tile anywhere
	x.known = cut && len(x.large.parts) == 1
	settled, gone := len(x.large.parts) == len(x.small.parts), true
	for i, large := range x.large.parts {
		if !canBeSet(large) {
			continue
		}
		gone = false
		there := -1
		for k, small := range x.small.parts {
			if there < 0 && x.large.holds(i, &x.small, k) && canBeSet(small) {
				there = k
			}
		}
		if there < 0 || !cut {
			settled, x.known = false, false
			continue
		}
		least := c.z.measurePart(x.tile.member, large).class()
		settled = settled && least == c.z.measurePart(x.tile.member, x.small.parts[there]).class()
		if least > 0 {
			b.rank[3-least]++
		}
	}
	x.sure = x.known && !gone
	if !settled && !gone {
		b.settled = false
		c.divideBySeveral(b, x, w)
	}
	return !gone
}

func canBeSet(r rooms.Ring) bool { return len(r) >= 3 && !narrow(r) }

// divide proposes to divide the window where a limit of the depth lies: only
// along an edge that is upright or level, the others' do not run with the window.
func (c *cellSearch) divide(b *bound, e *coverEdge, t *depthTable, low, high float64, w rooms.Box) {
	if !e.upright() && !e.level() {
		return
	}
	from, to, n := w.Min.X, w.Max.X, e.nx
	if e.level() {
		from, to, n = w.Min.Y, w.Max.Y, e.ny
	}
	for _, d := range t.limits() {
		if d <= low || d > high {
			continue
		}
		at := from + rooms.Length(d-low) // first place as deep as the limit
		if n < 0 {
			at = to - rooms.Length(d-low) + 1
		}
		if at <= from || at > to {
			continue
		}
		off := float64(2*at-from-to) / float64(to-from)
		if off = max(off, -off); !b.found || off < b.score {
			b.cut, b.up, b.found, b.score = at, e.level(), true, off
		}
	}
}

func (c *cellSearch) divideBySeveral(b *bound, x *reached, w rooms.Box) {
	for _, k := range x.edges {
		if k < 0 {
			continue
		}
		e := &c.edges[k]
		low, high := c.depths(e, x.tile, w)
		c.divide(b, e, c.table(e, x.tile.member), low, high, w)
	}
}

// boundRest weighs what is in view and the balance.
func (c *cellSearch) boundRest(b *bound, list []reached, w rooms.Box) {
	var least, most [4]float64
	for i := range list {
		x := &list[i]
		whole := c.z.lay.tiles[x.tile.member].whole.MM2()
		less, more := 0.0, whole
		if x.one() {
			t := c.table(&c.edges[x.edges[0]], x.tile.member)
			more = whole - t.area(max(x.low-t.fuzz, t.narrow-t.fuzz))
			if x.sure {
				less = whole - t.area(x.high+t.fuzz)
			}
		} else if x.known && x.sure {
			less, more = whole-x.large.area, whole-x.small.area
		}
		c.work++
		c.boundView(b, x, w)
		var reached, surely [4]bool
		for _, k := range x.edges {
			if k < 0 || c.edges[k].side.wall == 0 {
				continue
			}
			wall := c.edges[k].side.wall - 1
			reached[wall] = true
			surely[wall] = surely[wall] || x.sure && (x.one() || c.surely(x.tile, int(k), w))
		}
		for i := range reached {
			if reached[i] {
				most[i] += more
			}
			if surely[i] {
				least[i] += less
			}
		}
	}
	r := &b.rank
	r[rankLacks+1], r[rankLacks+3] = inCM(r[rankLacks+1]), inCM(r[rankLacks+3])
	gap := func(i, k int) float64 { return max(least[i]-most[k], least[k]-most[i], 1) - 1 }
	r[rankBalance] = strip(gap(0, 1), c.wide[1]) + strip(gap(2, 3), c.wide[0])
}

// hairWide is what rounding may take off the width of a piece with short sides.
const hairWide = 10 * rooms.Micrometre

// boundView adds what a piece in view lacks at least.
func (c *cellSearch) boundView(b *bound, x *reached, w rooms.Box) {
	if !x.sure {
		return
	}
	most, sure := unseen, unseen
	for _, k := range x.edges {
		if k < 0 {
			most = max(most, c.holes[-1-k].eye)
			continue
		}
		eye := c.edges[k].side.eye
		most = max(most, eye)
		if eye > sure && (x.one() || c.surely(x.tile, int(k), w)) {
			sure = eye
		}
	}
	if sure == unseen || most != sure {
		return
	}
	var piece rooms.Ring
	if x.one() {
		e := &c.edges[x.edges[0]]
		c.rings[1] = cutBy(c.rings[1][:0], c.floats(x.tile.ring), e.nx, e.ny, x.high+1-deepest(e, x.tile.ring))
		piece = c.asRing(c.rings[1])
	} else {
		piece = x.large.parts[0]
	}
	c.work++
	m := c.z.measurePart(x.tile.member, piece)
	m.w, m.h = m.w+hairWide, m.h+hairWide
	lack := m.lack()
	k := rankLacks
	if sure == inSight {
		k += 2
	}
	b.rank[k] = max(b.rank[k], lack)
	b.rank[k+1] += lack
}

func deepest(e *coverEdge, r rooms.Ring) float64 {
	d := e.at(r[0].X, r[0].Y)
	for _, p := range r[1:] {
		d = max(d, e.at(p.X, p.Y))
	}
	return d
}
