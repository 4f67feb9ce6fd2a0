package rooms

import "math"

// Circle is a polygon around a circle, its sides touching it and nowhere more
// than tolerance beyond it, counter-clockwise. It has at least eight sides and
// is the same on every machine.
func Circle(centre Point, radius, tolerance Length) Ring {
	n := sidesFor(radius, tolerance)
	// Corners lie on the circle around, radius / cos(π/n).
	step := math.Pi / float64(n)
	c, s := cosSmall(2*step), sinSmall(2*step)
	x, y := float64(radius)/cosSmall(step), 0.0
	var out Ring
	for range n {
		out = append(out, Point{centre.X + roundHalf(x), centre.Y + roundHalf(y)})
		x, y = float64(x*c)-float64(y*s), float64(x*s)+float64(y*c)
	}
	return out
}

// sidesFor is how many sides keep a polygon around a circle within tolerance:
// radius (1/cos(π/n) − 1) ≤ tolerance, n a multiple of four.
func sidesFor(radius, tolerance Length) int {
	for n := 8; n < 512; n += 4 {
		if float64(radius)*(1/cosSmall(math.Pi/float64(n))-1) <= float64(tolerance) {
			return n
		}
	}
	return 512
}

// cosSmall and sinSmall sum the series for angles to about 1, each product
// rounded by itself.
func cosSmall(x float64) float64 {
	sum, term := 0.0, 1.0
	for k := 1; k < 24; k += 2 {
		sum += term
		term = -float64(float64(term*x)*x) / float64(k*(k+1))
	}
	return sum
}

func sinSmall(x float64) float64 {
	sum, term := 0.0, x
	for k := 2; k < 24; k += 2 {
		sum += term
		term = -float64(float64(term*x)*x) / float64(k*(k+1))
	}
	return sum
}

// Arc lists points on the arc around centre that begins at from and turns by the
// angle given in radians (counter-clockwise positive), both ends included, no
// chord further than tolerance from the arc.
func Arc(centre, from Point, angle float64, tolerance Length) []Point {
	r := hypot(float64(from.X-centre.X), float64(from.Y-centre.Y))
	n := 1
	for n < 512 && r*(1-cosSmall(math.Min(math.Abs(angle)/float64(2*n), 1))) > float64(tolerance) {
		n++
	}
	for math.Abs(angle)/float64(n) > 1 {
		n++
	}
	step := angle / float64(n)
	c, s := cosSmall(step), sinSmall(step)
	x, y := float64(from.X-centre.X), float64(from.Y-centre.Y)
	out := []Point{from}
	for range n {
		x, y = float64(x*c)-float64(y*s), float64(x*s)+float64(y*c)
		out = append(out, Point{centre.X + roundHalf(x), centre.Y + roundHalf(y)})
	}
	return out
}

// ArcTo appends to a line the way from its last point to another along an arc
// that rises so far to the right of the chord at its middle (outwards on a
// counter-clockwise outline; negative: to the left), as a tape measures it. No
// chord lies further than tolerance from the arc. It reports false where the
// points fall together or the rise is more than ten chords.
func ArcTo(line []Point, to Point, rise, tolerance Length) ([]Point, bool) {
	from := line[len(line)-1]
	chord := Distance(from, to)
	if chord == 0 || absLength(rise) > 10*chord {
		return line, false
	}
	return bulged(line, from, to, 2*float64(rise)/float64(chord), tolerance, 0), true
}

func absLength(l Length) Length { return max(l, -l) }
