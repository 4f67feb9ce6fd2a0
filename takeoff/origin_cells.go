package takeoff

import (
	"cmp"
	"container/heap"
	"math"
	"slices"

	"potlife/rooms"
)

// The search for the best origin of a pattern whose directions depend on each
// other: herringbone, basket weave, hexagons, anything turned.
//
// Origins that differ by whole cells lay the same, so the origins of one cell of
// the lattice are all there are. What the pieces count for changes where a corner
// of a tile passes an edge of the cover, a side of a tile passes a corner of it,
// and where the width that is left passes a limit: lines that cut the cell into
// the cells of an arrangement. Inside one of them every piece counts for the
// same, so one origin of each is as good as any other by the first three
// criteria; by those that follow, in whole mm and cm, as long as it is divided
// further. There are thousands of such cells and, at an angle, hundreds of
// thousands, so they are not listed but found by dividing:
//
//   - A window is an upright rectangle of origins. In it every tile at the border
//     has a least and a most that may be left of it. What holds another piece
//     counts for no more than that one (see tally), so the most that may be left
//     bounds from below what a tile counts for, and all together bound every
//     origin in the window. Tiles at one straight edge are bounded together, along
//     x or y (see sweep), and those that count for the same from everywhere in a
//     window are not looked at again in its parts.
//   - The window with the least bound is divided first: along a line of the
//     arrangement that runs through it, as far as those are upright or level, where
//     the sum of what pieces count for is least on one side; else through its
//     middle. Its parts are bounded again.
//   - A window whose bound is no better than the best origin found is done with:
//     nothing in it can win. So is one as small as a setter can tell apart, whose
//     middle is weighed instead.
//
// When no window is left, no origin is better than the best one found, but for
// windows of that size; what of them is in question at all are those which a line
// at an angle crosses, or in which a whole mm is passed. Of very large or ragged
// surfaces the work is limited, and the answer says what share of all origins was
// looked at or ruled out.

const (
	// finest is the side of the smallest window: nobody sets to less.
	finest = rooms.Millimetre / 8
	// mostWork limits the search, in tiles weighed: about a second. Floors of the
	// size of a room take 20 000 to 600 000.
	mostWork = 2_000_000
	// firstWindows is in how many parts the cell is divided either way at first.
	firstWindows = 4
)

// cellSearch is one search.
type cellSearch struct {
	z       *zoneLayer
	edges   []coverEdge
	holes   []manySided
	sides   []side
	normals [][]sideNormal // of each member's sides, inwards
	upright []bool         // the member is a rectangle along the axes
	wide    [2]float64     // of the cover, in mm
	base    rooms.Point
	free    [2]bool // the axes searched
	heap    windowHeap
	tried   []triedOrigin
	surface *rooms.Surface
	best    axisRank
	work    int
	limit   int
	area    float64 // of all windows
	windows int
	hits    []hit
	sweeps  [2]sweep
	open    []*borderTile // of the window bounded last
	reached []*borderTile
	found   []*borderTile
	all     []*borderTile // from the window of the whole cell
	allFrom rooms.Box
	moved   rooms.Ring
	room    nearRoom
	spare   nearRoom // of tiles that are not kept
	cut     partRoom // of parts that are not
	listed  []edgeAtTile
	faults  *axisFaults // of a pattern whose joints run through
	from    rooms.Box   // the window looked from last
	looks   int

	// Room for what is left of the tiles of one window.
	rings  [4][]xy
	parts  []rooms.Ring
	points rooms.Ring
	planes [3][]movedPlane
}

// openWindow is a window that may hold something better.
type openWindow struct {
	w     rooms.Box
	bound bound
	seq   int
	tiles []*borderTile // that the border reaches from it
	// Of these, what those count for that count for the same from everywhere in
	// it, and the others.
	sum  count64
	open []*borderTile
}

type windowHeap []*openWindow

func (h windowHeap) Len() int      { return len(h) }
func (h windowHeap) Swap(i, k int) { h[i], h[k] = h[k], h[i] }
func (h *windowHeap) Push(x any)   { *h = append(*h, x.(*openWindow)) }
func (h *windowHeap) Pop() any {
	old := *h
	x := old[len(old)-1]
	old[len(old)-1] = nil
	*h = old[:len(old)-1]
	return x
}
func (h windowHeap) Less(i, k int) bool {
	return cmp.Or(h[i].bound.rank.compare(h[k].bound.rank), cmp.Compare(h[k].seq, h[i].seq)) < 0
}

