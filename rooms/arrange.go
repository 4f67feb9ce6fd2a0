package rooms

import (
	"cmp"
	"errors"
	"slices"
)

// Boolean operations work on an arrangement: all edges of both operands are
// cut where they meet, the meeting points are rounded to the unit, and that is
// repeated until no two pieces meet except at their ends. Each piece then has
// one number of layers of each operand on its left and one on its right, and
// the result's border is made of the pieces whose two sides differ.

// span is a piece of edge from a to b, a before b in order of x, then y. by
// counts how often each operand's border runs along it (from a to b counts +1).
type span struct {
	a, b Point
	by   [2]int
}

func before(a, b Point) bool { return a.X < b.X || a.X == b.X && a.Y < b.Y }

func comparePoints(a, b Point) int {
	switch {
	case before(a, b):
		return -1
	case a == b:
		return 0
	}
	return 1
}

// errUnstable is returned when rounding keeps making new crossings even of spans that
// are snapped, which was never seen; it is an error and not a loop without end.
var errUnstable = errors.New("the outlines meet in too many points closer than 1/8 µm")

// appendRing adds a ring's edges to spans for operand which.
func appendRing(spans []span, r Ring, which int) []span {
	for i, a := range r {
		b := r[(i+1)%len(r)]
		if a == b {
			continue
		}
		s := span{a: a, b: b}
		s.by[which] = 1
		if before(b, a) {
			s.a, s.b = b, a
			s.by[which] = -1
		}
		spans = append(spans, s)
	}
	return spans
}

// merge sorts spans and adds up those that are the same; what cancels goes.
func merge(spans []span) []span {
	slices.SortFunc(spans, func(s, t span) int {
		if c := comparePoints(s.a, t.a); c != 0 {
			return c
		}
		return comparePoints(s.b, t.b)
	})
	out := spans[:0]
	for _, s := range spans {
		if n := len(out); n > 0 && out[n-1].a == s.a && out[n-1].b == s.b {
			out[n-1].by[0] += s.by[0]
			out[n-1].by[1] += s.by[1]
			continue
		}
		out = append(out, s)
	}
	return slices.DeleteFunc(out, func(s span) bool { return s.by == [2]int{} })
}

// settleRounds is how often spans are cut anew before they are snapped at once: most
// are done after two or three rounds.
const settleRounds = 12

// settle cuts spans at their meeting points until none are left.
func settle(given []span) ([]span, error) {
	spans := merge(slices.Clone(given))
	for range settleRounds {
		cuts := meetings(spans)
		if len(cuts) == 0 {
			return spans, nil
		}
		spans = merge(cutAll(spans, cuts))
	}
	for range settleRounds { // what rounds to another unit than where it crosses
		given = snap(given)
		if !slices.ContainsFunc(given, crossesAny(given)) {
			return given, nil
		}
	}
	return nil, errUnstable
}

// crossesAny reports of a span whether any other crosses it.
func crossesAny(spans []span) func(span) bool {
	return func(s span) bool {
		return slices.ContainsFunc(spans, func(t span) bool { return cross2(s, t) })
	}
}

// cut is a point at which span i is to be cut.
type cut struct {
	i  int
	at Point
}

// meetings finds the points at which spans must be cut. spans are sorted by
// their left ends.
func meetings(spans []span) []cut {
	var cuts []cut
	add := func(i int, p Point) {
		if p != spans[i].a && p != spans[i].b {
			cuts = append(cuts, cut{i, p})
		}
	}
	active := make([]int, 0, 64)
	for j, t := range spans {
		low, high := min(t.a.Y, t.b.Y), max(t.a.Y, t.b.Y)
		keep := active[:0]
		for _, i := range active {
			s := spans[i]
			if s.b.X+1 < t.a.X {
				continue
			}
			keep = append(keep, i)
			if max(s.a.Y, s.b.Y)+1 < low || high < min(s.a.Y, s.b.Y)-1 {
				continue
			}
			meetPair(s, t, i, j, add)
		}
		active = append(keep, j)
	}
	return cuts
}

