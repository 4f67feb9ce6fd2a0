package takeoff

import (
	"math"
	"slices"
	"strings"
	"testing"

	"potlife/rooms"
)

// arrisRoom is two walls of 900 × 600 at an arris, "a" with its right edge and
// "b" with its left one, tiled alike unless said otherwise.
func arrisRoom() RoomToLay {
	wall := func(key string) rooms.Surface {
		s := rooms.Surface{Key: key, Kind: rooms.Wall, Layer: rooms.Board, Measured: true, Outline: rooms.Rect(0, 0, 900*lmm, 600*lmm),
			Edges: make([]rooms.Edge, 4), Zones: []rooms.Zone{{Key: "z", Tile: "t", Pattern: "straight", Joint: 3 * lmm, Datum: rooms.Datum{Across: rooms.FullLeft, Up: rooms.FullLow}}}}
		return s
	}
	a, b := wall("a"), wall("b")
	a.Edges[1] = rooms.Edge{Meets: rooms.OutsideCorner, Gap: 2 * lmm, GapMin: lmm, GapMax: 3 * lmm, Fill: rooms.FillNothing, Shared: "r/b#3"}
	b.Edges[3] = rooms.Edge{Meets: rooms.OutsideCorner, Gap: 2 * lmm, GapMin: lmm, GapMax: 3 * lmm, Fill: rooms.FillNothing, Shared: "r/a#1"}
	thick := box("thick", 597*lmm, 597*lmm)
	thick.Thickness = 10 * lmm
	return RoomToLay{Job: "j", Room: rooms.Room{Key: "r", Surfaces: []rooms.Surface{a, b}},
		Tiles: map[string]Tile{"t": box("t", 297*lmm, 197*lmm), "thick": thick}}
}

// TestArris: where the tile of two walls ends at their arris, counted from the
// bare corner outwards. Tile t is 8 thick on a bed of 4, "thick" 10 on a bed of 7;
// the gap is 2.
//
//	nothing: a runs over and ends in b's finished face: 8 + 4 = 12, no gap; b ends
//	         2 behind a's tile, whose back stands 4 out: 4 − 2 = 2
//	b thick: a runs over 10 + 7 = 17; b ends as before, 2
//	trim:    the profile stands in the corner: a and b end 2 from it, 4 − 2 = 2
//	mitre:   both run to the finished planes' line less the gap: 12 − 2 = 10
//	membrane to come on b: 1 more for a, 13
//	read on finished tile of b's side: nothing is gained, 0 (flush)
func TestArris(t *testing.T) {
	for _, c := range []struct {
		name string
		make func(a, b *rooms.Surface)
		a, b rooms.Length
	}{
		{"nothing", func(a, b *rooms.Surface) {}, 12, 2},
		{"b thick", func(a, b *rooms.Surface) { b.Zones[0].Tile = "thick" }, 17, 2},
		{"trim", func(a, b *rooms.Surface) { a.Edges[1].Fill = rooms.FillTrim }, 2, 2},
		{"mitre", func(a, b *rooms.Surface) { b.Edges[3].Fill = rooms.FillMitre }, 10, 10},
		{"membrane", func(a, b *rooms.Surface) { b.Prepare = []string{"membrane"} }, 13, 2},
		{"only one says so", func(a, b *rooms.Surface) { b.Edges[3].Shared, b.Edges[3].Meets = "", "" }, 12, 2},
		{"b not tiled", func(a, b *rooms.Surface) { b.Zones[0].Tile = "" }, -2, 0},
	} {
		in := arrisRoom()
		c.make(&in.Room.Surfaces[0], &in.Room.Surfaces[1])
		ls, err := LayOut(in)
		if err != nil {
			t.Fatalf("%s: %v", c.name, err)
		}
		for i := range ls {
			if err := CheckLayout(ls[i], in.Tiles); err != nil {
				t.Errorf("%s: %v", c.name, err)
			}
			cover := ls[i].Zones[0].Cover[0].Outer.Box()
			if got := cover.Max.X - 900*lmm; ls[i].Surface == "a" && got != c.a*lmm {
				t.Errorf("%s: a ends %s beyond the bare corner, want %d mm", c.name, got, c.a)
			}
			if got := -cover.Min.X; ls[i].Surface == "b" && got != c.b*lmm {
				t.Errorf("%s: b ends %s beyond the bare corner, want %d mm", c.name, got, c.b)
			}
		}
	}
}

