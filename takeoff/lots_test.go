package takeoff

import (
	"fmt"
	"math/rand/v2"
	"strings"
	"testing"
)

// everyAssignment tries all of them.
func everyAssignment(demands, lots []int) (served, left int) {
	served, left = -1, 0
	caps := append([]int(nil), lots...)
	var walk func(i, got int)
	walk = func(i, got int) {
		if i == len(demands) {
			rest := 0
			for l, c := range caps {
				if c < lots[l] {
					rest += c
				}
			}
			if got > served || got == served && rest < left {
				served, left = got, rest
			}
			return
		}
		walk(i+1, got)
		for l := range caps {
			if caps[l] >= demands[i] && demands[i] > 0 {
				caps[l] -= demands[i]
				walk(i+1, got+demands[i])
				caps[l] += demands[i]
			}
		}
	}
	walk(0, 0)
	return served, left
}

func TestLotsAgainstEveryAssignment(t *testing.T) {
	rng := rand.New(rand.NewPCG(6, 2))
	for n := range 1500 {
		demands, lots := make([]int, rng.IntN(7)), make([]int, rng.IntN(4))
		for i := range demands {
			demands[i] = 1 + rng.IntN(14)
		}
		for i := range lots {
			lots[i] = 1 + rng.IntN(30)
		}
		got := assignLots(demands, lots, lotSteps)
		served, left := everyAssignment(demands, lots)
		if !got.Proved || got.Served != served || got.Left != left || got.Bound != served {
			t.Fatalf("case %d: demands %v, lots %v: %+v, want %d served and %d left", n, demands, lots, got, served, left)
		}
	}
}

// Forty groups and twelve lots are decided, or the gap is stated.
func TestLotsForty(t *testing.T) {
	rng := rand.New(rand.NewPCG(6, 3))
	proved := 0
	for n := range 20 {
		demands, lots := make([]int, 40), make([]int, 12)
		for i := range demands {
			demands[i] = 3 + rng.IntN(40)
		}
		for i := range lots {
			lots[i] = 10 + rng.IntN(120)
		}
		got := assignLots(demands, lots, lotSteps)
		if got.Served > got.Bound || got.Proved && got.Served != got.Bound {
			t.Fatalf("case %d: %+v", n, got)
		}
		left := append([]int(nil), lots...)
		sum := 0
		for i, l := range got.To {
			if l >= 0 {
				left[l] -= demands[i]
				sum += demands[i]
				if left[l] < 0 {
					t.Fatalf("case %d: lot %d is overdrawn", n, l)
				}
			}
		}
		if sum != got.Served {
			t.Fatalf("case %d: %d served, stated %d", n, sum, got.Served)
		}
		if got.Served == got.Bound {
			proved++
		}
	}
	t.Logf("%d of 20 proved to serve the most", proved)
	if proved < 18 {
		t.Errorf("only %d of 20 proved", proved)
	}
}

func TestLotsOfRooms(t *testing.T) {
	boxesOf := func(in TakeIn) int { return take(t, in).Rows[0].Boxes }
	n := boxesOf(bathJob(1))
	for _, c := range []struct {
		name    string
		lots    []Lot
		lot     string
		stock   int
		finding string
	}{
		{"none", nil, "", 0, ""},
		{"one that fits", []Lot{{Tile: "white", Lot: "A1", Boxes: n}}, "A1", n, ""},
		{"the one that leaves least", []Lot{{Tile: "white", Lot: "A1", Boxes: n + 9}, {Tile: "white", Lot: "B2", Boxes: n + 1}}, "B2", n, ""},
		{"on hand before on offer", []Lot{{Tile: "white", Lot: "A1", Boxes: n, Offered: true}, {Tile: "white", Lot: "B2", Boxes: n + 5}}, "B2", n, ""},
		{"on offer", []Lot{{Tile: "white", Lot: "A1", Boxes: n, Offered: true}}, "A1", 0, ""},
		{"too small", []Lot{{Tile: "white", Lot: "A1", Boxes: n - 3}}, "", 0, "short by 3 boxes"},
		{"two halves do not make one", []Lot{{Tile: "white", Lot: "A1", Boxes: n - 1}, {Tile: "white", Lot: "B2", Boxes: n - 1}}, "", 0, "short by 1 box"},
	} {
		t.Run(c.name, func(t *testing.T) {
			in := bathJob(1)
			in.Catalogue.Lots = c.lots
			got := take(t, in)
			if r := got.Rows[0]; r.Lot != c.lot || r.FromStock != c.stock {
				t.Errorf("lot %q, %d boxes from stock; want %q, %d", r.Lot, r.FromStock, c.lot, c.stock)
			}
			said := fmt.Sprint(got.Findings)
			if c.finding == "" && strings.Contains(said, "short by") || !strings.Contains(said, c.finding) {
				t.Errorf("findings %s; want %q", said, c.finding)
			}
			if err := CheckTaken(got, in); err != nil {
				t.Error(err)
			}
			orders := got.Orders(in.Catalogue, in.Today, nil, nil)
			if err := CheckOrders(got, in.Catalogue, in.Today, nil, nil, orders); err != nil {
				t.Error(err)
			}
			ordered := 0
			for _, o := range orders {
				for _, l := range o.Lines {
					if l.Product == "white" {
						ordered += int(l.Quantity)
						if l.Lot != c.lot {
							t.Errorf("ordered of lot %q, want %q", l.Lot, c.lot)
						}
					}
				}
			}
			if ordered != n-c.stock {
				t.Errorf("%d boxes ordered, want %d", ordered, n-c.stock)
			}
		})
	}
}

// What was ordered for a room stays that room's, whatever else would fit.
func TestLotsOrderedForRooms(t *testing.T) {
	in := bathJob(3)
	n := take(t, in).Rows[0].Boxes
	line := func(room, lot string, boxes int) OrderLine {
		return OrderLine{Product: "white", Lot: lot, Quantity: float64(boxes), Unit: "box", UnitPrice: 184500, Rooms: []string{room}}
	}
	in.Placed = []Order{{Key: "kiln-1", Supplier: "kiln", Currency: "EUR", Delivery: day("2026-03-09"), Ready: day("2026-03-11"),
		Lines: []OrderLine{line("elm/bath2", "R7", n+1), line("elm/bath3", "", n)}}}
	in.Catalogue.Lots = []Lot{{Tile: "white", Lot: "A1", Boxes: 3 * n}}
	got := take(t, in)
	for i, want := range []struct {
		lot   string
		stock int
	}{{"A1", n}, {"R7", 0}, {"", 0}} {
		if r := got.Rows[i]; r.Lot != want.lot || r.FromStock != want.stock {
			t.Errorf("%s: lot %q, %d from stock; want %q, %d", r.Group, r.Lot, r.FromStock, want.lot, want.stock)
		}
	}
	if err := CheckTaken(got, in); err != nil {
		t.Error(err)
	}
	orders := got.Orders(in.Catalogue, in.Today, nil, in.Placed)
	if err := CheckOrders(got, in.Catalogue, in.Today, nil, in.Placed, orders); err != nil {
		t.Error(err)
	}
	for _, o := range orders[1:] {
		for _, l := range o.Lines {
			if l.Product == "white" && l.Rooms[0] != "elm/bath3" {
				t.Errorf("%v boxes ordered again for %v", l.Quantity, l.Rooms)
			}
		}
	}
}
