package rooms

import (
	"errors"
	"fmt"
	"math"
)

// MeasureWithin is how far two measures of one thing may differ before one is to
// be taken again: 3 mm, common practice for diagonals of a rectangle (1/8 in).
const MeasureWithin = 3 * Millimetre

// Contradiction is a measure that does not fit the others.
type Contradiction struct {
	// What names the measure that does not fit.
	What string
	// Measured is what was read, Computed what the other readings give.
	Measured, Computed Length
	// Again says what to take to settle it; IfLeaning is what that then reads if
	// nothing was misread and the surface leans, 0 where that cannot be told.
	Again     string
	IfLeaning Length
}

// Contradictions holds readings against each other and checks against the
// corrected outline, within a tolerance (0: MeasureWithin). What was taken again
// and agreed then no longer contradicts.
func (s *Surface) Contradictions(within Length) ([]Contradiction, error) {
	if within == 0 {
		within = MeasureWithin
	}
	var out []Contradiction
	for _, r := range s.openReadings(within) {
		a, b := s.Readings[r[0]], s.Readings[r[1]]
		out = append(out, Contradiction{What: fmt.Sprintf("readings on the %s near %s", s.EdgeName(a.Edge), FormatMetric(a.At, Nearest)), Measured: a.Deviation, Computed: b.Deviation, Again: "take them again"})
	}
	bare := *s
	bare.Build = BuildUp{} // a tape lies on what is there, not on tile to come
	c, err := bare.Correct()
	if err != nil {
		return nil, err
	}
	for i, k := range s.Checks {
		got, what, err := c.measure(k)
		switch k.Kind {
		case LengthOf:
			what += " of the " + s.EdgeName(k.Edge)
		case Plumb, Square:
			what += " at the " + s.EdgeName(k.Edge)
		}
		if err != nil {
			return nil, fmt.Errorf("check of %s: %w", s.Key, err)
		}
		if !near(got, k.Value, within) && !s.takenAgain(i, within) {
			again, leaning := s.again(k)
			out = append(out, Contradiction{what, k.Value, got, again, leaning})
		}
	}
	return out, nil
}

func near(a, b, within Length) bool { return a-b <= within && b-a <= within }

// measure is what a check should read on the corrected outline.
func (c Corrected) measure(k Check) (Length, string, error) {
	switch k.Kind {
	case WidthAt, HeightAt:
		r := c.Outline
		what := "width at height " + FormatMetric(k.At, Nearest)
		if k.Kind == HeightAt {
			what = "height at " + FormatMetric(k.At, Nearest) + " from the left"
			r = make(Ring, len(c.Outline))
			for i, p := range c.Outline {
				r[i] = Point{p.Y, p.X}
			}
		}
		w, ok := widthAt(r, k.At)
		if !ok {
			return 0, what, fmt.Errorf("%s lies beyond the surface", what)
		}
		return w, what, nil
	case Diagonal, Diagonal2:
		if len(c.Outline) != 4 {
			return 0, "", fmt.Errorf("a %s needs four corners, the outline has %d", k.Kind, len(c.Outline))
		}
		if k.Kind == Diagonal {
			return Distance(c.Outline[0], c.Outline[2]), k.Kind, nil
		}
		return Distance(c.Outline[1], c.Outline[3]), k.Kind, nil
	case LengthOf, Plumb, Square:
		return c.measureEdge(k)
	}
	return 0, "", fmt.Errorf("there is no check %q; there are %s, %s, %s, %s, %s, %s, %s", k.Kind, WidthAt, HeightAt, Diagonal, Diagonal2, LengthOf, Plumb, Square)
}

// measureEdge is what a check of an edge should read.
func (c Corrected) measureEdge(k Check) (Length, string, error) {
	line := c.along(k.Edge)
	before := c.along((k.Edge + c.edges() - 1) % max(c.edges(), 1))
	if len(line) < 2 || len(before) < 2 {
		return 0, "", fmt.Errorf("a %s is of an edge, and there is none with the number %d", k.Kind, k.Edge)
	}
	a, b := line[0], line[len(line)-1]
	switch k.Kind {
	case LengthOf:
		return Distance(a, b), "length", nil
	case Plumb:
		return plumb(a, b)
	}
	p := onWay(a, b, k.At)
	q := onWay(a, before[0], k.Leg)
	return Distance(p, q), fmt.Sprintf("3-4-5 with legs of %s and %s", FormatMetric(k.At, Nearest), FormatMetric(k.Leg, Nearest)), nil
}

// plumb is how far the upper end of the line a–b lies beyond plumb over the
// lower: outwards is to the right of a→b.
func plumb(a, b Point) (Length, string, error) {
	if rise, lean := absLength(b.Y-a.Y), absLength(b.X-a.X); rise <= lean {
		return 0, "", errors.New("a plumb line is of an upright edge")
	}
	// A rising edge has its outside at +x, a falling one at −x, and its upper end
	// first: both ways it is b − a.
	return b.X - a.X, "plumb", nil
}

// along is the line of the surface's edge i, corner to corner.
func (c Corrected) along(i int) []Point {
	var out []Point
	for k, e := range c.Edge {
		if e == i {
			out = append(out, c.Outline[k])
			if next := (k + 1) % len(c.Outline); c.Edge[next] != i {
				out = append(out, c.Outline[next])
			}
		}
	}
	return out
}

// edges is how many edges the surface has.
func (c Corrected) edges() int {
	n := 0
	for _, e := range c.Edge {
		n = max(n, e+1)
	}
	return n
}

// onWay is the point at a distance from a towards b.
func onWay(a, b Point, d Length) Point {
	long := Distance(a, b)
	return Point{a.X + scaled(b.X-a.X, d, long), a.Y + scaled(b.Y-a.Y, d, long)}
}

// widthAt is the distance of the outermost crossings of a ring with the level y.
func widthAt(r Ring, y Length) (Length, bool) {
	low, high, met := Length(math.MaxInt64), Length(math.MinInt64), false
	for i, a := range r {
		b := r[(i+1)%len(r)]
		if a.Y > b.Y {
			a, b = b, a
		}
		if y < a.Y || y > b.Y {
			continue
		}
		xs := [2]Length{a.X, b.X}
		if a.Y != b.Y {
			x := a.X + scaled(b.X-a.X, y-a.Y, b.Y-a.Y)
			xs = [2]Length{x, x}
		}
		low, high, met = min(low, xs[0], xs[1]), max(high, xs[0], xs[1]), true
	}
	return high - low, met
}

// SquareDiagonal is the diagonal that two legs of a right angle have: 3-4-5 and
// its like.
func SquareDiagonal(a, b Length) Length { return roundHalf(hypot(float64(a), float64(b))) }

// OutOfSquare is how far the end of leg b lies out of square, seen from leg a,
// when the diagonal between the ends of the legs was measured: positive where
// the corner is wider than a right angle. It is (d² − a² − b²) / 2a.
func OutOfSquare(a, b, diagonal Length) Length {
	if a <= 0 {
		return 0
	}
	x, y, d := float64(a), float64(b), float64(diagonal)
	return roundHalf((float64(d*d) - float64(x*x) - float64(y*y)) / (2 * x))
}
