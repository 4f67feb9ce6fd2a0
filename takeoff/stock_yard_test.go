package takeoff

import (
	"math/rand/v2"
	"reflect"
	"slices"
	"strings"
	"testing"

	"potlife/rooms"
)

// yardWall is the wall of TestTakeOfAWallByHand with twenty boxes of lot L1 on hand:
// ten tiles for eight pieces of 300 × 70, ten strips of 16 × 200 and one piece of
// 16 × 70 that needs a corner.
func yardWall(t *testing.T, list ...YardOffcut) TakeIn {
	t.Helper()
	in := bathJob(0)
	s, l := takenWall("elm", "bath1", "north", 2450*mm, 2110*mm, in.Catalogue.Tiles[0])
	in.Jobs[0].Sites[0].Rooms = []rooms.Room{{Key: "bath1", Surfaces: []rooms.Surface{s}}}
	in.Layouts = []Layout{l}
	in.Catalogue.Lots = []Lot{{Tile: "white", Lot: "L1", Boxes: 20}}
	in.Catalogue.Offcuts = list
	for i := range list {
		if err := list[i].Check(&in.Catalogue.Tiles[0]); err != nil {
			t.Fatal(err)
		}
	}
	return in
}

func scrap(key string, w, h rooms.Length, edges string) YardOffcut {
	o := YardOffcut{Key: key, Tile: "white", Lot: "L1", Width: w * mm, Height: h * mm}
	if err := o.SetEdges(strings.Fields(edges)); err != nil {
		panic(err)
	}
	return o
}

func TestYardOffcutsByHand(t *testing.T) {
	full := scrap("a", 300, 80, "left right bottom")
	otherLot, noLot := full, full
	otherLot.Lot, noLot.Lot = "L2", ""
	for _, c := range []struct {
		name        string
		offcuts     []YardOffcut
		directional bool
		used, stock int
	}{
		{"none", nil, false, 0, 90},
		// Seven pieces of 300 × 70 leave a tile with room for the piece of 16 × 70.
		{"one for 300 × 70", []YardOffcut{full}, false, 1, 89},
		{"turned by half", []YardOffcut{scrap("a", 300, 80, "left right top")}, false, 1, 89},
		{"not to be turned", []YardOffcut{scrap("a", 300, 80, "left right top")}, true, 0, 90},
		{"one for the corner piece", []YardOffcut{scrap("a", 290, 80, "left bottom")}, false, 1, 89},
		{"a corner at the other end, turned by a quarter", []YardOffcut{scrap("a", 290, 80, "right bottom")}, false, 1, 89},
		{"without the corner", []YardOffcut{scrap("a", 290, 80, "bottom")}, false, 0, 90},
		{"too small", []YardOffcut{scrap("a", 60, 40, "left bottom")}, false, 0, 90},
		{"another lot", []YardOffcut{otherLot}, false, 0, 90},
		{"no lot known", []YardOffcut{noLot}, false, 0, 90},
		// The second would only save half a tile: it stays where it lies.
		{"two, one is enough", []YardOffcut{scrap("b", 300, 120, "left right bottom"), full}, false, 1, 89},
		// Six pieces of 300 × 70 fill three tiles and the strips five.
		{"three", []YardOffcut{full, scrap("b", 300, 90, "left right top"), scrap("c", 100, 80, "left bottom")}, false, 3, 88},
	} {
		t.Run(c.name, func(t *testing.T) {
			in := yardWall(t, c.offcuts...)
			in.Catalogue.Tiles[0].Directional = c.directional
			bare := in
			bare.Catalogue.Offcuts = nil
			without := take(t, bare).Rows[0]
			got := take(t, in)
			if err := CheckTaken(got, in); err != nil {
				t.Fatal(err)
			}
			r := got.Rows[0]
			if c.directional {
				c.stock = without.Stock
			}
			if r.InHand != c.used || r.Stock != c.stock || r.Lot != "L1" {
				t.Errorf("%d tiles and %d offcuts of lot %q, want %d and %d of L1: %s", r.Stock, r.InHand, r.Lot, c.stock, c.used, r.How)
			}
			if r.Quantity != r.Stock+r.Spares+r.Attic || r.StockBound > r.Stock {
				t.Errorf("the chain does not add up: %+v", r)
			}
			for _, s := range got.Stock {
				if s.InHand() && s.Offcut.Key == "b" && c.used == 1 {
					t.Error("the larger offcut is cut where the smaller one serves")
				}
			}
			if says := strings.Contains(r.How, "in hand"); says != (c.used > 0) {
				t.Errorf("%q", r.How)
			}
		})
	}
}

