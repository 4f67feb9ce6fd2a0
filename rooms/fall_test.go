package rooms

import "testing"

func TestEnvelope(t *testing.T) {
	mm := Millimetre
	planes, err := Envelope(Rect(0, 0, 900*mm, 1200*mm), Point{450 * mm, 400 * mm})
	if err != nil || len(planes) != 4 {
		t.Fatalf("%d planes, %v", len(planes), err)
	}
	var sum Area
	for _, p := range planes {
		if err := p.Validate(); err != nil {
			t.Error(err)
		}
		sum = sum.Add(p.Area())
	}
	if sum.MM2() != 900*1200 {
		t.Errorf("the planes have %.1f mm², want %d", sum.MM2(), 900*1200)
	}
	for _, low := range []Point{{-1, 5}, {0, 0}, {2000 * mm, 0}} {
		if _, err := Envelope(Rect(0, 0, 900*mm, 1200*mm), low); err == nil {
			t.Errorf("low point %v is accepted", low)
		}
	}
	l := Ring{{0, 0}, {3000 * mm, 0}, {3000 * mm, 1000 * mm}, {1000 * mm, 1000 * mm}, {1000 * mm, 2000 * mm}, {0, 2000 * mm}}
	if _, err := Envelope(l, Point{2500 * mm, 500 * mm}); err == nil {
		t.Error("a point round the corner is accepted")
	}
	if f := Fall(450*mm, 20); f != 9*mm {
		t.Errorf("2 %% over 450 mm falls %s, want 9 mm", f)
	}
}

// TestPlanes: the planes of every kind of fall cover the floor once.
func TestPlanes(t *testing.T) {
	mm := Millimetre
	floor := Rect(0, 0, 900*mm, 1200*mm)
	for _, c := range []struct {
		fall  Falls
		n     int
		wrong bool
	}{
		{Falls{}, 0, false},
		{Falls{Kind: OneFall}, 0, false},
		{Falls{Kind: ToPoint, A: Point{300 * mm, 400 * mm}}, 4, false},
		{Falls{Kind: TwoFalls, A: Point{450 * mm, 0}, B: Point{450 * mm, 1200 * mm}}, 2, false},
		{Falls{Kind: TwoFalls, A: Point{400 * mm, 100 * mm}, B: Point{500 * mm, 300 * mm}}, 2, false},
		{Falls{Kind: TwoFalls, A: Point{-450 * mm, 0}, B: Point{-450 * mm, 1200 * mm}}, 0, true},
		{Falls{Kind: TwoFalls}, 0, true},
		{Falls{Kind: ToLine, A: Point{450 * mm, 300 * mm}, B: Point{450 * mm, 900 * mm}}, 4, false},
		{Falls{Kind: ToLine, A: Point{450 * mm, 1300 * mm}, B: Point{450 * mm, 2000 * mm}}, 0, true},
		{Falls{Kind: "somehow"}, 0, true},
	} {
		planes, err := c.fall.Planes(floor)
		if (err != nil) != c.wrong || len(planes) != c.n {
			t.Errorf("%+v: %d planes, %v", c.fall, len(planes), err)
			continue
		}
		var sum Area
		for _, p := range planes {
			if err := p.Validate(); err != nil {
				t.Errorf("%+v: %v", c.fall, err)
			}
			sum = sum.Add(p.Area())
		}
		if d := sum.MM2() - 900*1200; c.n > 0 && (d > 1 || d < -1) {
			t.Errorf("%+v: the planes have %.2f mm² too much", c.fall, d)
		}
	}
}

// TestPlanesOfADoor: a door that divides a side, with the tile of the wall beside
// it standing before the doorway, and a wall that bends by a few millimetres make
// no planes of their own, wherever the drain lies.
func TestPlanesOfADoor(t *testing.T) {
	mm := Millimetre
	floor := Ring{{16 * mm, 16 * mm}, {500 * mm, 16 * mm}, {500 * mm, 0}, {1300 * mm, 0}, {1300 * mm, 16 * mm}, {1784 * mm, 16 * mm},
		{1781 * mm, 800 * mm}, {1784 * mm, 1584 * mm}, {16 * mm, 1584 * mm}}
	for _, f := range []Falls{
		{Kind: ToPoint, A: Point{900 * mm, 1000 * mm}},
		{Kind: ToPoint, A: Point{300 * mm, 1000 * mm}},
		{Kind: ToPoint, A: Point{1500 * mm, 300 * mm}},
		{Kind: ToLine, A: Point{500 * mm, 800 * mm}, B: Point{1200 * mm, 800 * mm}},
	} {
		planes, err := f.Planes(floor)
		if err != nil || len(planes) != 4 {
			t.Errorf("%+v: %d planes, %v; want one for each wall", f, len(planes), err)
			continue
		}
		var sum Area
		for _, p := range planes {
			sum = sum.Add(p.Area())
		}
		if d := sum.MM2() - floor.Area().MM2(); d > 1 || d < -1 {
			t.Errorf("%+v: the planes have %.1f mm² too much", f, d)
		}
	}
	if planes, err := Envelope(Ring{{0, 0}, {500 * mm, 0}, {1300 * mm, 0}, {1800 * mm, 0}, {1800 * mm, 1600 * mm}, {0, 1600 * mm}}, Point{900 * mm, 800 * mm}); err != nil || len(planes) != 4 {
		t.Errorf("a side in three edges: %d planes, %v", len(planes), err)
	}
}
