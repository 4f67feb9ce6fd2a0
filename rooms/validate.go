package rooms

import (
	"cmp"
	"fmt"
	"slices"
)

// ShapeError says which rule an outline breaks, and where.
type ShapeError struct {
	Rule  string
	Edge  int // index of the edge or point concerned
	Other int // the second edge concerned, or -1
	At    Point
}

// Error gives rule and place in mm; corners and sides count from 0, as in job
// files and on drawings: side 0 leaves corner 0.
func (e *ShapeError) Error() string {
	place := fmt.Sprintf("corner %d (%s, %s), counted from 0", e.Edge, FormatMM(e.At.X, 1, Nearest), FormatMM(e.At.Y, 1, Nearest))
	if e.Other >= 0 {
		place = fmt.Sprintf("sides %d and %d, counted from 0, near (%s, %s)", e.Edge, e.Other, FormatMM(e.At.X, 1, Nearest), FormatMM(e.At.Y, 1, Nearest))
	}
	return fmt.Sprintf("%s: %s", place, e.Rule)
}

// Rules an outline must keep.
const (
	RuleThree   = "an outline needs at least three points"
	RuleSide    = "an outline is at most 250 m wide and high"
	RuleRepeat  = "two points in a row are the same"
	RuleFold    = "the line turns back on itself"
	RuleCross   = "two edges cross or touch"
	RuleTurning = "the points must run counter-clockwise"
)

// Validate checks that the ring is a simple outline: at least three points, no
// side of its box over MaxSide, no two edges that meet except neighbours at
// their common point, counter-clockwise. The error is a *ShapeError.
func (r Ring) Validate() error {
	if len(r) < 3 {
		return &ShapeError{Rule: RuleThree, Other: -1, At: first(r)}
	}
	b := r.Box()
	if b.Width() < 0 || b.Height() < 0 || b.Width() > MaxSide || b.Height() > MaxSide {
		return &ShapeError{Rule: RuleSide, Other: -1, At: r[0]}
	}
	for i, a := range r {
		q, c := r[(i+1)%len(r)], r[(i+2)%len(r)]
		if a == q {
			return &ShapeError{Rule: RuleRepeat, Edge: i, Other: -1, At: a}
		}
		if Side(a, q, c) == 0 && dot(a, q, c) > 0 {
			return &ShapeError{Rule: RuleFold, Edge: (i + 1) % len(r), Other: -1, At: q}
		}
	}
	if err := r.crossings(); err != nil {
		return err
	}
	if r.Area().Sign() <= 0 {
		return &ShapeError{Rule: RuleTurning, Other: -1, At: r[0]}
	}
	return nil
}

func first(r Ring) Point {
	if len(r) == 0 {
		return Point{}
	}
	return r[0]
}

// dot is the sign of (a−q)·(c−q): positive when c lies back towards a.
func dot(a, q, c Point) int {
	return sign2(int64(a.X-q.X), int64(c.X-q.X), int64(q.Y-a.Y), int64(c.Y-q.Y))
}

// crossings looks for edges that meet although they are no neighbours. Edges
// are taken by their left end, so that most pairs are never looked at.
func (r Ring) crossings() error {
	n := len(r)
	order := make([]int, n)
	for i := range order {
		order[i] = i
	}
	left := func(i int) Length { return min(r[i].X, r[(i+1)%n].X) }
	slices.SortStableFunc(order, func(i, j int) int { return cmp.Compare(left(i), left(j)) })
	found := &ShapeError{Rule: RuleCross, Edge: n, Other: n}
	for k, i := range order {
		a, b := r[i], r[(i+1)%n]
		for _, j := range order[k+1:] {
			if left(j) > max(a.X, b.X) {
				break
			}
			if j == (i+1)%n || i == (j+1)%n {
				continue
			}
			c, d := r[j], r[(j+1)%n]
			if at, ok := meet(a, b, c, d); ok {
				lo, hi := min(i, j), max(i, j)
				if lo < found.Edge || lo == found.Edge && hi < found.Other {
					found.Edge, found.Other, found.At = lo, hi, at
				}
			}
		}
	}
	if found.Edge < n {
		return found
	}
	return nil
}

// meet reports whether the closed segments a–b and c–d have a point in common,
// and one such point to the nearest unit.
func meet(a, b, c, d Point) (Point, bool) {
	if max(a.X, b.X) < min(c.X, d.X) || max(c.X, d.X) < min(a.X, b.X) ||
		max(a.Y, b.Y) < min(c.Y, d.Y) || max(c.Y, d.Y) < min(a.Y, b.Y) {
		return Point{}, false
	}
	sa, sb := Side(c, d, a), Side(c, d, b)
	sc, sd := Side(a, b, c), Side(a, b, d)
	switch {
	case sa == 0 && between(c, d, a):
		return a, true
	case sb == 0 && between(c, d, b):
		return b, true
	case sc == 0 && between(a, b, c):
		return c, true
	case sd == 0 && between(a, b, d):
		return d, true
	case sa*sb < 0 && sc*sd < 0:
		return crossing(a, b, c, d), true
	}
	return Point{}, false
}

// between reports whether p, on the line through a and b, lies within their box.
func between(a, b, p Point) bool {
	return min(a.X, b.X) <= p.X && p.X <= max(a.X, b.X) && min(a.Y, b.Y) <= p.Y && p.Y <= max(a.Y, b.Y)
}

// CrossesItself reports whether two edges that are no neighbours meet, or two
// neighbours fold back on each other.
func (r Ring) CrossesItself() bool {
	for i, a := range r {
		b, c := r[(i+1)%len(r)], r[(i+2)%len(r)]
		if Side(a, b, c) == 0 && dot(a, b, c) > 0 {
			return true
		}
		for j := i + 2; j < len(r); j++ {
			if i == 0 && j == len(r)-1 {
				continue
			}
			if _, met := meet(a, b, r[j], r[(j+1)%len(r)]); met {
				return true
			}
		}
	}
	return false
}

// Meets reports whether any edge of r has a point in common with one of s.
func (r Ring) Meets(s Ring) bool {
	for i, a := range r {
		for j, c := range s {
			if _, met := meet(a, r[(i+1)%len(r)], c, s[(j+1)%len(s)]); met {
				return true
			}
		}
	}
	return false
}
