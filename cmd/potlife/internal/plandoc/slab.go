package plandoc

import (
	"math"
	"slices"
)

// The re-check computes areas by cutting the plane into horizontal slabs at
// every vertex and crossing: within a slab no edge starts, ends or crosses
// another, so every region is a row of trapezoids. It shares nothing with the
// layout engine, which works on whole numbers and half planes.

// xy is a place in mm.
type xy struct{ x, y float64 }

// region is a set of rings taken by the even-odd rule.
type region [][]xy

func regionOf(ps ...Polygon) region {
	var r region
	ring := func(in []Point) {
		out := make([]xy, len(in))
		for i, p := range in {
			out[i] = xy{float64(p[0]), float64(p[1])}
		}
		r = append(r, out)
	}
	for _, p := range ps {
		ring(p.Outer)
		for _, h := range p.Holes {
			ring(h)
		}
	}
	return r
}

// measuring lends its room to one region after the other.
type measuring struct {
	rings  region
	points []xy
}

// region is regionOf(p); it holds until the next one is asked for.
func (m *measuring) region(p Polygon) region {
	m.rings, m.points = m.rings[:0], m.points[:0]
	for i := -1; i < len(p.Holes); i++ {
		ring := p.Outer
		if i >= 0 {
			ring = p.Holes[i]
		}
		from := len(m.points)
		for _, q := range ring {
			m.points = append(m.points, xy{float64(q[0]), float64(q[1])})
		}
		m.rings = append(m.rings, m.points[from:len(m.points):len(m.points)])
	}
	return m.rings
}

// area is the area of the rings, holes counted off by their direction-free
// even-odd rule; it is meant for polygons whose holes lie inside them.
func (r region) area() float64 {
	sum := 0.0
	for i, ring := range r {
		a := math.Abs(ringArea(ring))
		if i > 0 && insideRings(ring[0], r[:i]) {
			a = -a
		}
		sum += a
	}
	return sum
}

func ringArea(ring []xy) float64 {
	sum := 0.0
	for i, p := range ring {
		q := ring[(i+1)%len(ring)]
		sum += float64(p.x*q.y) - float64(q.x*p.y)
	}
	return sum / 2
}

// insideRings reports whether p lies inside the rings by the even-odd rule.
func insideRings(p xy, rings [][]xy) bool {
	in := false
	for _, ring := range rings {
		for i, a := range ring {
			b := ring[(i+1)%len(ring)]
			if (a.y > p.y) != (b.y > p.y) && p.x < a.x+(p.y-a.y)*(b.x-a.x)/(b.y-a.y) {
				in = !in
			}
		}
	}
	return in
}

func (r region) box() (lo, hi xy) {
	lo, hi = xy{math.Inf(1), math.Inf(1)}, xy{math.Inf(-1), math.Inf(-1)}
	for _, ring := range r {
		for _, p := range ring {
			lo.x, lo.y = min(lo.x, p.x), min(lo.y, p.y)
			hi.x, hi.y = max(hi.x, p.x), max(hi.y, p.y)
		}
	}
	return lo, hi
}

// side is a non-horizontal edge of one of the regions.
type side struct {
	lo, hi xy // lo.y < hi.y
	of     int
}

func (s side) at(y float64) float64 {
	return s.lo.x + (y-s.lo.y)*(s.hi.x-s.lo.x)/(s.hi.y-s.lo.y)
}

// trapezoid is a cell of a slab between two edges.
type trapezoid struct{ y0, y1, left0, left1, right0, right1 float64 }

func (t trapezoid) area() float64 {
	return (t.y1 - t.y0) * ((t.right0 - t.left0) + (t.right1 - t.left1)) / 2
}

// samples are nine places inside the trapezoid.
func (t trapezoid) samples() []xy {
	out := make([]xy, 0, 9)
	for _, v := range []float64{0.1, 0.5, 0.9} {
		left, right := t.left0+v*(t.left1-t.left0), t.right0+v*(t.right1-t.right0)
		for _, u := range []float64{0.1, 0.5, 0.9} {
			out = append(out, xy{left + u*(right-left), t.y0 + v*(t.y1-t.y0)})
		}
	}
	return out
}

