package takeoff

import (
	"math"
	"slices"

	"potlife/rooms"
)

// reached is a tile with the edges that run through it from somewhere in a
// window, and what is left of it.
type reached struct {
	tile  *borderTile
	edges []edgeAtTile
	// Of a tile with one edge: how deep it reaches.
	low, high float64
	// Of one with several: whether some are those of one block, and what is left at
	// least and at most, where known.
	block, known bool
	small, large left
	// sure: it is one piece that is cut and can be set, from every origin.
	sure bool
}

// one: a single straight edge runs through it.
func (x *reached) one() bool { return len(x.edges) == 1 && x.edges[0].id >= 0 }

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
// are worse than those of the best origin found so far it stops, and the others
// are left at 0. The tiles that count for the same from everywhere in the window
// are taken into x.sum, the others stay in x.open; and so do those at a block of
// several edges, which may fall apart into more pieces nearer by than from afar.
func (c *cellSearch) bound(x *openWindow) {
	x.bound = bound{settled: true}
	b, w := &x.bound, x.w
	c.look(w)
	limit := counted(&c.best)
	c.sweeps[0].reset(w.Width())
	c.sweeps[1].reset(w.Height())
	c.parts, c.points = c.parts[:0], c.points[:0]
	open, sum := c.open[:0], count64(0)
	c.faults.sweep(&c.sweeps, w)
	for _, t := range x.open {
		edges := c.reachedBy(t)
		c.work++
		if len(edges) == 0 {
			continue
		}
		least, settled, block := c.boundTile(b, t, edges, w)
		b.settled = b.settled && settled
		if settled && !block { // and so from every part of the window
			x.sum += least
		} else {
			open = append(open, t)
			sum += least
		}
		if x.sum+sum > limit {
			c.open = open[:0]
			(x.sum + sum).put(&b.rank)
			return // nothing that follows takes any of it back
		}
	}
	c.open = open
	for i := range c.sweeps {
		least, cut := c.sweeps[i].least()
		sum += least
		b.divide(cut, i == 1, w)
	}
	(x.sum + sum).put(&b.rank)
	if x.sum+sum == limit {
		b.rest = true
		c.boundRest(x)
	}
}

// boundTile counts what is left of a tile in each part of the cover that it reaches.
func (c *cellSearch) boundTile(b *bound, t *borderTile, edges []edgeAtTile, w rooms.Box) (least count64, settled, block bool) {
	settled = true
	for len(edges) > 0 {
		r := reached{tile: t}
		r.edges, edges = c.splitPart(edges)
		at, n := false, count64(0)
		if r.one() {
			at, n = c.boundOne(b, &r, w)
		} else {
			at, n = c.boundSeveral(b, &r, w)
		}
		least += n
		settled, block = settled && at, block || r.block
	}
	return least, settled, block
}

// reachedBy lists the edges that run through a tile from somewhere in the window
// looked from. The list lasts until the next is made.
func (c *cellSearch) reachedBy(t *borderTile) []edgeAtTile {
	edges := c.listed[:0]
	for i := range t.edges {
		if c.reaches(t, &t.edges[i]) {
			edges = append(edges, t.edges[i])
		}
	}
	c.listed = edges
	return edges
}

// boundOne counts a tile with one edge: settled where it counts for the same from
// everywhere in the window, and else in the sweeps.
func (c *cellSearch) boundOne(b *bound, x *reached, w rooms.Box) (settled bool, least count64) {
	e := &c.edges[x.edges[0].id]
	t := c.table(e, x.tile.member)
	x.low, x.high = c.depths(&x.edges[0])
	if x.high < t.narrow-t.fuzz || x.low >= t.whole+t.fuzz {
		return true, 0
	}
	first, most := t.classes(x.low, x.high)
	if e.side.margin {
		first, most = inMargin(first), inMargin(most)
	}
	if first == most {
		return true, countOf(most)
	}
	nx, ny := math.Abs(e.nx), math.Abs(e.ny)
	if nx >= ny {
		c.sweeps[0].add(t, x.low, nx, float64(ny*float64(w.Height())), e.nx < 0, e.side.margin)
	} else {
		c.sweeps[1].add(t, x.low, ny, float64(nx*float64(w.Width())), e.ny < 0, e.side.margin)
	}
	return false, 0
}

