package scheduler

import (
	"math"
	"testing"

	"potlife/rooms"
	"potlife/takeoff"
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

// Square metres in eight hours by size of tile, setting alone, against what the
// trade plans with (common practice): floors 300–600 mm 12 to 18, walls 8 to 12,
// mosaic 4 to 7, 600 × 1200 mm and more 6 to 10.
func TestSettingBySize(t *testing.T) {
	r := DefaultRates
	for _, c := range []struct {
		kind       string
		w, h       int
		stone      int
		least, top float64
	}{
		{rooms.Floor, 300, 300, 0, 12, 18}, {rooms.Floor, 300, 600, 0, 12, 18}, {rooms.Floor, 600, 600, 0, 12, 18},
		{rooms.Wall, 300, 600, 0, 8, 12}, {rooms.Wall, 200, 500, 0, 8, 12},
		{rooms.Floor, 600, 1200, 0, 6, 10}, {rooms.Wall, 600, 1200, 0, 6, 10}, {rooms.Wall, 598, 1198, 0, 6, 10}, {rooms.Floor, 1200, 1200, 0, 6, 10},
		{rooms.Floor, 50, 50, 0, 4, 7}, {rooms.ShowerFloor, 300, 300, 48, 4, 7},
	} {
		x := tile("x", rooms.Length(c.w)*mm, rooms.Length(c.h)*mm)
		x.StoneWidth, x.StoneHeight = rooms.Length(c.stone)*mm, rooms.Length(c.stone)*mm
		p := takeoff.Piece{AreaMM2: float64(c.w * c.h)}
		m2 := 480 / pieceMinutes(r, c.kind, &p, sizeClass(&x), 0) * p.AreaMM2 / 1e6
		if m2 < c.least || m2 > c.top {
			t.Errorf("%s of %d × %d mm: %.1f m² in 8 h, want %.0f to %.0f", c.kind, c.w, c.h, m2, c.least, c.top)
		}
	}
}

// Square metres grouted in an hour by size of tile: 300–600 mm 6 to 10, small wall
// tile 4 to 6, mosaic 2 to 4 (common practice).
func TestGroutBySize(t *testing.T) {
	r := DefaultRates
	for _, c := range []struct {
		w, h, stone int
		least, top  float64
	}{
		{600, 600, 0, 6, 10}, {300, 600, 0, 6, 10}, {300, 300, 0, 6, 10},
		{150, 150, 0, 4, 6.1}, {100, 100, 0, 4, 6}, {75, 150, 0, 4, 6},
		{25, 25, 0, 2, 4}, {300, 300, 48, 2, 4}, {300, 300, 25, 2, 4},
	} {
		x := tile("x", rooms.Length(c.w)*mm, rooms.Length(c.h)*mm)
		x.StoneWidth, x.StoneHeight = rooms.Length(c.stone)*mm, rooms.Length(c.stone)*mm
		p := takeoff.Piece{AreaMM2: float64(c.w * c.h), Polygon: rooms.Polygon{Outer: x.Shape}}
		m2 := p.AreaMM2 / 1e6
		if v := m2 / (r.GroutPerM2*m2 + r.GroutPerM*jointMetres(&p, &x)) * 60; v < c.least || v > c.top {
			t.Errorf("%d × %d mm (%d mm stones): %.1f m² an hour, want %.0f to %.0f", c.w, c.h, c.stone, v, c.least, c.top)
		}
	}
	if one := (Rates{GroutPerM2: 9}).filled(); one.GroutPerM != 0 || one.GroutPerM2 != 9 {
		t.Errorf("a firm that gives only minutes per m² has given all of them: %+v", one)
	}
}

// The firm's own factors come before those that ship, and a turned straight
// pattern is a diagonal one.
func TestPatternFactors(t *testing.T) {
	own := Rates{Patterns: map[string]float64{"herringbone": 2, "millstone": 1.8}}
	for _, c := range []struct {
		pattern string
		turn    int
		r       Rates
		want    float64
	}{
		{"", 0, DefaultRates, 1}, {"straight", 90, DefaultRates, 1}, {"running bond", 0, DefaultRates, 1.05}, {"offset 0,1/3", 0, DefaultRates, 1.05},
		{"straight", 45, DefaultRates, 1.25}, {"straight 45", 0, DefaultRates, 1.25}, {"herringbone 45", 0, DefaultRates, 1.5}, {"basket weave", 0, DefaultRates, 1.5},
		{"herringbone 45", 0, own, 2}, {"millstone", 0, own, 1.8}, {"millstone", 0, DefaultRates, 1},
	} {
		if got := patternFactor(c.r, &rooms.Zone{Pattern: c.pattern, Turn: c.turn}); got != c.want {
			t.Errorf("%q turned by %d: %g, want %g", c.pattern, c.turn, got, c.want)
		}
	}
}
