package takeoff

import (
	"cmp"
	"slices"

	"potlife/rooms"
)

// The search for the best origin along one axis.
//
// Along an axis a straight or offset pattern is a row of tiles of size T every
// P = T + joint, moved by the origin o and by each course's own offset. An edge
// of the cover across the axis cuts one tile of the row: what is left of it is
// c = T − r on the near side and c = r on the far side, r = (edge − o) mod P, or
// a whole tile where the edge falls into a joint. So every c is a piecewise
// linear function of o with slopes ±1 and jumps only where the edge lies flush
// with a tile's side. The rank of an origin is made of
//
//   - how many pieces are below a limit (floor, third, half): this changes only
//     where a c reaches a limit or jumps;
//   - how much the cuts in view lack, the worst and their sum: linear between
//     jumps and the places where two c are equal;
//   - the difference of the two outer cuts, and the least cut: differences and
//     minima of linear functions with slopes ±1, which bend only at a jump or
//     where two c are equal.
//
// Between two neighbouring offsets of these kinds the counts stay the same and
// the rest is linear. What the cuts in view lack and the balance are compared in
// whole millimetres, so that a hair does not decide: then the best of one is no
// point but a stretch, on which the next decides. The ends of such a stretch lie
// where a linear piece passes from one millimetre to the next; refine adds those of the best
// value, criterion by criterion. On a stretch on which all earlier criteria are
// equal and the next is linear, that one is best at an end. So one of the
// offsets, or the unit beside it (a limit may belong to either side), is as good
// as any other place. The set is finite, and trying all of it is exhaustive. A
// test holds it against trying every unit.

// axis is one direction of a pattern whose directions are independent.
type axis struct {
	size, joint rooms.Length
	shifts      []rooms.Length // offsets of the courses
	pitch       rooms.Length   // courses per length of edge
	floor       rooms.Length   // the absolute least cut
	span        rooms.Length   // how far the cover reaches along the axis, 0 unknown
	edges       []axisEdge
	spans       []axisSpan   // see judgeSpans
	unit        rooms.Length // what lacks and balance are compared in; 0 is 1 mm
}

// axisRank is how good an origin is, less is better, the first that differs
// decides: pieces below the floor or beside a gap too wide, below a third (once spans
// are judged, how much all of them lack to what their width allows), below
// half or cut at a bare outside corner; what the worst seen cut lacks to a whole tile, and all seen ones; the
// same of what is only in sight from the door; the difference of the outer cuts;
// the least cut, negative; pieces that are cut. Lacks are in
// whole mm, rounded up, and the difference to the nearest.
type axisRank [10]int64

// ahead says by what an origin is better than the next one: by the first
// criterion that tells them apart.
func (r axisRank) ahead(next axisRank) string {
	names := [len(r)]string{"fewer pieces that are too narrow", "fewer or wider pieces under a third", "fewer pieces under half",
		"wider cuts where the eye goes first", "wider cuts where the eye goes first", "wider cuts in sight of the door", "wider cuts in sight of the door",
		"a better balance", "a wider least cut", "fewer cuts"}
	for i := range r {
		if r[i] < next[i] {
			return "; ahead of the next by " + names[i]
		}
		if r[i] > next[i] { // told apart by what it buys
			return ""
		}
	}
	return "; as good as the next, and taken because it comes first"
}

// Places in an axisRank: the criteria in whole mm, and what comes after them.
const (
	rankThird   = 1
	rankLacks   = 3
	rankBalance = 7
	rankRest    = 8
)

func (r axisRank) compare(s axisRank) int { return slices.Compare(r[:], s[:]) }

// ties reports whether nothing but what breaks ties tells two origins apart.
func (r axisRank) ties(s axisRank) bool { return slices.Equal(r[:rankRest], s[:rankRest]) }

// cut is what an edge leaves of its tile with the row moved to o, and how much
// wider than asked the gap becomes because the edge falls into a joint.
func (a *axis) cut(e axisEdge, o rooms.Length) (c, bare rooms.Length) {
	p := a.size + a.joint
	r := (e.at - o) % p
	if r < 0 {
		r += p
	}
	switch {
	case e.near && r <= a.size && r > 0:
		return a.size - r, 0
	case e.near && r == 0:
		return a.size, 0
	case e.near:
		return a.size, p - r
	case r == 0:
		return a.size, a.joint
	case r <= a.size:
		return r, 0
	}
	return a.size, r - a.size
}

// rank judges the row moved to o.
func (a *axis) rank(o rooms.Length) axisRank {
	r := a.measure(o)
	if len(a.spans) > 0 {
		r[rankThird] = a.inGrains(rankThird, r[rankThird])
	}
	for i := rankLacks; i < rankRest; i++ {
		r[i] = a.inGrains(i, r[i])
	}
	return r
}

// inGrains is a measure of criterion k as it is compared.
func (a *axis) inGrains(k int, x int64) int64 { return floorDiv(x-a.from(k), a.grain()) + 1 }