// boundSeveral counts a tile with several edges by what is left of it at the most.
func (c *cellSearch) boundSeveral(b *bound, x *reached, w rooms.Box) (settled bool, least count64) {
	c.work += 6
	if !c.shapes(x, w) {
		return false, 0
	}
	settled = len(x.large.parts) == len(x.small.parts)
	gone, whole := true, c.wholeSomewhere(x)
	for i, large := range x.large.parts {
		if !canBeSet(large) {
			continue
		}
		gone = false
		small := c.partOf(x, i)
		if small == nil || whole {
			settled = false
			continue
		}
		surely, maybe := c.sideOf(x, w)
		class, most := surely.class(c.z.measurePart(x.tile.member, large).class()), maybe.class(c.z.measurePart(x.tile.member, small).class())
		settled = settled && class == most
		least += countOf(class)
	}
	if gone {
		return true, 0
	}
	if !settled {
		c.divideBySeveral(b, x, w)
	}
	return settled, least
}

// sideOf is what a tile's edges mean for what is left of it: from everywhere in the
// window, and from somewhere. Those of one part of the cover all bound a margin or none
// does; one that is bare cuts something off one piece where it surely runs through the
// tile.
func (c *cellSearch) sideOf(x *reached, w rooms.Box) (least, most side) {
	for i := range x.edges {
		k := x.edges[i].id
		if k < 0 {
			continue
		}
		e := &c.edges[k]
		least.margin = least.margin || e.side.margin
		if !e.side.bare {
			continue
		}
		most.bare = true
		if len(x.large.parts) == 1 && len(x.small.parts) == 1 && c.surely(x.tile, int(k), w) {
			t := c.table(e, x.tile.member)
			_, high := c.depths(&x.edges[i])
			least.bare = least.bare || high < t.whole-t.fuzz
		}
	}
	most.margin = least.margin
	return least, most
}

// shapes finds what is left of a tile at the least and at the most; false where
// that is not known.
func (c *cellSearch) shapes(x *reached, w rooms.Box) bool {
	blocks, ok := c.blocks(x.tile, x.edges, w)
	if !ok {
		return false
	}
	x.block = len(blocks.outer) > 0
	if x.large = c.shape(x.tile, &blocks, true); len(x.large.parts) > 0 {
		x.small = c.shape(x.tile, &blocks, false)
	}
	return true
}

// wholeSomewhere reports whether the tile may be whole from an origin.
func (c *cellSearch) wholeSomewhere(x *reached) bool {
	return len(x.large.parts) == 1 && c.z.lay.tiles[x.tile.member].whole.MM2()-x.large.area <= 1
}

// partOf is the part of what is left at the least that part i of the most holds,
// where one is that can be set.
func (c *cellSearch) partOf(x *reached, i int) rooms.Ring {
	for k, small := range x.small.parts {
		if x.large.holds(i, &x.small, k) && canBeSet(small) {
			return small
		}
	}
	return nil
}

func canBeSet(r rooms.Ring) bool { return len(r) >= 3 && !narrow(r) }

// divideAt proposes to divide the window where a limit of the depth lies: only
// along an edge that is upright or level, the others' do not run with the window.
func (b *bound) divideAt(e *coverEdge, t *depthTable, low, high float64, w rooms.Box) {
	if !e.upright() && !e.level() {
		return
	}
	long, n := w.Width(), e.nx
	if e.level() {
		long, n = w.Height(), e.ny
	}
	for _, d := range t.limits() {
		if d <= low || d > high {
			continue
		}
		off := rooms.Length(d - low) // first place as deep as the limit
		if n < 0 {
			off = long - off + 1
		}
		b.divide(off, e.level(), w)
	}
}

// divide proposes to divide the window at an offset from its lower end, 0 for
// none; the proposal nearest to the middle is taken.
func (b *bound) divide(off rooms.Length, up bool, w rooms.Box) {
	from, long := w.Min.X, w.Width()
	if up {
		from, long = w.Min.Y, w.Height()
	}
	if off <= 0 || off > long {
		return
	}
	score := float64(absLen(2*off-long)) / float64(long)
	if !b.found || score < b.score {
		b.cut, b.up, b.found, b.score = from+off, up, true, score
	}
}

func (c *cellSearch) divideBySeveral(b *bound, x *reached, w rooms.Box) {
	for i := range x.edges {
		k := x.edges[i].id
		if k < 0 {
			continue
		}
		e := &c.edges[k]
		low, high := c.depths(&x.edges[i])
		b.divideAt(e, c.table(e, x.tile.member), low, high, w)
	}
}

