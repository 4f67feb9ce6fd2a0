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
	list, err := rooms.RoomForm{Floor: rooms.RectangularFloor(2400*lmm, 1800*lmm), Height: 2100 * lmm, Layer: rooms.Board}.Surfaces()
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
		{"floor then walls", [][]rooms.Length{{0, 0, 0, 0}, {floor, 0, 0, 0}, {floor, wall, 0, 0}, {floor, wall, 0, 0}, {floor, wall, 0, wall}}},
	} {
		in.Room.Order = c.order
		for i, b := range BuildUps(in) {
			if !slices.Equal(b.Deduct, c.want[i]) {
				t.Errorf("%q, %s: %v, want %v", c.order, list[i].Key, b.Deduct, c.want[i])
			}
		}
	}
	// Taken over, nothing is remarked any more and the walls are as much shorter.
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
	for i, b := range BuildUps(in) {
		in.Room.Surfaces[i].Build = b
	}
	if n := remarks(); n != 0 {
		t.Errorf("%d remarks after deducting", n)
	}
	ls, err := LayOut(in)
	if err != nil {
		t.Fatal(err)
	}
	if got := ls[4].Outline.Outer.Box(); got.Width() != 1800*lmm-2*wall || got.Height() != 2100*lmm-floor {
		t.Errorf("the last wall is %s × %s", got.Width(), got.Height())
	}
}
