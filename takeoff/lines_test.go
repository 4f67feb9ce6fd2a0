package takeoff

import (
	"testing"

	"pgregory.net/rapid"

	"potlife/rooms"
)

// TestLines puts the lines where a setter snaps them: near the middle, at the tile
// from which the layout starts at an outside corner, on the surface always.
func TestLines(t *testing.T) {
	tile := box("t", 297*lmm, 197*lmm)
	corner := func(edge int) func(*rooms.Surface) {
		return func(s *rooms.Surface) {
			s.Edges[edge].Meets, s.Edges[edge].Gap = rooms.OutsideCorner, 0
		}
	}
	datum := func(across, up string) func(*rooms.Surface) {
		return func(s *rooms.Surface) { s.Zones[0].Datum = rooms.Datum{Across: across, Up: up} }
	}
	for _, c := range []struct {
		name         string
		w, h         rooms.Length
		change       func(*rooms.Surface)
		level, plumb rooms.Length
	}{
		// A gap of 5 at each side; tile 297 + 3, 197 + 3.
		{"a joint in the middle", 2400, 1000, datum(rooms.OnJoint, rooms.FullLow), 5 * lmm, 1201*lmm + 4000},
		{"a tile in the middle", 2400, 1000, datum(rooms.OnTile, rooms.FullLow), 5 * lmm, 1051*lmm + 4000},
		{"full from the left", 2400, 1000, datum(rooms.FullLeft, rooms.FullLow), 5 * lmm, 302 * lmm},
		{"full from the right", 2400, 1000, datum(rooms.FullRight, rooms.FullLow), 5 * lmm, 2098 * lmm},
		{"full tiles at the top: the first whole course", 2400, 1000, datum(rooms.FullLeft, rooms.FullHigh), 198 * lmm, 302 * lmm},
		{"an outside corner on the left", 2402, 1000, corner(3), 201*lmm + 4000, 297 * lmm},
		{"an outside corner on the right", 2402, 1000, corner(1), 201*lmm + 4000, 2105 * lmm},
		{"a door that leaves no whole tile", 1800, 1000, func(s *rooms.Surface) {
			datum(rooms.FullLeft, rooms.At)(s)
			s.Zones[0].Datum.Y = 103 * lmm
			s.Openings = []rooms.Opening{{Key: "door", Kind: "door", Outline: rooms.Rect(250*lmm, 0, 1550*lmm, 1000*lmm)}}
		}, 103 * lmm, 250 * lmm},
		{"no wider than a tile", 307, 1000, datum(rooms.FullLeft, rooms.FullLow), 5 * lmm, 5 * lmm},
		{"the second course over a floor that is still to come", 2400, 1000, func(s *rooms.Surface) {
			datum(rooms.FullLeft, rooms.FullLow)(s)
			s.Ledger, s.Edges[0].Meets, s.Edges[0].Unmeasured = true, rooms.AtFloor, true
		}, 205 * lmm, 302 * lmm},
		{"a cut course under the first whole one over such a floor", 2400, 1000, func(s *rooms.Surface) {
			datum(rooms.FullLeft, rooms.FullHigh)(s)
			s.Ledger, s.Edges[0].Meets, s.Edges[0].Unmeasured = true, rooms.AtFloor, true
		}, 198 * lmm, 302 * lmm},
		{"a single course over such a floor", 2400, 207, func(s *rooms.Surface) {
			datum(rooms.FullLeft, rooms.FullLow)(s)
			s.Ledger, s.Edges[0].Meets, s.Edges[0].Unmeasured = true, rooms.AtFloor, true
		}, 5 * lmm, 302 * lmm},
		{"a ledger over a floor that is in", 2400, 1000, func(s *rooms.Surface) {
			datum(rooms.FullLeft, rooms.FullLow)(s)
			s.Ledger, s.Edges[0].Meets = true, rooms.AtFloor
		}, 5 * lmm, 302 * lmm},
		{"a floor", 2400, 1000, func(s *rooms.Surface) {
			s.Kind = rooms.Floor
			datum(rooms.OnJoint, rooms.OnJoint)(s)
		}, 501*lmm + 4000, 1201*lmm + 4000},
	} {
		in := wall(c.w*lmm, c.h*lmm, tile, rooms.Zone{})
		c.change(&in.Room.Surfaces[0])
		z := lay(t, in).Zones[0]
		if z.LevelLine != c.level || z.Plumb != c.plumb {
			t.Errorf("%s: level line at %s, plumb line at %s, want %s and %s (%s)", c.name, z.LevelLine, z.Plumb, c.level, c.plumb, z.Why)
		}
	}
}

