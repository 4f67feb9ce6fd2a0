package takeoff

import (
	"slices"
	"strings"
	"testing"

	"pgregory.net/rapid"

	"potlife/rooms"
)

// TestBestOffsetAgainstEveryUnit tries every unit of the pitch and finds none
// better than the finite set does.
func TestBestOffsetAgainstEveryUnit(t *testing.T) {
	rapid.Check(t, func(rt *rapid.T) {
		unit := func(name string, least, most int) rooms.Length {
			return rooms.Length(rapid.IntRange(least, most).Draw(rt, name))
		}
		a := axis{size: unit("size", 20, 400), joint: unit("joint", 0, 19), pitch: 50, floor: unit("floor", 1, 15), unit: unit("unit", 1, 30)}
		a.shifts = []rooms.Length{0}
		for range rapid.IntRange(0, 2).Draw(rt, "courses") {
			a.shifts = append(a.shifts, unit("shift", 1, int(a.size)))
		}
		for range rapid.IntRange(1, 5).Draw(rt, "edges") {
			a.edges = append(a.edges, axisEdge{
				at: unit("at", 0, 1500), near: rapid.Bool().Draw(rt, "near"), long: unit("long", 10, 300),
				eye: rapid.IntRange(unseen, seenFirst).Draw(rt, "eye"), slack: unit("slack", 0, 10), bare: rapid.Bool().Draw(rt, "bare"), margin: rapid.Bool().Draw(rt, "margin")})
		}
		if rapid.Bool().Draw(rt, "strip") {
			a.span = unit("span", 10, 420)
		}
		got := a.best()[0]
		for o := rooms.Length(0); o < a.size+a.joint; o++ {
			if r := a.rank(o); r.compare(got.rank) < 0 {
				rt.Fatalf("%+v: offset %d ranks %v, best found %d with %v", a, o, r, got.o, got.rank)
			}
		}
	})
}

// TestRebalancedCuts checks the trade's rule for a full tile that meets a
// sliver, with the two published examples (FACTS.md 4.3,
// https://www.fcimag.com/articles/95138-ctef-tile-tip-is-a-balanced-tile-layout-really-difficult-to-achieve and
// https://www.floortrendsmag.com/articles/111279-substandard-to-tile-installation-standards, which leave the joint out),
// and the exact form with a joint (FACTS.md 4.3b, derived there).
func TestRebalancedCuts(t *testing.T) {
	in := func(sixteenths rooms.Length) rooms.Length { return sixteenths * rooms.Inch / 16 }
	for _, c := range []struct {
		name             string
		run, tile, joint rooms.Length
		n                int
		end              rooms.Length
	}{
		// A full 24 in tile at one end, 1½ in at the other: 12¾ in at each.
		{"24 and 1 1/2 in", in(5*24*16 + 24), in(24 * 16), 0, 4, in(12*16 + 12)},
		// Slivers of 1¾ and 1¼ in with a tile of 11¾ in: 14¾ ÷ 2 = 7⅜ in.
		{"1 3/4 and 1 1/4 in", in(6*188 + 28 + 20), in(188), 0, 5, in(7*16 + 6)},
		// (T + J + c1 + c2)/2 with T 297, J 3, cuts 20 and 30: 175.
		{"with the joint", 4*300*lmm + 3*lmm + 50*lmm, 297 * lmm, 3 * lmm, 3, 175 * lmm},
		{"no room for two halves", 200 * lmm, 297 * lmm, 3 * lmm, 0, 98*lmm + lmm/2},
	} {
		n, end := BalancedCut(c.run, c.tile, c.joint)
		if n != c.n || end != c.end {
			t.Errorf("%s: %d tiles and cuts of %s, want %d and %s", c.name, n, end, c.n, c.end)
		}
	}
}

