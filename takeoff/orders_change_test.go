package takeoff

import (
	"context"
	"maps"
	"math/rand/v2"
	"slices"
	"strings"
	"testing"

	"potlife/rooms"
)

func TestChangesOfOpenOrders(t *testing.T) {
	in := bathJob(1)
	n := take(t, in).Rows[0].Boxes
	in.Catalogue.Suppliers[0].ReturnDays, in.Catalogue.Suppliers[0].ReturnFee = 14, 0.25
	order := func(delivery string, lines ...OrderLine) Order {
		return Order{Key: "o1", Supplier: "kiln", Currency: "EUR", Delivery: day(delivery), Ready: day(delivery), Lines: lines}
	}
	tile := func(lot string, boxes int) OrderLine {
		return OrderLine{Product: "white", Lot: lot, Quantity: float64(boxes), Unit: "box", UnitPrice: 184500, Rooms: []string{"elm/bath1"}}
	}
	fix := OrderLine{Product: "fix", Quantity: 5, Unit: "bag", UnitPrice: 189900}
	for _, c := range []struct {
		name   string
		order  Order
		want   string // kind and quantity of each change
		credit Money
		text   string
	}{
		{"just what is needed", order("2026-03-09", tile("", n)), "", 0, ""},
		{"three boxes too many, not sent yet", order("2026-03-09", tile("", n+3)), "reduce 3 white", 3 * 184500, "55.35 EUR less"},
		{"here since a week: returned for a quarter", order("2026-02-24", tile("", n+3)), "return 3 white", 415100, "41.51 EUR back after a fee of 13.84 EUR"},
		{"here for too long", order("2026-02-02", tile("", n+3)), "keep 3 white", 0, "go to stock"},
		{"a lot nobody takes", order("2026-03-09", tile("", n), tile("Z9", 2)), "reduce 2 white", 2 * 184500, ""},
		{"bags too many", order("2026-03-09", tile("", n), fix), "reduce 3 fix", 3 * 189900, ""},
	} {
		t.Run(c.name, func(t *testing.T) {
			in.Placed = []Order{c.order}
			got := take(t, in).Changes(in.Catalogue, in.Today, in.Placed, in.Placed)
			var said []string
			credit := Money(0)
			for _, ch := range got {
				said = append(said, ch.Kind+" "+trimmed(ch.Quantity, 2)+" "+ch.Product)
				credit += ch.Credit
				if !strings.Contains(ch.Text, c.text) {
					t.Errorf("text %q, want %q", ch.Text, c.text)
				}
			}
			if strings.Join(said, ", ") != c.want || credit != c.credit {
				t.Errorf("%q, credit %d; want %q, %d", said, credit, c.want, c.credit)
			}
		})
	}
}

func TestOrderFindingsOfLateOrders(t *testing.T) {
	in := bathJob(1)
	got := take(t, in)
	for need, want := range map[string]string{"2026-03-04": Stop, "2026-03-12": Warn, "2026-05-11": ""} {
		first := map[Use]rooms.Date{}
		for k := range got.Releases(in.Catalogue, in.Today, nil) {
			first[k] = day(need)
		}
		severity := ""
		for _, f := range OrderFindings(in.Catalogue, in.Today, got.Orders(in.Catalogue, in.Today, first, nil)) {
			if f.Rule == "order late" && strings.HasPrefix(f.Where, "kiln") {
				severity = f.Severity
			}
		}
		if severity != want {
			t.Errorf("first use %s: severity %q, want %q", need, severity, want)
		}
	}
}

// The rooms' costs add to the lines' amounts, whatever the weights.
func TestRoomCostsAddUp(t *testing.T) {
	rng := rand.New(rand.NewPCG(6, 8))
	for range 2000 {
		weights := make([]float64, 1+rng.IntN(9))
		for i := range weights {
			weights[i] = rng.Float64() * float64(rng.IntN(3))
		}
		total := Money(rng.IntN(10_000_000)) * 100
		sum := Money(0)
		for _, m := range shareMoney(total, weights) {
			if sum += m; m < 0 || m%100 != 0 {
				t.Fatalf("part %d of %d", m, total)
			}
		}
		if sum != total {
			t.Fatalf("parts add to %d, total %d, weights %v", sum, total, weights)
		}
	}
	in := bathJob(3)
	got := take(t, in)
	sum, want := Money(0), Money(0)
	for _, c := range got.Costs(in.Catalogue) {
		sum += c.Total()
		if c.Job != "elm" || c.Tiles <= 0 || c.Products <= 0 {
			t.Errorf("%+v", c)
		}
	}
	for _, o := range got.Orders(in.Catalogue, in.Today, nil, nil) {
		for _, l := range o.Lines {
			if l.Product != "" {
				want += l.Amount
			}
		}
	}
	if sum != want {
		t.Errorf("rooms cost %d, the lines ordered come to %d", sum, want)
	}
}

