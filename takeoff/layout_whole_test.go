package takeoff

import (
	"fmt"
	"testing"

	"pgregory.net/rapid"

	"potlife/rooms"
)

// TestBottomRowOverADip: over a floor that dips by less than the gap allows the
// bottom row is whole tiles; what rises more is cut off them.
func TestBottomRowOverADip(t *testing.T) {
	for _, c := range []struct {
		name, up    string
		dip         []rooms.Length // readings from left to right, in 0.1 mm; positive dips
		least, most rooms.Length
		whole       int // of six tiles in the bottom row
		level       rooms.Length
	}{
		{"level", rooms.FullLow, nil, 3, 8, 6, 50},
		{"a slope of 0.4", rooms.FullLow, []rooms.Length{0, 4}, 3, 8, 6, 50},
		{"a hollow of 0.4", rooms.FullLow, []rooms.Length{0, 4, 0}, 3, 8, 6, 50},
		{"a hump of 0.4", rooms.FullLow, []rooms.Length{0, -4, 0}, 3, 8, 6, 54},
		{"as much as the gap may grow", rooms.FullLow, []rooms.Length{0, 30}, 3, 8, 6, 50},
		{"as much as it may grow and shrink", rooms.FullLow, []rooms.Length{0, 50}, 3, 8, 6, 30},
		{"more than the gap allows", rooms.FullLow, []rooms.Length{0, 80}, 3, 8, 3, 0},
		{"a gap that may not vary", rooms.FullLow, []rooms.Length{0, 4}, 5, 5, 0, 46},
		{"chosen by itself", "", []rooms.Length{0, 4}, 3, 8, 6, 0},
	} {
		in := wall(1805*lmm, 1005*lmm, box("t", 297*lmm, 197*lmm), rooms.Zone{Datum: rooms.Datum{Across: rooms.FullLeft, Up: c.up}})
		s := &in.Room.Surfaces[0]
		s.Edges = append([]rooms.Edge(nil), s.Edges...)
		s.Edges[0].GapMin, s.Edges[0].GapMax = c.least*lmm, c.most*lmm
		s.Edges[1].Gap = 3 * lmm
		for i, d := range c.dip {
			s.Readings = append(s.Readings, rooms.Reading{Edge: 0, At: 1805 * lmm * rooms.Length(i) / rooms.Length(len(c.dip)-1), Deviation: d * lmm / 10})
		}
		l := lay(t, in)
		z := l.Zones[0]
		whole := 0
		for _, p := range z.Pieces {
			if b := p.Polygon.Outer.Box(); b.Min.Y < 100*lmm && p.Full {
				whole++
			}
		}
		if whole != c.whole || absLen(z.LevelLine-c.level*lmm/10) > 10*rooms.Micrometre && c.level > 0 {
			t.Errorf("%s: %d whole tiles on a level line at %s, want %d at %s (%s)", c.name, whole, z.LevelLine, c.whole, c.level*lmm/10, z.Why)
		}
		if err := CheckLayout(l, in.Tiles); err != nil {
			t.Errorf("%s: %v", c.name, err)
		}
	}
}

// TestWholeWhereTheGapAllows lays random walls with readings at random gaps and
// holds every piece to the outline inset by the least gaps, by another way than
// the engine's: each whole tile lies within, and no piece is cut whose whole tile
// would.
func TestWholeWhereTheGapAllows(t *testing.T) {
	checks(t, 25)
	rapid.Check(t, func(rt *rapid.T) {
		w, h := drawLength(rt, "w", 700, 2600), drawLength(rt, "h", 600, 2000)
		in := wall(w, h, box("t", 297*lmm, 197*lmm), rooms.Zone{Datum: rooms.Datum{Up: rapid.SampledFrom([]string{"", rooms.FullLow, rooms.FullHigh}).Draw(rt, "up")}})
		s := &in.Room.Surfaces[0]
		s.Edges = append([]rooms.Edge(nil), s.Edges...)
		least := make([]rooms.Length, 4)
		for i := range s.Edges {
			e := &s.Edges[i]
			e.GapMin = rooms.Length(rapid.IntRange(1, 4).Draw(rt, "least")) * lmm
			e.GapMax = e.Gap + rooms.Length(rapid.IntRange(0, 4).Draw(rt, "most"))*lmm
			least[i] = e.GapMin
			long := w
			if i%2 == 1 {
				long = h
			}
			for k := range rapid.IntRange(0, 3).Draw(rt, "readings") {
				s.Readings = append(s.Readings, rooms.Reading{Edge: i, At: long * rooms.Length(k) / 2, Deviation: rooms.Length(rapid.IntRange(-30, 30).Draw(rt, "off")) * lmm / 10})
			}
		}
		l, err := LayOut(in)
		if err != nil {
			rt.Fatal(err)
		}
		if err := CheckLayout(l[0], in.Tiles); err != nil {
			rt.Fatal(err)
		}
		c, err := s.Correct()
		if err != nil {
			rt.Fatal(err)
		}
		var gaps []rooms.Length
		for _, e := range c.Edge {
			gaps = append(gaps, append(least, 0)[(e+5)%5])
		}
		room, err := rooms.Inset(rooms.Polygon{Outer: c.Outline}, gaps, 0)
		if err != nil {
			rt.Fatal(err)
		}
		for _, p := range l[0].Zones[0].Pieces {
			if err := wholeAsTheGapAllows(p, in.Tiles[p.Tile], room); err != nil {
				rt.Fatal(err)
			}
		}
	})
}

