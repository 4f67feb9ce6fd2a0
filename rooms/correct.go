package rooms

import (
	"cmp"
	"fmt"
	"slices"
)

// Corrected is a surface's outline as it will be when its tile is set.
type Corrected struct {
	Outline Ring
	// Edge[i] is the index of the surface's edge that edge i of Outline is part
	// of, -1 for a step between two edges that do not meet.
	Edge []int
}

// Correct applies the readings along the edges and then the build-up. One
// reading moves the whole edge; several make it run through all of them,
// straight on beyond the first and the last. A rectangle out of square leans as
// its two diagonals say. Neighbouring edges are drawn out
// until they meet. The error says which edges no longer make an outline.
func (s *Surface) Correct() (Corrected, error) {
	if err := s.Outline.Validate(); err != nil {
		return Corrected{}, fmt.Errorf("outline of %s: %w", s.Key, err)
	}
	if len(s.Build.Deduct) > len(s.Outline) {
		return Corrected{}, fmt.Errorf("build-up of %s: %d deductions for %d edges", s.Key, len(s.Build.Deduct), len(s.Outline))
	}
	n := len(s.Outline)
	lines := make([][]Point, n)
	leant := *s
	leant.Outline = s.skewed()
	for i := range leant.Outline {
		lines[i] = leant.trueEdge(i)
	}
	var c Corrected
	for i, line := range lines {
		c.join(lines[(i+n-1)%n], line, i)
	}
	if err := c.tidy(); err != nil {
		return Corrected{}, fmt.Errorf("outline of %s after readings and build-up: %w", s.Key, err)
	}
	return c, nil
}

// join adds the corner between the edge before and edge i, and the inner
// points of edge i.
func (c *Corrected) join(before, line []Point, i int) {
	a, b := before[len(before)-2], before[len(before)-1]
	corner, ok := b, b == line[0]
	if !ok {
		corner, ok = lineCrossing(a, b, line[0], line[1])
		ok = ok && Distance(corner, b) <= 2*(Distance(a, b)+Distance(line[0], line[1]))
	}
	if ok {
		c.add(corner, i)
	} else { // parallel: a step
		c.add(b, -1)
		c.add(line[0], i)
	}
	for _, p := range line[1 : len(line)-1] {
		c.add(p, i)
	}
}

func (c *Corrected) add(p Point, edge int) {
	c.Outline = append(c.Outline, p)
	c.Edge = append(c.Edge, edge)
}

// tidy drops points that fell together and validates.
func (c *Corrected) tidy() error {
	for i := 0; i < len(c.Outline); {
		if len(c.Outline) > 1 && c.Outline[i] == c.Outline[(i+1)%len(c.Outline)] {
			c.Outline = slices.Delete(c.Outline, i, i+1)
			c.Edge = slices.Delete(c.Edge, i, i+1)
			continue
		}
		i++
	}
	return c.Outline.Validate()
}

// trueEdge is the line of edge i through its readings, less the build-up.
func (s *Surface) trueEdge(i int) []Point {
	a, b := s.Outline[i], s.Outline[(i+1)%len(s.Outline)]
	var deduct Length
	if i < len(s.Build.Deduct) {
		deduct = s.Build.Deduct[i]
	}
	reads := s.readingsOf(i)
	long := Distance(a, b)
	if len(reads) == 0 && deduct == 0 {
		return []Point{a, b}
	}
	var line []Point
	add := func(at, out Length) {
		base := Point{a.X + scaled(b.X-a.X, at, long), a.Y + scaled(b.Y-a.Y, at, long)}
		line = append(line, offset(base, a, b, out-deduct))
	}
	switch len(reads) {
	case 0:
		add(0, 0)
		add(long, 0)
	case 1:
		add(0, reads[0].Deviation)
		add(long, reads[0].Deviation)
	default:
		add(0, onLine(reads[0], reads[1], 0))
		for _, r := range reads[1 : len(reads)-1] {
			add(r.At, r.Deviation)
		}
		k := len(reads)
		add(long, onLine(reads[k-2], reads[k-1], long))
	}
	return line
}

// onePlace is how near two readings on an edge must be to be of one place.
const onePlace = 10 * Millimetre

// readingsOf lists the readings on edge i in order of place: those on the
// outermost layer on which it was read, and of several at one place the last.
func (s *Surface) readingsOf(i int) []Reading {
	out := s.tapeReadings(i)
	layer := s.ReadOn(i)
	for _, r := range s.Readings {
		if r.Edge != i || s.layerOf(r) != layer {
			continue
		}
		out = slices.DeleteFunc(out, func(o Reading) bool { return near(o.At, r.At, onePlace) })
		out = append(out, r)
	}
	slices.SortStableFunc(out, func(a, b Reading) int { return cmp.Compare(a.At, b.At) })
	return out
}

// tapeReadings turns widths and heights of a rectangle into readings of its right
// and its top edge, where neither of the two edges that they lie between was read
// itself: the surface is as wide and as high as the tape says.
func (s *Surface) tapeReadings(i int) []Reading {
	kind := map[int]string{1: WidthAt, 2: HeightAt}[i]
	b := s.Outline.Box()
	if kind == "" || len(s.Outline) != 4 || !slices.Equal(s.Outline, Rect(b.Min.X, b.Min.Y, b.Max.X, b.Max.Y)) ||
		slices.ContainsFunc(s.Readings, func(r Reading) bool { return r.Edge == i || r.Edge == (i+2)%4 }) {
		return nil
	}
	var out []Reading
	for _, c := range s.Checks {
		if c.Kind != kind {
			continue
		}
		r := Reading{Edge: i, At: c.At - b.Min.Y, Deviation: c.Value - b.Width(), Layer: s.Layer}
		if kind == HeightAt { // the top edge runs from right to left
			r.At, r.Deviation = b.Max.X-c.At, c.Value-b.Height()
		}
		if r.At < 0 || r.At > Distance(s.Outline[i], s.Outline[(i+1)%4]) {
			continue // said by Contradictions
		}
		out = slices.DeleteFunc(out, func(o Reading) bool { return near(o.At, r.At, onePlace) })
		out = append(out, r)
	}
	slices.SortStableFunc(out, func(a, b Reading) int { return cmp.Compare(a.At, b.At) })
	return out
}

// onLine is the deviation at a place on the straight line through two readings.
func onLine(a, b Reading, at Length) Length {
	return a.Deviation + scaled(b.Deviation-a.Deviation, at-a.At, b.At-a.At)
}

// scaled is l·n/d to the nearest unit.
func scaled(l, n, d Length) Length {
	if d == 0 {
		return 0
	}
	return roundHalf(float64(l) * float64(n) / float64(d))
}

// offset moves p by out square to the line a→b, to its right: outwards.
func offset(p, a, b Point, out Length) Point {
	if out < 0 {
		return shifted(p, a, b, -out, true)
	}
	return shifted(p, a, b, out, false)
}
