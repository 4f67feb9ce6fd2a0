package rooms

import "fmt"

// Inset keeps the gap gaps[i] clear along edge i of the outer ring, and
// holeGap around each hole. Corners are mitred: two gaps meet in a point. A
// corner that would run further than four times the wider gap is cut off square,
// and where edges with different gaps run on almost straight there is a step.
// Edges that the gaps swallow vanish; nothing may be left at all, which is no
// error. Gaps must not be negative.
func Inset(p Polygon, gaps []Length, holeGap Length) ([]Polygon, error) {
	if len(gaps) != len(p.Outer) {
		return nil, fmt.Errorf("%d gaps are given for %d edges", len(gaps), len(p.Outer))
	}
	bands := Bands(p.Outer, gaps, true)
	for _, h := range p.Holes {
		same := make([]Length, len(h))
		for i := range same {
			same[i] = holeGap
		}
		bands = append(bands, Bands(h, same, true)...)
	}
	return Subtract([]Polygon{p}, bands)
}

// Grow is the polygon with gap added all round, corners mitred as in Inset;
// holes become smaller.
func Grow(p Polygon, gap Length) ([]Polygon, error) {
	all := []Polygon{p}
	for _, r := range p.Rings() {
		same := make([]Length, len(r))
		for i := range same {
			same[i] = gap
		}
		all = append(all, Bands(r, same, false)...)
	}
	return Union(all...)
}

// Bands are the strips of the given widths along the edges of a ring, on its
// left side (inner, where the ring is an outer one) or its right. They overlap.
func Bands(r Ring, widths []Length, left bool) []Polygon {
	var out []Polygon
	n := len(r)
	for i, a := range r {
		b, w := r[(i+1)%n], widths[i]
		if w > 0 {
			out = append(out, counterClockwise(Ring{a, b, shifted(b, a, b, w, left), shifted(a, a, b, w, left)}))
		}
		// Bands part at a corner that turns away from them, and where they differ
		// in width also at an obtuse corner that turns towards them.
		c, v := r[(i+2)%n], widths[(i+1)%n]
		s := Side(a, b, c)
		away := s != 0 && (s < 0) == left
		if (away || s != 0 && w != v && dot(a, b, c) < 0) && (w > 0 || v > 0) {
			for _, t := range mitre(a, b, c, w, v, left) {
				out = append(out, counterClockwise(t))
			}
		}
	}
	return out
}

// Shift moves the edge a–b by w square to itself, to its left or right.
func Shift(a, b Point, w Length, left bool) (Point, Point) {
	if w < 0 {
		w, left = -w, !left
	}
	return shifted(a, a, b, w, left), shifted(b, a, b, w, left)
}

// shifted is p moved by w square to the line a→b, to its left or right.
func shifted(p, a, b Point, w Length, left bool) Point {
	dx, dy := float64(b.X-a.X), float64(b.Y-a.Y)
	l := hypot(dx, dy)
	if !left {
		l = -l
	}
	return Point{p.X - roundHalf(dy/l*float64(w)), p.Y + roundHalf(dx/l*float64(w))}
}

// mitre is the corner between the bands of a–b and b–c where they part, as
// triangles: as one outline it would cross itself where the bands differ much.
func mitre(a, b, c Point, w, v Length, left bool) []Ring {
	from, to := shifted(b, a, b, w, left), shifted(b, b, c, v, left)
	tip, ok := lineCrossing(shifted(a, a, b, w, left), from, to, shifted(c, b, c, v, left))
	if !ok || Distance(b, tip) > 4*max(w, v) {
		if Side(a, b, c) < 0 != left {
			return nil // almost straight on: a step
		}
		// cut off square, the wider gap beyond the corner
		far := max(w, v)
		g, h := along(from, a, b, far), along(to, c, b, far)
		return []Ring{{b, from, g}, {b, g, h}, {b, h, to}}
	}
	return []Ring{{b, from, tip}, {b, tip, to}}
}

// along is p moved by far in the direction from a to b.
func along(p, a, b Point, far Length) Point {
	dx, dy := float64(b.X-a.X), float64(b.Y-a.Y)
	l := hypot(dx, dy)
	return Point{p.X + roundHalf(dx/l*float64(far)), p.Y + roundHalf(dy/l*float64(far))}
}

// CrossLines is where the line through a and b crosses that through c and d, to the
// nearest unit; ok is false where they run side by side.
func CrossLines(a, b, c, d Point) (at Point, ok bool) { return lineCrossing(a, b, c, d) }

// lineCrossing is where the lines a–b and c–d cross, to the nearest unit.
func lineCrossing(a, b, c, d Point) (Point, bool) {
	ux, uy := float64(b.X-a.X), float64(b.Y-a.Y)
	vx, vy := float64(d.X-c.X), float64(d.Y-c.Y)
	det := float64(ux*vy) - float64(uy*vx)
	if det == 0 {
		return Point{}, false
	}
	wx, wy := float64(c.X-b.X), float64(c.Y-b.Y)
	t := (float64(wx*vy) - float64(wy*vx)) / det
	x, y := float64(t*ux), float64(t*uy)
	if x > 1e12 || x < -1e12 || y > 1e12 || y < -1e12 {
		return Point{}, false
	}
	return Point{b.X + roundHalf(x), b.Y + roundHalf(y)}, true
}

func counterClockwise(r Ring) Polygon {
	if r.Area().Sign() < 0 {
		r = r.Reversed()
	}
	return Polygon{Outer: r}
}