// TestExactlyOneBalance is the second half of FACTS.md 4.3b: exactly one number
// of whole tiles leaves cuts from half a tile to a tile and half a joint.
func TestExactlyOneBalance(t *testing.T) {
	rapid.Check(t, func(rt *rapid.T) {
		tile := rooms.Length(rapid.IntRange(50, 1200).Draw(rt, "tile")) * lmm
		joint := rooms.Length(rapid.IntRange(1, 10).Draw(rt, "joint")) * lmm
		run := 2*tile + rooms.Length(rapid.IntRange(0, 8_000_000).Draw(rt, "run"))*8
		found := 0
		for n := range int(run/tile) + 1 {
			end2 := run - rooms.Length(n)*tile - rooms.Length(n+1)*joint
			if end2 >= tile && end2 < 2*tile+joint {
				found++
			}
		}
		if found != 1 {
			rt.Fatalf("tile %s joint %s run %s: %d balances", tile, joint, run, found)
		}
		n, end := BalancedCut(run, tile, joint)
		a := axis{size: tile, joint: joint, pitch: tile, shifts: []rooms.Length{0}, floor: 8 * lmm,
			edges: []axisEdge{{at: 0, near: true, long: tile}, {at: run, long: tile}}}
		o := a.best()[0].o
		left, _ := a.cut(a.edges[0], o)
		right, _ := a.cut(a.edges[1], o)
		if end <= tile && (absLen(left-end) > 1 || absLen(right-end) > 1) {
			rt.Fatalf("tile %s joint %s run %s: best cuts %s and %s, balance %d tiles and %s", tile, joint, run, left, right, n, end)
		}
	})
}

// wall is a wall of the given size in one pattern, gaps of 5 mm.
func wall(w, h rooms.Length, tile Tile, z rooms.Zone) RoomToLay {
	e := rooms.Edge{Meets: rooms.InsideCorner, Gap: 5 * lmm, GapMin: 3 * lmm, GapMax: 8 * lmm}
	z.Key, z.Tile = "z", tile.Key
	if z.Joint == 0 {
		z.Joint = 3 * lmm
	}
	s := rooms.Surface{Key: "s", Kind: rooms.Wall, Outline: rooms.Rect(0, 0, w, h), Measured: true,
		Edges: []rooms.Edge{e, e, e, e}, Zones: []rooms.Zone{z}}
	return RoomToLay{Job: "j", Room: rooms.Room{Key: "r", Surfaces: []rooms.Surface{s}}, Tiles: map[string]Tile{tile.Key: tile}}
}

func lay(t *testing.T, in RoomToLay) Layout {
	t.Helper()
	l, err := LayOut(in)
	if err != nil {
		t.Fatal(err)
	}
	return l[0]
}

// sizesAlong lists the widths of the pieces of one course from left to right.
func sizesAlong(z ZoneLayout, course int) string {
	var out []string
	for _, p := range z.Pieces {
		if p.Course == course {
			out = append(out, rooms.FormatMM(p.Polygon.Outer.Box().Width(), 2, rooms.Nearest))
		}
	}
	return strings.Join(out, " ")
}

func TestDatumPolicies(t *testing.T) {
	tile := box("t", 297*lmm, 197*lmm)
	for _, c := range []struct {
		across, want string
	}{
		// 2000 − 10 = 1990 usable; pitch 300.
		{rooms.Best, "243.5 297 297 297 297 297 243.5"},
		{rooms.OnTile, "243.5 297 297 297 297 297 243.5"},
		{rooms.OnJoint, "93.5 297 297 297 297 297 297 93.5"},
		{rooms.FullLeft, "297 297 297 297 297 297 190"},
		{rooms.FullRight, "190 297 297 297 297 297 297"},
		{rooms.At, "92 297 297 297 297 297 297 95"},
	} {
		l := lay(t, wall(2000*lmm, 1000*lmm, tile, rooms.Zone{Pattern: "straight", Datum: rooms.Datum{Across: c.across, Up: rooms.FullLow, X: 100 * lmm}}))
		if got := sizesAlong(l.Zones[0], 1); got != c.want {
			t.Errorf("%s: %s, want %s", c.across, got, c.want)
		}
	}
}

// TestOffsetAgainstItsWidth: running bond in tiles of 197 with joints of 3 on walls of
// every width: where the width leaves no third of a tile (66) at the ends of all courses
// the least cut is, within 1 mm, the widest that can be had, found by trying every
// millimetre; where it leaves one no cut is under a third.
func TestOffsetAgainstItsWidth(t *testing.T) {
	a := axis{size: 197 * lmm, joint: 3 * lmm, pitch: 100 * lmm, floor: 8 * lmm, shifts: []rooms.Length{0, 100 * lmm}}
	least := func(o rooms.Length) rooms.Length {
		c := a.size
		for _, s := range a.shifts {
			for _, e := range a.edges {
				w, bare := a.cut(e, o+s)
				if c = min(c, w); bare > e.slack {
					c = 0
				}
			}
		}
		return c
	}
	for width := 1000 * lmm; width < 1200*lmm; width += 7 * lmm {
		a.edges = []axisEdge{{near: true, long: 2000 * lmm, slack: 2 * lmm, eye: seenFirst}, {at: width, long: 2000 * lmm, slack: 2 * lmm}}
		widest := rooms.Length(0)
		for o := rooms.Length(0); o < 200*lmm; o += lmm / 2 {
			widest = max(widest, least(o))
		}
		got := least(a.best()[0].o)
		if want := min(widest, a.size/3) - lmm; got < want {
			t.Errorf("%s wide: a cut of %s, want no less than %s", width, got, want)
		}
	}
}

