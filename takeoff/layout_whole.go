package takeoff

import (
	"potlife/rooms"
)

// wholeWithin reports whether a tile of which the border leaves one part may stay
// whole: the outline and the openings take no more off its sides anywhere than the
// gap there may shrink, and nothing there waits for a measure. Where a floor dips
// by less than that, the bottom row is whole tiles over a gap that varies.
func (z *zoneLayer) wholeWithin(tile rooms.Ring, parts []part) bool {
	if len(parts) != 1 || len(parts[0].holes) > 0 {
		return false
	}
	if whole := tile.Area(); parts[0].area().Add(parts[0].area()).Cmp(whole) < 0 {
		return false // what is left lies within the gap's play
	}
	r, cut := parts[0].outer, false
	for i, v := range r {
		if v.tag < 0 {
			continue
		}
		k := z.made[v.tag]
		if k < 0 {
			return false
		}
		if most := z.ground.lines[k].gives(); most <= 0 || !alongASide(tile, v.p, r[(i+1)%len(r)].p, most) {
			return false
		}
		cut = true
	}
	return cut && z.clearOfWalls(tile)
}

// beyondWalls is how much of a tile, in mm², may lie beyond the least gaps: what
// rounding to 1/8 µm makes along its sides.
const beyondWalls = 0.1

// clearOfWalls reports whether a tile lies within the outline less the least gaps.
// Where two sides meet, one whose gap may shrink can hide that the tile reaches over
// one whose gap may not.
func (z *zoneLayer) clearOfWalls(tile rooms.Ring) bool {
	over, err := rooms.Subtract([]rooms.Polygon{{Outer: tile}}, z.ground.least)
	if err != nil {
		return false
	}
	mm2 := 0.0
	for _, p := range over {
		mm2 += p.AreaMM2()
	}
	return mm2 <= beyondWalls
}

// gives is by how much a border's gap may shrink for the sake of whole tiles; not
// at all where it waits for a measure or another zone begins. A fold may: the
// tiles beyond it lie in the same lattice, a joint away.
func (x *border) gives() rooms.Length {
	if x.kind == borderZone || x.wait != "" {
		return 0
	}
	return x.more
}

// alongASide reports whether p and q lie no deeper than reach inside one side of a
// convex tile.
func alongASide(tile rooms.Ring, p, q rooms.Point, reach rooms.Length) bool {
	for k, a := range tile {
		b := tile[(k+1)%len(tile)]
		if leftOf(a, b, p) <= reach && leftOf(a, b, q) <= reach {
			return true
		}
	}
	return false
}

// atSide is how far out whole tiles may begin from a side, of which the cover's
// edges across the axis are given: flush with what stands out most, as far as
// the gap at what lies back most may grow. It is the end of the cover where there
// is no such edge. Low is true of a left or lower side.
func atSide(edges []axisEdge, end rooms.Length, low bool) rooms.Length {
	sign := rooms.Length(1)
	if !low {
		sign = -1
	}
	back := -1
	for i, e := range edges {
		if e.near == low && (back < 0 || sign*e.at < sign*edges[back].at) {
			back = i
		}
	}
	if back < 0 {
		return end
	}
	at, limit := sign*edges[back].at, sign*edges[back].at+edges[back].slack
	for _, e := range edges {
		if e.near == low && e.name == edges[back].name {
			at = max(at, min(sign*e.at, limit))
		}
	}
	return sign * at
}