// newCellSearch prepares a search from base; an axis that is not free keeps it.
func (z *zoneLayer) newCellSearch(s *rooms.Surface, base rooms.Point, free [2]bool) *cellSearch {
	box := rooms.BoxOf(z.ground.cover)
	c := &cellSearch{z: z, surface: s, sides: z.sides(s), base: base, free: free, limit: mostWork,
		wide: [2]float64{max(box.Width().Millimetres(), 1), max(box.Height().Millimetres(), 1)}}
	c.edges, c.holes = z.coverEdges(s)
	for i := range c.best {
		c.best[i] = math.MaxInt64
	}
	for i := range z.lay.tiles {
		ring := z.lay.turn.ring(z.lay.tiles[i].ring)
		var list []sideNormal
		for k, p := range ring {
			q := ring[(k+1)%len(ring)]
			dx, dy := float64(q.X-p.X), float64(q.Y-p.Y)
			long := math.Sqrt(float64(dx*dx) + float64(dy*dy))
			list = append(list, sideNormal{plane: plane{nx: -dy / long, ny: dx / long}})
		}
		c.normals = append(c.normals, list)
		c.upright = append(c.upright, z.lay.turn.square() && z.lay.tiles[i].isBox())
	}
	for i := range c.edges {
		c.edges[i].depth = make([]depthTable, len(z.lay.tiles))
		c.edges[i].over = make([][]float64, len(z.lay.tiles))
		for m := range c.normals {
			if !c.upright[m] {
				c.edges[i].over[m] = c.overSides(m, &c.edges[i])
			}
		}
	}
	return c
}

// sideNormal is the normal of a tile's side, without its place; least is how little
// a window moves it.
type sideNormal struct {
	plane
	least float64
}

// overSides is how far an edge reaches along the normals of a member's sides.
func (c *cellSearch) overSides(member int, e *coverEdge) []float64 {
	list := make([]float64, len(c.normals[member]))
	for k := range list {
		n := &c.normals[member][k]
		list[k] = max(n.at(e.a.X, e.a.Y), n.at(e.b.X, e.b.Y))
	}
	return list
}

// table is the depth table of a member at an edge, made when first asked for;
// edges of one direction share it.
func (c *cellSearch) table(e *coverEdge, member int) *depthTable {
	t := &e.depth[member]
	if t.strips != nil {
		return t
	}
	if e.upright() || e.level() {
		for i := range c.edges {
			o := &c.edges[i]
			if o.nx == e.nx && o.ny == e.ny && o.side.bare == e.side.bare && o.depth[member].strips != nil {
				*t = o.depth[member]
				return t
			}
		}
	}
	*t = c.z.depthTable(e, member)
	return t
}

// run searches the cell. Ruled is the share of it that was looked at or ruled
// out: 1 where the search is complete.
func (c *cellSearch) run() (ruled float64, err error) {
	if err := c.begin(); err != nil {
		return 0, err
	}
	for len(c.heap) > 0 {
		x := heap.Pop(&c.heap).(*openWindow)
		if !c.better(x.bound.rank) {
			return 1, nil // and so is none of the others
		}
		if c.work > c.limit {
			heap.Push(&c.heap, x)
			break
		}
		for _, w := range halves(x.w, x.bound) {
			if err := c.weigh(openWindow{w: w, tiles: x.tiles, sum: x.sum, open: x.open}); err != nil {
				return 0, err
			}
		}
	}
	left := 0.0
	for _, x := range c.heap {
		if c.better(x.bound.rank) {
			left += c.measure(x.w)
		}
	}
	return 1 - left/c.area, nil
}

// better reports whether a bound leaves room for an origin better than the best.
func (c *cellSearch) better(r axisRank) bool {
	return slices.Compare(r[:rankRest], c.best[:rankRest]) < 0
}

// begin divides the cell.
func (c *cellSearch) begin() error {
	w := c.cell()
	c.all, c.allFrom = slices.Clone(c.collect(w)), w
	n := [2]rooms.Length{1, 1}
	for i, free := range c.free {
		if free {
			n[i] = firstWindows
		}
	}
	part := func(low, high rooms.Length, i, n rooms.Length) (from, to rooms.Length) {
		return low + (high-low)*i/n, low + (high-low)*(i+1)/n
	}
	for i := range n[0] {
		for k := range n[1] {
			var f rooms.Box
			f.Min.X, f.Max.X = part(w.Min.X, w.Max.X, i, n[0])
			f.Min.Y, f.Max.Y = part(w.Min.Y, w.Max.Y, k, n[1])
			if !c.inCell(f) {
				continue
			}
			c.area += c.measure(f)
			tiles := slices.Clone(c.within(f))
			if err := c.weigh(openWindow{w: f, tiles: tiles, open: tiles}); err != nil {
				return err
			}
		}
	}
	return nil
}