// meetPair adds the cuts that two spans make in each other: at ends of one
// that lie on the other, as near as rounding tells, else where they cross.
// Taking near for on keeps bundles of almost parallel spans from crossing
// again and again a unit further along.
func meetPair(s, t span, i, j int, add func(int, Point)) {
	touched := false
	for _, p := range [2]Point{s.a, s.b} {
		if touches(t, p) {
			add(j, p)
			touched = true
		}
	}
	for _, p := range [2]Point{t.a, t.b} {
		if touches(s, p) {
			add(i, p)
			touched = true
		}
	}
	if touched || Side(t.a, t.b, s.a)*Side(t.a, t.b, s.b) >= 0 || Side(s.a, s.b, t.a)*Side(s.a, s.b, t.b) >= 0 {
		return
	}
	p := crossing(s.a, s.b, t.a, t.b)
	add(i, p)
	add(j, p)
}

// touches reports whether p lies within three quarters of a unit of the span,
// between its ends.
func touches(s span, p Point) bool {
	dx, dy := float64(s.b.X-s.a.X), float64(s.b.Y-s.a.Y)
	px, py := float64(p.X-s.a.X), float64(p.Y-s.a.Y)
	along, long := float64(px*dx)+float64(py*dy), float64(dx*dx)+float64(dy*dy)
	if along < 0 || along > long || p == s.a || p == s.b {
		return p == s.a || p == s.b
	}
	off := float64(px*dy) - float64(py*dx)
	return float64(off*off) <= 0.5625*long
}

// cutAll returns the spans cut at the given points.
func cutAll(spans []span, cuts []cut) []span {
	slices.SortFunc(cuts, func(c, d cut) int {
		if c.i != d.i {
			return c.i - d.i
		}
		return compareAlong(spans[c.i], c.at, d.at)
	})
	out := make([]span, 0, len(spans)+len(cuts))
	k := 0
	for i, s := range spans {
		from := s.a
		for ; k < len(cuts) && cuts[k].i == i; k++ {
			out = appendPart(out, s, from, cuts[k].at)
			from = cuts[k].at
		}
		out = appendPart(out, s, from, s.b)
	}
	return out
}

// compareAlong orders two points by how far they lie along a span.
func compareAlong(s span, p, q Point) int {
	dx, dy := s.b.X-s.a.X, max(s.b.Y-s.a.Y, s.a.Y-s.b.Y)
	if dx >= dy && p.X != q.X {
		return cmp.Compare(p.X, q.X)
	}
	up := s.b.Y > s.a.Y
	switch {
	case p.Y == q.Y:
		return comparePoints(p, q)
	case (p.Y < q.Y) == up:
		return -1
	}
	return 1
}

// appendPart adds the part of s between two points; rounding may have turned it.
func appendPart(out []span, s span, a, b Point) []span {
	if a == b {
		return out
	}
	if before(b, a) {
		return append(out, span{b, a, [2]int{-s.by[0], -s.by[1]}})
	}
	return append(out, span{a, b, s.by})
}

// layers counts how many layers of each operand lie left of span i (looking
// from a to b): the winding number just left of its middle. Right of it there
// are by fewer.
func layers(spans []span, i int) [2]int {
	s := spans[i]
	m := Point{s.a.X + s.b.X, s.a.Y + s.b.Y} // twice the middle
	if s.a.X == s.b.X {
		return layersLevel(spans, i, m)
	}
	// Left is above. On a ray straight up, what runs to the left counts +1; all
	// spans run to the right.
	var n [2]int
	for j, t := range spans {
		if 2*t.a.X > m.X {
			break // sorted by left ends
		}
		if j == i || m.X >= 2*t.b.X || sideOfTwice(t.a, t.b, m) >= 0 {
			continue
		}
		n[0] -= t.by[0]
		n[1] -= t.by[1]
	}
	return n
}

// layersLevel is layers for an upright span. Left is towards smaller x; on a
// level ray that way, what runs down counts +1 and what runs up -1.
func layersLevel(spans []span, i int, m Point) [2]int {
	var n [2]int
	for j, t := range spans {
		if 2*t.a.X > m.X {
			break
		}
		lo, hi, d := t.a, t.b, -1
		if lo.Y > hi.Y {
			lo, hi, d = t.b, t.a, 1
		}
		if j == i || 2*lo.Y > m.Y || m.Y >= 2*hi.Y || sideOfTwice(lo, hi, m) >= 0 {
			continue
		}
		n[0] += d * t.by[0]
		n[1] += d * t.by[1]
	}
	return n
}

// sideOfTwice is Side(a, b, m/2).
func sideOfTwice(a, b, m Point) int {
	return sign2(int64(b.X-a.X), int64(m.Y-2*a.Y), int64(b.Y-a.Y), int64(m.X-2*a.X))
}
