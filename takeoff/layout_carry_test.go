package takeoff

import (
	"context"
	"strings"
	"testing"

	"potlife/rooms"
	"potlife/takeoff/nest"
)

// carryRoom is two walls that meet in an inside corner: the right edge of the
// first is the left edge of the second.
func carryRoom() RoomToLay {
	in := wall(2000*lmm, 1000*lmm, box("t", 297*lmm, 97*lmm), rooms.Zone{Pattern: "offset 1/3", Datum: rooms.Datum{Across: rooms.FullLeft}})
	second := in.Room.Surfaces[0]
	second.Key = "s2"
	second.Outline = rooms.Rect(0, 0, 1500*lmm, 1000*lmm)
	second.Edges = append([]rooms.Edge(nil), second.Edges...)
	second.Edges[3].Shared = "r/s#1"
	second.Zones = append([]rooms.Zone(nil), second.Zones...)
	second.Zones[0].Datum.Across = rooms.Carry
	in.Room.Surfaces = []rooms.Surface{second, in.Room.Surfaces[0]} // the follower stands first
	return in
}

// TestCarryRoundTheCorner is FACTS.md 4.10 (common practice): the second wall
// starts with the tile less the first wall's end cut and the corner's allowance,
// here the two gaps of 5 mm, course by course.
func TestCarryRoundTheCorner(t *testing.T) {
	in := carryRoom()
	ls, err := LayOut(in)
	if err != nil {
		t.Fatal(err)
	}
	if ls[0].Surface != "s2" || ls[1].Surface != "s" {
		t.Fatalf("order %s, %s", ls[0].Surface, ls[1].Surface)
	}
	ends := map[rooms.Length]rooms.Length{} // by the lower edge: width of the first wall's last piece
	for _, p := range ls[1].Zones[0].Pieces {
		if b := p.Polygon.Outer.Box(); b.Max.X > 1970*lmm {
			ends[b.Min.Y] = b.Width()
		}
	}
	matched := 0
	for _, p := range ls[0].Zones[0].Pieces {
		b := p.Polygon.Outer.Box()
		if b.Min.X > 6*lmm {
			continue
		}
		end, ok := ends[b.Min.Y]
		if !ok {
			t.Errorf("%s: no course of the first wall at %s", p.ID, b.Min.Y)
			continue
		}
		if want := 297*lmm - end - 10*lmm; want > 0 && end < 287*lmm {
			matched++
			if b.Width() != want {
				t.Errorf("%s starts with %s, want 297 − %s − 10 mm", p.ID, b.Width(), end)
			}
		}
	}
	if matched < 6 {
		t.Errorf("only %d courses wrap", matched)
	}
}

func TestCarryNeedsANeighbour(t *testing.T) {
	for _, c := range []struct {
		says  string
		spoil func(*RoomToLay)
	}{
		{"no edge is shared", func(in *RoomToLay) { in.Room.Surfaces[0].Edges[3].Shared = "" }},
		{"same tile, pattern and joint", func(in *RoomToLay) { in.Room.Surfaces[1].Zones[0].Pattern = "straight" }},
		{"circle", func(in *RoomToLay) { in.Room.Surfaces[1].Zones[0].Datum.Across = rooms.Carry }},
	} {
		in := carryRoom()
		c.spoil(&in)
		if _, err := LayOut(in); err == nil || !strings.Contains(err.Error(), c.says) {
			t.Errorf("want an error with %q, got %v", c.says, err)
		}
	}
}

