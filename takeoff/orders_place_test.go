package takeoff

import (
	"fmt"
	"slices"
	"strings"
	"testing"

	"potlife/rooms"
)

// twoSites has a bathroom at an address, one at another, and one whose goods go to
// the yard.
func twoSites() TakeIn {
	in := bathJob(3)
	all := in.Jobs[0].Sites[0].Rooms
	in.Jobs[0].Sites = []rooms.Site{
		{Key: "home", Name: "Elm House", Address: "Elm Row 4", Contact: "Ida, 555 0101", Rooms: all[:1:1]},
		{Key: "mill", Address: "Mill Lane 9", Rooms: all[1:2:2]},
		{Key: "barn", Rooms: all[2:]},
	}
	in.Catalogue.Buyer = Buyer{Name: "Weir Tiling", Address: "Quay 2", Yard: "Dock Street 7"}
	return in
}

// An order is what one supplier brings to one place, and says who buys and where it
// goes.
func TestOrdersByPlace(t *testing.T) {
	in := twoSites()
	got := take(t, in)
	orders := got.Orders(in.Catalogue, in.Today, nil, nil)
	if err := CheckOrders(got, in.Catalogue, in.Today, nil, nil, orders); err != nil {
		t.Fatal(err)
	}
	room := map[string]string{"elm/home": "elm/bath1", "elm/mill": "elm/bath2", "": "elm/bath3"}
	to := map[string]string{"elm/home": "Elm House, Elm Row 4, ask for Ida, 555 0101", "elm/mill": "mill, Mill Lane 9", "": "Dock Street 7"}
	seen := map[string]int{}
	for _, o := range orders {
		seen[o.Supplier+" "+o.Place]++
		if o.DeliverTo != to[o.Place] || o.Buyer != in.Catalogue.Buyer || len(o.Rooms) != 1 || o.Rooms[0] != room[o.Place] {
			t.Errorf("%s: to %q (%s), buyer %v, rooms %v", o.Key, o.DeliverTo, o.Place, o.Buyer, o.Rooms)
		}
	}
	if len(orders) != 6 || len(seen) != 6 {
		t.Errorf("%d orders, %v; want one from each of two suppliers to each of three places", len(orders), seen)
	}
}

// Packages are whole where they are delivered: 5.6 kg of sealant at each of three
// places are three cartons, not two.
func TestPackagesByPlace(t *testing.T) {
	one, three := bathJob(3), twoSites()
	for _, in := range []*TakeIn{&one, &three} {
		for i := range in.Catalogue.Products {
			if in.Catalogue.Products[i].Key == "seal" {
				in.Catalogue.Products[i].PackageSize = 10
			}
		}
	}
	for _, c := range []struct {
		in   TakeIn
		want int
	}{{one, 1}, {three, 3}} {
		got := take(t, c.in)
		if err := CheckTaken(got, c.in); err != nil {
			t.Fatal(err)
		}
		i := slices.IndexFunc(got.Materials, func(m Material) bool { return m.Product == "seal" })
		if m := got.Materials[i]; m.Packages != c.want || strings.Contains(m.How, "whole at each of 3 places") != (c.want == 3) {
			t.Errorf("%d packages, want %d: %s", m.Packages, c.want, m.How)
		}
	}
}

// What lies in the yard, and what an order brings to a place that no longer needs
// it, serves whoever needs it first; the rest is ordered to each place.
func TestSupplyByPlace(t *testing.T) {
	day := func(n int) rooms.Date { return rooms.Date{Year: 2026, Month: 5, Day: 4 + n} }
	shares := []roomShare{
		{room: "a1", place: "A", at: 0.5, first: day(0)}, {room: "b1", place: "B", at: 0.5, first: day(1)},
		{room: "a2", place: "A", at: 2, first: day(2)}, {room: "b2", place: "B", at: 1, first: day(3)},
	}
	for _, c := range []struct {
		name string
		own  map[string][]batch
		pool []batch
		want string
	}{
		{"nothing is there", nil, nil, "1 to A for a1, 1 to B for b1, 1 to A for a2"},
		{"a package in the yard serves the first", nil, []batch{{1, rooms.Date{}}}, "1 to B for b1, 1 to A for a2"},
		{"three in the yard serve all", nil, []batch{{3, rooms.Date{}}}, ""},
		{"half a package is not enough for a whole room", nil, []batch{{0.5, rooms.Date{}}}, "1 to B for b1, 2 to A for a2"},
		{"placed for A", map[string][]batch{"A": {{2, day(0)}}}, nil, "1 to B for b1"},
		{"placed for A and too late: it is waited for", map[string][]batch{"A": {{2, day(9)}}}, nil, "1 to B for b1"},
		{"spare of another place comes after b1", nil, []batch{{1, day(2)}}, "1 to A for a1, 1 to B for b1"},
	} {
		t.Run(c.name, func(t *testing.T) {
			s := &supplyOf{own: c.own, pool: c.pool, drawn: map[string]float64{}, extra: map[string][]batch{}}
			var words []string
			for _, b := range s.buy(shares) {
				words = append(words, fmt.Sprintf("%d to %s for %s", b.packages, shares[b.share].place, shares[b.share].room))
			}
			if got := strings.Join(words, ", "); got != c.want {
				t.Errorf("bought %q, want %q", got, c.want)
			}
		})
	}
}

// Tile and mortar of one supplier come on one day although tile waits longer, and
// freight is paid once.
func TestOneDeliveryForUnlikeWaits(t *testing.T) {
	in := bathJob(1)
	for i := range in.Catalogue.Products {
		in.Catalogue.Products[i].Supplier = "kiln"
	}
	in.Catalogue.Suppliers[0].FreeFrom = 0
	got := take(t, in)
	first := map[Use]rooms.Date{}
	for use, d := range got.Releases(in.Catalogue, in.Today, nil) {
		first[use] = d
	}
	orders := got.Orders(in.Catalogue, in.Today, first, nil)
	if err := CheckOrders(got, in.Catalogue, in.Today, first, nil, orders); err != nil {
		t.Fatal(err)
	}
	if len(orders) != 1 {
		t.Fatalf("%d orders, want one", len(orders))
	}
	freight := 0
	for _, l := range orders[0].Lines {
		wait := 1
		switch {
		case l.Product == "":
			freight++
			continue
		case l.Product == "white":
			wait = 3
		}
		if l.Ready != orders[0].Delivery.AddDays(wait) || l.NeedBy.Before(l.Ready) {
			t.Errorf("%s comes on %s, is ready on %s and used on %s", l.Product, orders[0].Delivery, l.Ready, l.NeedBy)
		}
	}
	if freight != 1 || orders[0].Ready != orders[0].Delivery.AddDays(1) {
		t.Errorf("freight is charged %d times; the first is ready on %s", freight, orders[0].Ready)
	}
}

// A product's own days stand before the firm's, none included.
func TestWaitDays(t *testing.T) {
	in := bathJob(1)
	in.Catalogue.Tiles[0].WaitDays = -1
	for i := range in.Catalogue.Products {
		if in.Catalogue.Products[i].Key == "fix" {
			in.Catalogue.Products[i].WaitDays = 5
		}
	}
	r := take(t, in).Releases(in.Catalogue, in.Today, nil)
	// Monday 2 March: tile five working days, mortar one and five days, grout one and one.
	for product, want := range map[string]string{"white": "2026-03-09", "fix": "2026-03-08", "fill": "2026-03-04"} {
		if got := r[Use{product, "elm/bath1"}]; got != day(want) {
			t.Errorf("%s can be used from %s, want %s", product, got, want)
		}
	}
}