// TestArrisPieces: wall a of 900 that runs over b by 12 holds tiles of 297 with
// joints of 3 from its left end: three whole ones to 897, and behind a joint a
// strip from 900 to 912. As it is flush with b's face, the strip may come out up
// to 1 short of 12 and no larger: 11 … 12.
func TestArrisPieces(t *testing.T) {
	in := arrisRoom()
	ls, err := LayOut(in)
	if err != nil {
		t.Fatal(err)
	}
	n := 0
	for _, p := range ls[0].Zones[0].Pieces {
		for _, c := range p.Cuts {
			if c.Sized && c.Side == "right" {
				n++
				if c.Drawn != 12*lmm || c.Least != 11*lmm || c.Most != 12*lmm {
					t.Errorf("%s is drawn %s, %s to %s", p.Label, c.Drawn, c.Least, c.Most)
				}
			}
		}
	}
	if n == 0 {
		t.Error("no strip at the arris")
	}
}

// TestArrisTops: a kerb 120 wide and 100 high between two faces, a bench over its
// front and a niche, tiles 8 thick on 4:
//
//	kerb top    runs over both faces: 120 + 12 + 12 = 144
//	kerb face   ends 2 under the top's tile, whose back lies 4 up: 100 + 4 − 2 = 102
//	bench top   400 + 12 over its front
//	niche face  90 deep, the wall's 12 more; the wall's tile reaches to 2 from the
//	            face's tile, whose back stands 4 out: the hole of 300 is 300 − 2·(4 − 2) wide
func TestArrisTops(t *testing.T) {
	face := func(key, kind string, w, h rooms.Length, shared map[int]string) rooms.Surface {
		s := rooms.Surface{Key: key, Kind: kind, Layer: rooms.Membrane, Measured: true, Outline: rooms.Rect(0, 0, w*lmm, h*lmm), Edges: make([]rooms.Edge, 4),
			Zones: []rooms.Zone{{Key: "z", Tile: "t", Pattern: "straight", Joint: 3 * lmm}}}
		for i, to := range shared {
			s.Edges[i] = rooms.Edge{Meets: rooms.OutsideCorner, Gap: 2 * lmm, GapMin: lmm, GapMax: 3 * lmm, Fill: rooms.FillNothing, Shared: to}
		}
		return s
	}
	wall := face("wall", rooms.Wall, 900, 900, nil)
	wall.Openings = []rooms.Opening{{Key: "niche", Kind: "niche", Outline: rooms.Rect(300*lmm, 300*lmm, 600*lmm, 600*lmm), Gap: 2 * lmm, GapMin: lmm, GapMax: 3 * lmm}}
	in := arrisRoom()
	in.Room.Surfaces = []rooms.Surface{
		face("inside", rooms.Kerb, 900, 100, map[int]string{2: "r/top#0"}),
		face("top", rooms.Kerb, 900, 120, map[int]string{0: "r/inside#2", 2: "r/outside#2"}),
		face("outside", rooms.Kerb, 900, 100, map[int]string{2: "r/top#2"}),
		face("front", rooms.Wall, 900, 450, map[int]string{2: "r/bench#0"}),
		face("bench", rooms.Bench, 900, 400, map[int]string{0: "r/front#2"}),
		wall,
		face("sill", rooms.NicheFace, 300, 90, map[int]string{0: "r/wall#niche"}),
		face("head", rooms.NicheFace, 300, 90, map[int]string{2: "r/wall#niche"}),
		face("left", rooms.NicheFace, 90, 300, map[int]string{3: "r/wall#niche"}),
		face("right", rooms.NicheFace, 90, 300, map[int]string{1: "r/wall#niche"}),
	}
	ls, err := LayOut(in)
	if err != nil {
		t.Fatal(err)
	}
	want := map[string][2]rooms.Length{ // lower and upper end, or left and right
		"inside": {0, 102}, "top": {-12, 132}, "outside": {0, 102}, "front": {0, 452}, "bench": {-12, 400},
		"sill": {-12, 90}, "head": {0, 102}, "left": {-12, 90}, "right": {0, 102},
	}
	for i := range ls {
		if err := CheckLayout(ls[i], in.Tiles); err != nil {
			t.Error(err)
		}
		cover := ls[i].Zones[0].Cover[0]
		b := cover.Outer.Box()
		got := [2]rooms.Length{b.Min.Y, b.Max.Y}
		switch ls[i].Surface {
		case "left", "right":
			got = [2]rooms.Length{b.Min.X, b.Max.X}
		case "wall":
			if hole := cover.Holes[0].Box(); hole.Width() != 296*lmm || hole.Min.X != 302*lmm {
				t.Errorf("the hole round the niche is %s wide from %s", hole.Width(), hole.Min.X)
			}
			continue
		}
		if w := want[ls[i].Surface]; got != [2]rooms.Length{w[0] * lmm, w[1] * lmm} {
			t.Errorf("%s ends at %s and %s, want %d and %d", ls[i].Surface, got[0], got[1], w[0], w[1])
		}
	}
}

