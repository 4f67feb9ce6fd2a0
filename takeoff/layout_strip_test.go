package takeoff

import (
	"fmt"
	"slices"
	"strings"
	"testing"

	"pgregory.net/rapid"

	"potlife/rooms"
)

// stripFloor is a floor with a border of tile p, 97 × 97, drawn from the bare edge,
// 100 deep with its joint, with edges that keep the gap and stand off by their
// build-up.
func stripFloor(outline rooms.Ring, mitred bool, gap, deduct rooms.Length) (RoomToLay, error) {
	strips, err := rooms.Border(outline, 0, 100*lmm, mitred)
	if err != nil {
		return RoomToLay{}, err
	}
	s := rooms.Surface{Key: "f", Kind: rooms.Floor, Outline: outline, Measured: true}
	for range outline {
		s.Edges = append(s.Edges, rooms.Edge{Meets: rooms.InsideCorner, Gap: gap, GapMin: gap, GapMax: gap})
		s.Build.Deduct = append(s.Build.Deduct, deduct)
	}
	s.Zones = []rooms.Zone{{Key: "field", Tile: "t", Pattern: "straight", Joint: 3 * lmm}}
	for _, x := range strips {
		s.Zones = append(s.Zones, rooms.Zone{Key: fmt.Sprint("border-", x.Side), Region: x.Region, Tile: "p", Pattern: "straight", Turn: x.Degrees, Joint: 3 * lmm})
	}
	return RoomToLay{Job: "j", Room: rooms.Room{Key: "r", Surfaces: []rooms.Surface{s}},
		Tiles: map[string]Tile{"t": box("t", 297*lmm, 297*lmm), "p": box("p", 97*lmm, 97*lmm)}}, nil
}

// TestStripsKeepWholeTiles: of a border drawn from the bare edges every tile is whole
// across the strip, whatever gap and build-up the edges have: what is cut is cut at its
// ends. The field's line lies a gap, the build-up, 97 and a joint inside the edge.
func TestStripsKeepWholeTiles(t *testing.T) {
	ell := rooms.Ring{{X: 0, Y: 0}, {X: 2600 * lmm, Y: 0}, {X: 2600 * lmm, Y: 1400 * lmm}, {X: 1300 * lmm, Y: 1400 * lmm}, {X: 1300 * lmm, Y: 2500 * lmm}, {X: 0, Y: 2500 * lmm}}
	for _, outline := range []rooms.Ring{rooms.Rect(0, 0, 2410*lmm, 1820*lmm), ell} {
		for _, mitred := range []bool{false, true} {
			for _, c := range [][2]rooms.Length{{0, 0}, {6, 16}, {5, 0}, {0, 13}} {
				gap, deduct := c[0]*lmm, c[1]*lmm
				in, err := stripFloor(outline, mitred, gap, deduct)
				if err != nil {
					t.Fatal(err)
				}
				l := lay(t, in)
				if err := CheckLayout(l, in.Tiles); err != nil {
					t.Errorf("%d sides, mitred %v, gap %s: %v", len(outline), mitred, gap, err)
				}
				name := fmt.Sprintf("%d sides, mitred %v, gap %s, build-up %s", len(outline), mitred, gap, deduct)
				for _, z := range l.Zones[1:] {
					whole := 0
					upright := z.Zone.Turn%180 == 90
					for _, p := range z.Pieces {
						b := p.Polygon.Outer.Box()
						deep := b.Height()
						if upright {
							deep = b.Width()
						}
						if deep == 97*lmm {
							whole++
						} else if !mitred {
							t.Errorf("%s, %s: a piece of %s is %s deep", name, z.Zone.Key, p.ID, deep)
						}
					}
					if whole < 8 {
						t.Errorf("%s, %s: %d whole across", name, z.Zone.Key, whole)
					}
				}
				if got, want := rooms.BoxOf(l.Zones[0].Cover).Min, gap+deduct+100*lmm; got.X != want || got.Y != want {
					t.Errorf("%s: the field begins at %v, want %s", name, got, want)
				}
				told := slices.ContainsFunc(l.Findings, func(f Finding) bool { return f.Rule == "strip" })
				if gap+deduct > 0 && !told {
					t.Errorf("%s: not told", name)
				}
			}
		}
	}
}

