package takeoff

import (
	"fmt"
	"math/big"
	"math/rand/v2"
	"reflect"
	"slices"
	"strings"
	"testing"
	"time"

	"potlife/rooms"
)

func TestAmountToTheCent(t *testing.T) {
	for _, c := range []struct {
		packages    int
		price, want Money
	}{
		{3, 12_3400, 37_0200}, {3, 3333, 1_0000}, {1, 50, 100}, {1, 49, 0}, {7, 1_2345, 8_6400}, {0, 99, 0},
	} {
		if got := Amount(c.packages, c.price); got != c.want {
			t.Errorf("%d × %d = %d, want %d", c.packages, c.price, got, c.want)
		}
	}
}

// Amounts and totals of 10 000 random orders against rational arithmetic.
func TestMoneyAddsUp(t *testing.T) {
	rng := rand.New(rand.NewPCG(6, 4))
	for n := range 10_000 {
		s := Supplier{Key: "s", LeadDays: rng.IntN(5), Days: rooms.MondayToFriday(), Freight: Money(rng.IntN(900_000)), FreeFrom: Money(rng.IntN(9_000_000))}
		d := delivery{}
		for i := range 1 + rng.IntN(8) {
			d.wants = append(d.wants, want{product: fmt.Sprint("p", i%5), packages: 1 + rng.IntN(400), price: Money(rng.IntN(5_000_000)), needBy: day("2026-05-04"), rooms: []string{"j/r"}, tile: i%2 == 0})
			if i >= 5 {
				d.wants[i].price = d.wants[i-5].price
			}
		}
		o := (&Taken{}).order(&d, &s, Catalogue{Currency: "EUR"})
		total := new(big.Rat)
		for _, l := range o.Lines {
			exact := new(big.Rat).Mul(new(big.Rat).SetFloat64(l.Quantity), big.NewRat(int64(l.UnitPrice), 10_000))
			cents := new(big.Rat).Mul(exact, big.NewRat(100, 1))
			rounded := new(big.Int).Quo(new(big.Int).Add(new(big.Int).Mul(cents.Num(), big.NewInt(2)), cents.Denom()), new(big.Int).Mul(cents.Denom(), big.NewInt(2)))
			if rounded.Int64()*100 != int64(l.Amount) {
				t.Fatalf("order %d: %v × %d = %d, exactly %s", n, l.Quantity, l.UnitPrice, l.Amount, exact.FloatString(6))
			}
			total.Add(total, new(big.Rat).SetFrac(rounded, big.NewInt(100)))
		}
		if want := new(big.Rat).Mul(total, big.NewRat(10_000, 1)); want.Cmp(new(big.Rat).SetInt64(int64(o.Total))) != 0 {
			t.Fatalf("order %d: total %d, the lines add to %s", n, o.Total, total.FloatString(2))
		}
	}
}