// TestFullTileOfTurnedPatterns: of a pattern that lies at an angle a full tile from an
// edge is a whole tile whose corner touches it, from either side, and the text says so.
func TestFullTileOfTurnedPatterns(t *testing.T) {
	for _, pattern := range []string{"diagonal", "herringbone 45"} {
		for _, high := range []bool{false, true} {
			d, end := rooms.Datum{Across: rooms.FullLeft, Up: rooms.FullLow}, "lower"
			if high {
				d, end = rooms.Datum{Across: rooms.FullRight, Up: rooms.FullHigh}, "upper"
			}
			in := wall(2000*lmm, 1000*lmm, box("t", 197*lmm, 97*lmm), rooms.Zone{Pattern: pattern, Datum: d})
			l := lay(t, in)
			if err := CheckLayout(l, in.Tiles); err != nil {
				t.Error(err)
			}
			z := l.Zones[0]
			cover := rooms.BoxOf(z.Cover)
			at := [2]bool{}
			for _, p := range z.Pieces {
				b := p.Polygon.Outer.Box()
				q, edge := b.Min, cover.Min
				if high {
					q, edge = b.Max, cover.Max
				}
				at[0] = at[0] || p.Full && absLen(q.X-edge.X) <= 8
				at[1] = at[1] || p.Full && absLen(q.Y-edge.Y) <= 8
			}
			if !at[0] || !at[1] || !strings.Contains(z.Why, "a whole tile with its corner at the "+end+" end") {
				t.Errorf("%s, %s: whole tiles touch left or right %v, foot or top %v: %s", pattern, end, at[0], at[1], z.Why)
			}
		}
	}
}

// TestSeenSideGetsWholeTiles: a free edge draws whole tiles as long as the cut
// across from it stays at half a tile.
func TestSeenSideGetsWholeTiles(t *testing.T) {
	in := wall(1850*lmm, 600*lmm, box("t", 297*lmm, 197*lmm), rooms.Zone{})
	in.Room.Surfaces[0].Edges[1].Meets = rooms.OutsideCorner
	l := lay(t, in)
	if got, want := sizesAlong(l.Zones[0], 1), "297 297 297 297 297 297 37"; got == want {
		t.Fatalf("a sliver is left: %s", got)
	}
	in.Room.Surfaces[0].Outline = rooms.Rect(0, 0, 2000*lmm, 600*lmm) // 190 is more than half
	l = lay(t, in)
	if got, want := sizesAlong(l.Zones[0], 1), "190 297 297 297 297 297 297"; got != want {
		t.Errorf("%s, want %s (%s)", got, want, l.Zones[0].Why)
	}
}

// TestWallsShareTheirLevel: the joints of two walls of a room run through even
// where a window would ask for another height.
func TestWallsShareTheirLevel(t *testing.T) {
	in := wall(2000*lmm, 2400*lmm, box("t", 297*lmm, 197*lmm), rooms.Zone{})
	second := in.Room.Surfaces[0]
	second.Key = "s2"
	second.Openings = []rooms.Opening{{Key: "window", Outline: rooms.Rect(500*lmm, 900*lmm, 1500*lmm, 1700*lmm), Gap: 3 * lmm, Seen: true}}
	in.Room.Surfaces = append(in.Room.Surfaces, second)
	l, err := LayOut(in)
	if err != nil {
		t.Fatal(err)
	}
	a, b := l[0].Zones[0], l[1].Zones[0]
	pitch := 200 * lmm
	if (a.Origin.Y-b.Origin.Y)%pitch != 0 || !strings.Contains(a.Why, "one level for 2 walls") {
		t.Errorf("origins %v and %v: %s", a.Origin, b.Origin, a.Why)
	}
}

