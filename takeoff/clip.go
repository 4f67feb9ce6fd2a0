package takeoff

import (
	"cmp"
	"slices"

	"potlife/rooms"
)

// Clipping keeps what makes each edge: a vertex carries the tag of the edge
// that leaves it. Tags from 0 up are indices into the cover's edges, tags from
// -1 down are sides of the tile: -1 its side 0, -2 its side 1 …
type clipVertex struct {
	p   rooms.Point
	tag int32
}

type clipRing []clipVertex

// sideTag is the tag of a tile's side.
func sideTag(side int) int32 { return int32(-1 - side) }

// coverRings are a cover's rings with its edges numbered; edges lists them.
func coverRings(cover []rooms.Polygon) (rings []clipRing, edges [][2]rooms.Point) {
	for _, p := range cover {
		for _, r := range p.Rings() {
			ring := make(clipRing, len(r))
			for i, a := range r {
				ring[i] = clipVertex{a, int32(len(edges))}
				edges = append(edges, [2]rooms.Point{a, r[(i+1)%len(r)]})
			}
			rings = append(rings, ring)
		}
	}
	return rings, edges
}

// part is one connected piece of a tile inside the cover.
type part struct {
	outer clipRing
	holes []clipRing
	ring  rooms.Ring // outer without its tags
}

// area is twice its area, exact.
func (q *part) area() rooms.Area {
	sum := q.ring.Area()
	for _, h := range q.holes {
		sum = sum.Add(h.plain().Area())
	}
	return sum
}

// polygon drops the tags.
func (q part) polygon() rooms.Polygon {
	p := rooms.Polygon{Outer: q.outer.plain()}
	for _, h := range q.holes {
		p.Holes = append(p.Holes, h.plain())
	}
	return p
}

// cloneRings copies rings into room of their own.
func cloneRings(rings []clipRing) []clipRing {
	n := 0
	for _, r := range rings {
		n += len(r)
	}
	out, room := make([]clipRing, 0, len(rings)), make([]clipVertex, 0, n)
	for _, r := range rings {
		from := len(room)
		room = append(room, r...)
		out = append(out, room[from:len(room):len(room)])
	}
	return out
}

func (r clipRing) plain() rooms.Ring { return r.plainIn(make(rooms.Ring, len(r))) }

// plainIn is plain in room as long as r.
func (r clipRing) plainIn(out rooms.Ring) rooms.Ring {
	for i, v := range r {
		out[i] = v.p
	}
	return out
}

// clipper clips one cover by many tiles and keeps its buffers between them.
type clipper struct {
	events []clipEvent
	chains []clipRing
	signs  []int8
	next   []int
	lists  [2][]clipRing // what is left after every other side
	room   []clipVertex  // of the rings in lists
	built  []part
	made   partRoom
}

// partRoom is room for the parts that a clipper makes.
type partRoom struct {
	parts  slab[part]
	tagged slab[clipVertex]
	points slab[rooms.Point]
}

// emptied is the same room with nothing in it.
func (r partRoom) emptied() partRoom {
	r.parts.empty()
	r.tagged.empty()
	r.points.empty()
	return r
}

// clipEvent is where the border crosses the clipping line: a chain of kept
// vertices ends (leaves) or begins there.
type clipEvent struct {
	at     rooms.Point
	along  int64
	chain  int
	leaves bool
}

// tile returns the parts of a convex tile inside the cover given by rings. ok
// is false where rounding left no clean answer; then the caller takes the
// general way.
func (c *clipper) tile(rings []clipRing, tile rooms.Ring) (parts []part, ok bool) {
	c.room = c.room[:0]
	for i, a := range tile {
		list := &c.lists[i%2]
		*list, ok = c.half((*list)[:0], rings, a, tile[(i+1)%len(tile)], sideTag(i))
		if rings = *list; !ok {
			return nil, false
		}
		if len(rings) == 0 {
			return nil, true
		}
	}
	return c.assemble(rings)
}

// cropRoom is room for what crop returns.
type cropRoom struct {
	list []clipRing
	room []clipVertex
}

