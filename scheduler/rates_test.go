package scheduler

import (
	"math"
	"testing"
)

func TestGangOf(t *testing.T) {
	for _, c := range []struct {
		setters, helpers, people int
		wantS, wantH             int
		speed                    float64
	}{
		{1, 0, 2, 1, 0, 0.65},
		{1, 1, 2, 1, 1, 1},
		{1, 3, 4, 1, 1, 1}, // further helpers add nothing
		{2, 1, 2, 2, 0, 1.3},
		{2, 1, 3, 2, 1, 1.65},
		{2, 2, 2, 2, 0, 1.3},
		{2, 2, 4, 2, 2, 2},
		{3, 1, 1, 1, 0, 0.65},
		{2, 1, 0, 2, 0, 1.3}, // no figure: two in a room
	} {
		g := gangOf(Crew{Setters: c.setters, Helpers: c.helpers}, c.people, DefaultRates)
		if g.setters != c.wantS || g.helpers != c.wantH || math.Abs(g.speed-c.speed) > 1e-9 {
			t.Errorf("%d setters, %d helpers, %d in the room: %+v, want %d + %d at %v", c.setters, c.helpers, c.people, g, c.wantS, c.wantH, c.speed)
		}
	}
}

// One setter, helper or place in the room more never slows the work, and
// nobody is sent who is not there or does not fit.
func TestGangGrows(t *testing.T) {
	for _, single := range []float64{0.3, 0.5, 0.65, 0.9, 1} {
		r := DefaultRates
		r.SingleSetter = single
		for s := 1; s <= 6; s++ {
			for h := 0; h <= 6; h++ {
				for p := 1; p <= 8; p++ {
					g := gangOf(Crew{Setters: s, Helpers: h}, p, r)
					if g.setters < 1 || g.setters > s || g.helpers < 0 || g.helpers > h || g.setters+g.helpers > p {
						t.Fatalf("%d setters, %d helpers, %d in the room: %+v", s, h, p, g)
					}
					for _, more := range []gang{
						gangOf(Crew{Setters: s + 1, Helpers: h}, p, r), gangOf(Crew{Setters: s, Helpers: h + 1}, p, r), gangOf(Crew{Setters: s, Helpers: h}, p+1, r),
					} {
						if more.speed < g.speed-1e-9 {
							t.Fatalf("%d setters, %d helpers, %d in the room, single %v: %+v, with one more %+v", s, h, p, single, g, more)
						}
					}
				}
			}
		}
	}
}