// TestStripDepths: what counts as a strip of courses: one or two, along an edge, also
// of tile turned; anything else keeps its line.
func TestStripDepths(t *testing.T) {
	for _, c := range []struct {
		name   string
		region rooms.Ring
		make   func(z *rooms.Zone)
		top    rooms.Length // of the strip's cover; gap 5 at the foot
	}{
		// 5 + 97 below half a joint's line of 1.5
		{"plinth", rooms.Rect(0, 0, 2000*lmm, 100*lmm), func(*rooms.Zone) {}, 102 * lmm},
		{"rounded", rooms.Rect(0, 0, 2000*lmm, 100*lmm+lmm/4), func(*rooms.Zone) {}, 102 * lmm},
		{"two courses", rooms.Rect(0, 0, 2000*lmm, 200*lmm), func(*rooms.Zone) {}, 202 * lmm},
		{"a part of the wall", rooms.Rect(500*lmm, 0, 1500*lmm, 100*lmm), func(*rooms.Zone) {}, 102 * lmm},
		{"three courses: a height", rooms.Rect(0, 0, 2000*lmm, 300*lmm), func(*rooms.Zone) {}, 300*lmm - 3*lmm/2},
		{"no course", rooms.Rect(0, 0, 2000*lmm, 130*lmm), func(*rooms.Zone) {}, 130*lmm - 3*lmm/2},
		{"off the edge", rooms.Rect(0, 20*lmm, 2000*lmm, 120*lmm), func(*rooms.Zone) {}, 120*lmm - 3*lmm/2},
		{"upright tile", rooms.Rect(0, 0, 2000*lmm, 200*lmm), func(z *rooms.Zone) { z.Tile, z.Sideways = "long", true }, 202 * lmm},
		{"herringbone", rooms.Rect(0, 0, 2000*lmm, 100*lmm), func(z *rooms.Zone) { z.Tile, z.Pattern = "long", "herringbone" }, 100*lmm - 3*lmm/2},
	} {
		in := wall(2000*lmm, 1500*lmm, box("t", 297*lmm, 197*lmm), rooms.Zone{})
		in.Tiles["p"], in.Tiles["long"] = box("p", 97*lmm, 97*lmm), box("long", 197*lmm, 97*lmm)
		z := rooms.Zone{Key: "strip", Region: c.region, Tile: "p", Pattern: "straight", Joint: 3 * lmm}
		c.make(&z)
		s := &in.Room.Surfaces[0]
		s.Zones = append(s.Zones, z)
		l := lay(t, in)
		if err := CheckLayout(l, in.Tiles); err != nil {
			t.Errorf("%s: %v", c.name, err)
		}
		if got := rooms.BoxOf(l.Zones[1].Cover).Max.Y; got != c.top {
			t.Errorf("%s: the strip ends at %s, want %s", c.name, got, c.top)
		}
	}
}