// TestBandRunsOver: a band from edge to edge of a wall that runs over an arris
// goes round it too, and the field leaves no strip of its own beside it.
func TestBandRunsOver(t *testing.T) {
	in := arrisRoom()
	a := &in.Room.Surfaces[0]
	a.Zones = append(a.Zones, rooms.Zone{Key: "band", Tile: "t", Pattern: "straight", Joint: 3 * lmm, Region: rooms.Rect(0, 200*lmm, 900*lmm, 300*lmm)})
	ls, err := LayOut(in)
	if err != nil {
		t.Fatal(err)
	}
	for _, z := range ls[0].Zones {
		for _, c := range z.Cover {
			if b := c.Outer.Box(); b.Min.X != 0 || b.Max.X != 912*lmm {
				t.Errorf("zone %s runs from %s to %s, want 0 to 912", z.Zone.Key, b.Min.X, b.Max.X)
			}
		}
	}
}

// TestMitre: wall a of 900 × 600 with its right edge mitred against b, the gap
// 0.75: its tile runs to 900 + 12 − 0.75 = 911.25. From the left, 297 + 3 at a
// time, that are whole tiles to 897 and strips of 911.25 − 900 = 11.25: in three
// courses of 197 (and a low fourth of none: 600 = 3 · 200) three pieces to mitre
// on their right, each sawn and still cut to its width. Whole tiles at a mitre
// stay whole: with the outline 888 wide, 888 + 12 − 0.75 = 899.25 holds the third
// tile of 594 … 897 whole, 2.25 (under a joint) from the arris.
func TestMitre(t *testing.T) {
	for _, c := range []struct {
		wide         rooms.Length
		whole, strip int
	}{{900, 0, 3}, {888, 3, 0}} {
		in := arrisRoom()
		a := &in.Room.Surfaces[0]
		a.Outline = rooms.Rect(0, 0, c.wide*lmm, 600*lmm)
		a.Edges[1].Fill, a.Edges[1].Gap, a.Edges[1].GapMin, a.Edges[1].GapMax = rooms.FillMitre, 3*lmm/4, lmm/2, lmm
		ls, err := LayOut(in)
		if err != nil {
			t.Fatal(err)
		}
		whole, strip := 0, 0
		for _, p := range ls[0].Zones[0].Pieces {
			for _, k := range p.Cuts {
				if !strings.HasPrefix(k.Shape, "mitre") {
					continue
				}
				if k.Tool != WetSaw || k.Shape != "mitre the right edge at 45° from behind, the face left whole" || !strings.Contains(k.At, "right edge") {
					t.Errorf("%s: %+v", p.Label, k)
				}
				if p.Full {
					whole++
				} else {
					strip++
				}
			}
		}
		if whole != c.whole || strip != c.strip {
			t.Errorf("%d wide: %d whole pieces and %d cut ones are mitred, want %d and %d", c.wide, whole, strip, c.whole, c.strip)
		}
		if err := CheckLayout(ls[0], in.Tiles); err != nil {
			t.Error(err)
		}
		if b := ls[1].Zones[0].Pieces; !slices.ContainsFunc(b, func(p Piece) bool {
			return slices.ContainsFunc(p.Cuts, func(k Cut) bool { return strings.HasPrefix(k.Shape, "mitre the left edge") })
		}) {
			t.Error("b, which says nothing itself, is not mitred")
		}
	}
}