// Dates by hand. March 2026: the 2nd is a Monday.
func TestOrderDates(t *testing.T) {
	week := rooms.MondayToFriday()
	holiday := week
	holiday.Off = []rooms.Date{day("2026-03-16"), day("2026-03-17")}
	saturdays := week
	saturdays.On = []rooms.Date{day("2026-03-21")}
	for _, c := range []struct {
		name                     string
		days                     rooms.Days
		lead, buffer, wait       int
		today, need              string
		orderBy, delivery, ready string
		late                     bool
	}{
		{"inside a week", week, 2, 0, 0, "2026-03-02", "2026-03-20", "2026-03-18", "2026-03-20", "2026-03-20", false},
		{"over a weekend", week, 2, 0, 0, "2026-03-02", "2026-03-23", "2026-03-19", "2026-03-23", "2026-03-23", false},
		{"need on a Sunday: delivered on Friday", week, 1, 0, 0, "2026-03-02", "2026-03-22", "2026-03-19", "2026-03-20", "2026-03-20", false},
		{"two days to acclimatise, over the weekend", week, 1, 0, 2, "2026-03-02", "2026-03-23", "2026-03-19", "2026-03-20", "2026-03-22", false},
		{"buffer comes earlier and arrives earlier", week, 5, 2, 0, "2026-03-02", "2026-03-20", "2026-03-11", "2026-03-18", "2026-03-18", false},
		{"holidays do not count", holiday, 3, 0, 0, "2026-03-02", "2026-03-18", "2026-03-11", "2026-03-18", "2026-03-18", false},
		{"a Saturday that is worked", saturdays, 2, 0, 0, "2026-03-02", "2026-03-23", "2026-03-20", "2026-03-23", "2026-03-23", false},
		{"just in time", week, 5, 0, 0, "2026-03-09", "2026-03-16", "2026-03-09", "2026-03-16", "2026-03-16", false},
		{"the buffer is gone: late, yet there in time", week, 5, 2, 0, "2026-03-09", "2026-03-16", "2026-03-05", "2026-03-16", "2026-03-16", true},
		{"too late", week, 5, 2, 2, "2026-03-09", "2026-03-11", "2026-02-26", "2026-03-16", "2026-03-18", true},
		{"sent on a Sunday: taken up on Monday", week, 1, 0, 0, "2026-03-08", "2026-03-08", "2026-03-05", "2026-03-10", "2026-03-10", true},
		{"no lead time", week, 0, 0, 0, "2026-03-08", "2026-03-09", "2026-03-09", "2026-03-09", "2026-03-09", false},
	} {
		t.Run(c.name, func(t *testing.T) {
			s := Supplier{LeadDays: c.lead, BufferDays: c.buffer, Days: c.days}
			d := receiving{supplier: &s}.dates(day(c.today), want{needBy: day(c.need), wait: c.wait})
			ready := d.delivery.AddDays(c.wait)
			if d.orderBy != day(c.orderBy) || d.delivery != day(c.delivery) || ready != day(c.ready) || d.late != c.late {
				t.Errorf("order by %s, delivery %s, ready %s, late %v; want %s, %s, %s, %v", d.orderBy, d.delivery, ready, d.late, c.orderBy, c.delivery, c.ready, c.late)
			}
		})
	}
}

// randomFirstUse gives every use a date not before its release, as a schedule
// does.
func randomFirstUse(rng *rand.Rand, t *Taken, in TakeIn) map[Use]rooms.Date {
	out := map[Use]rooms.Date{}
	releases := t.Releases(in.Catalogue, in.Today, nil)
	var keys []Use
	for k := range releases {
		keys = append(keys, k)
	}
	slices.SortFunc(keys, func(a, b Use) int { return strings.Compare(a.Product+" "+a.Room, b.Product+" "+b.Room) })
	for _, k := range keys {
		d := releases[k]
		if d.IsZero() {
			d = in.Today
		}
		out[k] = d.AddDays(rng.IntN(70))
	}
	return out
}

// Random stock, lots, orders placed and first uses: the checker finds nothing.
func TestOrdersOfRandomPlans(t *testing.T) {
	rng := rand.New(rand.NewPCG(6, 5))
	for n := range cases(20, 200) {
		in := bathJob(1 + rng.IntN(4))
		randomise(rng, &in)
		randomDays(rng, &in)
		got := take(t, in)
		if err := CheckTaken(got, in); err != nil {
			t.Fatalf("case %d: %v", n, err)
		}
		first := randomFirstUse(rng, got, in)
		orders := got.Orders(in.Catalogue, in.Today, first, nil)
		if err := CheckOrders(got, in.Catalogue, in.Today, first, nil, orders); err != nil {
			t.Fatalf("case %d: %v", n, err)
		}
		if same := take(t, in); !reflect.DeepEqual(same, got) || !reflect.DeepEqual(same.Orders(in.Catalogue, in.Today, first, nil), orders) {
			t.Fatalf("case %d: the same input gives another answer", n)
		}
		// Some of them are placed; a week later the rest is ordered again.
		var placed []Order
		for _, o := range orders {
			if rng.IntN(2) == 0 {
				placed = append(placed, o)
			}
		}
		in.Placed, in.Today = placed, in.Today.AddDays(rng.IntN(7))
		again := take(t, in)
		first = randomFirstUse(rng, again, in)
		orders = again.Orders(in.Catalogue, in.Today, first, placed)
		if err := CheckOrders(again, in.Catalogue, in.Today, first, placed, orders); err != nil {
			t.Fatalf("case %d, again: %v", n, err)
		}
	}
}