// TestStripsFromEdgeToEdge: a strip whose inner side lies on the opposite edge, and two
// that lie back to back, keep the lines that were given, and nobody is told that they
// moved; a strip with room inside it moves.
func TestStripsFromEdgeToEdge(t *testing.T) {
	wide := func(from, to rooms.Length) rooms.Ring { return rooms.Rect(0, from*lmm, 2000*lmm, to*lmm) }
	for _, c := range []struct {
		name      string
		high, gap rooms.Length
		strips    []rooms.Ring
		moved     int
		top       rooms.Length // of the first strip's cover
	}{
		{"one course, no gap", 100, 0, []rooms.Ring{wide(0, 100)}, 0, 100 * lmm},
		{"one course", 100, 5, []rooms.Ring{wide(0, 100)}, 0, 95 * lmm},
		{"two courses, no gap", 200, 0, []rooms.Ring{wide(0, 200)}, 0, 200 * lmm},
		{"back to back", 200, 5, []rooms.Ring{wide(0, 100), wide(100, 200)}, 0, 100*lmm - 3*lmm/2},
		{"back to back and two courses", 300, 5, []rooms.Ring{wide(0, 100), wide(100, 300)}, 0, 100*lmm - 3*lmm/2},
		{"with room between", 900, 5, []rooms.Ring{wide(0, 100), wide(800, 900)}, 2, 102 * lmm},
	} {
		in := wall(2000*lmm, c.high*lmm, box("t", 297*lmm, 197*lmm), rooms.Zone{})
		in.Tiles["p"] = box("p", 97*lmm, 97*lmm)
		s := &in.Room.Surfaces[0]
		for i := range s.Edges {
			s.Edges[i].Gap, s.Edges[i].GapMin = c.gap*lmm, 0
		}
		for i, r := range c.strips {
			s.Zones = append(s.Zones, rooms.Zone{Key: fmt.Sprint("strip", i), Region: r, Tile: "p", Pattern: "straight", Joint: 3 * lmm})
		}
		_, moved := stripped(in, s)
		l := lay(t, in)
		if err := CheckLayout(l, in.Tiles); err != nil {
			t.Errorf("%s: %v", c.name, err)
		}
		told := slices.ContainsFunc(l.Findings, func(f Finding) bool { return f.Rule == "strip" })
		first := l.Zones[slices.IndexFunc(l.Zones, func(z ZoneLayout) bool { return z.Zone.Key == "strip0" })]
		if top := rooms.BoxOf(first.Cover).Max.Y; len(moved) != c.moved || told != (c.moved > 0) || top != c.top {
			t.Errorf("%s: %d lines move, told %v, the first strip ends at %s, want %d and %s", c.name, len(moved), told, top, c.moved, c.top)
		}
	}
}

// TestStripPastDoor: a border that passes a doorway, which reaches 16 further out than
// the wall's tile, keeps one course of whole tiles along the wall.
func TestStripPastDoor(t *testing.T) {
	in, err := stripFloor(rooms.Ring{{X: 0, Y: 0}, {X: 800 * lmm, Y: 0}, {X: 1600 * lmm, Y: 0}, {X: 2410 * lmm, Y: 0}, {X: 2410 * lmm, Y: 1820 * lmm}, {X: 0, Y: 1820 * lmm}}, false, 6*lmm, 16*lmm)
	if err != nil {
		t.Fatal(err)
	}
	s := &in.Room.Surfaces[0]
	s.Edges[1].Meets, s.Build.Deduct[1] = rooms.Doorway, 0
	z := lay(t, in).Zones[1]
	whole := 0
	for _, p := range z.Pieces {
		if b := p.Polygon.Outer.Box(); b.Height() == 97*lmm && b.Min.Y == 22*lmm {
			whole++
		}
	}
	if whole < 22 || !strings.Contains(z.Why, "a full tile from the upper end") {
		t.Errorf("%d whole tiles along the wall: %s", whole, z.Why)
	}
}

// TestStripStraightAcrossDoor: where no row of tile fits between a border and a doorway
// that reaches further out, the border runs straight across, and a finding says what is
// left to the threshold; where a third of a tile fits, it is laid. A doorway that a strip
// along half of the wall does not pass keeps its gap.
func TestStripStraightAcrossDoor(t *testing.T) {
	for _, c := range []struct {
		deduct rooms.Length
		from   rooms.Length // where the strip begins
		told   bool
		low    rooms.Length // where the strip's cover begins
	}{{16 * lmm, 0, true, 22 * lmm}, {3 * lmm, 0, false, 9 * lmm}, {40 * lmm, 0, false, 6 * lmm}, {16 * lmm, 1000 * lmm, false, 6 * lmm}} {
		in, err := stripFloor(rooms.Ring{{X: 0, Y: 0}, {X: 800 * lmm, Y: 0}, {X: 1600 * lmm, Y: 0}, {X: 2410 * lmm, Y: 0}, {X: 2410 * lmm, Y: 1820 * lmm}, {X: 0, Y: 1820 * lmm}}, false, 6*lmm, c.deduct)
		if err != nil {
			t.Fatal(err)
		}
		s := &in.Room.Surfaces[0]
		s.Edges[1].Meets, s.Build.Deduct[1] = rooms.Doorway, 0
		if c.from > 0 {
			s.Zones = s.Zones[:2]
			s.Zones[1].Region = rooms.Rect(c.from, 0, 2410*lmm, 100*lmm)
		}
		before := s.Edges[1].Gap
		l := lay(t, in)
		if err := CheckLayout(l, in.Tiles); err != nil {
			t.Error(err)
		}
		told := slices.ContainsFunc(l.Findings, func(f Finding) bool { return f.Rule == "doorway strip" && strings.Contains(f.Message, "bottom edge") })
		if low := rooms.BoxOf(l.Zones[1].Cover).Min.Y; low != c.low || told != c.told || s.Edges[1].Gap != before {
			t.Errorf("build-up %s, from %s: the strip begins at %s, told %v; want %s, %v", c.deduct, c.from, low, told, c.low, c.told)
		}
	}
}

