package takeoff

import (
	"slices"
	"testing"

	"potlife/rooms"
)

// TestBuildUps: in a rectangular room the first wall runs through at both its
// corners, the last ends at both; walls begin above the floor; the floor ends at
// the walls unless it is set first.
func TestBuildUps(t *testing.T) {
	list, err := rooms.RoomForm{Floor: rooms.RectangularFloor(2400*lmm, 1800*lmm), Height: 2400 * lmm, TileTo: 2100 * lmm, Layer: rooms.Board}.Surfaces()
	if err != nil {
		t.Fatal(err)
	}
	for i := range list {
		list[i].Zones = []rooms.Zone{{Key: "z", Tile: "t", Joint: 3 * lmm}}
	}
	list[0].Zones[0].Tile = "large"
	wallTile, floorTile := box("t", 297*lmm, 197*lmm), box("large", 597*lmm, 597*lmm)
	floorTile.Thickness = 10 * lmm
	in := RoomToLay{Job: "j", Room: rooms.Room{Key: "r", Surfaces: list}, Tiles: map[string]Tile{"t": wallTile, "large": floorTile}}
	const wall, floor = 12 * lmm, 17 * lmm // 8 + 4, 10 + 7
	for _, c := range []struct {
		order string
		want  [][]rooms.Length // floor, walls 1 … 4: edges foot, right, top, left
	}{
		{"", [][]rooms.Length{{wall, wall, wall, wall}, {floor, 0, 0, 0}, {floor, wall, 0, 0}, {floor, wall, 0, 0}, {floor, wall, 0, wall}}},
		{"walls from the second course, floor, bottom course", [][]rooms.Length{{0, 0, 0, 0}, {floor, 0, 0, 0}, {floor, wall, 0, 0}, {floor, wall, 0, 0}, {floor, wall, 0, wall}}},
		{"floor then walls", [][]rooms.Length{{0, 0, 0, 0}, {floor, 0, 0, 0}, {floor, wall, 0, 0}, {floor, wall, 0, 0}, {floor, wall, 0, wall}}},
	} {
		in.Room.Order = c.order
		for i, b := range BuildUps(in) {
			if !slices.Equal(b.Deduct, c.want[i]) {
				t.Errorf("%q, %s: %v, want %v", c.order, list[i].Key, b.Deduct, c.want[i])
			}
		}
	}
	// The walls are as much shorter by themselves, which is said; where deductions
	// are given, they hold and nothing is said.
	in.Room.Order = ""
	remarks := func() int {
		n := 0
		ls, err := LayOut(in)
		if err != nil {
			t.Fatal(err)
		}
		for _, l := range ls {
			for _, f := range l.Findings {
				if f.Rule == "build-up" {
					n++
				}
			}
		}
		return n
	}
	if n := remarks(); n != 5 {
		t.Errorf("%d remarks, want one for each surface", n)
	}
	size := func(want rooms.Length) {
		ls, err := LayOut(in)
		if err != nil {
			t.Fatal(err)
		}
		if got := ls[4].Outline.Outer.Box(); got.Width() != want || got.Height() != 2100*lmm-floor {
			t.Errorf("the last wall is %s × %s, want a width of %s", got.Width(), got.Height(), want)
		}
	}
	size(1800*lmm - 2*wall)
	// Read on the studs, the boards and membranes of its neighbours come off too;
	// read on finished tile, nothing does.
	last := &in.Room.Surfaces[4]
	for i := 1; i < 4; i++ {
		in.Room.Surfaces[i].Prepare = []string{"board", "membrane"}
	}
	last.Layer = rooms.Stud
	size(1800*lmm - 2*(wall+usualBoard+usualMembrane))
	last.Layer = rooms.Board
	last.Readings = []rooms.Reading{{Edge: 1, Deviation: -2 * lmm, Layer: rooms.Tiled}}
	size(1800*lmm - 2*lmm - (wall + usualMembrane))
	last.Readings = nil
	for i, b := range BuildUps(in) {
		in.Room.Surfaces[i].Build = b
	}
	if n := remarks(); n != 0 {
		t.Errorf("%d remarks although deductions are given", n)
	}
	size(1800*lmm - 2*(wall+usualMembrane))
}

