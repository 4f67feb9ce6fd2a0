package rooms

import (
	"math/bits"
	"slices"
)

// snap cuts spans where they meet in one step that ends: every end of a span and
// every place where two cross, rounded to the unit, is a hot point, and each span goes
// by all hot points whose unit square it passes through (snap rounding: Hobby 1999,
// Guibas and Marimont 1998, from memory). Spans that are bent so do not cross anew.
// Cutting again and again, as settle does first, keeps bundles of nearly parallel
// spans together, but may go on for ever where many lie within a unit.
func snap(spans []span) []span {
	spans = merge(spans)
	hot := hotPoints(spans)
	var cuts []cut
	for i, s := range spans {
		low, high := min(s.a.Y, s.b.Y), max(s.a.Y, s.b.Y)
		k, _ := slices.BinarySearchFunc(hot, s.a.X, func(p Point, x Length) int { return comparePoints(p, Point{x, -1 << 62}) })
		for ; k < len(hot) && hot[k].X <= s.b.X; k++ {
			if p := hot[k]; low <= p.Y && p.Y <= high && p != s.a && p != s.b && throughUnit(s, p) {
				cuts = append(cuts, cut{i, p})
			}
		}
	}
	return merge(cutAll(spans, cuts))
}

// hotPoints are the ends of spans and where they cross, in order.
func hotPoints(spans []span) []Point {
	var hot []Point
	active := make([]span, 0, 64)
	for _, t := range spans {
		hot = append(hot, t.a, t.b)
		keep := active[:0]
		for _, s := range active {
			if s.b.X < t.a.X {
				continue
			}
			keep = append(keep, s)
			if cross2(s, t) {
				hot = append(hot, unitOf(s, t))
			}
		}
		active = append(keep, t)
	}
	slices.SortFunc(hot, comparePoints)
	return slices.Compact(hot)
}

// unitOf is the point in whose unit square two spans cross.
func unitOf(s, t span) Point {
	na, nb := cross(t.a, t.b, s.a), cross(t.a, t.b, s.b)
	n, total := uint64(max(na, -na)), uint64(max(na, -na))+uint64(max(nb, -nb))
	return Point{s.a.X + partUp(s.b.X-s.a.X, n, total), s.a.Y + partUp(s.b.Y-s.a.Y, n, total)}
}

// partUp is l·n/d to the nearest unit, halves up: into the unit square that has them.
func partUp(l Length, n, d uint64) Length {
	half := d / 2
	if l < 0 {
		half = (d - 1) / 2
	}
	hi, lo := bits.Mul64(uint64(max(l, -l)), n)
	lo, carry := bits.Add64(lo, half, 0)
	q, _ := bits.Div64(hi+carry, lo, d)
	if l < 0 {
		return -Length(q)
	}
	return Length(q)
}

// cross2 reports whether two spans cross between their ends.
func cross2(s, t span) bool {
	return max(s.a.Y, s.b.Y) >= min(t.a.Y, t.b.Y) && min(s.a.Y, s.b.Y) <= max(t.a.Y, t.b.Y) &&
		Side(t.a, t.b, s.a)*Side(t.a, t.b, s.b) < 0 && Side(s.a, s.b, t.a)*Side(s.a, s.b, t.b) < 0
}

// throughUnit reports whether a span, in whose box p lies, passes through the unit
// square about p, its left and lower side included.
func throughUnit(s span, p Point) bool {
	low := sideOfTwice(s.a, s.b, Point{2*p.X - 1, 2*p.Y - 1})
	if low == 0 {
		return true
	}
	for _, q := range [3]Point{{2*p.X + 1, 2*p.Y - 1}, {2*p.X - 1, 2*p.Y + 1}, {2*p.X + 1, 2*p.Y + 1}} {
		if sideOfTwice(s.a, s.b, q) == -low {
			return true
		}
	}
	return false
}