// TestBareArris: three pieces, one a course, end at the arris; they are remarked
// on the wall that runs over unless trim, mitre or finished edges close it. A cut
// side of a tile with finished edges shows too.
func TestBareArris(t *testing.T) {
	for _, c := range []struct {
		name string
		make func(in *RoomToLay, a *rooms.Surface)
		want float64
	}{
		{"bare", func(in *RoomToLay, a *rooms.Surface) {}, 3},
		{"trim", func(in *RoomToLay, a *rooms.Surface) { a.Edges[1].Fill = rooms.FillTrim }, 0},
		{"mitre", func(in *RoomToLay, a *rooms.Surface) { a.Edges[1].Fill = rooms.FillMitre }, 0},
		{"finished, cut there", func(in *RoomToLay, a *rooms.Surface) {
			tile := in.Tiles["t"]
			tile.Finished = true
			in.Tiles["t"] = tile
		}, 3},
		{"finished, whole there", func(in *RoomToLay, a *rooms.Surface) {
			tile := in.Tiles["t"]
			tile.Finished = true
			in.Tiles["t"] = tile
			a.Zones[0].Datum.Across = rooms.FullRight
		}, 0},
	} {
		in := arrisRoom()
		c.make(&in, &in.Room.Surfaces[0])
		ls, err := LayOut(in)
		if err != nil {
			t.Fatal(err)
		}
		got := 0.0
		for _, l := range ls {
			for _, f := range l.Findings {
				if f.Rule == "outside corner" {
					got += f.Value
				}
			}
		}
		if got != c.want {
			t.Errorf("%s: %g pieces remarked, want %g", c.name, got, c.want)
		}
	}
}

// TestDisputedOnSite: where readings of the left edge differ by 7 mm at one place
// every piece there is measured on site, and only there.
func TestDisputedOnSite(t *testing.T) {
	in := arrisRoom()
	a := &in.Room.Surfaces[0]
	a.Readings = []rooms.Reading{{Edge: 3, At: 300 * lmm, Deviation: 2 * lmm}, {Edge: 3, At: 302 * lmm, Deviation: 9 * lmm}}
	a.Zones[0].Datum.Across = rooms.FullRight
	ls, err := LayOut(in)
	if err != nil {
		t.Fatal(err)
	}
	left := 0
	for _, p := range ls[0].Zones[0].Pieces {
		at := p.Polygon.Outer.Box().Min.X <= -8*lmm
		if at {
			left++
		}
		if p.OnSite != at || at && !strings.Contains(p.OnSiteWhy, "contradict each other; take ") {
			t.Errorf("%s at %s: on site %v, %s", p.Label, p.Polygon.Outer.Box().Min.X, p.OnSite, p.OnSiteWhy)
		}
	}
	if left == 0 {
		t.Error("nothing lies at the left edge")
	}
}