func TestSplitProposal(t *testing.T) {
	suite := func() TakeIn {
		in := bathJob(2)
		for i := range in.Jobs[0].Sites[0].Rooms {
			in.Jobs[0].Sites[0].Rooms[i].Group = "suite"
		}
		return in
	}
	whole := take(t, suite()).Rows[0].Boxes
	half := take(t, bathJob(1)).Rows[0].Boxes
	for _, c := range []struct {
		name string
		lots []Lot
		want string
	}{
		{"a lot for each room", []Lot{{Tile: "white", Lot: "A1", Boxes: half, Calibre: "5"}, {Tile: "white", Lot: "B2", Boxes: half + 2, Calibre: "6"}}, "split room from room"},
		{"walls of one room apart", []Lot{{Tile: "white", Lot: "A1", Boxes: half + 8}, {Tile: "white", Lot: "B2", Boxes: half - 6}}, "split surface from surface"},
		{"not enough in all", []Lot{{Tile: "white", Lot: "A1", Boxes: half}, {Tile: "white", Lot: "B2", Boxes: whole - half - 1}}, ""},
	} {
		t.Run(c.name, func(t *testing.T) {
			in := suite()
			in.Catalogue.Lots = c.lots
			got := take(t, in)
			said, calibre := "", false
			for _, f := range got.Findings {
				if f.Rule == "split" {
					said = f.Message
				}
				calibre = calibre || f.Rule == "calibre"
			}
			t.Log(said)
			if c.want == "" && said != "" || !strings.Contains(said, c.want) {
				t.Errorf("proposal %q, want %q", said, c.want)
			}
			if calibre != (c.lots[0].Calibre != "") {
				t.Errorf("calibre warning %v", calibre)
			}
			if r := got.Rows[0]; r.Lot != "" || r.FromStock != 0 || r.Split != "" {
				t.Errorf("a proposal was carried out: %+v", r)
			}
		})
	}
}

// A split that is accepted is carried out: each part takes its lot, has its own
// spares, and shares no offcut with another.
func TestSplitAccepted(t *testing.T) {
	half := take(t, bathJob(1)).Rows[0].Boxes
	for _, c := range []struct {
		way  string
		lots []Lot
		rows int
	}{
		{rooms.SplitRooms, []Lot{{Tile: "white", Lot: "A1", Boxes: half, Calibre: "5"}, {Tile: "white", Lot: "B2", Boxes: half + 2, Calibre: "6"}}, 2},
		{rooms.SplitSurfaces, []Lot{{Tile: "white", Lot: "A1", Boxes: half + 8}, {Tile: "white", Lot: "B2", Boxes: half - 6}}, 4},
		{rooms.SplitFloor, []Lot{{Tile: "white", Lot: "A1", Boxes: 2 * half}}, 1}, // there is no floor
	} {
		t.Run(c.way, func(t *testing.T) {
			in := bathJob(2)
			for i := range in.Jobs[0].Sites[0].Rooms {
				in.Jobs[0].Sites[0].Rooms[i].Group = "suite"
			}
			in.Jobs[0].Sites[0].Rooms[1].Split = c.way
			in.Catalogue.Lots = c.lots
			got := take(t, in)
			if err := CheckTaken(got, in); err != nil {
				t.Fatal(err)
			}
			lots := map[string]bool{}
			for _, r := range got.Rows {
				lots[r.Lot] = true
				if r.FromStock != r.Boxes || r.Split != "split "+c.way+", as accepted" {
					t.Errorf("%s: %d of %d boxes from lot %q, split %q", r.Group, r.FromStock, r.Boxes, r.Lot, r.Split)
				}
			}
			mixed := slices.ContainsFunc(got.Findings, func(f Finding) bool { return f.Rule == "calibre" })
			if len(got.Rows) != c.rows || len(lots) != len(c.lots) || mixed != (c.lots[0].Calibre != "") {
				t.Errorf("%d rows of %d lots, mixed calibres said: %v", len(got.Rows), len(lots), mixed)
			}
			if orders := got.Orders(in.Catalogue, in.Today, nil, nil); slices.ContainsFunc(orders, func(o Order) bool { return o.Supplier == "kiln" }) {
				t.Errorf("tile is ordered though the lots serve the parts")
			}
		})
	}
	in := bathJob(2)
	for i, way := range []string{rooms.SplitRooms, rooms.SplitFloor} {
		in.Jobs[0].Sites[0].Rooms[i].Group, in.Jobs[0].Sites[0].Rooms[i].Split = "suite", way
	}
	if _, err := Take(context.Background(), in); err == nil || !strings.Contains(err.Error(), "room elm/bath2: split") {
		t.Errorf("two ways to split a group: %v", err)
	}
}