// TestLinesOfEveryPattern tries, on random walls and floors in every pattern, all
// sides of all pieces: none that the lines could run along is nearer to the middle.
func TestLinesOfEveryPattern(t *testing.T) {
	patterns := everyPattern()
	checks(t, 25)
	rapid.Check(t, func(rt *rapid.T) {
		s := drawSurface(rt)
		s.Kind = rapid.SampledFrom([]string{rooms.Floor, rooms.Wall}).Draw(rt, "kind")
		p := rapid.SampledFrom(patterns).Draw(rt, "pattern")
		in := roomWith(s, p)
		in.Room.Surfaces[0].Zones[0].Datum = rooms.Datum{Across: rooms.At, Up: rooms.At, X: drawLength(rt, "at x", 0, 300), Y: drawLength(rt, "at y", 0, 300)}
		l, err := LayOut(in)
		if err != nil {
			rt.Fatal(err)
		}
		for i := range l[0].Zones {
			linesAreNearest(rt, &l[0].Zones[i], s.Kind == rooms.Wall)
		}
	})
}

// linesAreNearest holds the lines to every piece; a piece that lies square is met
// at the corner of the rectangle around it.
func linesAreNearest(t *rapid.T, z *ZoneLayout, stands bool) {
	b := rooms.BoxOf(z.Cover)
	middle := rooms.Point{X: b.Min.X + b.Width()/2, Y: b.Min.Y + b.Height()/2}
	off := func(p rooms.Point) rooms.Length {
		if stands {
			return absLen(p.X - middle.X)
		}
		return rooms.Distance(p, middle)
	}
	inside := func(p rooms.Point) bool {
		j := z.Zone.Joint + lmm
		return p.X > b.Min.X+j && p.X < b.Max.X-j && (stands || p.Y > b.Min.Y+j && p.Y < b.Max.Y-j)
	}
	at, met := rooms.Point{X: z.Plumb, Y: z.LevelLine}, false
	for _, p := range z.Pieces {
		low := cornerOf(p)
		met = met || low == at || low.Y == at.Y && p.Polygon.Outer.Box().Max.X == at.X
	}
	if len(z.Pieces) > 0 && !met {
		t.Fatalf("the lines at %s, %s cross at no corner of a piece", at.X, at.Y)
	}
	for _, p := range z.Pieces {
		low := cornerOf(p)
		if stands && p.Full && low.Y < at.Y {
			t.Fatalf("whole piece %s stands lower, at %s, than the level line at %s", p.Label, low.Y, at.Y)
		}
		if p.Full && inside(low) && (!stands || low.Y == at.Y) && off(low)+20*lmm < off(at) {
			t.Fatalf("whole piece %s begins at %s, %s, nearer to the middle than the lines at %s, %s", p.Label, low.X, low.Y, at.X, at.Y)
		}
	}
}

func cornerOf(p Piece) rooms.Point {
	if int(p.Degrees)%90 == 0 {
		return p.Polygon.Outer.Box().Min
	}
	return lowestOf(p.Polygon.Outer)
}

func lowestOf(r rooms.Ring) rooms.Point {
	low := r[0]
	for _, p := range r {
		if p.Y < low.Y || p.Y == low.Y && p.X < low.X {
			low = p
		}
	}
	return low
}