// TestLevelNamesItsWalls: a level shared by the zones of one wall is not one for several
// walls, and a wall counts once however many zones of it share.
func TestLevelNamesItsWalls(t *testing.T) {
	in := wall(2000*lmm, 2400*lmm, box("t", 297*lmm, 197*lmm), rooms.Zone{})
	s := &in.Room.Surfaces[0]
	left := s.Zones[0]
	left.Key, left.Region = "left", rooms.Rect(0, 0, 900*lmm, 2400*lmm)
	s.Zones = append(s.Zones, left)
	for _, z := range lay(t, in).Zones {
		if !strings.Contains(z.Why, "one level for 2 zones of the wall") {
			t.Errorf("%s: %s", z.Zone.Key, z.Why)
		}
	}
	second := *s
	second.Key, second.Zones = "s2", second.Zones[:1]
	in.Room.Surfaces = append(in.Room.Surfaces, second)
	ls, err := LayOut(in)
	if err != nil {
		t.Fatal(err)
	}
	for _, l := range ls {
		if z := l.Zones[0]; !strings.Contains(z.Why, "one level for 2 walls") {
			t.Errorf("%s: %s", l.Surface, z.Why)
		}
	}
}

// TestEachWallIsToldItsOwnCuts: where walls of several heights, one of them over a
// floor that slopes, share a level, each one's text names its own edges and the
// least cut that lies there.
func TestEachWallIsToldItsOwnCuts(t *testing.T) {
	in := wall(2000*lmm, 2400*lmm, box("t", 297*lmm, 197*lmm), rooms.Zone{})
	second := in.Room.Surfaces[0]
	second.Key, second.Outline = "s2", rooms.Rect(0, 0, 2000*lmm, 1215*lmm)
	second.Edges = slices.Clone(second.Edges)
	second.Edges[0].Meets, second.Edges[2].Meets = rooms.AtFloor, rooms.FreeEdge
	second.Readings = []rooms.Reading{{Edge: 0, At: 0}, {Edge: 0, At: 2000 * lmm, Deviation: 6 * lmm}}
	in.Room.Surfaces = append(in.Room.Surfaces, second)
	l, err := LayOut(in)
	if err != nil {
		t.Fatal(err)
	}
	for i, sides := range [][2]string{{"bottom edge, inside corner", "top edge, inside corner"}, {"bottom edge, floor", "top edge, free edge"}} {
		z := l[i].Zones[0]
		box := rooms.BoxOf(z.Cover)
		least := [2]rooms.Length{197 * lmm, 197 * lmm}
		for _, p := range z.Pieces {
			low, high := p.Polygon.Outer.Box().Min.Y, p.Polygon.Outer.Box().Max.Y
			if low < box.Min.Y+10*lmm {
				for _, v := range p.Polygon.Outer { // of a taper the shorter end
					if v.Y < low+50*lmm {
						least[0] = min(least[0], high-v.Y)
					}
				}
			}
			if high == box.Max.Y {
				least[1] = min(least[1], high-low)
			}
		}
		for k, side := range sides {
			if want := rooms.FormatMM(least[k], 1, rooms.Down) + " mm at " + side; !strings.Contains(z.Why, want) {
				t.Errorf("wall %d: %q is not told: %s", i+1, want, z.Why)
			}
		}
		if !strings.HasSuffix(strings.Split(z.Why, "; ahead")[0], "one level for 2 walls") {
			t.Errorf("wall %d: %s", i+1, z.Why)
		}
	}
}

// TestThirdsOffset is FACTS.md 4.11: a third's offset repeats every third course
// (0, 1/3, 2/3) or alternates (0, 1/3), each with end cuts of its own. On a wall
// 10 full tiles and joints wide, from a full tile on the left, the left cuts
// repeat: 297, 97, 197 mm (297 less 0, 200, 100).
func TestThirdsOffset(t *testing.T) {
	tile := box("t", 297*lmm, 97*lmm)
	for _, c := range []struct {
		pattern string
		want    map[string]int // left pieces' widths and how many courses have them
	}{
		{"offset 1/3", map[string]int{"297": 4, "97": 4, "197": 4}},
		{"offset 0,1/3,2/3", map[string]int{"297": 4, "97": 4, "197": 4}},
		{"offset 0,1/3", map[string]int{"297": 6, "97": 6}},
	} {
		in := wall(3007*lmm, 1207*lmm, tile, rooms.Zone{Pattern: c.pattern, Datum: rooms.Datum{Across: rooms.FullLeft, Up: rooms.FullLow}})
		z := lay(t, in).Zones[0]
		got := map[string]int{}
		for course := range 20 {
			if w := strings.Fields(sizesAlong(z, course)); len(w) > 0 {
				got[w[0]]++
			}
		}
		for w, n := range c.want {
			if got[w] != n || len(got) != len(c.want) {
				t.Errorf("%s: left pieces %v, want %v", c.pattern, got, c.want)
				break
			}
		}
	}
}