// A lot 3 mm larger than drawn: over eight tiles 24 mm.
func TestCalibreWarning(t *testing.T) {
	in := bathJob(0)
	s, l := takenWall("elm", "bath1", "north", 10*mm+8*303*mm-3*mm, 10*mm+4*203*mm-3*mm, in.Catalogue.Tiles[0])
	in.Jobs[0].Sites[0].Rooms = []rooms.Room{{Key: "bath1", Surfaces: []rooms.Surface{s}}}
	in.Layouts = []Layout{l}
	for measured, want := range map[rooms.Length]float64{300 * mm: 0, 303 * mm: 24, 299 * mm: -8} {
		in.Catalogue.Lots = []Lot{{Tile: "white", Lot: "A1", Boxes: 50, Width: measured, Height: 200 * mm}}
		value := 0.0
		for _, f := range take(t, in).Findings {
			if f.Rule == "calibre" {
				value = f.Value
			}
		}
		if value != want {
			t.Errorf("measured %s: %.1f mm over the course, want %.1f", measured, value, want)
		}
	}
}

// Once everything is placed nothing is ordered again and nothing is too much,
// before and after the deliveries have named their lots; a delivery that came
// short is made up by what was short.
func TestOrdersSettle(t *testing.T) {
	rng := rand.New(rand.NewPCG(6, 10))
	for n := range cases(15, 200) {
		in := bathJob(1 + rng.IntN(3))
		randomise(rng, &in)
		got := take(t, in)
		first := randomFirstUse(rng, got, in)
		in.Placed = got.Orders(in.Catalogue, in.Today, first, nil)
		for step := range 2 {
			got = take(t, in)
			if err := CheckTaken(got, in); err != nil {
				t.Fatalf("case %d step %d: %v", n, step, err)
			}
			if again := got.Orders(in.Catalogue, in.Today, first, in.Placed); len(again) != len(in.Placed) {
				t.Fatalf("case %d step %d: ordered again: %+v", n, step, again[len(in.Placed):])
			}
			if over := got.Changes(in.Catalogue, in.Today, in.Placed, in.Placed); len(over) > 0 {
				t.Fatalf("case %d step %d: too much: %+v", n, step, over)
			}
			for i := range in.Placed {
				for j := range in.Placed[i].Lines {
					if l := &in.Placed[i].Lines[j]; l.Product == "white" && l.Lot == "" {
						l.Lot = "R" + l.Rooms[0]
					}
				}
			}
		}
		for i := range in.Placed {
			for j := range in.Placed[i].Lines {
				if l := &in.Placed[i].Lines[j]; l.Product == "white" && l.Quantity > 2 {
					l.Quantity -= 2
					more := 0.0
					got = take(t, in)
					for _, o := range got.Orders(in.Catalogue, in.Today, first, in.Placed)[len(in.Placed):] {
						for _, m := range o.Lines {
							if m.Product == "white" && m.Lot == l.Lot {
								more += m.Quantity
							}
						}
					}
					if more != 2 {
						t.Fatalf("case %d: two boxes of lot %s short, %v ordered", n, l.Lot, more)
					}
					l.Quantity += 2
				}
			}
		}
	}
}