// from is the least measure that criterion k counts as 1 mm: what is lacking is
// rounded up, so that no cut counts as a whole tile, and the balance to the
// nearest.
func (a *axis) from(k int) int64 {
	if k == rankBalance {
		return a.grain() - a.grain()/2
	}
	return 1
}

// grain is what measures are compared in: 1 mm, and less in tests.
func (a *axis) grain() int64 {
	if a.unit > 0 {
		return int64(a.unit)
	}
	return int64(rooms.Millimetre)
}

func floorDiv(x, y int64) int64 {
	q := x / y
	if x%y < 0 {
		q--
	}
	return q
}

// measure is rank before rounding.
func (a *axis) measure(o rooms.Length) axisRank {
	r := a.tally(o)
	if len(a.spans) > 0 { // what is under a third is under half too
		r[rankThird], r[rankThird+1] = a.lacking(o), r[rankThird]+r[rankThird+1]
	}
	return r
}

// tally is measure with every cut held against a third of the tile.
func (a *axis) tally(o rooms.Length) axisRank {
	var r axisRank
	least := a.size
	outer := [2]rooms.Length{a.size, a.size}
	first, last := a.outer()
	for _, s := range a.shifts {
		for i, e := range a.edges {
			left, wide := a.cut(e, o+s)
			c := a.within(left)
			n := int64((e.long + a.pitch - 1) / a.pitch)
			switch {
			case c < a.floor, wide > e.slack:
				r[0] += n
			case e.margin:
			case 3*c < a.size:
				r[1] += n
			case 2*c < a.size, e.bare && left < a.size:
				r[2] += n
			}
			least = min(least, c)
			if e.eye != unseen {
				k := rankLacks
				if e.eye == inSight {
					k += 2
				}
				lack := int64(0)
				if left < a.size {
					lack = int64(a.size - c)
				}
				r[k] = max(r[k], lack)
				r[k+1] += lack * n
			}
			if left < a.size {
				r[9] += n
			}
			if i == first {
				outer[0] = min(outer[0], c)
			}
			if i == last {
				outer[1] = min(outer[1], c)
			}
		}
	}
	if first >= 0 && last >= 0 && a.edges[first].eye == a.edges[last].eye {
		r[rankBalance] = int64(absLen(outer[0] - outer[1]))
	}
	r[8] = -int64(least)
	return r
}

// within is a cut that is no longer than the cover: a strip narrower than a tile
// is one piece from edge to edge, wherever in the tile it lies, so that nothing is
// gained by cutting it from the middle; it lies best at the tile's own edge.
func (a *axis) within(c rooms.Length) rooms.Length {
	if a.span > 0 {
		return min(c, a.span)
	}
	return c
}

// outer finds the first near and the last far edge, of what is framed where
// anything is.
func (a *axis) outer() (first, last int) {
	first, last = -1, -1
	for i, e := range a.edges {
		if e.margin {
			continue
		}
		if e.near && (first < 0 || e.at < a.edges[first].at) {
			first = i
		}
		if !e.near && (last < 0 || e.at > a.edges[last].at) {
			last = i
		}
	}
	return first, last
}

// offsets lists every o at which the rank can change, within one pitch.
func (a *axis) offsets() []rooms.Length {
	p := a.size + a.joint
	var list []rooms.Length
	add := func(o rooms.Length) {
		for d := rooms.Length(-1); d <= 1; d++ {
			list = append(list, ((o+d)%p+p)%p)
		}
	}
	var marks []axisEdge // each edge as each course sees it
	for _, e := range a.edges {
		for _, s := range a.shifts {
			m := e
			m.at -= s
			marks = append(marks, m)
		}
	}
	limits := a.limits()
	for _, m := range marks {
		for _, c := range limits {
			if m.near {
				add(m.at - (a.size - c))
			} else {
				add(m.at - c)
			}
		}
		add(m.at - a.size - m.slack) // where an edge in a joint leaves too much
		add(m.at + m.slack)
	}
	for i, m := range marks {
		for _, n := range marks[:i] {
			if m.near == n.near {
				continue
			}
			// c equal: T − (near − o) = far − o − kP, so 2o = near + far − T − kP.
			half := (m.at + n.at - a.size) / 2
			add(half)
			add(half + p/2)
			add(half + (p+1)/2)
		}
	}
	slices.Sort(list)
	return slices.Compact(list)
}

// limits are the cuts at which what they count for changes.
func (a *axis) limits() []rooms.Length {
	list := []rooms.Length{0, a.floor, (a.size + 2) / 3, (a.size + 1) / 2, a.within(a.size), a.size}
	for i := range a.spans {
		if c := a.spans[i].limit; !slices.Contains(list, c) {
			list = append(list, c)
		}
	}
	return list
}

