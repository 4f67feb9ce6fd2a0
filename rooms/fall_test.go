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