// TestStripsOfAnyOutline: a border of any outline that has room for one is laid by the
// rules and leaves its field a border's width inside.
func TestStripsOfAnyOutline(t *testing.T) {
	rapid.Check(t, func(rt *rapid.T) {
		at := func(name string) rooms.Length {
			return rooms.Length(rapid.IntRange(-300, 300).Draw(rt, name)) * lmm
		}
		outline := rooms.Ring{{X: at("a"), Y: at("b")}, {X: 2500*lmm + at("c"), Y: at("d")}, {X: 2400*lmm + at("e"), Y: 2000*lmm + at("f")}, {X: at("g"), Y: 2100*lmm + at("h")}}
		in, err := stripFloor(outline, rapid.Bool().Draw(rt, "mitred"), rooms.Length(rapid.IntRange(0, 8).Draw(rt, "gap"))*lmm, rooms.Length(rapid.IntRange(0, 20).Draw(rt, "deduct"))*lmm)
		if err != nil {
			rt.Skip(err.Error())
		}
		for i := range in.Room.Surfaces[0].Zones { // nothing is searched for
			in.Room.Surfaces[0].Zones[i].Datum = rooms.Datum{Across: rooms.FullLeft, Up: rooms.FullLow}
		}
		ls, err := LayOut(in)
		if err != nil {
			rt.Fatal(err)
		}
		if err := CheckLayout(ls[0], in.Tiles); err != nil {
			rt.Fatal(err)
		}
		s, moved := stripped(in, builtUp(in, &in.Room.Surfaces[0]))
		if len(moved) != len(outline) {
			rt.Fatalf("%d strips of %d are moved", len(moved), len(outline))
		}
		for _, x := range moved {
			e := s.Outline[x.edge]
			a, _ := x.moved()
			want := 100*lmm - 3*lmm/2 + s.Edges[x.edge].Gap + s.Build.Deduct[x.edge]
			if got := leftOf(e, s.Outline[(x.edge+1)%len(s.Outline)], a); !x.outer && absLen(got-want) > 20 {
				rt.Fatalf("side %d: the line lies %s inside, want %s", x.edge, got, want)
			}
		}
	})
}