// cell is the window that holds one cell of the lattice; along an axis alone, a
// period of it round base.
func (c *cellSearch) cell() rooms.Box {
	l := c.z.lay
	u, v := l.turn.apply(l.u), l.turn.apply(l.v)
	w := rooms.Box{Min: c.base, Max: c.base}
	switch {
	case c.free[0] && c.free[1]:
		for _, p := range []rooms.Point{u, v, {X: u.X + v.X, Y: u.Y + v.Y}} {
			w = w.Join(rooms.Ring{{X: c.base.X + p.X, Y: c.base.Y + p.Y}}.Box())
		}
	case c.free[0]:
		long := c.period(func(p rooms.Point) (along, over rooms.Length) { return p.X, p.Y })
		w.Min.X, w.Max.X = w.Min.X-long/2, w.Max.X+long/2
	case c.free[1]:
		long := c.period(func(p rooms.Point) (along, over rooms.Length) { return p.Y, p.X })
		w.Min.Y, w.Max.Y = w.Min.Y-long/2, w.Max.Y+long/2
	}
	return w
}

// period is after what length along an axis the lattice comes back to itself; at
// most as far as the cover and a cell reach, because at an angle it may never.
func (c *cellSearch) period(split func(rooms.Point) (along, over rooms.Length)) rooms.Length {
	l := c.z.lay
	b := rooms.BoxOf(c.z.ground.cover)
	best, _ := split(rooms.Point{X: b.Width(), Y: b.Height()})
	u, v := l.turn.apply(l.u), l.turn.apply(l.v)
	for _, p := range [2]rooms.Point{u, v} {
		a, _ := split(p)
		best += absLen(a)
	}
	for i := -64; i <= 64; i++ {
		for k := -64; k <= 64; k++ {
			along, over := split(l.turn.apply(l.cell(i, k)))
			if absLen(over) <= 8 && along > 8 && along < best {
				best = along
			}
		}
	}
	return best
}

// inCell reports whether a window meets the lattice's cell from base.
func (c *cellSearch) inCell(w rooms.Box) bool {
	if !c.free[0] || !c.free[1] {
		return true
	}
	f := *c.z.fill
	f.origin = c.base
	a0, a1, b0, b1 := math.Inf(1), math.Inf(-1), math.Inf(1), math.Inf(-1)
	for _, p := range rooms.Rect(w.Min.X, w.Min.Y, w.Max.X, w.Max.Y) {
		a, b := f.toLattice(p)
		a0, a1, b0, b1 = min(a0, a), max(a1, a), min(b0, b), max(b1, b)
	}
	return a1 >= 0 && a0 <= 1 && b1 >= 0 && b0 <= 1
}

// measure is how many origins a window has.
func (c *cellSearch) measure(w rooms.Box) float64 {
	return float64(float64(w.Width()+1) * float64(w.Height()+1))
}

// halves divides a window where its bound says, or through the middle.
func halves(w rooms.Box, b bound) [2]rooms.Box {
	lower, upper := w, w
	switch {
	case b.found && b.up:
		lower.Max.Y, upper.Min.Y = b.cut-1, b.cut
	case b.found:
		lower.Max.X, upper.Min.X = b.cut-1, b.cut
	case w.Height() > w.Width():
		upper.Min.Y = w.Min.Y + w.Height()/2 + 1
		lower.Max.Y = upper.Min.Y - 1
	default:
		upper.Min.X = w.Min.X + w.Width()/2 + 1
		lower.Max.X = upper.Min.X - 1
	}
	return [2]rooms.Box{lower, upper}
}

// weigh bounds a window, tries its middle where that may help, and keeps it where
// it may hold something better.
func (c *cellSearch) weigh(x openWindow) error {
	w := x.w
	if !c.inCell(w) {
		return nil
	}
	c.windows++
	x.seq = c.windows
	c.bound(&x)
	if !c.better(x.bound.rank) {
		return nil
	}
	x.tiles = c.still(x.tiles, w)
	small := w.Width() <= finest && w.Height() <= finest
	if small || x.bound.settled || c.windows <= 2*firstWindows*firstWindows || c.windows%8 == 0 {
		if err := c.try(rooms.Point{X: w.Min.X + w.Width()/2, Y: w.Min.Y + w.Height()/2}, x.tiles); err != nil {
			return err
		}
		if !x.bound.rest && counted(&x.bound.rank) == counted(&c.best) {
			x.bound.rest = true
			c.boundRest(&x)
		}
	}
	if !small && c.better(x.bound.rank) {
		kept := x
		kept.open = slices.Clone(c.open)
		heap.Push(&c.heap, &kept)
	}
	return nil
}

