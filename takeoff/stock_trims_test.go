package takeoff

import (
	"reflect"
	"strings"
	"testing"

	"potlife/rooms"
)

// jambs is a face of strips 100 × 297 mm, cut left and right, beside each other: none
// needs the tile's left or right edge.
func jambs(n int, tool string) TakeIn {
	in := bathJob(0)
	tile := &in.Catalogue.Tiles[0]
	tile.Shape = rooms.Rect(0, 0, 597*mm, 297*mm)
	s, l := takenWall("elm", "bath1", "jamb", 100*mm, 3000*mm, *tile)
	zone := &l.Zones[0]
	zone.Cover, zone.Pieces = nil, nil
	for k := range n {
		y := rooms.Length(k) * 300 * mm
		trim := FirstTrim{Shape: "trim the left edge first, straight, by 200 mm or a little less", Tool: tool, At: "left edge"}
		zone.Cover = append(zone.Cover, rooms.Polygon{Outer: rooms.Rect(0, y, 100*mm, y+297*mm)})
		zone.Pieces = append(zone.Pieces, Piece{ID: "elm/bath1/jamb/" + string(rune('a'+k)), Tile: tile.Key, Polygon: rooms.Polygon{Outer: rooms.Rect(0, y, 100*mm, y+297*mm)},
			Place: rooms.Point{X: -200 * mm, Y: y}, AreaMM2: 29700,
			Cuts: []Cut{{Side: "shape", Shape: trim.Shape, Tool: tool, At: trim.At},
				{Side: "right", Sized: true, Drawn: 100 * mm, Size: 100 * mm, Least: 99 * mm, Most: 101 * mm, Tool: tool, At: "right edge", Trim: trim}}})
	}
	in.Jobs[0].Sites[0].Rooms = []rooms.Room{{Key: "bath1", Surfaces: []rooms.Surface{s}}}
	in.Layouts = []Layout{l}
	return in
}

func trims(got *Taken) (n int) {
	for _, p := range got.Layouts[0].Zones[0].Pieces {
		for _, c := range p.Cuts {
			if strings.HasPrefix(c.Shape, "trim the left edge") {
				n++
			}
		}
	}
	return n
}

// Five strips of 100 mm come from one tile of 597 mm, 5 × 100 + 4 × 1.6 mm of kerf: by
// the tile's own edge and each other's cuts, five cuts and no trim. Taken off again
// from those layouts the plan is the same, and a strip that lies away from the tile's
// edges, with nothing beside it, is trimmed.
func TestStripsNeedNoTrim(t *testing.T) {
	for _, tool := range []string{WetSaw, Snap} {
		in := jambs(5, tool)
		got := take(t, in)
		if err := CheckTaken(got, in); err != nil {
			t.Fatal(err)
		}
		if n := trims(got); len(got.Stock) != 1 || n != 0 {
			t.Errorf("%s: %d tiles and %d trims, want 1 and 0", tool, len(got.Stock), n)
		}
		again := in
		again.Layouts = got.Layouts
		if second := take(t, again); !reflect.DeepEqual(second.Layouts, got.Layouts) || !reflect.DeepEqual(second.Stock, got.Stock) {
			t.Errorf("%s: taken off again from its own layouts the plan differs", tool)
		}
		kept := jambs(1, tool)
		kept.Kept = []StockTile{{ID: "t1", Tile: "white", Group: "elm/bath1", Pieces: []StockPiece{{"elm/bath1/jamb/a", rooms.Polygon{Outer: rooms.Rect(200*mm, 0, 300*mm, 297*mm)}}}}}
		if got := take(t, kept); trims(got) != 1 || len(got.Stock) != 1 {
			t.Errorf("%s: a strip from the middle of its tile has %d trims, %d tiles, want 1 and 1", tool, trims(got), len(got.Stock))
		}
	}
}

// The row of strips may end at the tile's far edge instead: the last one's far edge is
// the tile's own, and each cut serves two. A row that touches neither takes one trim.
func TestARowOfStripsIsAnchoredOnce(t *testing.T) {
	for _, c := range []struct {
		from  rooms.Length
		trims int
	}{{0, 0}, {597*mm - 3*100*mm - 2*DefaultKerf, 0}, {100 * mm, 1}} {
		in := jambs(3, WetSaw)
		s, from := StockTile{ID: "t1", Tile: "white", Group: "elm/bath1"}, c.from
		for _, id := range []string{"a", "b", "c"} {
			s.Pieces = append(s.Pieces, StockPiece{"elm/bath1/jamb/" + id, rooms.Polygon{Outer: rooms.Rect(from, 0, from+100*mm, 297*mm)}})
			from += 100*mm + DefaultKerf
		}
		in.Kept = []StockTile{s}
		got := take(t, in)
		if err := CheckTaken(got, in); err != nil {
			t.Fatal(err)
		}
		if n := trims(got); n != c.trims || len(got.Stock) != 1 {
			t.Errorf("from %s: %d trims on %d tiles, want %d on 1", c.from, n, len(got.Stock), c.trims)
		}
	}
}