// What is cut from an offcut in hand stays there; the offcut is offered no more, what
// is left of it is.
func TestYardOffcutOnceCut(t *testing.T) {
	in := yardWall(t, scrap("a", 300, 80, "left right bottom"), scrap("b", 290, 80, "left bottom"))
	in.ReuseKept = true
	plan := take(t, in)
	for _, s := range plan.Stock {
		if s.InHand() {
			s.Uncut = true
			in.Kept = append(in.Kept, s)
		}
	}
	if len(in.Kept) != 1 {
		t.Fatalf("%d offcuts are cut, want 1", len(in.Kept))
	}
	piece := in.Kept[0].Pieces[0].Piece
	again := take(t, in)
	if err := CheckTaken(again, in); err != nil {
		t.Fatal(err)
	}
	if r := again.Rows[0]; r.Stock != plan.Rows[0].Stock || r.InHand != 1 {
		t.Errorf("planned again: %d tiles and %d offcuts, were %d and 1", r.Stock, r.InHand, plan.Rows[0].Stock)
	}
	in.Catalogue.Offcuts = nil // booked out
	if r := take(t, in).Rows[0]; r.Stock != plan.Rows[0].Stock || r.InHand != 1 {
		t.Errorf("booked out: %d tiles and %d offcuts, were %d and 1", r.Stock, r.InHand, plan.Rows[0].Stock)
	}
	// The piece breaks: it is cut again from a tile out of a box, and the offcut is
	// gone without a tile having been lost.
	in.Broken = map[string]int{piece: 1}
	for range 2 {
		broke := take(t, in)
		if err := CheckTaken(broke, in); err != nil {
			t.Fatal(err)
		}
		r := broke.Rows[0]
		if r.InHand != 0 || r.Stock != 90 || r.Spares > plan.Rows[0].Spares {
			t.Errorf("broken: %d tiles, %d offcuts, %d spares: %s", r.Stock, r.InHand, r.Spares, r.How)
		}
		n := slices.IndexFunc(broke.Stock, func(s StockTile) bool { return s.Broken })
		if n < 0 || broke.Stock[n].Offcut == nil || broke.Stock[n].Offcut.Key != "a" && broke.Stock[n].Offcut.Key != "b" {
			t.Fatalf("the broken tile is not the offcut: %+v", broke.Stock)
		}
		in.Kept = []StockTile{broke.Stock[n]}
	}
}

// A kept tile has no room left where a piece was cut that broke or has left the plan.
func TestWhatIsCutAwayIsGone(t *testing.T) {
	in := yardWall(t)
	in.ReuseKept = true
	plan := take(t, in)
	n := slices.IndexFunc(plan.Stock, func(s StockTile) bool { return len(s.Pieces) == 2 })
	s := plan.Stock[n]
	for _, c := range []struct {
		name         string
		gone         string
		broken       string
		uncut, leave bool
	}{{"left", "elm/other/wall/field/0.00", "", false, true}, {"left before it was cut", "elm/other/wall/field/0.00", "", true, false}, {"broken", "", s.Pieces[1].Piece, true, true}} {
		kept := s
		kept.Uncut, kept.Pieces = c.uncut, slices.Clone(s.Pieces)
		if c.gone != "" {
			kept.Pieces[1].Piece = c.gone
		}
		now := in
		now.Kept, now.Broken = []StockTile{kept}, map[string]int{}
		if c.broken != "" {
			now.Broken[c.broken] = 1
		}
		got := take(t, now)
		if err := CheckTaken(got, now); err != nil {
			t.Fatal(err)
		}
		k := slices.IndexFunc(got.Stock, func(q StockTile) bool { return q.ID == s.ID })
		if k < 0 || (len(got.Stock[k].Gone) == 1) != c.leave {
			t.Fatalf("%s: %+v", c.name, got.Stock[k])
		}
		for _, q := range got.Stock[k].Pieces[1:] {
			both, err := rooms.Intersect([]rooms.Polygon{q.Polygon}, []rooms.Polygon{s.Pieces[1].Polygon})
			if c.leave && (err != nil || areaOf(both) > 0.5) {
				t.Errorf("%s: %s is cut where %s was (%v)", c.name, q.Piece, s.Pieces[1].Piece, err)
			}
		}
	}
}