// crop is half by itself: what it returns lasts until the room is used again.
func (c *clipper) crop(x *cropRoom, rings []clipRing, a, b rooms.Point, tag int32) (out []clipRing, ok bool) {
	room := c.room
	c.room = x.room[:0]
	x.list, ok = c.half(x.list[:0], rings, a, b, tag)
	c.room, x.room = room, c.room
	return x.list, ok
}

// half appends to out what lies strictly left of the line a→b, closed along the
// line. Vertices on the line count as beyond it, so that an edge along the line
// becomes the tile's own.
func (c *clipper) half(out, rings []clipRing, a, b rooms.Point, tag int32) ([]clipRing, bool) {
	c.events, c.chains = c.events[:0], c.chains[:0]
	for _, r := range rings {
		left, other := c.sides(r, a, b)
		switch {
		case left == 0:
		case other == 0:
			out = append(out, r)
		default:
			c.split(r, a, b, tag)
		}
	}
	return c.close(out, a, b)
}

// sides notes on which side of the line each vertex lies.
func (c *clipper) sides(r clipRing, a, b rooms.Point) (left, other int) {
	c.signs = c.signs[:0]
	for _, v := range r {
		s := int8(rooms.Side(a, b, v.p))
		c.signs = append(c.signs, s)
		if s > 0 {
			left++
		} else {
			other++
		}
	}
	return left, other
}

// split cuts a ring into the chains that lie left of the line.
func (c *clipper) split(r clipRing, a, b rooms.Point, tag int32) {
	n := len(r)
	start, from := 0, 0
	for !(c.signs[start] <= 0 && c.signs[(start+1)%n] > 0) {
		start++
	}
	for k := 0; k < n; k++ {
		i, j := (start+k)%n, (start+k+1)%n
		switch in, next := c.signs[i] > 0, c.signs[j] > 0; {
		case !in && next:
			p := r[i].p
			if c.signs[i] < 0 {
				p = rooms.Crossing(r[i].p, r[j].p, a, b)
			}
			from = len(c.room)
			c.room = append(c.room, clipVertex{p, r[i].tag})
			c.chains = append(c.chains, nil)
			c.mark(p, a, b, false)
		case in && !next:
			p := r[j].p
			if c.signs[j] < 0 {
				p = rooms.Crossing(r[i].p, r[j].p, a, b)
			}
			c.room = append(c.room, r[i], clipVertex{p, tag})
			c.chains[len(c.chains)-1] = c.room[from:len(c.room):len(c.room)]
			c.mark(p, a, b, true)
		case in:
			c.room = append(c.room, r[i])
		}
	}
}

// mark notes an event of the newest chain.
func (c *clipper) mark(p, a, b rooms.Point, leaves bool) {
	at := int64(b.X-a.X)*int64(p.X-a.X) + int64(b.Y-a.Y)*int64(p.Y-a.Y)
	c.events = append(c.events, clipEvent{p, at, len(c.chains) - 1, leaves})
}

// close joins the chains along the line: where one leaves, the border follows
// the line to where the next begins.
func (c *clipper) close(out []clipRing, a, b rooms.Point) ([]clipRing, bool) {
	if len(c.events) == 0 {
		return out, true
	}
	slices.SortStableFunc(c.events, func(e, f clipEvent) int { return cmp.Compare(e.along, f.along) })
	near := 3 * int64(rooms.Distance(a, b)) // three units along the line
	next := slices.Grow(c.next[:0], len(c.chains))[:len(c.chains)]
	c.next = next
	for k := 0; k < len(c.events); k += 2 {
		if !c.order(k, true, near) || !c.order(k+1, false, near) {
			return nil, false
		}
		next[c.events[k].chain] = c.events[k+1].chain
	}
	for first := range c.chains {
		if next[first] < 0 {
			continue
		}
		if next[first] == first { // one chain that closes on itself
			out, next[first] = append(out, c.chains[first]), -1
			continue
		}
		from := len(c.room)
		for i := first; next[i] >= 0; {
			c.room = append(c.room, c.chains[i]...)
			i, next[i] = next[i], -1
		}
		out = append(out, c.room[from:len(c.room):len(c.room)])
	}
	return out, true
}

