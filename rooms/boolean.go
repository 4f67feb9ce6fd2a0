package rooms

import "slices"

// Union is the area covered by any polygon of a.
func Union(a ...Polygon) ([]Polygon, error) {
	return combine(a, nil, func(n [2]int) bool { return n[0] > 0 })
}

// Intersect is the area in both a and b, each the union of its polygons.
func Intersect(a, b []Polygon) ([]Polygon, error) {
	return combine(a, b, func(n [2]int) bool { return n[0] > 0 && n[1] > 0 })
}

// Subtract is the area in a and not in b, each the union of its polygons.
func Subtract(a, b []Polygon) ([]Polygon, error) {
	return combine(a, b, func(n [2]int) bool { return n[0] > 0 && n[1] <= 0 })
}

// combine makes polygons of the places at which inside holds, given the number
// of layers of a and of b there. Points are rounded to the unit; polygons are
// in a fixed order, each ring from its first point by x, then y.
func combine(a, b []Polygon, inside func([2]int) bool) ([]Polygon, error) {
	var spans []span
	for which, ps := range [2][]Polygon{a, b} {
		for _, p := range ps {
			for _, r := range p.Rings() {
				spans = appendRing(spans, r, which)
			}
		}
	}
	spans, err := settle(spans)
	if err != nil {
		return nil, err
	}
	return Assemble(borderRings(spans, inside)), nil
}

// half is a piece of border with the inside on its left.
type half struct{ from, to Point }

// borderRings traces the border of what is inside.
func borderRings(spans []span, inside func([2]int) bool) []Ring {
	var halves []half
	for i, s := range spans {
		left := layers(spans, i)
		right := [2]int{left[0] - s.by[0], left[1] - s.by[1]}
		switch l, r := inside(left), inside(right); {
		case l && !r:
			halves = append(halves, half{s.a, s.b})
		case r && !l:
			halves = append(halves, half{s.b, s.a})
		}
	}
	slices.SortFunc(halves, func(g, h half) int {
		if c := comparePoints(g.from, h.from); c != 0 {
			return c
		}
		return comparePoints(g.to, h.to)
	})
	return traceRings(halves)
}

// traceRings joins halves, sorted by where they start, to closed rings.
func traceRings(halves []half) []Ring {
	used := make([]bool, len(halves))
	var rings []Ring
	for start := range halves {
		if used[start] {
			continue
		}
		var r Ring
		for i := start; i >= 0 && !used[i]; i = nextHalf(halves, used, i) {
			used[i] = true
			r = append(r, halves[i].from)
		}
		rings = append(rings, r)
	}
	return rings
}

// nextHalf is the unused half that leaves where i ends and turns furthest to
// the left, so that areas which only touch at a point stay apart.
func nextHalf(halves []half, used []bool, i int) int {
	from, at := halves[i].from, halves[i].to
	k, _ := slices.BinarySearchFunc(halves, at, func(h half, p Point) int { return comparePoints(h.from, p) })
	best := -1
	for ; k < len(halves) && halves[k].from == at; k++ {
		if used[k] {
			continue
		}
		if best < 0 || moreLeft(from, at, halves[k].to, halves[best].to) {
			best = k
		}
	}
	return best
}

// moreLeft reports whether, coming from → at, going on to p turns further left
// than going on to q.
func moreLeft(from, at, p, q Point) bool {
	left := func(x Point) bool { // the turn lies in 0 … 180°
		s := Side(from, at, x)
		return s > 0 || s == 0 && dot(from, at, x) > 0
	}
	switch lp, lq := left(p), left(q); {
	case lp != lq:
		return lp
	default:
		return Side(at, q, p) > 0
	}
}

// Assemble makes polygons of border rings that do not cross and have the
// inside on their left. Rings that pass through a point twice are split there,
// points in the middle of a straight line and rings without area dropped.
func Assemble(rings []Ring) []Polygon {
	var outer, holes []Ring
	for _, r := range rings {
		for _, s := range splitRepeats(r) {
			s = s.Simplify()
			if len(s) < 3 {
				continue
			}
			switch s.Area().Sign() {
			case 1:
				outer = append(outer, s.FromLeast())
			case -1:
				holes = append(holes, s.FromLeast())
			}
		}
	}
	slices.SortFunc(outer, compareRings)
	slices.SortFunc(holes, compareRings)
	ps := make([]Polygon, len(outer))
	for i, r := range outer {
		ps[i].Outer = r
	}
	for _, h := range holes {
		if i := ownerOf(h, outer); i >= 0 {
			ps[i].Holes = append(ps[i].Holes, h)
		}
	}
	return ps
}

// ownerOf is the index of the smallest outer ring around the hole.
func ownerOf(h Ring, outer []Ring) int {
	best := -1
	for i, o := range outer {
		if within(h, o) && (best < 0 || o.Area().Cmp(outer[best].Area()) < 0) {
			best = i
		}
	}
	return best
}

// within reports whether ring h lies in o; they may touch but do not cross.
func within(h, o Ring) bool {
	if !h.Box().Meets(o.Box()) {
		return false
	}
	for _, p := range h {
		if at := o.Place(p); at != OnBorder {
			return at == Inside
		}
	}
	for i, p := range h { // all corners on the border: a middle decides, on the doubled ring
		q := h[(i+1)%len(h)]
		twice := make(Ring, len(o))
		for k, v := range o {
			twice[k] = Point{2 * v.X, 2 * v.Y}
		}
		if at := twice.Place(Point{p.X + q.X, p.Y + q.Y}); at != OnBorder {
			return at == Inside
		}
	}
	return false
}

// splitRepeats cuts a ring at points it passes more than once.
func splitRepeats(r Ring) []Ring {
	var out []Ring
	var path Ring
	at := make(map[Point]int, len(r)) // only looked up, never ranged over
	for _, p := range r {
		if k, seen := at[p]; seen {
			loop := slices.Clone(path[k:])
			out = append(out, loop)
			for _, q := range path[k:] {
				delete(at, q)
			}
			path = path[:k]
		}
		at[p] = len(path)
		path = append(path, p)
	}
	return append(out, path)
}

// Simplify drops points in the middle of a straight line, and spikes.
func (r Ring) Simplify() Ring {
	out := slices.Clone(r)
	for changed := true; changed && len(out) >= 3; {
		changed = false
		for i := 0; i < len(out) && len(out) >= 3; i++ {
			n := len(out)
			a, b, c := out[(i+n-1)%n], out[i], out[(i+1)%n]
			if a == b || Side(a, b, c) == 0 {
				out = slices.Delete(out, i, i+1)
				changed = true
				i--
			}
		}
	}
	return out
}

// FromLeast starts the ring at its first point by x, then y.
func (r Ring) FromLeast() Ring {
	k := 0
	for i, p := range r {
		if before(p, r[k]) {
			k = i
		}
	}
	return append(slices.Clone(r[k:]), r[:k]...)
}

func compareRings(r, s Ring) int {
	for i := 0; i < len(r) && i < len(s); i++ {
		if c := comparePoints(r[i], s[i]); c != 0 {
			return c
		}
	}
	return len(r) - len(s)
}
