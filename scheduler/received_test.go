package scheduler

import (
	"fmt"
	"strings"
	"testing"

	"potlife/takeoff"
)

// What a line has become after its deliveries.
func TestReceivedLines(t *testing.T) {
	order := func() []takeoff.Order {
		return []takeoff.Order{{Key: "o1", OrderBy: day("2026-03-02"), Delivery: day("2026-03-09"), Ready: day("2026-03-10"), Total: 70_0000, Lines: []takeoff.OrderLine{
			{Product: "white", Quantity: 10, UnitPrice: 2_0000, Amount: 20_0000, Ready: day("2026-03-12")},
			{Product: "white", Quantity: 20, UnitPrice: 2_0000, Amount: 40_0000, Ready: day("2026-03-12")},
			{Product: "bed", Quantity: 2, UnitPrice: 5_0000, Amount: 10_0000, Ready: day("2026-03-10")},
		}}}
	}
	r := func(line int, product, lot string, n float64, at string) Receipt {
		return Receipt{Order: "o1", Line: line, Product: product, Lot: lot, Packages: n, At: day(at)}
	}
	for _, c := range []struct {
		name     string
		receipts []Receipt
		want     string
	}{
		{"nothing came", nil, "white 10 2026-03-12, white 20 2026-03-12, bed 2 2026-03-10: 70"},
		{"all as ordered, two days late", []Receipt{r(1, "white", "A", 10, "2026-03-11"), r(2, "white", "B", 20, "2026-03-11"), r(3, "bed", "", 2, "2026-03-11")},
			"white A 10 2026-03-14, white B 20 2026-03-14, bed 2 2026-03-12: 70"},
		{"one line in two lots", []Receipt{r(1, "white", "A", 6, "2026-03-09"), r(1, "white", "B", 4, "2026-03-09")},
			"white A 6 2026-03-12, white B 4 2026-03-12, white 20 2026-03-12, bed 2 2026-03-10: 70"},
		{"two boxes short", []Receipt{r(2, "white", "A", 18, "2026-03-09")}, "white 10 2026-03-12, white A 18 2026-03-12, bed 2 2026-03-10: 66"},
		{"in two deliveries of a lot", []Receipt{r(2, "white", "A", 8, "2026-03-09"), r(2, "white", "A", 12, "2026-03-10")},
			"white 10 2026-03-13, white A 20 2026-03-13, bed 2 2026-03-11: 70"},
		{"of another order", []Receipt{{Order: "o2", Line: 1, Product: "white", Lot: "A", Packages: 3, At: day("2026-03-09")}},
			"white 10 2026-03-12, white 20 2026-03-12, bed 2 2026-03-10: 70"},
	} {
		t.Run(c.name, func(t *testing.T) {
			given := order()
			o := received(given, c.receipts, day("2026-03-08"))[0]
			var words []string
			for _, l := range o.Lines {
				words = append(words, strings.Join(strings.Fields(fmt.Sprint(l.Product, " ", l.Lot, " ", l.Quantity, " ", l.Ready)), " "))
			}
			if got := fmt.Sprintf("%s: %d", strings.Join(words, ", "), o.Total/10_000); got != c.want {
				t.Errorf("got  %s\nwant %s", got, c.want)
			}
			if fmt.Sprint(given) != fmt.Sprint(order()) {
				t.Error("the order given was changed")
			}
		})
	}
}

// A line of which nothing came with the rest comes tomorrow at the earliest,
// each day anew, and what came is ready as it came.
func TestMissingLinesComeLater(t *testing.T) {
	placed := []takeoff.Order{{Key: "o1", Delivery: day("2026-03-09"), Ready: day("2026-03-10"), Lines: []takeoff.OrderLine{
		{Product: "white", Quantity: 10, Ready: day("2026-03-12")}, {Product: "bed", Quantity: 2, Ready: day("2026-03-10")}}}}
	came := []Receipt{{Order: "o1", Line: 2, Product: "bed", Packages: 2, At: day("2026-03-09")}}
	for today, want := range map[string]string{"2026-03-08": "2026-03-12", "2026-03-09": "2026-03-13", "2026-03-16": "2026-03-20"} {
		o := received(placed, came, day(today))[0]
		if got := o.Lines[0].Ready; got != day(want) {
			t.Errorf("on %s the tile that has not come is ready on %s, want %s", today, got, want)
		}
		if got := o.Lines[1].Ready; got != day("2026-03-10") {
			t.Errorf("on %s the mortar that came is ready on %s", today, got)
		}
	}
}
