package nest

// rect is a rectangle by its lower left corner.
type rect struct{ x, y, w, h int64 }

// laid is one piece of a group with its place.
type laid struct {
	kind int32
	pose uint8
	rect
}

// layer turns a group's spot into places and leftovers.
type layer struct {
	f      *fitter
	pieces []laid
	left   []place
}

// place is a rectangle and which of its sides are factory edges.
type place struct {
	rect
	sides Sides
}

// lay puts the group into the place; the spot must be one of the group's for the place's sides and be no larger.
// Spare length goes to the right or upper part, so that what is left stays in one piece.
func (l *layer) lay(g *group, s spot, in place) {
	switch s.cut {
	case noCut:
		l.layPiece(g.members[0], s.pose, in)
	case upright:
		sa := l.f.fits(s.part.a, in.sides&^Right)[s.a]
		sb := l.f.fits(s.part.b, in.sides&^Left)[s.b]
		from := in.x + sa.w + l.f.kerf
		l.lay(s.part.a, sa, place{rect{in.x, in.y, sa.w, in.h}, in.sides &^ Right})
		l.lay(s.part.b, sb, place{rect{from, in.y, in.x + in.w - from, in.h}, in.sides &^ Left})
	case level:
		sa := l.f.fits(s.part.a, in.sides&^Top)[s.a]
		sb := l.f.fits(s.part.b, in.sides&^Bottom)[s.b]
		from := in.y + sa.h + l.f.kerf
		l.lay(s.part.a, sa, place{rect{in.x, in.y, in.w, sa.h}, in.sides &^ Top})
		l.lay(s.part.b, sb, place{rect{in.x, from, in.w, in.y + in.h - from}, in.sides &^ Bottom})
	}
}

// layPiece puts one piece against the sides it needs, else against a factory side, and keeps the rest as two rectangles.
func (l *layer) layPiece(k int32, pose uint8, in place) {
	o := l.f.kinds[k].poses[pose]
	r := rect{in.x, in.y, o.w, o.h}
	if o.sides.has(Right) || in.sides.has(Right) && !in.sides.has(Left) && !o.sides.has(Left) {
		r.x = in.x + in.w - o.w
	}
	if o.sides.has(Top) || in.sides.has(Top) && !in.sides.has(Bottom) && !o.sides.has(Bottom) {
		r.y = in.y + in.h - o.h
	}
	l.pieces = append(l.pieces, laid{k, pose, r})
	l.keep(in, r)
}

// keep parts the L-shaped rest beside a piece by the cut that leaves the larger rectangle.
func (l *layer) keep(in place, r rect) {
	beside := rect{in.x, in.y, in.w - r.w - l.f.kerf, in.h}
	if r.x == in.x {
		beside.x = r.x + r.w + l.f.kerf
	}
	over := rect{in.x, in.y, in.w, in.h - r.h - l.f.kerf}
	if r.y == in.y {
		over.y = r.y + r.h + l.f.kerf
	}
	if beside.w*beside.h >= over.w*over.h || over.h <= 0 {
		over.x, over.w = r.x, r.w
	} else {
		beside.y, beside.h = r.y, r.h
	}
	for _, q := range [2]rect{beside, over} {
		if q.w > 0 && q.h > 0 {
			l.left = append(l.left, place{q, in.sides & flush(q, in.rect)})
		}
	}
}

// flush gives the sides that the inner rectangle shares with the outer.
func flush(q, in rect) Sides {
	s := NoSides
	if q.x == in.x {
		s |= Left
	}
	if q.y == in.y {
		s |= Bottom
	}
	if q.x+q.w == in.x+in.w {
		s |= Right
	}
	if q.y+q.h == in.y+in.h {
		s |= Top
	}
	return s
}
