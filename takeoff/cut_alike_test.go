package takeoff

import (
	"fmt"
	"strings"
	"testing"

	"potlife/rooms"
)

// TestAlikeCutsShareAText: along the walls of a diagonal floor the triangles differ by
// rounding only and stand in the list as a handful of cuts, metric and imperial; no
// figure of a cut is negative.
func TestAlikeCutsShareAText(t *testing.T) {
	for _, imperial := range []bool{false, true} {
		for _, turn := range []int{0, 30, 45} {
			in := wall(3100*lmm, 2300*lmm, box("t", 297*lmm, 297*lmm), rooms.Zone{Turn: turn, Pattern: "diagonal"})
			in.Imperial = imperial
			texts, cuts := map[string]int{}, 0
			z := lay(t, in).Zones[0]
			for _, p := range z.Pieces {
				for _, c := range p.Cuts {
					if c.Shape == "" {
						continue
					}
					if strings.Contains(c.Shape, "-") {
						t.Errorf("turned by %d: %s", turn, c.Shape)
					}
					cuts++
					texts[c.Shape]++
				}
			}
			if turn == 0 && (cuts < 30 || len(texts) > 12) {
				t.Errorf("imperial %v: %d cuts in %d ways", imperial, cuts, len(texts))
			}
		}
	}
}

// TestAlikeCutsAlongLeaningWalls: walls that run out by 2 mm over their whole length make
// each triangle differ a little from the next; what one mark serves is listed once.
func TestAlikeCutsAlongLeaningWalls(t *testing.T) {
	in := wall(3600*lmm, 2400*lmm, box("t", 297*lmm, 297*lmm), rooms.Zone{Pattern: "diagonal"})
	r := in.Room.Surfaces[0].Outline
	r[2].X, r[2].Y = r[2].X+2*lmm, r[2].Y+2*lmm
	texts, cuts := map[string]bool{}, 0
	for _, p := range lay(t, in).Zones[0].Pieces {
		for _, c := range p.Cuts {
			texts[c.Shape] = true
			cuts++
		}
	}
	if cuts < 45 || len(texts) > 12 { // 32 by their own figures
		t.Errorf("%d cuts in %d ways", cuts, len(texts))
	}
}

// TestMarksThatServe: one mark serves two pieces where it lies between the limits of the
// gap, which differ inwards and outwards.
func TestMarksThatServe(t *testing.T) {
	line := func(x0, y0, x1, y1 rooms.Length) *chain {
		return &chain{points: []rooms.Point{{X: x0, Y: y0}, {X: x1, Y: y1}}, limits: []cutLimits{{less: 2 * lmm, more: lmm / 4}}}
	}
	const tenth = lmm / 10
	own := line(0, 50*lmm, 50*lmm, 0) // from the left side to the lower one: the piece lies above it
	for _, c := range []struct {
		other *chain
		want  bool
	}{
		{line(0, 50*lmm, 50*lmm, 0), true},
		{line(0, 50*lmm+4*tenth, 50*lmm+4*tenth, 0), true},    // 0.28 deeper
		{line(0, 50*lmm+28*tenth, 50*lmm+28*tenth, 0), true},  // 1.98
		{line(0, 50*lmm+29*tenth, 50*lmm+29*tenth, 0), false}, // the gap would be too wide
		{line(0, 50*lmm-3*tenth, 50*lmm-3*tenth, 0), true},    // 0.21 less deep
		{line(0, 50*lmm-4*tenth, 50*lmm-4*tenth, 0), false},   // the gap would be too narrow
		{line(0, 50*lmm, 50*lmm-4*tenth, 0), false},           // at one end
		{line(10*lmm, 40*lmm, 50*lmm, 0), false},              // it would have to go on beyond its end
	} {
		if got := own.serves(c.other); got != c.want {
			t.Errorf("%v: %v", c.other.points, got)
		}
	}
	if got := (&framed{imperial: true}).at(-1) + " " + (&framed{}).at(27*lmm-1); got != `0" 27` {
		t.Errorf("printed %s", got)
	}
}

// TestLentMarksKeepTheGaps reads the figures of every straight line that is cut off a tile
// from its text and holds them to the place of the piece: on leaning walls, in several
// turns, no line lies further from the border of the cover than the gap there may grow or
// shrink, but for the rounding of the figures to a tenth.
func TestLentMarksKeepTheGaps(t *testing.T) {
	const tenth = lmm / 10
	lent := 0
	for _, turn := range []int{0, 15, 30, 70} {
		in := wall(4100*lmm, 2600*lmm, box("t", 297*lmm, 297*lmm), rooms.Zone{Pattern: "diagonal", Turn: turn})
		s := &in.Room.Surfaces[0]
		s.Outline[2].X, s.Outline[2].Y, s.Outline[3].Y = s.Outline[2].X+9*lmm, s.Outline[2].Y+5*lmm, s.Outline[3].Y-4*lmm
		for i := range s.Edges {
			s.Edges[i] = rooms.Edge{Meets: rooms.InsideCorner, Gap: 5 * lmm, GapMin: 5*lmm - lmm/2, GapMax: 8 * lmm}
		}
		texts := map[string]int{}
		for _, p := range lay(t, in).Zones[0].Pieces {
			for _, c := range p.Cuts {
				var m [4]float64
				if n, _ := fmt.Sscanf(c.Shape, "straight line from (%f, %f) to (%f, %f)", &m[0], &m[1], &m[2], &m[3]); n < 4 {
					continue
				}
				texts[c.Shape]++
				a, b := rooms.Point{X: rooms.Length(m[0] * float64(lmm)), Y: rooms.Length(m[1] * float64(lmm))}, rooms.Point{X: rooms.Length(m[2] * float64(lmm)), Y: rooms.Length(m[3] * float64(lmm))}
				by := turnBy(int(p.Degrees)).ring(rooms.Ring{a, b})
				a, b = by[0], by[1]
				a, b = rooms.Point{X: a.X + p.Place.X, Y: a.Y + p.Place.Y}, rooms.Point{X: b.X + p.Place.X, Y: b.Y + p.Place.Y}
				ok := false
				for i, u := range p.Polygon.Outer { // the edge it makes
					v := p.Polygon.Outer[(i+1)%len(p.Polygon.Outer)]
					ok = ok || rooms.Distance(a, u) < 10*lmm && rooms.Distance(b, v) < 10*lmm &&
						min(leftOf(u, v, a), leftOf(u, v, b)) >= -lmm/2-2*tenth && max(leftOf(u, v, a), leftOf(u, v, b)) <= 3*lmm+2*tenth
				}
				if !ok {
					t.Errorf("turned by %d, %s: %s leaves the limits of its gap", turn, p.ID, c.Shape)
				}
			}
		}
		for _, n := range texts {
			lent += n - 1
		}
	}
	if lent < 40 {
		t.Errorf("only %d cuts share their text", lent)
	}
}
