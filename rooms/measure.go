package rooms

import (
	"fmt"
	"math"
)

// MeasureWithin is how far two measures of one thing may differ before one is to
// be taken again: 3 mm, common practice for diagonals of a rectangle (1/8 in).
const MeasureWithin = 3 * Millimetre

// Contradiction is a measure that does not fit the others.
type Contradiction struct {
	// What names the measures to take again.
	What string
	// Measured is what was read, Computed what the other readings give.
	Measured, Computed Length
}

// Contradictions holds readings against each other and checks against the
// corrected outline, within a tolerance (0: MeasureWithin).
func (s *Surface) Contradictions(within Length) ([]Contradiction, error) {
	if within == 0 {
		within = MeasureWithin
	}
	var out []Contradiction
	for i, a := range s.Readings {
		for _, b := range s.Readings[:i] {
			if a.Edge >= 0 && a.Edge == b.Edge && a.Layer == b.Layer && near(a.At, b.At, onePlace) && !near(a.Deviation, b.Deviation, within) {
				out = append(out, Contradiction{fmt.Sprintf("readings on the %s near %s", s.EdgeName(a.Edge), FormatMetric(a.At, Nearest)), a.Deviation, b.Deviation})
			}
		}
	}
	bare := *s
	bare.Build = BuildUp{} // a tape lies on what is there, not on tile to come
	c, err := bare.Correct()
	if err != nil {
		return nil, err
	}
	for _, k := range s.Checks {
		got, what, err := c.measure(k)
		if err != nil {
			return nil, fmt.Errorf("check of %s: %w", s.Key, err)
		}
		if !near(got, k.Value, within) {
			out = append(out, Contradiction{what, k.Value, got})
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
	}
	return 0, "", fmt.Errorf("there is no check %q; there are %s, %s, %s, %s", k.Kind, WidthAt, HeightAt, Diagonal, Diagonal2)
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
