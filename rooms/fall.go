package rooms

import (
	"fmt"
	"slices"
)

// A floor with a drain falls towards it in planes, one from each side. Small
// tile turns the folds between them; larger tile is cut along the folds, as an
// envelope is folded.

// Envelope divides an outline into the planes that fall to one low point: a
// triangle for each side, from corner to corner of the floor. The point must see
// every side.
func Envelope(outline Ring, low Point) ([]Ring, error) {
	if err := outline.Validate(); err != nil {
		return nil, err
	}
	var planes []Ring
	for _, s := range fallingSides(outline) {
		ring := append(slices.Clone(s.line), low).Simplify()
		if Side(s.line[0], s.line[len(s.line)-1], low) <= 0 || ring.Validate() != nil {
			return nil, fmt.Errorf("the low point (%s, %s) does not see the %s edge from inside: the floor cannot fall to it in one plane there",
				FormatMM(low.X, 1, Nearest), FormatMM(low.Y, 1, Nearest), outline.EdgeNames()[s.edge])
		}
		planes = append(planes, ring)
	}
	return planes, nil
}

// Kinds of fall.
const (
	OneFall  = "one plane"  // to a drain along a side: nothing folds
	TwoFalls = "two planes" // meeting in the line A–B, on which the drain lies
	ToPoint  = "to a point" // from every side to the drain at A
	ToLine   = "to a line"  // from every side to the line drain A–B
)

// Falls says how a floor falls to its drain.
type Falls struct {
	Kind string
	A, B Point
	// PerMille is the slope in thousandths, 0 where it is not known.
	PerMille int
	// Cut says that tiles are cut along the folds, as an envelope is folded.
	// Otherwise a tile small enough turns the corner.
	Cut bool
}

// Planes divides an outline into the planes of its falls, none where there is
// but one. An error says which edge no plane can serve.
func (f Falls) Planes(outline Ring) ([]Ring, error) {
	switch f.Kind {
	case "", OneFall:
		return nil, nil
	case ToPoint:
		return Envelope(outline, f.A)
	case TwoFalls:
		return f.twoPlanes(outline)
	case ToLine:
		return f.linePlanes(outline)
	}
	return nil, fmt.Errorf("a floor falls in %s, %s, %s or %s, not %q", OneFall, TwoFalls, ToPoint, ToLine, f.Kind)
}

// twoPlanes cuts the outline in two along the line through A and B.
func (f Falls) twoPlanes(outline Ring) ([]Ring, error) {
	if err := outline.Validate(); err != nil {
		return nil, err
	}
	if f.A == f.B {
		return nil, fmt.Errorf("the fold of two planes needs two different points")
	}
	var planes []Ring
	for _, side := range [2][2]Point{{f.A, f.B}, {f.B, f.A}} {
		got, err := Intersect([]Polygon{{Outer: outline}}, []Polygon{{Outer: halfPlane(side[0], side[1], outline.Box())}})
		if err != nil {
			return nil, err
		}
		if len(got) != 1 || len(got[0].Holes) > 0 {
			return nil, fmt.Errorf("the fold through (%s, %s) and (%s, %s) does not divide the floor in two",
				FormatMM(f.A.X, 1, Nearest), FormatMM(f.A.Y, 1, Nearest), FormatMM(f.B.X, 1, Nearest), FormatMM(f.B.Y, 1, Nearest))
		}
		planes = append(planes, got[0].Outer)
	}
	return planes, nil
}

// halfPlane is what of a box, and more, lies left of a→b.
func halfPlane(a, b Point, box Box) Ring {
	reach := 2 * (Distance(box.Min, box.Max) + Distance(a, box.Min) + Distance(b, box.Min))
	long := Distance(a, b)
	u := Point{scaled(b.X-a.X, reach, long), scaled(b.Y-a.Y, reach, long)}
	p, q := Point{a.X - u.X, a.Y - u.Y}, Point{b.X + u.X, b.Y + u.Y}
	return Ring{p, q, {q.X - u.Y, q.Y + u.X}, {p.X - u.Y, p.Y + u.X}}
}

// linePlanes gives every edge its plane: the folds run from each corner to the
// end of the line that is nearer.
func (f Falls) linePlanes(outline Ring) ([]Ring, error) {
	if err := outline.Validate(); err != nil {
		return nil, err
	}
	end := func(p Point) Point {
		if Distance(p, f.A) <= Distance(p, f.B) {
			return f.A
		}
		return f.B
	}
	var planes []Ring
	for _, s := range fallingSides(outline) {
		a, b := s.line[0], s.line[len(s.line)-1]
		to := Ring{end(b)}
		if e := end(a); e != to[0] {
			to = append(to, e)
		}
		plain, ring := append(Ring{a, b}, to...), append(slices.Clone(s.line), to...).Simplify()
		if plain.Validate() != nil || !plain.Convex() || ring.Validate() != nil {
			return nil, fmt.Errorf("the line drain from (%s, %s) to (%s, %s) gives side %d (counted from 0) no plane of its own: it must lie inside, and along the floor",
				FormatMM(f.A.X, 1, Nearest), FormatMM(f.A.Y, 1, Nearest), FormatMM(f.B.X, 1, Nearest), FormatMM(f.B.Y, 1, Nearest), s.edge)
		}
		planes = append(planes, ring)
	}
	return planes, nil
}

// Fall is how much higher the floor lies at a distance from its low point with a
// slope in thousandths (1/4 in per foot is about 21, 2 % is 20).
func Fall(distance Length, perMille int64) Length {
	return scaled(distance, Length(perMille), 1000)
}
