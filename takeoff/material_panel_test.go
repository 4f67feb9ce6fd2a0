package takeoff

import (
	"fmt"
	"math"
	"strings"
	"testing"

	"potlife/rooms"
	"potlife/takeoff/nest"
)

// Pieces of panels: the rows start in the lower left corner, lying or upright.
func TestPanelPieces(t *testing.T) {
	board := &Product{Kind: KindBoard, Unit: "m2", PackageSize: 0.96, Sheet: DataSheet{PanelWidth: 800 * mm, PanelLength: 1200 * mm}}
	door := LaidOpening{Outline: rooms.Polygon{Outer: rooms.Rect(0, 0, 800*mm, 1200*mm)}}
	for _, c := range []struct {
		w, h     rooms.Length
		openings []LaidOpening
		lap      rooms.Length
		want     string
	}{
		{1600 * mm, 2400 * mm, nil, 0, "[{800000 1200000} {800000 1200000} {800000 1200000} {800000 1200000}]"},
		{1600 * mm, 2400 * mm, []LaidOpening{door}, 0, "[{800000 1200000} {800000 1200000} {800000 1200000}]"},
		{2400 * mm, 800 * mm, nil, 0, "[{1200000 800000} {1200000 800000}]"}, // lying
		{900 * mm, 1000 * mm, nil, 0, "[{800000 1000000} {100000 1000000}]"},
		{900 * mm, 1000 * mm, nil, 100 * mm, "[{800000 1000000} {200000 1000000}]"},
		{800*mm + 1, 600 * mm, nil, 0, "[{800000 600000}]"}, // what is left over is no board
	} {
		s := &takenSurface{Surface: &rooms.Surface{Outline: rooms.Rect(0, 0, c.w, c.h)}, layout: &Layout{Outline: rooms.Polygon{Outer: rooms.Rect(0, 0, c.w, c.h)}, Openings: c.openings}}
		if got := fmt.Sprint(panelPiecesOf(s, board, c.lap)); got != c.want {
			t.Errorf("%s × %s: %s, want %s", c.w, c.h, got, c.want)
		}
	}
}

// Boards are counted by the piece, pieces cover what they are cut for, and a product
// without a size is weighed out by its area as before.
func TestBoardsFromPanels(t *testing.T) {
	in := bathJob(3)
	for i := range in.Jobs[0].Sites[0].Rooms {
		for k := range in.Jobs[0].Sites[0].Rooms[i].Surfaces {
			in.Jobs[0].Sites[0].Rooms[i].Surfaces[k].Prepare = []string{"board"}
		}
	}
	boards := func(in TakeIn) Material {
		got := take(t, in)
		if err := CheckTaken(got, in); err != nil {
			t.Fatal(err)
		}
		for _, m := range got.Materials {
			if m.Product == "board" {
				return m
			}
		}
		t.Fatal("no board is needed")
		return Material{}
	}
	byArea := boards(in)
	product := in.Catalogue.Of(KindBoard)
	product.Sheet.PanelWidth, product.Sheet.PanelLength = 800*mm, 1200*mm
	cut := boards(in)
	if cut.Net != byArea.Net || cut.Packages < int(math.Ceil(cut.Net/0.96)) || !strings.Contains(cut.How, "cut from boards of 800 mm × 1200 mm") || !strings.Contains(cut.How, "no plan needs fewer than") {
		t.Errorf("by area %+v\nby the piece %+v", byArea, cut)
	}
	product.PackageSize = 1.92 // two to the pack
	if two := boards(in); two.Packages != (cut.Packages+1)/2 {
		t.Errorf("%d boards make %d packs of two", cut.Packages, two.Packages)
	}
}

// However a surface is parted, the pieces are no larger than a panel and no less than
// the surface.
func TestPanelsCover(t *testing.T) {
	for n := range 60 {
		w, h := rooms.Length(500+n*57)*mm, rooms.Length(400+n*83)*mm
		area := []rooms.Polygon{{Outer: rooms.Rect(0, 0, w, h)}}
		var sum int64
		for _, q := range panelGrid(area, area[0].Outer.Box(), 600*mm, 2500*mm, 0) {
			if q.W > 600_000 || q.H > 2_500_000 {
				t.Fatalf("%s × %s: a piece of %v", w, h, nest.SheetItem(q))
			}
			sum += q.W / 1000 * (q.H / 1000)
		}
		if want := int64(w/mm) * int64(h/mm); sum != want {
			t.Errorf("%s × %s: pieces of %d mm², want %d", w, h, sum, want)
		}
	}
}

// Two rows of boards of 3 ft and a third row of half boards: a board gives two halves,
// in inches as in millimetres.
func TestHalvesOfPanels(t *testing.T) {
	for name, unit := range map[string]rooms.Length{"feet": rooms.Foot, "millimetres": 300 * mm} {
		board := &Product{Key: "board", Kind: KindBoard, Unit: "m2", Sheet: DataSheet{PanelWidth: 3 * unit, PanelLength: 5 * unit}}
		board.PackageSize = board.Sheet.PanelWidth.Metres() * board.Sheet.PanelLength.Metres()
		wall := rooms.Polygon{Outer: rooms.Rect(0, 0, 20*unit, 15*unit/2)}
		s := &takenSurface{Surface: &rooms.Surface{Outline: wall.Outer}, layout: &Layout{Outline: wall}}
		out := map[Use]barCount{}
		if err := new(taker).nestPanels(t.Context(), []panelArea{{product: board, pieces: panelPiecesOf(s, board, 0)}}, out); err != nil {
			t.Fatal(err)
		}
		if got := out[Use{"board", ""}]; got != (barCount{10, 10}) {
			t.Errorf("a wall of 20 x 7 1/2 %s takes %+v boards of 3 x 5, want 10", name, got)
		}
	}
}