func TestYardOffcutRefused(t *testing.T) {
	tile := whiteTile()
	hexagon := whiteTile()
	hexagon.Shape = rooms.Ring{{X: 50 * mm}, {X: 150 * mm}, {X: 200 * mm, Y: 87 * mm}, {X: 150 * mm, Y: 174 * mm}, {X: 50 * mm, Y: 174 * mm}, {Y: 87 * mm}}
	for _, c := range []struct {
		o    YardOffcut
		of   Tile
		says string
	}{
		{scrap("a", 120, 80, "left"), tile, ""},
		{scrap("a", 299, 80, "left right"), tile, ""}, // a nominal size
		{scrap("a", 0, 80, "left"), tile, "width 0 mm"},
		{scrap("a", 120, 80, "left right"), tile, "width 120 mm between edges"},
		{scrap("a", 300, 80, "left"), tile, "width 300 mm is not less"},
		{scrap("a", 120, 210, "left"), tile, "height 210 mm is not less"},
		{scrap("a", 120, 80, "left"), hexagon, "no rectangle"},
	} {
		err := c.o.Check(&c.of)
		if (err == nil) != (c.says == "") || err != nil && !strings.Contains(err.Error(), c.says) {
			t.Errorf("%+v: %v, want %q", c.o, err, c.says)
		}
	}
	var o YardOffcut
	if err := o.SetEdges([]string{"north"}); err == nil {
		t.Error("north is no side of a tile")
	}
	if err := o.SetEdges([]string{"top", "left"}); err != nil || !slices.Equal(o.Edges(), []string{"left", "top"}) {
		t.Error(o.Edges(), err)
	}
}

// What one job leaves serves the next: fewer tiles, each offcut once, the same answer
// twice, and never a bound above what a plan with more of them takes.
func TestYardOfTheJobBefore(t *testing.T) {
	rng := rand.New(rand.NewPCG(19, 3))
	without, with, used := 0, 0, 0
	for range cases(6, 20) {
		in := realJob(t, rng, 2, realPatterns[:3])
		for _, tile := range in.Catalogue.Tiles {
			in.Catalogue.Lots = append(in.Catalogue.Lots, Lot{Tile: tile.Key, Lot: "L1", Boxes: 5000})
		}
		bare := take(t, in)
		next := in
		for i, o := range bare.Offcuts() {
			if i%3 == 0 && len(next.Catalogue.Offcuts) < 40 {
				next.Catalogue.Offcuts = append(next.Catalogue.Offcuts, YardOffcut{Key: o.Stock + "#" + string(rune('a'+i%26)), Tile: o.Tile, Lot: o.Lot,
					Width: o.Box.Width(), Height: o.Box.Height(), Left: o.Left, Bottom: o.Bottom, Right: o.Right, Top: o.Top})
			}
		}
		got := take(t, next)
		if err := CheckTaken(got, next); err != nil {
			t.Fatal(err)
		}
		if !reflect.DeepEqual(got.Stock, take(t, next).Stock) {
			t.Error("two takeoffs of one input differ")
		}
		for i, r := range got.Rows {
			without, with, used = without+bare.Rows[i].Stock, with+r.Stock, used+r.InHand
			if r.InHand > 0 && r.Stock >= bare.Rows[i].Stock {
				t.Errorf("%s %s: %d offcuts save no tile", r.Tile, r.Group, r.InHand)
			}
			if r.StockBound > r.Stock || r.StockBound < bare.Rows[i].StockBound-len(next.Catalogue.Offcuts) {
				t.Errorf("%s %s: bound %d, %d tiles; without offcuts %d", r.Tile, r.Group, r.StockBound, r.Stock, bare.Rows[i].StockBound)
			}
		}
		// Issued: all of it stays, nothing is cut twice.
		next.Kept, next.ReuseKept = got.Stock, true
		again := take(t, next)
		if err := CheckTaken(again, next); err != nil {
			t.Fatal(err)
		}
		for i, r := range again.Rows {
			if r.Stock != got.Rows[i].Stock || r.InHand != got.Rows[i].InHand {
				t.Errorf("planned again: %+v, was %+v", r, got.Rows[i])
			}
		}
	}
	if with >= without || used == 0 {
		t.Errorf("%d tiles with %d offcuts, %d without", with, used, without)
	}
	t.Logf("%d tiles with %d offcuts, %d without", with, used, without)
}

// A group that is held to a lot on offer by an offcut of it takes its boxes from the
// offer: no more are promised than there are.
func TestYardOffcutOfALotOnOffer(t *testing.T) {
	in := bathJob(3)
	boxes := 0
	for _, r := range take(t, in).Rows {
		boxes += r.Boxes
	}
	in.Catalogue.Lots = []Lot{{Tile: "white", Lot: "L1", Boxes: boxes - 3, Offered: true}}
	in.Catalogue.Offcuts = []YardOffcut{scrap("a", 300, 190, "left right bottom"), scrap("b", 290, 200, "left bottom top"), scrap("c", 300, 190, "left right bottom")}
	got := take(t, in)
	if err := CheckTaken(got, in); err != nil {
		t.Fatal(err)
	}
	of, hand := 0, 0
	for _, r := range got.Rows {
		if r.Lot == "L1" {
			of += r.Boxes
		}
		hand += r.InHand
	}
	if of > boxes-3 || hand == 0 {
		t.Errorf("%d boxes of the lot are promised, %d are on offer; %d offcuts", of, boxes-3, hand)
	}
}