// TestBuildUpBesideADoor: the wall's tile stands on both sides of a door, so the
// floor ends at it on both and runs on only in the doorway itself.
func TestBuildUpBesideADoor(t *testing.T) {
	list, err := rooms.RoomForm{Floor: rooms.RectangularFloor(2400*lmm, 1800*lmm), Height: 2400 * lmm, Layer: rooms.Board,
		Holes: []rooms.Hole{
			{Key: "a", Kind: "door", Wall: 0, X: 300 * lmm, W: 800 * lmm, H: 2000 * lmm},
			{Key: "b", Kind: "door", Wall: 2, X: 0, W: 700 * lmm, H: 2000 * lmm}, {Key: "c", Kind: "door", Wall: 2, X: 1500 * lmm, W: 700 * lmm, H: 2000 * lmm},
		}}.Surfaces()
	if err != nil {
		t.Fatal(err)
	}
	for i := range list {
		list[i].Zones = []rooms.Zone{{Key: "z", Tile: "t", Joint: 3 * lmm}}
	}
	in := RoomToLay{Job: "j", Room: rooms.Room{Key: "r", Surfaces: list}, Tiles: map[string]Tile{"t": box("t", 297*lmm, 197*lmm)}}
	for i, d := range BuildUps(in)[0].Deduct {
		want := 12 * lmm // 8 + 4
		if list[0].Edges[i].Meets == rooms.Doorway {
			want = 0
		}
		if d != want {
			t.Errorf("%s of the floor: %s taken off, want %s", list[0].EdgeName(i), d, want)
		}
	}
	// A wall that is not tiled takes nothing off, beside its door as elsewhere.
	list[1].Zones = nil
	for i, d := range BuildUps(in)[0].Deduct[:3] {
		if d != 0 {
			t.Errorf("%s of the floor at a bare wall: %s taken off", list[0].EdgeName(i), d)
		}
	}
}

// TestOutsideCornerByOneWord: where only one of two walls says that they meet at an
// outside corner, and how it is closed, the other ends there in the same way: with
// the gap of a mitre, not with the soft joint of an inside corner.
func TestOutsideCornerByOneWord(t *testing.T) {
	in := wall(800*lmm, 900*lmm, box("t", 297*lmm, 197*lmm), rooms.Zone{})
	other := in.Room.Surfaces[0]
	other.Key, other.Edges = "o", slices.Clone(other.Edges)
	in.Room.Surfaces[0].Edges[1] = rooms.Edge{Meets: rooms.OutsideCorner, Fill: rooms.FillMitre, Gap: lmm * 3 / 4, GapMin: lmm / 2, GapMax: lmm, Shared: "r/o#3"}
	in.Room.Surfaces = append(in.Room.Surfaces, other)
	for i := range in.Room.Surfaces {
		s := builtUp(in, &in.Room.Surfaces[i])
		e := s.Edges[[2]int{1, 3}[i]]
		if e.Meets != rooms.OutsideCorner || e.Fill != rooms.FillMitre || e.Gap != lmm*3/4 || e.GapMin != lmm/2 || e.GapMax != lmm {
			t.Errorf("%s: the corner meets %s, %s, with %s (%s to %s)", s.Key, e.Meets, e.Fill, e.Gap, e.GapMin, e.GapMax)
		}
		if left := s.Edges[[2]int{3, 1}[i]]; left.Meets != rooms.InsideCorner || left.Gap != 5*lmm {
			t.Errorf("%s: the far corner meets %s with %s", s.Key, left.Meets, left.Gap)
		}
	}
}