// TestFramedFieldIsBalanced: inside a border that lies a margin off the walls the field
// is balanced between the border's inner lines, whatever is left of the margin beside a
// wall that is seen, as long as no piece of it is too narrow to be set; field and margin
// are one lattice.
func TestFramedFieldIsBalanced(t *testing.T) {
	for _, c := range []struct{ w, h, distance rooms.Length }{{2410, 1820, 200}, {2395, 1811, 200}, {2710, 2111, 270}} {
		outline := rooms.Rect(0, 0, c.w*lmm, c.h*lmm)
		in, err := stripFloor(outline, false, 6*lmm, 0)
		if err != nil {
			t.Fatal(err)
		}
		strips, err := rooms.Border(outline, c.distance*lmm, 100*lmm, false)
		if err != nil {
			t.Fatal(err)
		}
		s := &in.Room.Surfaces[0]
		s.Edges[0].Seen = true
		for i := range s.Edges {
			s.Edges[i].GapMax += 2 * lmm
		}
		for i, x := range strips {
			s.Zones[1+i].Region = x.Region
		}
		l := lay(t, in)
		if err := CheckLayout(l, in.Tiles); err != nil {
			t.Error(err)
		}
		z := l.Zones[0]
		inner := rooms.Box{Min: rooms.Point{X: (c.distance + 100) * lmm, Y: (c.distance + 100) * lmm}, Max: rooms.Point{X: (c.w - c.distance - 100) * lmm, Y: (c.h - c.distance - 100) * lmm}}
		var ends [4]rooms.Length // widths and heights at the four sides of the inside
		for _, p := range z.Pieces {
			b := p.Polygon.Outer.Box()
			if b.Min.X < inner.Min.X || b.Max.X > inner.Max.X || b.Min.Y < inner.Min.Y || b.Max.Y > inner.Max.Y {
				continue
			}
			for i, at := range [4]bool{b.Min.X-inner.Min.X < 5*lmm, inner.Max.X-b.Max.X < 5*lmm, b.Min.Y-inner.Min.Y < 5*lmm, inner.Max.Y-b.Max.Y < 5*lmm} {
				if at {
					ends[i] = [4]rooms.Length{b.Width(), b.Width(), b.Height(), b.Height()}[i]
				}
			}
		}
		if absLen(ends[0]-ends[1]) > lmm || absLen(ends[2]-ends[3]) > lmm || ends[0] < 148*lmm || ends[2] < 148*lmm {
			t.Errorf("%d × %d: the inside ends in %v: %s", c.w, c.h, ends, z.Why)
		}
	}
}

// TestZonesOverAStrip: a zone whose side lies on a strip's inner line and goes on beyond
// the strip moves all of that side, so that no notch is left in it; one that only ends
// beside the strip keeps its own line, straight.
func TestZonesOverAStrip(t *testing.T) {
	for _, c := range []struct {
		name          string
		strip, beside rooms.Ring
		over          rooms.Ring
		at            rooms.Length // where the over zone's cover begins, 0 where there is none
	}{
		// The strip's courses end at 5 + 97, and half of 3 is between lines.
		{"wider than the strip", rooms.Rect(500*lmm, 0, 1500*lmm, 100*lmm), nil, rooms.Rect(0, 100*lmm, 2000*lmm, 600*lmm), 105 * lmm},
		{"from one end on", rooms.Rect(0, 0, 1500*lmm, 100*lmm), nil, rooms.Rect(400*lmm, 100*lmm, 2000*lmm, 600*lmm), 105 * lmm},
		{"over a zone beside it too", rooms.Rect(500*lmm, 0, 1500*lmm, 100*lmm), rooms.Rect(0, 0, 500*lmm, 100*lmm), rooms.Rect(0, 100*lmm, 2000*lmm, 600*lmm), 105 * lmm},
		{"beside alone", rooms.Rect(500*lmm, 0, 1500*lmm, 100*lmm), rooms.Rect(0, 0, 500*lmm, 100*lmm), nil, 0},
	} {
		in := wall(2000*lmm, 1500*lmm, box("t", 297*lmm, 197*lmm), rooms.Zone{})
		in.Tiles["p"] = box("p", 97*lmm, 97*lmm)
		s := &in.Room.Surfaces[0]
		s.Zones = append(s.Zones, rooms.Zone{Key: "strip", Region: c.strip, Tile: "p", Pattern: "straight", Joint: 3 * lmm})
		if c.beside != nil {
			s.Zones = append(s.Zones, rooms.Zone{Key: "beside", Region: c.beside, Tile: "t", Pattern: "straight", Joint: 3 * lmm})
		}
		if c.over != nil {
			s.Zones = append(s.Zones, rooms.Zone{Key: "over", Region: c.over, Tile: "t", Pattern: "straight", Joint: 3 * lmm})
		}
		l := lay(t, in)
		if err := CheckLayout(l, in.Tiles); err != nil {
			t.Errorf("%s: %v", c.name, err)
		}
		for _, z := range l.Zones {
			if z.Zone.Key == "z" {
				continue
			}
			if len(z.Cover) != 1 || len(z.Cover[0].Outer) != 4 {
				t.Errorf("%s: the cover of %s is %v", c.name, z.Zone.Key, z.Cover)
			}
			b := rooms.BoxOf(z.Cover)
			for _, p := range z.Cover[0].Outer {
				if p.Y != b.Min.Y && p.Y != b.Max.Y {
					t.Errorf("%s: a side of %s slants: %v", c.name, z.Zone.Key, z.Cover)
				}
			}
			if z.Zone.Key == "over" && b.Min.Y != c.at {
				t.Errorf("%s: the zone over the strip begins at %s, want %s", c.name, b.Min.Y, c.at)
			}
			if z.Zone.Key == "strip" && b.Max.Y != 102*lmm {
				t.Errorf("%s: the strip ends at %s", c.name, b.Max.Y)
			}
		}
	}
}

