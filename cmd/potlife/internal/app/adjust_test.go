package app

import (
	"testing"

	"potlife/cmd/potlife/internal/store"
	"potlife/cmd/potlife/internal/web"
	"potlife/takeoff"
)

func TestAdjusted(t *testing.T) {
	lines := []takeoff.OrderLine{{Product: "white", Lot: "A", Quantity: 10, Unit: "box", UnitPrice: 251_500, Amount: 2_515_000},
		{Product: "mortar", Quantity: 4, Unit: "bag", UnitPrice: 300_000, Amount: 1_200_000},
		{Product: "white", Lot: "A", Quantity: 2, Unit: "box", UnitPrice: 251_500, Amount: 503_000},
		{Text: "freight", Quantity: 1, UnitPrice: 450_000, Amount: 450_000}}
	cat := takeoff.Catalogue{Products: []takeoff.Product{{Key: "grout", Name: "Grout", Price: 99_900}}}
	for _, c := range []struct {
		name   string
		change takeoff.Change
		want   []float64
		last   takeoff.Money
		err    bool
	}{
		{"from the last line on", takeoff.Change{Kind: takeoff.Reduce, Product: "white", Lot: "A", Quantity: 5}, []float64{7, 4, 0, 1}, 450_000, false},
		{"more than there is", takeoff.Change{Kind: takeoff.Reduce, Product: "white", Lot: "A", Quantity: 13}, nil, 0, true},
		{"another lot", takeoff.Change{Kind: takeoff.Reduce, Product: "white", Lot: "B", Quantity: 1}, nil, 0, true},
		{"more of a line", takeoff.Change{Kind: takeoff.Add, Product: "mortar", Quantity: 3}, []float64{10, 7, 2, 1}, 450_000, false},
		{"a line more", takeoff.Change{Kind: takeoff.Add, Product: "grout", Quantity: 3, Unit: "bag"}, []float64{10, 4, 2, 1, 3}, 299_700, false},
	} {
		got, err := adjusted(lines, c.change, []string{"flat/bath"}, cat)
		if (err != nil) != c.err || len(got) != len(c.want) {
			t.Errorf("%s: %+v, %v", c.name, got, err)
			continue
		}
		for i, n := range c.want {
			if got[i].Quantity != n {
				t.Errorf("%s: line %d has %g, want %g", c.name, i+1, got[i].Quantity, n)
			}
		}
		if len(got) > 0 && got[len(got)-1].Amount != c.last {
			t.Errorf("%s: last line comes to %d", c.name, got[len(got)-1].Amount)
		}
	}
	if lines[0].Quantity != 10 || lines[2].Quantity != 2 {
		t.Error("the order itself was changed")
	}
}

func TestAnotherLotIsRefused(t *testing.T) {
	o := &store.Order{Number: 7}
	o.Lines = []takeoff.OrderLine{{Product: "white", Lot: "A", Rooms: []string{"flat/bath"}}, {Product: "grey"}}
	for _, c := range []struct {
		line   int
		came   web.ReceiveLine
		refuse bool
	}{
		{0, web.ReceiveLine{Lot: "A", Packages: 3}, false},
		{0, web.ReceiveLine{Lot: "B", Packages: 3}, true},
		{0, web.ReceiveLine{Packages: 3}, true},
		{0, web.ReceiveLine{Lot: "B", Packages: 3, Damaged: 3}, false}, // nothing of it is kept
		{0, web.ReceiveLine{Lot: "B", Packages: 3, Damaged: 1, Wrong: 2}, false},
		{1, web.ReceiveLine{Lot: "B", Packages: 3}, false},
	} {
		if err := sameLot(o, c.line, c.came); (err != nil) != c.refuse {
			t.Errorf("line %d, %+v: %v", c.line, c.came, err)
		}
	}
}