func TestCalibreAsMeasured(t *testing.T) {
	tile := whiteTile()
	lot := Lot{Tile: "white", Lot: "A1", Width: 301 * mm, Height: 199*mm + 500*rooms.Micrometre}
	got := AsMeasured(tile, lot).Shape.Box()
	if got.Width() != lot.Width || got.Height() != lot.Height {
		t.Errorf("%s × %s", got.Width(), got.Height())
	}
	if b := tile.Shape.Box(); b.Width() != 300*mm {
		t.Error("the tile given was changed")
	}
	if b := AsMeasured(tile, Lot{Tile: "white", Lot: "A1"}).Shape.Box(); b != tile.Shape.Box() {
		t.Error("a lot that is not measured changed the tile")
	}
	for i, p := range AsMeasured(Tile{Key: "hex", Shape: realTiles()[5].Shape}, Lot{Tile: "hex", Width: 400 * mm, Height: 462 * mm}).Shape {
		if q := realTiles()[5].Shape[i]; p.X != 2*q.X || p.Y != 2*q.Y {
			t.Errorf("corner %d: %v, want twice %v", i, p, q)
		}
	}
}

// What the supplier's terms say about boxes too many.
func TestWhyBoxesAreKept(t *testing.T) {
	for _, c := range []struct {
		name  string
		spoil func(c *Catalogue)
		want  string
	}{
		{"taken back", func(*Catalogue) {}, ""},
		{"nothing is taken back", func(c *Catalogue) { c.Suppliers[0].ReturnDays = 0 }, "takes nothing back"},
		{"too late", func(c *Catalogue) { c.Suppliers[0].ReturnDays = 3 }, "took them back until Thu 26 Feb"},
		{"special order", func(c *Catalogue) { c.Tiles[0].NoReturn = true }, "does not take this product back"},
		{"too few", func(c *Catalogue) { c.Suppliers[0].ReturnLeast = 4 }, "takes back 4 at least"},
		{"just enough", func(c *Catalogue) { c.Suppliers[0].ReturnLeast = 3 }, ""},
	} {
		t.Run(c.name, func(t *testing.T) {
			in := bathJob(1)
			n := take(t, in).Rows[0].Boxes
			in.Catalogue.Suppliers[0].ReturnDays, in.Catalogue.Suppliers[0].ReturnFee = 14, 0.25
			c.spoil(&in.Catalogue)
			in.Placed = []Order{{Key: "o1", Supplier: "kiln", Currency: "EUR", Delivery: day("2026-02-23"), Ready: day("2026-02-26"),
				Lines: []OrderLine{{Product: "white", Quantity: float64(n + 3), Unit: "box", UnitPrice: 184500, Rooms: []string{"elm/bath1"}}}}}
			got := take(t, in).Changes(in.Catalogue, in.Today, in.Placed, in.Placed)
			if len(got) != 1 || got[0].Quantity != 3 || (got[0].Kind == Keep) != (c.want != "") || !strings.Contains(got[0].Text, c.want) {
				t.Errorf("%+v, want %q", got, c.want)
			}
		})
	}
}

// A room more: what it takes can go along with an order that has not been sent yet.
func TestAddToOpenOrder(t *testing.T) {
	one := bathJob(1)
	in := bathJob(2)
	in.Placed = take(t, one).Orders(one.Catalogue, one.Today, nil, nil)
	for _, c := range []struct {
		today string
		want  bool
	}{{"2026-03-02", true}, {"2026-03-20", false}} {
		got := take(t, in)
		orders := got.Orders(in.Catalogue, day(c.today), nil, in.Placed)
		added := map[string]float64{}
		for _, ch := range got.Changes(in.Catalogue, day(c.today), in.Placed, orders) {
			if ch.Kind == Add {
				added[ch.Product] += ch.Quantity
				if ch.Credit >= 0 || !slices.ContainsFunc(in.Placed, func(o Order) bool { return o.Key == ch.Order && o.Supplier == ch.Supplier }) {
					t.Errorf("%+v", ch)
				}
			}
		}
		wanted := map[string]float64{}
		for _, o := range orders[len(in.Placed):] {
			for _, l := range o.Lines {
				if l.Product != "" && c.want {
					wanted[l.Product] += l.Quantity
				}
			}
		}
		if !maps.Equal(added, wanted) || c.want && len(added) == 0 {
			t.Errorf("today %s: could be added %v, want %v", c.today, added, wanted)
		}
	}
}
