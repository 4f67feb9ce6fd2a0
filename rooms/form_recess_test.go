package rooms

import "testing"

// TestPastRecesses: a doorway set back into its wall is left out of the line of a border;
// what is no doorway, is as deep as a room, or has walls that do not run on in one line
// stays.
func TestPastRecesses(t *testing.T) {
	mm := Millimetre
	floor := func(deep Length) Ring {
		return Ring{{0, 0}, {800 * mm, 0}, {800 * mm, -deep}, {1600 * mm, -deep}, {1600 * mm, 0}, {3000 * mm, 0}, {3000 * mm, 2000 * mm}, {0, 2000 * mm}}
	}
	step := floor(100 * mm)
	step[0].Y, step[1].Y = -20*mm, -20*mm
	for _, c := range []struct {
		name    string
		outline Ring
		door    int
		want    int
	}{
		{"a recess", floor(100 * mm), 2, 1},
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