// TestLockKeepsOriginAndIDs: a wall measured 4 mm narrower on the right changes
// only the cuts there.
func TestLockKeepsOriginAndIDs(t *testing.T) {
	in := wall(2000*lmm, 1000*lmm, box("t", 297*lmm, 197*lmm), rooms.Zone{})
	before := lay(t, in).Zones[0]
	in.Locks = map[string]Lock{"j/r/s/z": {Origin: before.Origin}}
	in.Room.Surfaces[0].Readings = []rooms.Reading{{Edge: 1, Deviation: -4 * lmm}}
	after := lay(t, in).Zones[0]
	if len(before.Pieces) != len(after.Pieces) {
		t.Fatalf("%d pieces became %d", len(before.Pieces), len(after.Pieces))
	}
	changed := 0
	for i, p := range before.Pieces {
		q := after.Pieces[i]
		if p.ID != q.ID {
			t.Fatalf("%s became %s", p.ID, q.ID)
		}
		if d := p.Polygon.Outer.Box().Width() - q.Polygon.Outer.Box().Width(); d != 0 {
			changed++
			if d != 4*lmm || p.Polygon.Outer.Box().Max.X != 1995*lmm {
				t.Errorf("%s lost %s", p.ID, d)
			}
		}
	}
	if changed != 5 {
		t.Errorf("%d pieces changed, want the 5 at the right wall", changed)
	}
}

// TestRunnersUp: three other origins are named, none better than the winner, and
// a datum given at each lays what was counted.
func TestRunnersUp(t *testing.T) {
	for _, pattern := range []string{"straight", "offset 1/2", "herringbone", "diagonal"} {
		in := wall(2000*lmm, 1000*lmm, box("t", 297*lmm, 147*lmm), rooms.Zone{Pattern: pattern})
		z := lay(t, in).Zones[0]
		if !strings.Contains(z.Why, "ahead of the next by ") && !strings.Contains(z.Why, "as good as the next") && !strings.Contains(z.Why, "as good to look at") {
			t.Errorf("%s does not say why it won: %s", pattern, z.Why)
		}
		if len(z.RunnersUp) != 3 {
			t.Errorf("%s: %d runners-up", pattern, len(z.RunnersUp))
		}
		for _, r := range z.RunnersUp {
			in.Room.Surfaces[0].Zones[0].Datum = rooms.Datum{Across: rooms.At, Up: rooms.At, X: r.Origin.X, Y: r.Origin.Y}
			full := 0
			other := lay(t, in).Zones[0]
			for _, p := range other.Pieces {
				if p.Full {
					full++
				}
			}
			if full != r.Full || len(other.Pieces)-full != r.Cut || r.Why == "" {
				t.Errorf("%s: counted %d + %d, laid %d + %d", pattern, r.Full, r.Cut, full, len(other.Pieces)-full)
			}
		}
	}
}

// TestDrainIsCutEvenly: on a shower floor the tiles around a round drain in the
// middle are cut alike, and no sliver of a tile is left beside it.
func TestDrainIsCutEvenly(t *testing.T) {
	in := wall(900*lmm, 900*lmm, box("t", 97*lmm, 97*lmm), rooms.Zone{})
	s := &in.Room.Surfaces[0]
	s.Kind = rooms.ShowerFloor
	s.Openings = []rooms.Opening{{Key: "drain", Outline: rooms.Circle(rooms.Point{X: 450 * lmm, Y: 450 * lmm}, 55*lmm, lmm/10), Gap: 2 * lmm, GapMax: 4 * lmm}}
	l := lay(t, in)
	around := map[string]int{}
	for _, p := range l.Zones[0].Pieces {
		for _, c := range p.Cuts {
			if c.At == "opening drain" {
				around[rooms.FormatMM(rooms.Length(p.AreaMM2*8000), 0, rooms.Nearest)]++
			}
		}
	}
	if len(around) > 2 {
		t.Errorf("pieces around the drain by area: %v (%s)", around, l.Zones[0].Why)
	}
	for _, f := range l.Findings {
		if f.Rule == "sliver" || f.Rule == "thin leg" {
			t.Errorf("%s", f.Message)
		}
	}
}