// order brings an event of the wanted kind to place k, from as near as rounding
// may have put it.
func (c *clipper) order(k int, leaves bool, near int64) bool {
	for j := k; j < len(c.events) && c.events[j].along-c.events[k].along <= near; j++ {
		if c.events[j].leaves == leaves {
			e := c.events[j]
			copy(c.events[k+1:j+1], c.events[k:j])
			c.events[k] = e
			return true
		}
	}
	return false
}

// assemble sorts rings into parts: each outer ring with its holes.
func (c *clipper) assemble(rings []clipRing) ([]part, bool) {
	parts := c.built[:0]
	var holes []clipRing
	var one [1]clipRing
	for _, r := range rings {
		one[0] = r
		list := one[:]
		if r.repeats() {
			list = splitTagged(r)
		}
		for _, s := range list {
			s = c.tidy(s)
			if len(s) < 3 {
				continue
			}
			plain := s.plainIn(c.made.points.take(len(s)))
			switch plain.Area().Sign() {
			case 1:
				if crossesItself(plain) {
					return nil, false
				}
				parts = append(parts, part{outer: s, ring: plain})
			case -1:
				if crossesItself(plain) {
					return nil, false
				}
				holes = append(holes, s)
			}
		}
	}
	for _, h := range holes {
		owner := -1
		for i := range parts {
			if insideRing(h, parts[i].ring) {
				owner = i
				break
			}
		}
		if owner < 0 {
			return nil, false
		}
		parts[owner].holes = append(parts[owner].holes, h)
	}
	c.built = parts
	if len(parts) == 0 {
		return nil, true
	}
	out := c.made.parts.take(len(parts))
	copy(out, parts)
	return out, true
}

// insideRing reports whether a hole lies in an outer ring.
func insideRing(h clipRing, outer rooms.Ring) bool {
	for _, v := range h {
		if at := outer.Place(v.p); at != rooms.OnBorder {
			return at == rooms.Inside
		}
	}
	return false
}

// crossesItself is a plain check of every pair of edges; parts are small.
func crossesItself(r rooms.Ring) bool {
	if len(r) <= 4 && r.Convex() {
		return false
	}
	return r.CrossesItself()
}

// repeats reports whether the ring passes a point more than once.
func (r clipRing) repeats() bool {
	for i := range r {
		for k := range r[:i] {
			if r[i].p == r[k].p {
				return true
			}
		}
	}
	return false
}

// splitTagged cuts a ring at points it passes more than once.
func splitTagged(r clipRing) []clipRing {
	var out []clipRing
	var path clipRing
	for _, v := range r {
		for k := range path {
			if path[k].p == v.p {
				out = append(out, slices.Clone(path[k:]))
				path = path[:k]
				break
			}
		}
		path = append(path, v)
	}
	return append(out, path)
}

// tidy drops repeated points, needles, and points in the middle of a straight
// line whose two halves have the same maker.
func (c *clipper) tidy(r clipRing) clipRing {
	out := clipRing(c.made.tagged.take(len(r)))
	copy(out, r)
	for changed := true; changed && len(out) >= 3; {
		changed = false
		for i := 0; i < len(out) && len(out) >= 3; i++ {
			n := len(out)
			a, b, c := out[(i+n-1)%n], out[i], out[(i+1)%n]
			switch {
			case b.p == c.p:
				// the edge b–c has no length; what leaves c is what leaves here
			case needle(a.p, b.p, c.p):
				// what is left of the two edges is the longer one's
				if rooms.Distance(a.p, b.p) < rooms.Distance(b.p, c.p) {
					out[(i+n-1)%n].tag = b.tag
				}
			case a.tag == b.tag && rooms.Side(a.p, b.p, c.p) == 0:
			default:
				continue
			}
			out = slices.Delete(out, i, i+1)
			changed = true
			i--
		}
	}
	return out
}

// needleWithin is how thin a needle is that only rounding can have made.
const needleWithin = 8

// needle reports whether the line runs from a to b and back on itself to c, as
// near as rounding tells.
func needle(a, b, c rooms.Point) bool {
	ab, bc := rooms.Distance(a, b), rooms.Distance(b, c)
	if ab == 0 || bc == 0 {
		return true
	}
	if along(b, a, c) <= 0 {
		return false
	}
	if ab >= bc {
		return absLen(leftOf(a, b, c)) <= needleWithin
	}
	return absLen(leftOf(b, c, a)) <= needleWithin
}