func randomise(rng *rand.Rand, in *TakeIn) {
	c := &in.Catalogue
	for i := range c.Suppliers {
		s := &c.Suppliers[i]
		s.LeadDays, s.BufferDays = rng.IntN(12), rng.IntN(4)
		for range rng.IntN(4) {
			s.Days.Off = append(s.Days.Off, in.Today.AddDays(rng.IntN(60)))
		}
	}
	for i := range rng.IntN(4) {
		c.Lots = append(c.Lots, Lot{Tile: "white", Lot: fmt.Sprint("L", i), Boxes: 1 + rng.IntN(40), Tiles: rng.IntN(5), Offered: rng.IntN(3) == 0})
	}
	for i := range c.Products {
		p := &c.Products[i]
		if rng.IntN(2) == 0 {
			c.Stock = append(c.Stock, Stock{p.Key, float64(rng.IntN(12)) / 2})
		}
		if rng.IntN(3) == 0 {
			p.Sheet.ShelfDays = 5 + rng.IntN(30)
		}
	}
	site := &in.Jobs[0].Sites[0]
	for i := range site.Rooms {
		if rng.IntN(2) == 0 {
			site.Rooms[i].Group = "suite"
		}
	}
	if rng.IntN(2) == 0 {
		site.StorageKg = float64(100 + rng.IntN(800))
	}
	if rng.IntN(2) == 0 { // a second site, and the yard for one of them perhaps
		n := rng.IntN(len(site.Rooms) + 1)
		in.Jobs[0].Sites = append(in.Jobs[0].Sites, rooms.Site{Key: "annexe", Address: "Elm Row 9", Rooms: site.Rooms[n:]})
		in.Jobs[0].Sites[0].Rooms = site.Rooms[:n:n]
		in.Jobs[0].Sites[0].Deliver = []string{"", rooms.ToSite, rooms.ToYard}[rng.IntN(3)]
	}
	if rng.IntN(3) == 0 {
		if site = &in.Jobs[0].Sites[0]; len(site.Rooms) > 0 {
			site.Rooms[0].Split = []string{rooms.SplitRooms, rooms.SplitFloor, rooms.SplitRoomFloor, rooms.SplitSurfaces}[rng.IntN(4)]
		}
	}
	c.EarlyDays = []int{0, -1, 5, 40}[rng.IntN(4)]
	in.AcclimatiseDays, in.OpenDays = rng.IntN(4), rng.IntN(4)-1
	for i := range in.Layouts {
		for k, p := range in.Layouts[i].Zones[0].Pieces {
			if rng.IntN(40) == 0 {
				if in.Broken == nil {
					in.Broken = map[string]int{}
				}
				in.Broken[p.ID] = 1 + rng.IntN(2)
			}
			if !p.Full && rng.IntN(6) == 0 {
				for j := range p.Cuts {
					in.Layouts[i].Zones[0].Pieces[k].Cuts[j].Tool = WetSaw
				}
			}
			if !p.Full && rng.IntN(12) == 0 {
				in.Layouts[i].Zones[0].Pieces[k].OnSite = true
			}
		}
	}
}

func TestReleases(t *testing.T) {
	in := bathJob(2)
	n := take(t, in).Rows[0].Boxes
	in.Catalogue.Lots = []Lot{{Tile: "white", Lot: "A1", Boxes: n}}
	in.Catalogue.Stock = []Stock{{"fix", 100}}
	in.Placed = []Order{{Key: "kiln-1", Supplier: "kiln", Currency: "EUR", Ready: day("2026-03-25"),
		Lines: []OrderLine{{Product: "white", Quantity: 100, Rooms: []string{"elm/bath2"}}}}}
	got := take(t, in)
	releases := got.Releases(in.Catalogue, in.Today, nil)
	for use, want := range map[Use]string{
		{"fix", "elm/bath1"}:   "",           // on hand
		{"fill", "elm/bath1"}:  "2026-03-04", // Monday's order, one working day, one to open
		{"white", "elm/bath1"}: "",           // the lot on hand
		{"white", "elm/bath2"}: "2026-03-25", // the order placed
	} {
		d, ok := releases[use]
		if !ok || d.String() != want {
			t.Errorf("%v: release %q (%v), want %q", use, d, ok, want)
		}
	}
	in.Placed = nil
	got = take(t, in)
	// Five working days from Monday 2 March, two to acclimatise and one to open.
	if d := got.Releases(in.Catalogue, in.Today, nil)[Use{"white", "elm/bath2"}]; d != day("2026-03-12") {
		t.Errorf("release of a new order %s, want 2026-03-12", d)
	}
}

