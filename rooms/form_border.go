package rooms

import "fmt"

// Strip is a part of a border: along side Side of the outline, its pattern turned
// by Degrees so that courses run along that side.
type Strip struct {
	Side, Degrees int
	Region        Ring
}

// Border lays a border of a width round an outline, at a distance from it: a
// strip along every side. At square corners a strip runs past the next one's end,
// as tile is set round a floor, unless mitred; at any other corner both are cut
// along the line that halves it. An error says which side is too short.
func Border(outline Ring, distance, width Length, mitred bool) ([]Strip, error) {
	if width <= 0 || distance < 0 {
		return nil, fmt.Errorf("a border %s wide, %s from the edge; expected a width, and a distance of 0 or more", width, distance)
	}
	line := outline.Simplify() // a doorway in a wall is no side of the border
	if err := line.Validate(); err != nil {
		return nil, err
	}
	outer, err := drawnIn(line, distance)
	if err != nil {
		return nil, err
	}
	inner, err := drawnIn(line, distance+width)
	if err != nil {
		return nil, err
	}
	var strips []Strip
	for i := range line {
		r, err := stripAlong(outer, inner, i, width, mitred)
		if err != nil {
			return nil, err
		}
		strips = append(strips, Strip{i, bearing(line[i], line[(i+1)%len(line)]), r})
	}
	return strips, nil
}

// drawnIn moves every side of a ring inwards; corner i stays corner i.
func drawnIn(r Ring, by Length) (Ring, error) {
	if by == 0 {
		return r, nil
	}
	n := len(r)
	out := make(Ring, n)
	for i, p := range r {
		before, after := r[(i+n-1)%n], r[(i+1)%n]
		a, b := Shift(before, p, by, true)
		c, d := Shift(p, after, by, true)
		at, ok := lineCrossing(a, b, c, d)
		if !ok {
			return nil, fmt.Errorf("corner %d (counted from 0) has no angle", i)
		}
		out[i] = at
	}
	for i, p := range r {
		q, s, t := r[(i+1)%n], out[i], out[(i+1)%n]
		if float64(q.X-p.X)*float64(t.X-s.X)+float64(q.Y-p.Y)*float64(t.Y-s.Y) <= 0 {
			return nil, fmt.Errorf("the %s edge, %s long, is too short for a border that reaches %s in", r.EdgeNames()[i], Distance(p, q), by)
		}
	}
	if err := out.Validate(); err != nil {
		return nil, fmt.Errorf("a border that reaches %s in leaves nothing inside it", by)
	}
	return out, nil
}

// stripAlong is the strip between side i of two rings.
func stripAlong(outer, inner Ring, i int, width Length, mitred bool) (Ring, error) {
	n := len(outer)
	k := (i + 1) % n
	a, b, c, d := outer[i], outer[k], inner[k], inner[i]
	if !mitred && square(outer, i) { // the strip before takes the corner
		if turnsLeft(outer, i) {
			a = foot(d, outer[i], outer[k])
		} else {
			d = shifted(a, outer[i], outer[k], width, true)
		}
	}
	if !mitred && square(outer, k) { // this one takes it
		if turnsLeft(outer, k) {
			c = shifted(b, outer[i], outer[k], width, true)
		} else {
			b = foot(c, outer[i], outer[k])
		}
	}
	r := Ring{a, b, c, d}
	if err := r.Validate(); err != nil {
		return nil, fmt.Errorf("the %s edge is too short for a border %s wide", outer.EdgeNames()[i], width)
	}
	return r, nil
}

// square reports whether a corner has a right angle, and its sides run along the
// axes, where that is exact.
func square(r Ring, i int) bool {
	n := len(r)
	a, b, c := r[(i+n-1)%n], r[i], r[(i+1)%n]
	return a.X == b.X && b.Y == c.Y || a.Y == b.Y && b.X == c.X
}

func turnsLeft(r Ring, i int) bool {
	n := len(r)
	return Side(r[(i+n-1)%n], r[i], r[(i+1)%n]) > 0
}

// foot is the point of the level or upright line a–b that is nearest to p.
func foot(p, a, b Point) Point {
	if a.Y == b.Y {
		return Point{p.X, a.Y}
	}
	return Point{a.X, p.Y}
}

// bearing is the direction of a line as a turn of 0 to 179 whole degrees: that of
// a → b or of b → a.
func bearing(a, b Point) int {
	best, off := 0, -1.0
	dx, dy := float64(b.X-a.X), float64(b.Y-a.Y)
	for deg := range 180 {
		x, y := polar(float64(deg))
		if d := abs(float64(dx*x) + float64(dy*y)); d > off+1e-6 {
			best, off = deg, d
		}
	}
	return best
}

func abs(x float64) float64 { return max(x, -x) }

// Band is the part of a surface between two heights, from one of its sides to the
// other.
func Band(outline Ring, from, to Length) (Ring, error) {
	b := outline.Box()
	if from < b.Min.Y || to > b.Max.Y || from >= to {
		return nil, fmt.Errorf("a band from %s to %s does not lie on a surface that is %s high", from, to, b.Max.Y)
	}
	got, err := Intersect([]Polygon{{Outer: outline}}, []Polygon{{Outer: Rect(b.Min.X, from, b.Max.X, to)}})
	if err != nil {
		return nil, err
	}
	if len(got) != 1 || len(got[0].Holes) > 0 {
		return nil, fmt.Errorf("the outline divides the band from %s to %s in %d parts; draw them as zones", from, to, len(got))
	}
	return got[0].Outer, nil
}
