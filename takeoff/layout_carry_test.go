package takeoff

import (
	"strings"
	"testing"

	"potlife/rooms"
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
