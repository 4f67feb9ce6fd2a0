package rooms

// Area is twice the signed area: positive when the ring runs
// counter-clockwise. It is exact.
func (r Ring) Area() Area {
	var sum Area
	for i, a := range r {
		b := r[(i+1)%len(r)]
		o := r[0]
		sum = sum.Add(product(a.X-o.X, b.Y-o.Y)).Sub(product(a.Y-o.Y, b.X-o.X))
	}
	return sum
}

// AreaMM2 is the signed area in mm².
func (r Ring) AreaMM2() float64 { return r.Area().MM2() }

// Area is twice the area of the outer ring less its holes; it is exact.
func (p Polygon) Area() Area {
	sum := p.Outer.Area()
	for _, h := range p.Holes {
		sum = sum.Add(h.Area())
	}
	return sum
}

// AreaMM2 is the area in mm².
func (p Polygon) AreaMM2() float64 { return p.Area().MM2() }

// Rings lists the outer ring and then the holes.
func (p Polygon) Rings() []Ring { return append([]Ring{p.Outer}, p.Holes...) }

// Box is an upright rectangle.
type Box struct{ Min, Max Point }

// Box returns the bounding box of a ring, which must have a point.
func (r Ring) Box() Box {
	b := Box{r[0], r[0]}
	for _, p := range r[1:] {
		b.Min.X, b.Min.Y = min(b.Min.X, p.X), min(b.Min.Y, p.Y)
		b.Max.X, b.Max.Y = max(b.Max.X, p.X), max(b.Max.Y, p.Y)
	}
	return b
}

// Join is the smallest box around both.
func (b Box) Join(c Box) Box {
	return Box{
		Point{min(b.Min.X, c.Min.X), min(b.Min.Y, c.Min.Y)},
		Point{max(b.Max.X, c.Max.X), max(b.Max.Y, c.Max.Y)},
	}
}

// Meets reports whether the closed boxes have a point in common.
func (b Box) Meets(c Box) bool {
	return b.Min.X <= c.Max.X && c.Min.X <= b.Max.X && b.Min.Y <= c.Max.Y && c.Min.Y <= b.Max.Y
}

// Width and Height are the box's sides.
func (b Box) Width() Length  { return b.Max.X - b.Min.X }
func (b Box) Height() Length { return b.Max.Y - b.Min.Y }

// BoxOf is the bounding box of all polygons; the zero Box when there are none.
func BoxOf(ps []Polygon) Box {
	var b Box
	for i, p := range ps {
		if i == 0 {
			b = p.Outer.Box()
			continue
		}
		b = b.Join(p.Outer.Box())
	}
	return b
}

// Rect is the rectangle from x0, y0 to x1, y1, counter-clockwise.
func Rect(x0, y0, x1, y1 Length) Ring {
	return Ring{{x0, y0}, {x1, y0}, {x1, y1}, {x0, y1}}
}

// Reversed runs the other way round, from the same first point.
func (r Ring) Reversed() Ring {
	out := make(Ring, 0, len(r))
	for i := range r {
		out = append(out, r[(len(r)-i)%len(r)])
	}
	return out
}

// Moved is the ring shifted by d.
func (r Ring) Moved(d Point) Ring {
	out := make(Ring, len(r))
	for i, p := range r {
		out[i] = Point{p.X + d.X, p.Y + d.Y}
	}
	return out
}

// Moved is the polygon shifted by d.
func (p Polygon) Moved(d Point) Polygon {
	out := Polygon{Outer: p.Outer.Moved(d)}
	for _, h := range p.Holes {
		out.Holes = append(out.Holes, h.Moved(d))
	}
	return out
}

// Place of a point against an area.
const (
	Outside  = -1
	OnBorder = 0
	Inside   = 1
)

// Place tells whether q lies inside, on the border of, or outside the ring,
// whichever way it runs.
func (r Ring) Place(q Point) int {
	in := false
	for i, a := range r {
		b := r[(i+1)%len(r)]
		if a.Y == b.Y && a.Y == q.Y && min(a.X, b.X) <= q.X && q.X <= max(a.X, b.X) {
			return OnBorder
		}
		lo, hi := a, b
		if lo.Y > hi.Y {
			lo, hi = b, a
		}
		if q.Y < lo.Y || q.Y > hi.Y || lo.Y == hi.Y {
			continue
		}
		s := Side(lo, hi, q)
		if s == 0 {
			return OnBorder
		}
		if s > 0 && q.Y < hi.Y { // half-open, so that a vertex counts once
			in = !in
		}
	}
	if in {
		return Inside
	}
	return Outside
}

// Place tells whether q lies inside, on the border of, or outside the polygon.
func (p Polygon) Place(q Point) int {
	at := p.Outer.Place(q)
	if at != Inside {
		return at
	}
	for _, h := range p.Holes {
		if s := h.Place(q); s != Outside {
			return -s
		}
	}
	return Inside
}

// Convex reports whether the ring is convex, counter-clockwise and without
// collinear points.
func (r Ring) Convex() bool {
	if len(r) < 3 {
		return false
	}
	for i, a := range r {
		if Side(a, r[(i+1)%len(r)], r[(i+2)%len(r)]) <= 0 {
			return false
		}
	}
	return turnsOnce(r)
}

// turnsOnce reports whether the directions of a left-turning ring go round once.
func turnsOnce(r Ring) bool {
	down := 0
	for i, a := range r {
		b, c := r[(i+1)%len(r)], r[(i+2)%len(r)]
		up := b.Y > a.Y || b.Y == a.Y && b.X > a.X
		next := c.Y > b.Y || c.Y == b.Y && c.X > b.X
		if up && !next {
			down++
		}
	}
	return down == 1
}