// TestBorderPastRecess: a border of a floor whose doorway is set back into the wall runs
// straight on along the wall's tile, whole, and the recess is one piece deep up to it.
func TestBorderPastRecess(t *testing.T) {
	outline := rooms.Ring{{X: 0, Y: 0}, {X: 800 * lmm, Y: 0}, {X: 800 * lmm, Y: -100 * lmm}, {X: 1600 * lmm, Y: -100 * lmm}, {X: 1600 * lmm, Y: 0}, {X: 2410 * lmm, Y: 0}, {X: 2410 * lmm, Y: 1820 * lmm}, {X: 0, Y: 1820 * lmm}}
	for _, turned := range []bool{false, true} {
		r := slices.Clone(outline)
		if turned { // the door in the left wall
			for i, p := range r {
				r[i] = rooms.Point{X: p.Y, Y: 2410*lmm - p.X}
			}
		}
		edges := make([]rooms.Edge, len(r))
		edges[2].Meets = rooms.Doorway
		straight, recesses := rooms.PastRecesses(r, edges)
		if len(recesses) != 1 {
			t.Fatalf("%d recesses", len(recesses))
		}
		in, err := stripFloor(straight, false, 6*lmm, 12*lmm)
		if err != nil {
			t.Fatal(err)
		}
		s := &in.Room.Surfaces[0]
		s.Outline, s.Edges, s.Build.Deduct = r, nil, nil
		for i := range r {
			e, deduct := rooms.Edge{Meets: rooms.InsideCorner, Gap: 6 * lmm, GapMin: 6 * lmm, GapMax: 6 * lmm}, 12*lmm
			if i == 2 {
				e, deduct = rooms.Edge{Meets: rooms.Doorway, Gap: 3 * lmm, GapMin: 2 * lmm, GapMax: 5 * lmm}, 0
			}
			s.Edges, s.Build.Deduct = append(s.Edges, e), append(s.Build.Deduct, deduct)
		}
		s.Zones = slices.Insert(s.Zones, 1, rooms.Zone{Key: "doorway", Region: recesses[0], Tile: "t", Pattern: "straight", Joint: 3 * lmm})
		l := lay(t, in)
		if err := CheckLayout(l, in.Tiles); err != nil {
			t.Error(err)
		}
		if len(l.Zones) != 6 || len(l.Zones[1].Pieces) != 3 {
			t.Fatalf("%d zones, %d pieces in the doorway", len(l.Zones), len(l.Zones[1].Pieces))
		}
		for _, z := range l.Zones[1:] {
			for _, p := range z.Pieces {
				deep := p.Polygon.Outer.Box().Height()
				if (z.Zone.Turn%180 == 90) != (turned && z.Zone.Key == "doorway") {
					deep = p.Polygon.Outer.Box().Width()
				}
				want := 97 * lmm
				if z.Zone.Key == "doorway" {
					want = (100 - 3 + 18 - 3) * lmm // up to a joint before the border
				}
				if deep != want {
					t.Errorf("turned %v, %s is %s deep, want %s", turned, p.ID, deep, want)
				}
			}
		}
	}
}
