package rooms

import (
	"slices"
	"testing"
)

// TestPastRecesses: a doorway set back into its wall is left out of the line of a border;
// what is no doorway, is as deep as a room, or has walls that do not run on in one line
// stays.
func TestPastRecesses(t *testing.T) {
	mm := Millimetre
	floor := func(deep Length) Ring {
		return Ring{{0, 0}, {800 * mm, 0}, {800 * mm, -deep}, {1600 * mm, -deep}, {1600 * mm, 0}, {3000 * mm, 0}, {3000 * mm, 2000 * mm}, {0, 2000 * mm}}
	}
	splayed := floor(100 * mm)
	splayed[2].X, splayed[3].X = 850*mm, 1500*mm
	askew := floor(100 * mm) // a threshold that does not run along the wall
	askew[3].Y = -160 * mm
	left := Ring{{0, -120 * mm}, {800 * mm, -120 * mm}, {800 * mm, 0}, {3000 * mm, 0}, {3000 * mm, 2000 * mm}, {0, 2000 * mm}}
	right := Ring{{0, 0}, {2200 * mm, 0}, {2200 * mm, -120 * mm}, {3000 * mm, -120 * mm}, {3000 * mm, 2000 * mm}, {0, 2000 * mm}}
	leaning := slices.Clone(left) // the other wall does not stand square
	leaning[0].X = -40 * mm
	step := floor(100 * mm)
	step[0].Y, step[1].Y = -20*mm, -20*mm
	for _, c := range []struct {
		name    string
		outline Ring
		door    int
		want    int
	}{
		{"a recess", floor(100 * mm), 2, 1},
		{"splayed reveals", splayed, 2, 1},
		{"an askew threshold", askew, 2, 1},
		{"in the left corner", left, 0, 1},
		{"in the right corner", right, 2, 1},
		{"in a corner that is not square", leaning, 0, 0},
		{"an alcove in the corner", right, 1, 0},
		{"an alcove", floor(100 * mm), 5, 0},
		{"a corridor", floor(900 * mm), 2, 0},
		{"a step in the wall", step, 2, 0},
		{"flush", Ring{{0, 0}, {800 * mm, 0}, {1600 * mm, 0}, {3000 * mm, 0}, {3000 * mm, 2000 * mm}, {0, 2000 * mm}}, 1, 0},
	} {
		edges := make([]Edge, len(c.outline))
		edges[c.door].Meets = Doorway
		straight, recesses := PastRecesses(c.outline, edges)
		if len(recesses) != c.want || len(straight) != len(c.outline)-2*c.want {
			t.Errorf("%s: %v and %v", c.name, straight, recesses)
			continue
		}
		if err := straight.Validate(); err != nil {
			t.Errorf("%s: %v", c.name, err)
		}
		if _, err := Border(straight, 0, 100*mm, false); err != nil && c.want > 0 {
			t.Errorf("%s: %v", c.name, err)
		}
		area := straight.AreaMM2()
		for _, r := range recesses {
			if err := r.Validate(); err != nil {
				t.Errorf("%s: %v", c.name, err)
			}
			area += r.AreaMM2()
		}
		if area != c.outline.AreaMM2() {
			t.Errorf("%s: %.0f mm² of %.0f", c.name, area, c.outline.AreaMM2())
		}
	}
}