func wholeAsTheGapAllows(p Piece, tile Tile, room []rooms.Polygon) error {
	ring := make(rooms.Ring, len(tile.Shape))
	for i, q := range tile.Shape {
		ring[i] = rooms.Point{X: q.X + p.Place.X, Y: q.Y + p.Place.Y}
	}
	over, err := rooms.Subtract([]rooms.Polygon{{Outer: ring}}, room)
	if err != nil {
		return err
	}
	out := 0.0
	for _, o := range over {
		out += o.AreaMM2()
	}
	switch {
	case p.Full && out > 1: // 2 µm along a side
		return fmt.Errorf("piece %s is whole and lies %.1f mm² in the least gap", p.Label, out)
	case !p.Full && out == 0:
		return fmt.Errorf("piece %s is cut and could stay whole", p.Label)
	}
	return nil
}

// TestWholeAtAGable: beside a ridge of which one slope lets its gap shrink and the
// other does not, a tile that reaches over the other stays no whole one.
func TestWholeAtAGable(t *testing.T) {
	w, h := rooms.Length(6186*1000), rooms.Length(4800*1000)
	in := roomWith(rooms.Surface{Key: "s", Kind: rooms.Wall, Measured: true,
		Outline: rooms.Ring{{X: 0, Y: 0}, {X: w, Y: 0}, {X: w, Y: h / 2}, {X: w/2 + 7000, Y: h}, {X: 0, Y: h * 2 / 3}},
		Edges:   []rooms.Edge{{GapMax: 10 * lmm}, {GapMax: 10 * lmm}, {Gap: 2 * lmm, GapMax: 10 * lmm}, {GapMax: 10 * lmm}, {Gap: 2 * lmm, GapMax: 10 * lmm}}},
		everyPattern()[0])
	in.Room.Surfaces[0].Zones[0].Datum = rooms.Datum{Across: rooms.At, Up: rooms.At, Y: 32_000}
	l := lay(t, in)
	for _, p := range l.Zones[0].Pieces {
		over, err := rooms.Subtract([]rooms.Polygon{p.Polygon}, []rooms.Polygon{l.Outline})
		if err != nil {
			t.Fatal(err)
		}
		for _, o := range over {
			if o.AreaMM2() > 0.1 {
				t.Errorf("piece %s lies %.2f mm² beyond the wall", p.Label, o.AreaMM2())
			}
		}
	}
}

// TestNoWholeTileInAnOpening: what a tile may stay whole over ends at the least gap of an
// opening as of an edge, and at the line of another zone: the corner of a turned tile at
// the wall had stood half a millimetre in a drain.
func TestNoWholeTileInAnOpening(t *testing.T) {
	in := wall(2000*lmm, 1000*lmm, box("t", 297*lmm, 197*lmm), rooms.Zone{})
	s := &in.Room.Surfaces[0]
	s.Openings = []rooms.Opening{{Key: "drain", Outline: rooms.Rect(500*lmm, 500*lmm, 600*lmm, 600*lmm), Gap: 3 * lmm, GapMin: lmm, GapMax: 5 * lmm}}
	in.Tiles["u"] = box("u", 97*lmm, 97*lmm)
	s.Zones = append(s.Zones, rooms.Zone{Key: "u", Tile: "u", Pattern: "straight", Joint: 3 * lmm, Region: rooms.Rect(1500*lmm, 0, 2000*lmm, 1000*lmm)})
	w, err := prepareSurface(in, s, viewOf(&in.Room))
	if err != nil {
		t.Fatal(err)
	}
	for _, c := range []struct {
		x0, y0, x1, y1 rooms.Length
		want           bool
	}{
		{100, 100, 300, 300, true},
		{3, 3, 300, 200, true},     // as near as the wall's least gap
		{2, 3, 300, 200, false},    // nearer
		{601, 500, 800, 600, true}, // as near as the drain's least gap
		{300, 300, 501, 501, false},
		{1300, 300, 1498, 400, true},
		{1300, 300, 1499, 400, false},
	} {
		if got := w.layers[0].clearOfWalls(rooms.Rect(c.x0*lmm, c.y0*lmm, c.x1*lmm, c.y1*lmm)); got != c.want {
			t.Errorf("%+v: %v", c, got)
		}
	}
}
