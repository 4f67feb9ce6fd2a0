package takeoff

import (
	"math"

	"potlife/rooms"
)

// turn is a rotation about 0, 0 by whole degrees, counter-clockwise. Quarter
// turns are exact; others round to the unit of rooms.Length.
type turn struct {
	degrees  int
	cos, sin float64
}

// turnBy returns the rotation by any number of degrees.
func turnBy(degrees int) turn {
	d := ((degrees % 360) + 360) % 360
	t := turn{degrees: d}
	t.cos, t.sin = cosSin(d)
	return t
}

// square reports whether the turn is by whole quarters.
func (t turn) square() bool { return t.degrees%90 == 0 }

// apply turns p.
func (t turn) apply(p rooms.Point) rooms.Point {
	switch t.degrees {
	case 0:
		return p
	case 90:
		return rooms.Point{X: -p.Y, Y: p.X}
	case 180:
		return rooms.Point{X: -p.X, Y: -p.Y}
	case 270:
		return rooms.Point{X: p.Y, Y: -p.X}
	}
	x, y := float64(p.X), float64(p.Y)
	return rooms.Point{
		X: round(float64(x*t.cos) - float64(y*t.sin)),
		Y: round(float64(x*t.sin) + float64(y*t.cos)),
	}
}

// back undoes the turn.
func (t turn) back() turn { return turnBy(360 - t.degrees) }

// then is t followed by u.
func (t turn) then(u turn) turn { return turnBy(t.degrees + u.degrees) }

// ring turns every point of r.
func (t turn) ring(r rooms.Ring) rooms.Ring {
	out := make(rooms.Ring, len(r))
	for i, p := range r {
		out[i] = t.apply(p)
	}
	return out
}

func round(x float64) rooms.Length { return rooms.Length(math.Floor(x + 0.5)) }

// cosSin returns cosine and sine of whole degrees 0 … 359, the same on every
// processor: the series for at most 45°, each product rounded by itself.
func cosSin(degrees int) (c, s float64) {
	quarter, rest := degrees/90, degrees%90
	swap := rest > 45
	if swap {
		rest = 90 - rest
	}
	x := float64(rest) * (math.Pi / 180)
	switch rest {
	case 0:
		c, s = 1, 0
	case 45:
		c = math.Sqrt(0.5)
		s = c
	default:
		c, s = series(x, 0), series(x, 1)
	}
	if swap {
		c, s = s, c
	}
	switch quarter {
	case 1:
		return -s, c
	case 2:
		return -c, -s
	case 3:
		return s, -c
	}
	return c, s
}

// series sums x^first/first! − x^(first+2)/(first+2)! + …, 0 ≤ x ≤ π/4.
func series(x float64, first int) float64 {
	term := 1.0
	if first == 1 {
		term = x
	}
	sum, xx := 0.0, float64(x*x)
	for k := first; k < first+24; k += 2 {
		sum += term
		term = -float64(term*xx) / float64((k+1)*(k+2))
	}
	return sum
}
