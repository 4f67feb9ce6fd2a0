package rooms

import "testing"

// TestBorder: strips of a border do not overlap, lie side by side, have together
// the area between two rings, and run along their sides.
func TestBorder(t *testing.T) {
	mm := Millimetre
	ell := LFloor(3000*mm, 2400*mm, 900*mm, 700*mm)
	door := Ring{{0, 0}, {1000 * mm, 0}, {1900 * mm, 0}, {3000 * mm, 0}, {3000 * mm, 2000 * mm}, {0, 2000 * mm}}
	kite := Ring{{0, 0}, {2000 * mm, 0}, {2000 * mm, 1500 * mm}, {1000 * mm, 2500 * mm}, {0, 1500 * mm}}
	for _, c := range []struct {
		name            string
		outline         Ring
		distance, width Length
		mitred          bool
		strips          int
		area            float64 // mm²
	}{
		{"rectangle", Rect(0, 0, 3000*mm, 2000*mm), 200 * mm, 100 * mm, false, 4, 2600*1600 - 2400*1400},
		{"rectangle, mitred", Rect(0, 0, 3000*mm, 2000*mm), 200 * mm, 100 * mm, true, 4, 2600*1600 - 2400*1400},
		{"at the wall", Rect(0, 0, 3000*mm, 2000*mm), 0, 100 * mm, false, 4, 3000*2000 - 2800*1800},
		{"an L", ell, 150 * mm, 100 * mm, false, 6, (2700*2100 - 900*700) - (2500*1900 - 900*700)},
		{"an L, mitred", ell, 150 * mm, 100 * mm, true, 6, (2700*2100 - 900*700) - (2500*1900 - 900*700)},
		{"a doorway is no side", door, 200 * mm, 100 * mm, false, 4, 2600*1600 - 2400*1400},
		{"slanted sides", kite, 0, 100 * mm, false, 5, -1},
	} {
		strips, err := Border(c.outline, c.distance, c.width, c.mitred)
		if err != nil || len(strips) != c.strips {
			t.Errorf("%s: %d strips, %v", c.name, len(strips), err)
			continue
		}
		sum := 0.0
		for i, s := range strips {
			sum += s.Region.AreaMM2()
			for _, o := range strips[:i] {
				both, err := Intersect([]Polygon{{Outer: s.Region}}, []Polygon{{Outer: o.Region}})
				if err != nil || len(both) > 0 {
					t.Errorf("%s: strips %d and %d overlap: %v %v", c.name, o.Side, s.Side, both, err)
				}
			}
			for _, p := range s.Region {
				if c.outline.Place(p) == Outside {
					t.Errorf("%s: strip %d leaves the outline at %v", c.name, s.Side, p)
				}
			}
		}
		if d := sum - c.area; c.area > 0 && (d > 1 || d < -1) {
			t.Errorf("%s: %.0f mm², want %.0f", c.name, sum, c.area)
		}
		if strips[1].Degrees != 90 || strips[0].Degrees != 0 {
			t.Errorf("%s: turned by %d and %d", c.name, strips[0].Degrees, strips[1].Degrees)
		}
	}
	if s, _ := Border(kite, 0, 100*mm, false); s[2].Degrees != 135 || s[3].Degrees != 45 {
		t.Errorf("slanted sides are turned by %d and %d, want 135 and 45", s[2].Degrees, s[3].Degrees)
	}
	for _, c := range []struct{ distance, width Length }{{0, 1000 * mm}, {900 * mm, 200 * mm}, {0, 0}, {-1, 100 * mm}} {
		if _, err := Border(Rect(0, 0, 3000*mm, 2000*mm), c.distance, c.width, false); err == nil {
			t.Errorf("a border of %s at %s is accepted", c.width, c.distance)
		}
	}
}

// TestBand: a band goes from side to side, also under a gable.
func TestBand(t *testing.T) {
	mm := Millimetre
	gable := Ring{{0, 0}, {2000 * mm, 0}, {2000 * mm, 1500 * mm}, {1000 * mm, 2500 * mm}, {0, 1500 * mm}}
	cut := Ring{{0, 0}, {2000 * mm, 0}, {2000 * mm, 2000 * mm}, {1500 * mm, 2000 * mm}, {1500 * mm, 1000 * mm}, {500 * mm, 1000 * mm}, {500 * mm, 2000 * mm}, {0, 2000 * mm}}
	for _, c := range []struct {
		outline  Ring
		from, to Length
		area     float64 // 0: refused
	}{
		{Rect(0, 0, 2000*mm, 2500*mm), 1200 * mm, 1300 * mm, 2000 * 100},
		{gable, 1400 * mm, 2000 * mm, 2000*100 + 1500*500},
		{gable, 1400 * mm, 2600 * mm, 0},
		{gable, 1400 * mm, 1400 * mm, 0},
		{cut, 1200 * mm, 1300 * mm, 0},
	} {
		r, err := Band(c.outline, c.from, c.to)
		if c.area == 0 {
			if err == nil {
				t.Errorf("a band from %s to %s is accepted", c.from, c.to)
			}
			continue
		}
		if err != nil {
			t.Error(err)
		} else if got := r.AreaMM2(); got < c.area-1 || got > c.area+1 {
			t.Errorf("a band from %s to %s has %.0f mm², want %.0f", c.from, c.to, got, c.area)
		}
	}
}
