package takeoff

import (
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
					if c.chain != nil {
						t.Fatalf("%s keeps its mark", p.ID)
					}
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
	if cuts < 45 || len(texts) > 22 { // 32 by their own figures
		t.Errorf("%d cuts in %d ways", cuts, len(texts))
	}
}

// TestMarksThatServe: one mark serves two pieces where it lies within half a millimetre
// and between the limits of the gap, which differ inwards and outwards.
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
		{line(0, 50*lmm+4*tenth, 50*lmm+4*tenth, 0), true},  // 0.28 deeper
		{line(0, 50*lmm+6*tenth, 50*lmm+6*tenth, 0), false}, // further than a mark is exact to
		{line(0, 50*lmm-3*tenth, 50*lmm-3*tenth, 0), true},  // 0.21 less deep
		{line(0, 50*lmm-4*tenth, 50*lmm-4*tenth, 0), false}, // the gap would be too narrow
		{line(0, 50*lmm, 50*lmm-4*tenth, 0), false},         // at one end
	} {
		if got := own.serves(c.other); got != c.want {
			t.Errorf("%v: %v", c.other.points, got)
		}
	}
	if got := (&framed{imperial: true}).at(-1) + " " + (&framed{}).at(27*lmm-1); got != `0" 27` {
		t.Errorf("printed %s", got)
	}
}