// TestWallsCarryRoundByThemselves: of four walls in an offset pattern the one met
// first from the door has its own best place and the others go on from it to
// either side, so that at three corners the courses run through; a datum of
// their own, or a straight pattern, keeps them apart.
func TestWallsCarryRoundByThemselves(t *testing.T) {
	walls := func(z rooms.Zone) (ls []Layout, in RoomToLay) {
		r := doorRoom(t, rooms.RectangularFloor(2400*lmm, 1900*lmm))
		for i := range r.Surfaces {
			s := &r.Surfaces[i]
			s.Measured = true
			s.Build.Deduct = make([]rooms.Length, 4)
			if s.Kind == rooms.Wall {
				z.Key, z.Tile, z.Joint = "z", "t", 3*lmm
				s.Zones = []rooms.Zone{z}
			}
		}
		in = RoomToLay{Job: "j", Room: r, Tiles: map[string]Tile{"t": box("t", 297*lmm, 97*lmm)}}
		ls, err := LayOut(in)
		if err != nil {
			t.Fatal(err)
		}
		return ls, in
	}
	ls, in := walls(rooms.Zone{Pattern: "offset 1/3"})
	by := map[string]ZoneLayout{}
	for _, l := range ls {
		if err := CheckLayout(l, in.Tiles); err != nil {
			t.Error(err)
		}
		by[l.Surface] = l.Zones[0]
	}
	if why := by["wall-3"].Why; strings.Contains(why, "round the corner") {
		t.Errorf("wall 3 is met first: %s", why)
	}
	// Wall i+1 stands at the left of wall i: their corner is x 0 of wall i and the
	// width of wall i+1.
	width := map[string]rooms.Length{"wall-1": 2400 * lmm, "wall-2": 1900 * lmm, "wall-3": 2400 * lmm, "wall-4": 1900 * lmm}
	carried := 0
	for _, pair := range [][2]string{{"wall-2", "wall-3"}, {"wall-3", "wall-4"}, {"wall-1", "wall-2"}, {"wall-4", "wall-1"}} {
		right, left := by[pair[0]], by[pair[1]]
		d, up := right.Origin.X+width[pair[1]]-left.Origin.X, right.Origin.Y-left.Origin.Y
		across := map[rooms.Length]rooms.Length{0: 0, 100 * lmm: 100 * lmm, 200 * lmm: 200 * lmm}[(up%(300*lmm)+300*lmm)%(300*lmm)]
		if up%(100*lmm) != 0 {
			t.Errorf("%v: courses at different heights", pair)
		}
		if (d-across)%(300*lmm) == 0 {
			carried++
		}
	}
	declined := 0
	for _, z := range by {
		if strings.Contains(z.Why, "not carried round") {
			declined++
		}
	}
	if carried+declined < 3 || carried < 2 {
		t.Errorf("%d corners carried, %d declined", carried, declined)
	}
	for name, z := range map[string]rooms.Zone{"its own best": {Pattern: "offset 1/3", Datum: rooms.Datum{Across: rooms.Best}}, "straight": {Pattern: "straight"}} {
		ls, _ := walls(z)
		for _, l := range ls {
			if strings.Contains(l.Zones[0].Why, "round the corner") {
				t.Errorf("%s: %s", name, l.Zones[0].Why)
			}
		}
	}
}

// TestCarriedOffcutsAreUsed: the last pieces of the first wall and the first of
// the second are cut from as many tiles as there are courses: each offcut is the
// piece round the corner.
func TestCarriedOffcutsAreUsed(t *testing.T) {
	ls, err := LayOut(carryRoom())
	if err != nil {
		t.Fatal(err)
	}
	p := nest.OffcutProblem{TileW: int64(297 * lmm), TileH: int64(97 * lmm), Kerf: 0}
	courses := map[rooms.Length]bool{}
	right := ls[1].Outline.Outer.Box().Max.X
	for i, l := range ls {
		for _, q := range l.Zones[0].Pieces {
			b := q.Polygon.Outer.Box()
			if b.Height() < 97*lmm || i == 0 && b.Min.X > 6*lmm || i == 1 && b.Max.X < right-30*lmm {
				continue
			}
			n := nest.Piece{W: int64(b.Width()), H: int64(b.Height()), Factory: nest.Top | nest.Bottom}
			if i == 0 {
				n.Factory |= nest.Right // its left side stands in the corner
			} else {
				n.Factory |= nest.Left
			}
			p.Pieces = append(p.Pieces, n)
			courses[b.Min.Y] = true
		}
	}
	got, err := nest.SolveOffcuts(context.Background(), p, nest.Options{})
	if err != nil || len(p.Pieces) < len(courses)*3/2 || got.Tiles > len(courses) {
		t.Errorf("%d pieces in %d courses take %d tiles, %v", len(p.Pieces), len(courses), got.Tiles, err)
	}
}