// still lists the tiles that the border reaches from a window too.
func (c *cellSearch) still(tiles []*borderTile, w rooms.Box) []*borderTile {
	c.look(w)
	out := c.reached[:0]
	for _, t := range tiles {
		for i := range t.edges {
			if c.reaches(t, &t.edges[i]) {
				out = append(out, t)
				break
			}
		}
	}
	c.reached = out
	if len(out) == len(tiles) {
		return tiles
	}
	return slices.Clone(out)
}

// try weighs one origin.
func (c *cellSearch) try(o rooms.Point, tiles []*borderTile) error {
	var t tally
	c.look(rooms.Box{Min: o, Max: o})
	for _, x := range tiles {
		edges := c.reachedBy(x)
		c.work++
		if c.oneByOne(edges) {
			for i := range edges {
				c.tryOne(&t, x, &edges[i], o)
			}
			continue
		}
		if err := c.trySeveral(&t, x, o); err != nil {
			return err
		}
	}
	t.rank[0] += c.faults.count(o)
	r := t.sum(rooms.BoxOf(c.z.ground.cover))
	c.tried = append(c.tried, triedOrigin{o, r})
	if slices.Compare(r[:rankRest], c.best[:rankRest]) < 0 {
		c.best = r
	}
	return nil
}

// oneByOne reports whether a tile's edges can be looked at one by one: where there is
// but one, or each bounds another part of the cover, as folds do.
func (c *cellSearch) oneByOne(edges []edgeAtTile) bool {
	for i, x := range edges {
		if x.id < 0 || len(edges) > 1 && c.edges[x.id].side.wall > 0 {
			return false
		}
		for _, y := range edges[:i] {
			if c.partAt(x.id) == c.partAt(y.id) {
				return false
			}
		}
	}
	return true
}

// partAt is the part of the cover that an edge, or a round hole, bounds.
func (c *cellSearch) partAt(id int32) int {
	if id < 0 {
		return c.holes[-1-id].part
	}
	return c.edges[id].part
}

// splitPart divides a tile's edges into those that bound the part of the cover which the
// first does, and the others.
func (c *cellSearch) splitPart(edges []edgeAtTile) (one, rest []edgeAtTile) {
	n := 1
	for i := 1; i < len(edges); i++ {
		if x := edges[i]; c.partAt(x.id) == c.partAt(edges[0].id) {
			copy(edges[n+1:i+1], edges[n:i])
			edges[n] = x
			n++
		}
	}
	return edges[:n], edges[n:]
}

// tryOne counts a tile with one edge.
func (c *cellSearch) tryOne(t *tally, x *borderTile, edge *edgeAtTile, o rooms.Point) {
	e := &c.edges[edge.id]
	table := c.table(e, x.member)
	d, _ := c.depths(edge)
	if d < table.narrow-table.fuzz || d >= table.whole {
		return
	}
	back := func(p rooms.Point) rooms.Point { return rooms.Point{X: p.X - o.X, Y: p.Y - o.Y} }
	c.points = keepLeftIn(c.points[:0], x.ring, back(e.a), back(e.b))
	piece := c.points
	if !canBeSet(piece) {
		return
	}
	if wall := e.side.wall; wall > 0 {
		t.lost[wall-1] += c.z.lay.tiles[x.member].whole.MM2() - table.area(d)
	}
	t.piece(c.z.measurePart(x.member, piece), e.side)
}

// trySeveral counts any tile.
func (c *cellSearch) trySeveral(t *tally, x *borderTile, o rooms.Point) error {
	c.work += 10
	c.moved = c.moved[:0]
	for _, p := range x.ring {
		c.moved = append(c.moved, rooms.Point{X: p.X + o.X, Y: p.Y + o.Y})
	}
	f, ring := c.z.fill, c.moved
	made := f.clip.made // the parts are not kept
	f.clip.made = c.cut.emptied()
	defer func() { f.clip.made, c.cut = made, f.clip.made }()
	if x.near == nil {
		x.near = c.near(x)
	}
	parts, err := f.clipTile(x.near, ring)
	if err != nil || len(parts) == 0 || len(parts) == 1 && f.isWhole(parts[0], &c.z.lay.tiles[x.member], ring) {
		return err
	}
	c.z.tallyTile(t, c.sides, x.member, ring, parts)
	return nil
}

// near is what of the cover the tile can meet.
func (c *cellSearch) near(x *borderTile) []clipRing {
	f, b := c.z.fill, reachOf(x.box, *x.from)
	corners := rooms.Rect(b.Min.X-8, b.Min.Y-8, b.Max.X+8, b.Max.Y+8)
	rings := f.rings
	for i, p := range corners {
		rings = f.croppedIn(&f.crops[i], rings, p, corners[(i+1)%4])
	}
	return cloneRings(rings)
}