// boundRest weighs what is in view and the balance.
func (c *cellSearch) boundRest(win *openWindow) {
	b, w := &win.bound, win.w
	c.look(w)
	var least, most [4]float64
	for _, t := range win.tiles {
		c.work++
		lost := c.lostAt(b, t, c.reachedBy(t), w)
		for i := range least {
			if lost.reached[i] {
				most[i] += lost.most
			}
			if lost.surely[i] {
				least[i] += lost.least
			}
		}
	}
	r := &b.rank
	r[rankLacks+1], r[rankLacks+3] = inCM(r[rankLacks+1]), inCM(r[rankLacks+3])
	gap := func(i, k int) float64 { return max(least[i]-most[k], least[k]-most[i], 1) - 1 }
	r[rankBalance] = strip(gap(0, 1), c.wide[1]) + strip(gap(2, 3), c.wide[0])
}

// lostRange is how much of a tile is cut off, least and most, and at which walls.
type lostRange struct {
	least, most     float64
	reached, surely [4]bool
}

// lostAt finds how much of a tile is cut off at the walls, and weighs what of it is in
// view: in each part of the cover that it reaches.
func (c *cellSearch) lostAt(b *bound, t *borderTile, edges []edgeAtTile, w rooms.Box) lostRange {
	whole := c.z.lay.tiles[t.member].whole.MM2()
	lost := lostRange{least: whole, most: whole}
	for first := true; len(edges) > 0; first = false {
		x := reached{tile: t}
		x.edges, edges = c.splitPart(edges)
		if !c.whatIsLeft(&x, w) {
			continue
		}
		alone := first && len(edges) == 0
		least, most := c.areas(&x, alone, whole)
		lost.least, lost.most = lost.least-most, lost.most-least
		c.work++
		c.boundView(b, &x, w)
		for i := range x.edges {
			k := x.edges[i].id
			if k < 0 || c.edges[k].side.wall == 0 {
				continue
			}
			wall := c.edges[k].side.wall - 1
			lost.reached[wall] = true
			lost.surely[wall] = lost.surely[wall] || x.sure && (alone && x.one() || c.surely(x.tile, int(k), w))
		}
	}
	lost.least = max(lost.least, 0)
	return lost
}

// areas are the least and the most that is left of a tile in a part of the cover. Where
// it is all there is of the tile it counts only as long as it can be set.
func (c *cellSearch) areas(x *reached, alone bool, whole float64) (least, most float64) {
	switch {
	case x.one():
		t := c.table(&c.edges[x.edges[0].id], x.tile.member)
		if low := x.low - t.fuzz; alone || low >= t.narrow {
			least = t.area(max(low, t.narrow-t.fuzz))
		}
		return least, t.area(x.high + t.fuzz)
	case x.known && x.sure:
		return x.small.area, x.large.area
	}
	return 0, whole
}

// whatIsLeft finds how much is left of a tile; false where nothing is that counts.
func (c *cellSearch) whatIsLeft(x *reached, w rooms.Box) bool {
	if x.one() {
		e := &c.edges[x.edges[0].id]
		t := c.table(e, x.tile.member)
		x.low, x.high = c.depths(&x.edges[0])
		x.sure = x.low >= t.narrow+t.fuzz && x.high < t.whole-t.fuzz
		return x.high >= t.narrow-t.fuzz && x.low < t.whole+t.fuzz
	}
	c.work += 6
	if !c.shapes(x, w) {
		return true
	}
	if !slices.ContainsFunc(x.large.parts, canBeSet) {
		return false
	}
	x.known = len(x.large.parts) == 1 && !c.wholeSomewhere(x) && c.partOf(x, 0) != nil
	x.sure = x.known
	return true
}

// hairWide is what rounding may take off the width of a piece with short sides.
const hairWide = 10 * rooms.Micrometre

// boundView adds what a piece in view lacks at least.
func (c *cellSearch) boundView(b *bound, x *reached, w rooms.Box) {
	if !x.sure {
		return
	}
	most, sure := unseen, unseen
	for i := range x.edges {
		k := x.edges[i].id
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
		e := &c.edges[x.edges[0].id]
		c.rings[1] = cutBy(c.rings[1][:0], c.floats(x.tile.ring), e.nx, e.ny, x.high+1-x.edges[0].most)
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