// TestMitreOfAnotherAngle: what both faces gain at a mitre, by points set out in the
// plane: the lines 12 and 17 off two grounds that meet at an angle cross where both
// faces end. The floor's outline tells the angle, or an edge does.
func TestMitreOfAnotherAngle(t *testing.T) {
	for _, degrees := range []float64{60, 90, 120, 135, 150} {
		in := arrisRoom()
		in.Room.Surfaces[1].Zones[0].Tile = "thick"
		in.Room.Surfaces[0].Edges[1].Fill, in.Room.Surfaces[0].Edges[1].Angle = rooms.FillMitre, degrees
		// Ground of a along the x axis up to the corner at 0, 0; that of b runs on from
		// there, turned away by 180 less the corner's angle. The room lies above a.
		turn := (180 - degrees) * math.Pi / 180
		bx, by := math.Cos(turn), -math.Sin(turn)
		// The point 12 above a and 17 off b: y = 12, (x, 12) · (sin turn, cos turn) = 17.
		x := (17 - 12*math.Cos(turn)) / math.Sin(turn)
		beyondB := -(x*bx + 12*by)
		got := BuildUps(in)
		for i, want := range []float64{x, beyondB} {
			gain := -got[i].Deduct[1+2*i].Millimetres()
			if math.Abs(gain-max(0, want)) > 0.011 {
				t.Errorf("%g°: surface %d gains %.3f mm at the corner, want %.3f", degrees, i, gain, want)
			}
		}
	}
	in := arrisRoom()
	floor := rooms.Surface{Key: "f", Kind: rooms.Floor, Outline: rooms.Ring{{X: 0, Y: 0}, {X: 900 * lmm, Y: 0}, {X: 1536 * lmm, Y: -636 * lmm}, {X: 3000 * lmm, Y: -636 * lmm}, {X: 3000 * lmm, Y: 900 * lmm}, {X: 0, Y: 900 * lmm}}, Edges: make([]rooms.Edge, 6)}
	floor.Edges[0].Shared, floor.Edges[1].Shared = "r/a#0", "r/b#0"
	in.Room.Surfaces = append(in.Room.Surfaces, floor)
	in.Room.Surfaces[0].Edges[1].Fill = rooms.FillMitre
	ls, err := LayOut(in)
	if err != nil {
		t.Fatal(err)
	}
	for i, side := range []string{"right", "left"} {
		want := "mitre the " + side + " edge from behind, the face left whole: half the corner's 135°, 67.5° between face and cut, the saw tilted 22.5° from square"
		if !slices.ContainsFunc(ls[i].Zones[0].Pieces, func(p Piece) bool {
			return slices.ContainsFunc(p.Cuts, func(k Cut) bool { return k.Shape == want })
		}) {
			t.Errorf("no piece of %s is told to %s", ls[i].Surface, want)
		}
	}
}

// TestMitreAngleTaken: a mitred corner of two walls of which nothing tells the angle is
// told once as taken square; where an edge says it, the floor's outline shows it, a
// trim closes it or a niche's face ends there, nothing is said.
func TestMitreAngleTaken(t *testing.T) {
	floor := rooms.Surface{Key: "f", Kind: rooms.Floor, Edges: make([]rooms.Edge, 6),
		Outline: rooms.Ring{{X: 0, Y: 0}, {X: 900 * lmm, Y: 0}, {X: 900 * lmm, Y: -900 * lmm}, {X: 3000 * lmm, Y: -900 * lmm}, {X: 3000 * lmm, Y: 900 * lmm}, {X: 0, Y: 900 * lmm}}}
	floor.Edges[0].Shared, floor.Edges[1].Shared = "r/a#0", "r/b#0"
	for _, c := range []struct {
		name string
		make func(in *RoomToLay, a, b *rooms.Edge)
		want string
	}{
		{"nothing tells", func(in *RoomToLay, a, b *rooms.Edge) { b.Fill = rooms.FillMitre }, "a right edge"},
		{"alone", func(in *RoomToLay, a, b *rooms.Edge) {
			a.Fill, a.Shared, b.Shared, b.Meets = rooms.FillMitre, "", "", ""
		}, "a right edge"},
		{"said", func(in *RoomToLay, a, b *rooms.Edge) { b.Fill, b.Angle = rooms.FillMitre, 135 }, ""},
		{"said, alone", func(in *RoomToLay, a, b *rooms.Edge) {
			a.Fill, a.Angle, a.Shared, b.Shared, b.Meets = rooms.FillMitre, 90, "", "", ""
		}, ""},
		{"floor", func(in *RoomToLay, a, b *rooms.Edge) {
			a.Fill = rooms.FillMitre
			in.Room.Surfaces = append(in.Room.Surfaces, floor)
		}, ""},
		{"trim", func(in *RoomToLay, a, b *rooms.Edge) { a.Fill = rooms.FillTrim }, ""},
		{"niche", func(in *RoomToLay, a, b *rooms.Edge) { *in = nicheRoom(90*lmm, 297*lmm, rooms.FillMitre) }, ""},
	} {
		in := arrisRoom()
		c.make(&in, &in.Room.Surfaces[0].Edges[1], &in.Room.Surfaces[1].Edges[3])
		ls, err := LayOut(in)
		if err != nil {
			t.Fatal(err)
		}
		var got []string
		for _, l := range ls {
			for _, f := range l.Findings {
				if f.Rule == "mitre angle" {
					got = append(got, l.Surface+" "+strings.Split(f.Message, ",")[0])
				}
			}
		}
		if strings.Join(got, "; ") != c.want {
			t.Errorf("%s: told %q, want %q", c.name, got, c.want)
		}
	}
}
