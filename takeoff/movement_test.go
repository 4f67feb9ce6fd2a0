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

// TestMovementByStandard: the longest runs by standard and place. EJ171 and BS
// 5385 as reported in FACTS.md 3.1–3.3, 3.8, 3.9, an Australian data sheet 3.10;
// the addresses stand beside the figures.
func TestMovementByStandard(t *testing.T) {
	for _, c := range []struct {
		standard, place string
		change          func(*rooms.Surface)
		want            rooms.Length
	}{
		{"", "floor inside", nil, 25 * rooms.Foot},
		{MovementEJ171, "floor outside", func(s *rooms.Surface) { s.Outside = true }, 12 * rooms.Foot},
		{MovementEJ171, "suspended floor", func(s *rooms.Surface) { s.Suspended = true }, 12 * rooms.Foot},
		{MovementEJ171, "wall in sun", func(s *rooms.Surface) { s.Kind, s.Sunny = rooms.Wall, true }, 12 * rooms.Foot},
		{MovementBS5385, "floor inside", nil, 10 * rooms.Metre},
		{MovementBS5385, "wall inside", func(s *rooms.Surface) { s.Kind = rooms.Wall }, 4500 * lmm},
		{MovementBS5385, "wet wall", func(s *rooms.Surface) { s.Kind, s.Wet = rooms.Wall, true }, 4500 * lmm},
		{MovementBS5385, "floor outside", func(s *rooms.Surface) { s.Outside = true }, 5 * rooms.Metre},
		{MovementAS3958, "floor inside", nil, 5 * rooms.Metre},
		{MovementAS3958, "wall inside", func(s *rooms.Surface) { s.Kind = rooms.Wall }, 5 * rooms.Metre},
		{MovementBS5385, "the job's own", func(s *rooms.Surface) { s.MovementLimit = 3 * rooms.Metre }, 3 * rooms.Metre},
	} {
		s := rooms.Surface{Kind: rooms.Floor}
		if c.change != nil {
			c.change(&s)
		}
		if got, source := standardNamed(c.standard).movementLimit(&s); got != c.want || source == "" {
			t.Errorf("%s, %s: %s (%s), want %s", c.standard, c.place, got, source, c.want)
		}
	}
	// 9 m of floor: two joints by EJ171, none by BS 5385, one by AS 3958.
	for standard, want := range map[string]int{MovementEJ171: 1, MovementBS5385: 0, MovementAS3958: 1} {
		in := wall(9000*lmm, 2000*lmm, box("t", 297*lmm, 297*lmm), rooms.Zone{})
		in.Standard, in.Room.Surfaces[0].Kind = standard, rooms.Floor
		if got := len(lay(t, in).Zones[0].Movement); got != want {
			t.Errorf("%s: %d soft joints in 9 m, want %d", standard, got, want)
		}
	}
}

// TestLeastJointByStandard: FACTS.md 2.1, 2.5 and 2.6.
func TestLeastJointByStandard(t *testing.T) {
	for _, c := range []struct {
		standard string
		tile     Tile
		floor    bool
		want     rooms.Length
	}{
		{MovementEJ171, box("t", 300*lmm, 300*lmm), true, rooms.Inch / 16},
		{MovementBS5385, box("t", 300*lmm, 300*lmm), false, 2 * lmm},
		{MovementBS5385, box("t", 300*lmm, 300*lmm), true, 3 * lmm},
		{MovementBS5385, box("t", 600*lmm, 300*lmm), false, 3 * lmm}, // 0.18 m²
		{MovementBS5385, box("t", 700*lmm, 100*lmm), false, 3 * lmm}, // a side over 600 mm
		{MovementBS5385, box("t", 1200*lmm, 600*lmm), false, 3 * lmm},
		{MovementBS5385, box("t", 3000*lmm, 1000*lmm), false, 5 * lmm}, // a panel of 3 m
		{MovementAS3958, box("t", 300*lmm, 300*lmm), true, 3 * lmm},
	} {
		if got, source := standardNamed(c.standard).least(&c.tile, c.floor); got != c.want || source == "" {
			t.Errorf("%s, %v, floor %v: %s (%s), want %s", c.standard, c.tile.Shape.Box().Max, c.floor, got, source, c.want)
		}
	}
}

// TestZonesWithoutSoftJoint: two zones, each shorter than the limit, on a floor
// that is longer: nothing divides the run, and that is said.
func TestZonesWithoutSoftJoint(t *testing.T) {
	in := wall(9000*lmm, 2000*lmm, box("t", 297*lmm, 297*lmm), rooms.Zone{})
	s := &in.Room.Surfaces[0]
	s.Kind = rooms.Floor
	second := s.Zones[0]
	second.Key, second.Region = "left", rooms.Rect(0, 0, 4500*lmm, 2000*lmm)
	s.Zones = append(s.Zones, second)
	missing := func() int {
		n := 0
		for _, f := range lay(t, in).Findings {
			if f.Rule == "movement joint missing" {
				n++
			}
		}
		return n
	}
	if n := missing(); n != 1 {
		t.Errorf("%d findings, want 1", n)
	}
	s.SoftJoints = []rooms.SoftJoint{{A: rooms.Point{X: 4500 * lmm, Y: -lmm}, B: rooms.Point{X: 4500 * lmm, Y: 2001 * lmm}, Width: 6 * lmm}}
	if n := missing(); n != 0 {
		t.Errorf("with a soft joint between the zones: %d findings", n)
	}
}
