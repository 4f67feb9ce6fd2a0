package takeoff

import (
	"errors"
	"fmt"
	"slices"
	"strings"
	"testing"
)

func TestTakeLot(t *testing.T) {
	tile := Tile{Key: "white", Name: "White"}
	line := func(lot string, n float64, groups ...string) OrderLine {
		return OrderLine{Product: "white", Lot: lot, Quantity: n, Unit: "box", UnitPrice: 20_0000, Amount: Amount(int(n), 20_0000), Rooms: groups, Groups: groups}
	}
	rows := []Row{{Tile: "white", Group: "a", Rooms: []string{"a"}, Boxes: 8}, {Tile: "white@A", Group: "b", Rooms: []string{"b"}, Boxes: 12}, {Tile: "white", Group: "c", Rooms: []string{"c"}, Boxes: 5}}
	for _, c := range []struct {
		name   string
		line   OrderLine
		came   int
		offer  LotOffer
		want   string // lines as lot×boxes for rooms
		mixed  string
		onHand int
		err    string
	}{
		{"all of it", line("", 8, "a"), 0, LotOffer{Lot: "B"}, "B×8 a", "", 0, ""},
		{"enough of it", line("A", 8, "a"), 0, LotOffer{Lot: "B", Boxes: 8}, "B×8 a", "", 0, ""},
		{"too little for the one room", line("A", 8, "a"), 0, LotOffer{Lot: "B", Boxes: 5}, "A×3 a, B×5 a", "a", 0, ""},
		{"too little, of no named lot", line("", 8, "a"), 0, LotOffer{Lot: "B", Boxes: 5}, "×3 a, B×5 a", "a", 0, ""},
		{"some rooms whole", line("A", 25, "a", "b", "c"), 0, LotOffer{Lot: "B", Boxes: 18}, "A×8 a, B×17 b c", "", 0, ""},
		{"no room whole", line("A", 25, "a", "b", "c"), 0, LotOffer{Lot: "B", Boxes: 4}, "A×21 a b c, B×4 a b c", "a b c", 0, ""},
		{"some lies there", line("A", 8, "a"), 0, LotOffer{Lot: "B", Boxes: 6, Lying: 3}, "B×5 a", "", 3, ""},
		{"part has come", line("A", 8, "a"), 3, LotOffer{Lot: "B"}, "A×3 a, B×5 a", "a", 0, ""},
		{"all has come", line("A", 8, "a"), 8, LotOffer{Lot: "B"}, "", "", 0, "all 8 boxes have come"},
		{"the same", line("A", 8, "a"), 0, LotOffer{Lot: "A"}, "", "", 0, "already"},
		{"none named", line("A", 8, "a"), 0, LotOffer{}, "", "", 0, "name the lot"},
	} {
		given := []OrderLine{{Product: "bed", Quantity: 2}, c.line}
		got, err := TakeLot(given, 1, c.came, tile, rows, c.offer)
		if c.err != "" {
			if !errors.Is(err, ErrLot) || !strings.Contains(err.Error(), c.err) {
				t.Errorf("%s: %v", c.name, err)
			}
			continue
		}
		if err != nil {
			t.Errorf("%s: %v", c.name, err)
			continue
		}
		var said []string
		for _, l := range got.Lines[1:] {
			said = append(said, fmt.Sprintf("%s×%g %s", l.Lot, l.Quantity, strings.Join(l.Rooms, " ")))
			if l.Amount != Amount(int(l.Quantity), l.UnitPrice) || !strings.Contains(l.Text, boxes(int(l.Quantity))) || !slices.Equal(l.Rooms, l.Groups) {
				t.Errorf("%s: line %+v", c.name, l)
			}
		}
		if s := strings.Join(said, ", "); s != c.want || strings.Join(got.Mixed, " ") != c.mixed || got.OnHand != c.onHand {
			t.Errorf("%s: %s mixed %v on hand %d, want %s mixed %s", c.name, s, got.Mixed, got.OnHand, c.want, c.mixed)
		}
		if n := got.Taken + got.Staying; n != int(c.line.Quantity) {
			t.Errorf("%s: %d boxes in all, ordered were %g", c.name, n, c.line.Quantity)
		}
		if given[1].Quantity != c.line.Quantity || given[1].Lot != c.line.Lot {
			t.Errorf("%s: the lines given were changed", c.name)
		}
	}
}
