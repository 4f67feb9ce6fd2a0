package takeoff

import (
	"testing"

	"potlife/rooms"
)

// TestMovementJoints: 25 ft inside, 12 ft wet (FACTS.md 3.1, 3.2, TCNA EJ171 as
// reported at https://user-69113096.cld.bz/2024-25-NTCA-Reference-Manual-dig-dwnld/21).
func TestMovementJoints(t *testing.T) {
	tile := box("t", 297*lmm, 297*lmm)
	for _, c := range []struct {
		name    string
		w       rooms.Length
		pattern string
		wet     bool
		joints  int
		through bool
	}{
		{"short", 7600 * lmm, "straight", false, 0, false},
		{"over 25 ft", 7700 * lmm, "straight", false, 1, false},
		{"wet, over 12 ft", 3700 * lmm, "straight", true, 1, false},
		{"wet, over 24 ft", 7400 * lmm, "straight", true, 2, false},
		{"an offset pattern is cut through", 7700 * lmm, "offset 1/2", false, 1, true},
	} {
		in := wall(c.w, 1200*lmm, tile, rooms.Zone{Pattern: c.pattern})
		in.Room.Surfaces[0].Wet = c.wet
		l := lay(t, in)
		if err := CheckLayout(l, in.Tiles); err != nil {
			t.Errorf("%s: %v", c.name, err)
		}
		z := l.Zones[0]
		if len(z.Movement) != c.joints {
			t.Errorf("%s: %d joints, want %d", c.name, len(z.Movement), c.joints)
			continue
		}
		for _, j := range z.Movement {
			if j.Through != c.through {
				t.Errorf("%s: through %v", c.name, j.Through)
			}
			for _, p := range z.Pieces {
				b := p.Polygon.Outer.Box()
				if b.Min.X < j.A.X+j.Width/2-8 && b.Max.X > j.A.X-j.Width/2+8 {
					t.Errorf("%s: %s crosses the joint at %s", c.name, p.ID, j.A.X)
				}
			}
		}
	}
}

// TestStructuralJointGoesStraightThrough: a joint in the slab at an angle cuts
// the tiles on both sides, as wide as it is.
func TestStructuralJointGoesStraightThrough(t *testing.T) {
	in := wall(3000*lmm, 2000*lmm, box("t", 297*lmm, 297*lmm), rooms.Zone{})
	in.Room.Surfaces[0].SoftJoints = []rooms.SoftJoint{{A: rooms.Point{X: 1000 * lmm, Y: -100 * lmm}, B: rooms.Point{X: 1400 * lmm, Y: 2100 * lmm}, Width: 10 * lmm, Name: "slab"}}
	l := lay(t, in)
	if err := CheckLayout(l, in.Tiles); err != nil {
		t.Fatal(err)
	}
	named := 0
	for _, p := range l.Zones[0].Pieces {
		for _, c := range p.Cuts {
			if c.At == "soft joint slab" {
				named++
			}
		}
	}
	if len(l.Zones[0].Cover) != 2 || named < 12 {
		t.Errorf("%d parts of cover, %d cuts at the joint", len(l.Zones[0].Cover), named)
	}
}