// TestReleasesByFirstUse places an order for the room that a plan sets first and a later
// one for the other: goods go to rooms as they were ordered, whichever is listed first.
func TestReleasesByFirstUse(t *testing.T) {
	in := bathJob(2)
	got := take(t, in)
	packages := 0.0
	for _, m := range got.Materials {
		if m.Product == "fix" {
			packages = float64(m.Packages)
		}
	}
	if packages < 4 {
		t.Fatalf("%g packages of fix are too few to be parted", packages)
	}
	half := float64(int(packages/2) + 1)
	for k, o := range []struct {
		ready  string
		amount float64
	}{{"2026-03-20", half}, {"2026-04-20", packages - half}} {
		in.Placed = append(in.Placed, Order{Key: fmt.Sprintf("kiln-%d", k+1), Supplier: "kiln", Currency: "EUR", Place: got.placeOf("elm/bath1"), Ready: day(o.ready),
			Lines: []OrderLine{{Product: "fix", Quantity: o.amount, Rooms: []string{"elm/bath1", "elm/bath2"}}}})
	}
	got = take(t, in)
	first, second := Use{"fix", "elm/bath1"}, Use{"fix", "elm/bath2"}
	for _, c := range []struct {
		used      map[Use]rooms.Date
		soon, far Use
	}{
		{nil, first, second},
		{map[Use]rooms.Date{first: day("2026-03-23"), second: day("2026-04-21")}, first, second},
		{map[Use]rooms.Date{first: day("2026-04-21"), second: day("2026-03-23")}, second, first},
	} {
		r := got.Releases(in.Catalogue, in.Today, c.used)
		if r[c.soon] != day("2026-03-20") || r[c.far] != day("2026-04-20") {
			t.Errorf("used %v: %s from %s and %s from %s", c.used, c.soon.Room, r[c.soon], c.far.Room, r[c.far])
		}
	}
}

func TestDeliveriesMerge(t *testing.T) {
	first := func(days int) rooms.Date { return rooms.Date{Year: 2026, Month: time.May, Day: 4 + days} }
	wants := func(kg float64, shelf int, gaps ...int) (list []want) {
		for i, g := range gaps {
			list = append(list, want{product: "fix", packages: 10, unit: "bag", price: 10_000, needBy: first(g), rooms: []string{fmt.Sprintf("elm/bath%d", i+1)}, place: "elm/home", kg: kg, pallets: 0.1, shelfDays: shelf})
		}
		return list
	}
	for _, c := range []struct {
		name    string
		storage float64
		pallets int
		early   int
		wants   []want
		want    int
	}{
		{"no limits: one delivery", 0, 0, 60, wants(20, 0, 0, 14, 40), 1},
		{"no more than two weeks early", 0, 0, 14, wants(20, 0, 0, 14, 40), 2},
		{"never early", 0, 0, 0, wants(20, 0, 0, 14, 40), 3},
		{"never early, yet on the same day", 0, 0, 0, wants(20, 0, 0, 0, 40), 2},
		{"shelf life of three weeks", 0, 0, 60, wants(20, 21, 0, 14, 40), 2},
		{"storage for one room's bags", 250, 0, 60, wants(20, 0, 0, 14, 40), 3},
		{"storage for two rooms' bags", 450, 0, 60, wants(20, 0, 0, 14, 40), 2},
		{"two pallets", 0, 2, 60, wants(20, 0, 0, 14, 40), 2},
	} {
		t.Run(c.name, func(t *testing.T) {
			s := &Supplier{Key: "depot", LeadDays: 1, Days: rooms.MondayToFriday(), Freight: 500_000}
			tk := &Taken{places: []place{{key: "elm/home", to: "Elm Row 4", kg: c.storage, pallets: c.pallets}}}
			got := deliveries(tk.receivingAt(s, "elm/home"), day("2026-03-02"), c.wants, tk.newStore(Catalogue{}, day("2026-03-02"), nil), c.early)
			if len(got) != c.want {
				t.Errorf("%d deliveries, want %d", len(got), c.want)
			}
			if c.want == 1 {
				if o := tk.order(&got[0], s, Catalogue{Currency: "EUR"}); o.DeliverTo != "Elm Row 4" || o.Saved != 1_000_000 || !strings.Contains(o.WhyMerged, "one delivery instead of 3, which saves 100.00 EUR of freight") {
					t.Errorf("why merged: %q", o.WhyMerged)
				}
			}
		})
	}
}
