package rooms

import (
	"math"
	"slices"
)

// Drawn is a closed outline from a drawing.
type Drawn struct {
	Key string
	// Kind of an opening: one of OpeningKinds; empty for a surface.
	Kind string
	// Outline is counter-clockwise, its arcs drawn with straight lines; Corners are
	// its sides as they were drawn, each arc one.
	Outline Ring
	Corners []Corner
	// Diameter and Centre of a whole circle; 0 is none.
	Diameter Length
	Centre   Point
	Openings []Drawn
}

// Corner is a corner of a line, and how the line comes to it: straight, or along an
// arc whose middle lies Rise to the right of the chord (outwards on a
// counter-clockwise outline; negative: to the left).
type Corner struct {
	To   Point
	Rise Length
}

// arcTo appends the way to a point along an arc: bulge is the tangent of a quarter
// of its angle, positive to the right of the chord. More than half a circle becomes
// two arcs.
func arcTo(line []Corner, to Point, bulge float64) []Corner {
	a := line[len(line)-1].To
	dx, dy := float64(to.X-a.X), float64(to.Y-a.Y)
	if math.Abs(bulge) > 1 {
		m := Point{a.X + roundHalf(dx/2+float64(bulge*dy)/2), a.Y + roundHalf(dy/2-float64(bulge*dx)/2)}
		half := bulge / (1 + math.Sqrt(1+float64(bulge*bulge)))
		return arcTo(arcTo(line, m, half), to, half)
	}
	return append(line, Corner{to, roundHalf(float64(bulge*hypot(dx, dy)) / 2)})
}

// reversedLine is an open line the other way round.
func reversedLine(line []Corner) []Corner {
	var out []Corner
	for i := len(line) - 1; i >= 0; i-- {
		c := Corner{To: line[i].To}
		if i+1 < len(line) {
			c.Rise = -line[i+1].Rise
		}
		out = append(out, c)
	}
	return out
}

// closedLine makes a closed outline of a line that ends where it begins:
// counter-clockwise, without corners that repeat or lie in the middle of a straight
// side.
func closedLine(line []Corner, tolerance Length) Drawn {
	n := len(line) - 1
	list := append([]Corner(nil), line[:n]...)
	list[0].Rise = line[n].Rise
	d := Drawn{Corners: list, Outline: flattened(list, tolerance)}
	if len(d.Outline) > 2 && d.Outline.Area().Sign() < 0 {
		back := reversedLine(line)
		back[0].Rise = back[n].Rise
		d = Drawn{Corners: back[:n]}
	}
	d.Corners = simpleCorners(d.Corners)
	d.Outline = flattened(d.Corners, tolerance).Simplify()
	return d
}

// simpleCorners drops corners between two straight sides that run on, and those
// that repeat the one before.
func simpleCorners(list []Corner) []Corner {
	for changed := true; changed; {
		changed = false
		for i := 0; i < len(list) && len(list) > 2; i++ {
			n := len(list)
			before, at, after := list[(i+n-1)%n], list[i], list[(i+1)%n]
			straight := at.Rise == 0 && after.Rise == 0 && Side(before.To, at.To, after.To) == 0
			if straight || at.To == before.To {
				list = slices.Delete(list, i, i+1)
				changed = true
				i--
			}
		}
	}
	return list
}

// flattened draws the arcs of a closed line with straight lines.
func flattened(list []Corner, tolerance Length) Ring {
	if len(list) == 0 {
		return nil
	}
	out := []Point{list[0].To}
	for i := range list {
		next := list[(i+1)%len(list)]
		if got, ok := ArcTo(out, next.To, next.Rise, tolerance); ok {
			out = got
		} else {
			out = append(out, next.To)
		}
	}
	return Ring(out[:len(out)-1])
}

// bulged appends the way from a to b, without a, along an arc: bulge is the
// tangent of a quarter of its angle, positive to the right of the chord. An arc
// is halved until its chord is near enough.
func bulged(line []Point, a, b Point, bulge float64, tolerance Length, depth int) []Point {
	dx, dy := float64(b.X-a.X), float64(b.Y-a.Y)
	if depth > 12 || math.Abs(bulge)*hypot(dx, dy)/2 <= float64(tolerance) {
		return append(line, b)
	}
	// The arc's top lies square to the chord, bulge × half the chord away.
	m := Point{a.X + roundHalf(dx/2+float64(bulge*dy)/2), a.Y + roundHalf(dy/2-float64(bulge*dx)/2)}
	half := bulge / (1 + math.Sqrt(1+float64(bulge*bulge)))
	return bulged(bulged(line, a, m, half, tolerance, depth+1), m, b, half, tolerance, depth+1)
}

// polar is cosine and sine of degrees, by series.
func polar(deg float64) (x, y float64) {
	deg = math.Mod(deg, 360)
	if deg < 0 {
		deg += 360
	}
	quarter := math.Floor((deg + 45) / 90)
	rest := (deg - 90*quarter) * (math.Pi / 180)
	x, y = cosSmall(rest), sinSmall(rest)
	switch int(quarter) % 4 {
	case 1:
		return -y, x
	case 2:
		return -x, -y
	case 3:
		return y, -x
	}
	return x, y
}
