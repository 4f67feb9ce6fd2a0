package takeoff

import (
	"math"
	"slices"

	"potlife/rooms"
)

// depthTable tells how deep a tile must reach over a line of one direction to
// count as something: the least depths at which what is left can be set, is as
// wide as the floor, a third, half, and all of it. The strips between are for
// areas.
type depthTable struct {
	narrow, floor, third, half, whole float64
	strips                            []depthStrip
	fuzz                              float64 // how far rounding may be off
}

// depthStrip is a part of a tile between two depths; its length changes evenly.
type depthStrip struct{ from, to, area, long0, slope float64 }

// depthTable makes the table for a member.
func (z *zoneLayer) depthTable(e *coverEdge, member int) depthTable {
	ring := z.lay.turn.ring(z.lay.tiles[member].ring)
	deepest, least := math.Inf(-1), math.Inf(1)
	for _, p := range ring {
		d := e.at(p.X, p.Y)
		deepest, least = max(deepest, d), min(least, d)
	}
	extent := deepest - least
	moved, left := make(rooms.Ring, len(ring)), make(rooms.Ring, 0, len(ring)+1)
	piece := func(d float64) rooms.Ring { // what is left at a depth, until the next
		by := d - (deepest - e.c)
		x, y := round(float64(e.nx*by)), round(float64(e.ny*by))
		for i, p := range ring {
			moved[i] = rooms.Point{X: p.X + x, Y: p.Y + y}
		}
		left = keepLeftIn(left[:0], moved, e.a, e.b)
		return left
	}
	first := func(from float64, good func(rooms.Ring) bool) float64 {
		low, high := int64(from), int64(extent)+1 // good from high on
		for low < high {
			mid := low + (high-low)/2
			if good(piece(float64(mid))) {
				high = mid
			} else {
				low = mid + 1
			}
		}
		return float64(low)
	}
	var t depthTable
	if !e.upright() && !e.level() {
		t.fuzz = 3
	}
	t.narrow = first(0, func(r rooms.Ring) bool { return len(r) >= 3 && !narrow(r) })
	under := func(class int) func(rooms.Ring) bool {
		return func(r rooms.Ring) bool { return z.measurePart(member, r).class() < class }
	}
	t.floor = first(t.narrow, under(3))
	t.third = first(t.floor, under(2))
	t.half = first(t.third, under(1))
	t.whole = extent - wholeWithin
	if e.side.bare { // whatever is cut off shows
		t.whole = first(t.half, func(r rooms.Ring) bool { return z.fill.isWhole(partOf(r), &z.lay.tiles[member], moved) })
		t.half = t.whole
	}
	t.strips = depthStrips(ring, e, deepest)
	return t
}

// partOf is a ring as a part of a tile.
func partOf(r rooms.Ring) part {
	q := part{ring: r}
	for _, p := range r {
		q.outer = append(q.outer, clipVertex{p: p})
	}
	return q
}

// depthStrips cuts a ring at the depths of its corners.
func depthStrips(ring rooms.Ring, e *coverEdge, deepest float64) []depthStrip {
	type place struct{ depth, along float64 }
	var at []place
	var cuts []float64
	for _, p := range ring {
		q := place{deepest - e.at(p.X, p.Y), float64(e.ny*float64(p.X)) - float64(e.nx*float64(p.Y))}
		at = append(at, q)
		cuts = append(cuts, q.depth)
	}
	chord := func(d float64) float64 {
		low, high := math.Inf(1), math.Inf(-1)
		for i, p := range at {
			q := at[(i+1)%len(at)]
			if (p.depth < d) != (q.depth < d) {
				x := p.along + float64((q.along-p.along)*((d-p.depth)/(q.depth-p.depth)))
				low, high = min(low, x), max(high, x)
			}
		}
		return high - low
	}
	slices.Sort(cuts)
	var out []depthStrip
	sum := 0.0
	for i, from := range cuts[:len(cuts)-1] {
		to := cuts[i+1]
		if to-from < 1 {
			continue
		}
		p, q := chord(from+(to-from)/4), chord(from+(to-from)*3/4)
		slope := (q - p) / ((to - from) / 2)
		s := depthStrip{from: from, to: to, area: sum, long0: p - float64(slope*(to-from)/4), slope: slope}
		out = append(out, s)
		sum = s.areaTo(to)
	}
	return out
}

// areaTo is the area up to a depth inside the strip, in square units.
func (s *depthStrip) areaTo(d float64) float64 {
	x := d - s.from
	return s.area + float64(x*(s.long0+float64(s.slope*x/2)))
}

// area is what of the tile lies within a depth, in mm².
func (t *depthTable) area(d float64) float64 {
	for i := range t.strips {
		s := &t.strips[i]
		if d <= s.from {
			return s.area / unitsPerMM2
		}
		if d <= s.to || i == len(t.strips)-1 {
			return s.areaTo(min(d, s.to)) / unitsPerMM2
		}
	}
	return 0
}

const unitsPerMM2 = 8000 * 8000

// class is what a piece of a depth counts for (see partMeasure); what cannot be
// set and what is whole count for nothing.
func (t *depthTable) class(d float64) int {
	switch {
	case d < t.narrow || d >= t.whole:
		return 0
	case d < t.floor:
		return 3
	case d < t.third:
		return 2
	case d < t.half:
		return 1
	}
	return 0
}

// classes are the least and the most that pieces of depths low … high count for.
func (t *depthTable) classes(low, high float64) (least, most int) {
	low, high = low-t.fuzz, high+t.fuzz
	if low < t.narrow || high >= t.whole {
		least = 0
	} else {
		least = t.class(high)
	}
	if high >= t.narrow {
		most = t.class(max(low, t.narrow))
	}
	return least, max(least, most)
}

// limits are the depths at which the class changes.
func (t *depthTable) limits() [5]float64 {
	return [5]float64{t.narrow, t.floor, t.third, t.half, t.whole}
}
