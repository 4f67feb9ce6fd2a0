package takeoff

import (
	"fmt"
	"strings"
	"testing"

	"potlife/rooms"
)

// TestNicheFront: of a niche's sill, jambs and head the tile's own edge lies at the
// front and the cut at the back wall, also where the sill is less than a third of a
// tile deep. Faces read on the board run 12 beyond the bare front (tile 8 on a bed
// of 4) and end a gap of 4 before the back and, at a trim, 2 behind the profile:
//
//	90 deep, tile of 297:        one piece 90 + 12 − 4 = 98 deep
//	140 deep, bare, tiles of 97: 148 = 97 + 3 + 48: 48 is under half of 97, and cut from
//	                             the front it would be 72 + 3 + 73, with a cut in sight
//	140 deep behind a trim:      the cover is 140 + 4 − 2 − 4 = 138: 97 at the front would
//	                             leave 38, so both are cut, 86 + 3 + 49: no less than half
func TestNicheFront(t *testing.T) {
	for _, c := range []struct {
		name         string
		deep, height rooms.Length
		fill         string
		front        string
		rows, cut    int // pieces across the depth, and those cut at the front
	}{
		{"one strip", 90 * lmm, 297 * lmm, rooms.FillNothing, "one piece of 98 mm, the tile's own edge at bottom edge, outside corner, cut at top edge, inside corner", 1, 0},
		{"one strip, trim", 90 * lmm, 297 * lmm, rooms.FillTrim, "one piece of 88 mm, the tile's own edge at bottom edge, outside corner, cut at top edge, inside corner", 1, 0},
		{"two strips", 140 * lmm, 97 * lmm, rooms.FillNothing, "full tile at bottom edge, outside corner, 48 mm at top edge, inside corner", 2, 0},
		{"two strips, trim", 140 * lmm, 97 * lmm, rooms.FillTrim, "86.5 mm at bottom edge, outside corner, 48.5 mm at top edge, inside corner", 2, 1},
	} {
		in := nicheRoom(c.deep, c.height, c.fill)
		ls, err := LayOut(in)
		if err != nil {
			t.Fatal(err)
		}
		for _, l := range ls {
			if err := CheckLayout(l, in.Tiles); err != nil {
				t.Errorf("%s: %v", c.name, err)
			}
		}
		z := ls[1].Zones[0]
		if !strings.Contains(z.Why, c.front) {
			t.Errorf("%s: want %q in: %s", c.name, c.front, z.Why)
		}
		rows, cut := map[string]bool{}, map[string]bool{}
		for _, p := range z.Pieces {
			row := fmt.Sprint(p.Polygon.Outer.Box().Min.Y)
			rows[row] = true
			for _, k := range p.Cuts {
				if strings.Contains(k.At, "bottom edge") {
					cut[row] = true
				}
			}
		}
		if len(rows) != c.rows || len(cut) != c.cut {
			t.Errorf("%s: %d rows, %d cut at the front, want %d and %d: %s", c.name, len(rows), len(cut), c.rows, c.cut, z.Why)
		}
	}
}

// nicheRoom is a wall in the tile t with a niche and its sill, so deep, in tile f.
func nicheRoom(deep, height rooms.Length, fill string) RoomToLay {
	wall := rooms.Surface{Key: "w", Kind: rooms.Wall, Layer: rooms.Board, Measured: true, Outline: rooms.Rect(0, 0, 1200*lmm, 1200*lmm),
		Edges: make([]rooms.Edge, 4), Zones: []rooms.Zone{{Key: "z", Tile: "t", Pattern: "straight", Joint: 3 * lmm}},
		Openings: []rooms.Opening{{Key: "niche", Kind: "niche", Outline: rooms.Rect(300*lmm, 400*lmm, 900*lmm, 700*lmm), Gap: 2 * lmm, Fill: fill, Seen: true}}}
	inside := rooms.Edge{Meets: rooms.InsideCorner, Gap: 4 * lmm, GapMin: 4 * lmm, GapMax: 4 * lmm}
	front := rooms.Edge{Meets: rooms.OutsideCorner, Gap: 2 * lmm, GapMin: 2 * lmm, GapMax: 2 * lmm, Fill: fill, Shared: "r/w#niche"}
	sill := rooms.Surface{Key: "sill", Kind: rooms.NicheFace, Layer: rooms.Board, Measured: true, Outline: rooms.Rect(0, 0, 600*lmm, deep),
		Edges: []rooms.Edge{front, inside, inside, inside}, Zones: []rooms.Zone{{Key: "z", Tile: "f", Pattern: "straight", Joint: 3 * lmm}}}
	return RoomToLay{Job: "j", Room: rooms.Room{Key: "r", Surfaces: []rooms.Surface{wall, sill}},
		Tiles: map[string]Tile{"t": box("t", 297*lmm, 197*lmm), "f": box("f", 297*lmm, height)}}
}

// TestStripFromOneEdge: a strip narrower than a tile is cut once, from the tile's own
// edge, wherever it lies: a splash strip of 100 in tiles 300 high, between two inside
// corners, and a pier seen on both sides.
func TestStripFromOneEdge(t *testing.T) {
	for _, meets := range []string{rooms.InsideCorner, rooms.OutsideCorner} {
		in := wall(2000*lmm, 100*lmm, box("t", 297*lmm, 297*lmm), rooms.Zone{})
		s := &in.Room.Surfaces[0]
		s.Edges[0].Meets, s.Edges[2].Meets = meets, meets
		z := lay(t, in).Zones[0]
		for _, p := range z.Pieces {
			n := 0
			for _, k := range p.Cuts {
				if strings.Contains(k.At, "bottom edge") || strings.Contains(k.At, "top edge") {
					n++
				}
			}
			if n != 1 {
				t.Errorf("%s: %s has %d cuts along the strip, want 1: %+v", meets, p.Label, n, p.Cuts)
			}
		}
		if !strings.Contains(z.Why, "one piece of 90 mm, the tile's own edge at bottom edge, "+meets+", cut at top edge") {
			t.Errorf("%s: %s", meets, z.Why)
		}
	}
}