// best ranks all offsets; of equal ones the least comes first.
func (a *axis) best() []rankedOffset {
	if len(a.edges) == 0 {
		return []rankedOffset{{}}
	}
	a.judgeSpans()
	var list []rankedOffset
	for _, o := range a.offsets() {
		list = append(list, rankedOffset{o, a.rank(o)})
	}
	if len(a.spans) > 0 {
		list = a.refine(list, rankThird)
	}
	for k := rankLacks; k < rankRest; k++ {
		list = a.refine(list, k)
	}
	slices.SortFunc(list, func(x, y rankedOffset) int { return cmp.Or(x.rank.compare(y.rank), cmp.Compare(x.o, y.o)) })
	return list
}

// refine adds the ends of the stretches on which criterion k has its best value,
// of the offsets on which the criteria before it are best. The list is in order
// and comes back so.
func (a *axis) refine(list []rankedOffset, k int) []rankedOffset {
	best := list[0].rank
	for _, r := range list[1:] {
		if slices.Compare(r.rank[:k+1], best[:k+1]) < 0 {
			best = r.rank
		}
	}
	p := a.size + a.joint
	var more []rankedOffset
	for i, x := range list {
		y := list[(i+1)%len(list)]
		if i+1 == len(list) {
			y.o += p
		}
		if y.o-x.o < 2 || x.rank[k] == y.rank[k] ||
			!slices.Equal(x.rank[:k+1], best[:k+1]) && !slices.Equal(y.rank[:k+1], best[:k+1]) {
			continue
		}
		f, g := a.measure(x.o)[k], a.measure(y.o)[k]
		end := a.from(k) + best[k]*a.grain()
		for _, end := range [2]int64{end - a.grain(), end} {
			if min(f, g) < end && end <= max(f, g) {
				at := x.o + rooms.Length(float64(y.o-x.o)*(float64(end-f)/float64(g-f)))
				for o := max(at-1, x.o+1); o <= min(at+1, y.o-1); o++ {
					more = append(more, rankedOffset{o % p, a.rank(o % p)})
				}
			}
		}
	}
	if len(more) == 0 {
		return list
	}
	list = append(list, more...)
	slices.SortFunc(list, func(x, y rankedOffset) int { return cmp.Compare(x.o, y.o) })
	return slices.CompactFunc(list, func(x, y rankedOffset) bool { return x.o == y.o })
}

type rankedOffset struct {
	o    rooms.Length
	rank axisRank
}

// axes are the two directions of a straight or offset pattern; ok is false for
// patterns whose directions depend on each other.
func (z *zoneLayer) axes(s *rooms.Surface) (across, upward axis, ok bool) {
	across, upward, ok = z.axesOnly()
	if ok {
		across.edges, upward.edges = z.edgesAlong(false, s), z.edgesAlong(true, s)
		b := rooms.BoxOf(z.ground.cover)
		across.span, upward.span = b.Width(), b.Height()
	}
	return across, upward, ok
}

// axesOnly is axes without the cover's edges.
func (z *zoneLayer) axesOnly() (across, upward axis, ok bool) {
	l := z.lay
	if !l.turn.square() || len(l.tiles) != l.courses || !l.tiles[0].isBox() {
		return across, upward, false
	}
	first := l.tiles[0]
	along := axis{size: first.box.Width(), joint: l.joint, pitch: first.box.Height() + l.joint}
	over := axis{size: first.box.Height(), joint: l.joint, pitch: first.box.Width() + l.joint, shifts: []rooms.Length{0}}
	for _, t := range l.tiles {
		if t.box.Width() != first.box.Width() || t.box.Height() != first.box.Height() || t.box.Min.Y != first.box.Min.Y+rooms.Length(t.course)*(over.size+l.joint) {
			return across, upward, false
		}
		if d := t.box.Min.X - first.box.Min.X; !slices.Contains(along.shifts, d) {
			along.shifts = append(along.shifts, d)
		}
	}
	if l.u != (rooms.Point{X: along.size + l.joint}) || l.v != (rooms.Point{Y: rooms.Length(l.courses) * (over.size + l.joint)}) {
		return across, upward, false
	}
	across, upward = along, over
	switch l.turn.degrees { // a turned row runs the other way, or upwards
	case 90:
		across, upward = over, along
	case 180:
		across.shifts = negated(across.shifts)
	case 270:
		across, upward = over, along
		upward.shifts = negated(upward.shifts)
	}
	floor := absoluteFloor(z.tiles[0])
	across.floor, upward.floor = floor, floor
	return across, upward, true
}

func negated(list []rooms.Length) []rooms.Length {
	out := make([]rooms.Length, len(list))
	for i, l := range list {
		out[i] = -l
	}
	return out
}

func (t latticeTile) isBox() bool {
	return len(t.ring) == 4 && t.whole.Cmp(rooms.Rect(t.box.Min.X, t.box.Min.Y, t.box.Max.X, t.box.Max.Y).Area()) == 0
}

// leastStrip is the width below which a layout is planned anew (common
// practice: 6 to 8 mm), as is anything thinner than the tile is thick.
const leastStrip = 8 * rooms.Millimetre

func absoluteFloor(t Tile) rooms.Length { return max(leastStrip, t.Thickness) }