// cells returns the trapezoids of the points of the first region for which want
// holds; want is told in which regions a point lies.
func cells(want func(in []bool) bool, regions ...region) []trapezoid {
	sides, levels := collectSides(regions)
	var out []trapezoid
	in := make([]bool, len(regions))
	active := make([]side, 0, len(sides))
	next := 0 // of sides, by where they begin
	for k := 0; k+1 < len(levels); k++ {
		y0, y1 := levels[k], levels[k+1]
		if y1-y0 < 1e-9 {
			continue
		}
		mid := (y0 + y1) / 2
		for ; next < len(sides) && sides[next].lo.y < mid; next++ {
			active = append(active, sides[next])
		}
		active = slices.DeleteFunc(active, func(s side) bool { return s.hi.y <= mid })
		slices.SortFunc(active, func(a, b side) int {
			return cmpFloat(a.at(mid), b.at(mid))
		})
		clear(in)
		for i, s := range active {
			in[s.of] = !in[s.of]
			if i+1 < len(active) && in[0] && want(in) {
				n := active[i+1]
				out = append(out, trapezoid{y0, y1, s.at(y0), s.at(y1), n.at(y0), n.at(y1)})
			}
		}
	}
	return out
}

func cmpFloat(a, b float64) int {
	switch {
	case a < b:
		return -1
	case a > b:
		return 1
	}
	return 0
}

// collectSides returns the sloping and upright edges by where they begin, and every
// level at which an edge starts, ends or crosses another. Edges above, below or right
// of the first region are left out: no cell of it ends at them.
func collectSides(regions []region) ([]side, []float64) {
	n := 0
	for _, r := range regions {
		for _, ring := range r {
			n += len(ring)
		}
	}
	sides, levels := make([]side, 0, n), make([]float64, 0, n)
	lo, hi := regions[0].box()
	for k, r := range regions {
		for _, ring := range r {
			for i, a := range ring {
				b := ring[(i+1)%len(ring)]
				if a.y >= lo.y && a.y <= hi.y {
					levels = append(levels, a.y)
				}
				if max(a.y, b.y) <= lo.y || min(a.y, b.y) >= hi.y || min(a.x, b.x) > hi.x {
					continue
				}
				if a.y < b.y {
					sides = append(sides, side{a, b, k})
				} else if a.y > b.y {
					sides = append(sides, side{b, a, k})
				}
			}
		}
	}
	slices.SortFunc(sides, func(a, b side) int { return cmpFloat(a.lo.y, b.lo.y) })
	for i, s := range sides {
		for _, o := range sides[i+1:] {
			if o.lo.y >= s.hi.y {
				break // and so do all that follow
			}
			if y, ok := crossing(s, o); ok {
				levels = append(levels, y)
			}
		}
	}
	slices.Sort(levels)
	return sides, slices.Compact(levels)
}

// crossing returns the height at which two edges cross inside both.
func crossing(s, o side) (float64, bool) {
	lo, hi := max(s.lo.y, o.lo.y), min(s.hi.y, o.hi.y)
	if lo >= hi {
		return 0, false
	}
	d0, d1 := s.at(lo)-o.at(lo), s.at(hi)-o.at(hi)
	if d0 == 0 || d1 == 0 || (d0 < 0) == (d1 < 0) {
		return 0, false
	}
	return lo + (hi-lo)*d0/(d0-d1), true
}

func total(ts []trapezoid) float64 {
	sum := 0.0
	for _, t := range ts {
		sum += t.area()
	}
	return sum
}

// outside is the area of a that lies outside b, overlap that of both.
func outside(a, b region) float64 {
	return total(cells(func(in []bool) bool { return !in[1] }, a, b))
}

func overlap(a, b region) float64 {
	return total(cells(func(in []bool) bool { return in[1] }, a, b))
}

// distance is the shortest way between the edges of two regions.
func distance(a, b region) float64 {
	best := math.Inf(1)
	for _, r := range a {
		for i := range r {
			for _, s := range b {
				for j := range s {
					best = min(best, segmentDistance(r[i], r[(i+1)%len(r)], s[j], s[(j+1)%len(s)]))
				}
			}
		}
	}
	return best
}

func segmentDistance(a, b, c, d xy) float64 {
	if cross(a, b, c)*cross(a, b, d) < 0 && cross(c, d, a)*cross(c, d, b) < 0 {
		return 0
	}
	return min(pointToSegment(a, c, d), pointToSegment(b, c, d), pointToSegment(c, a, b), pointToSegment(d, a, b))
}

func cross(a, b, c xy) float64 {
	return float64((b.x-a.x)*(c.y-a.y)) - float64((b.y-a.y)*(c.x-a.x))
}

func pointToSegment(p, a, b xy) float64 {
	dx, dy := b.x-a.x, b.y-a.y
	l := float64(dx*dx) + float64(dy*dy)
	t := 0.0
	if l > 0 {
		t = (float64((p.x-a.x)*dx) + float64((p.y-a.y)*dy)) / l
		t = min(1, max(0, t))
	}
	return math.Hypot(p.x-a.x-t*dx, p.y-a.y-t*dy)
}
