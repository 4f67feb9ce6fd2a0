package takeoff

import (
	"fmt"
	"math/rand/v2"
	"strings"
	"testing"
	"time"

	"potlife/rooms"
)

// cheapest tries all ways to choose which deliveries are made, each want coming with the
// last one made before its own, and returns the least of freight and holding.
func cheapest(s *Supplier, list []delivery, h holding) Money {
	least := Money(-1)
	for mask := range 1 << (len(list) - 1) {
		sum, goods, at, ok := Money(0), Money(0), 0, true
		for i := range list {
			if i > 0 && mask>>(i-1)&1 == 1 {
				sum += s.freightFor(goods)
				goods, at = 0, i
			}
			for _, w := range list[i].wants {
				v := Amount(w.packages, w.price)
				goods += v
				if at == i {
					continue
				}
				days, own := 0, 0
				for d := list[at].delivery; d.Before(w.own); d = d.AddDays(1) {
					days++
				}
				for d := list[i].delivery; d.Before(w.own); d = d.AddDays(1) {
					own++
				}
				sum += h.cost(v, days) - h.cost(v, own)
				ok = ok && days <= h.most && (w.shelfDays == 0 || !list[at].delivery.AddDays(w.shelfDays).Before(w.needBy))
			}
		}
		if sum += s.freightFor(goods); ok && (least < 0 || sum < least) {
			least = sum
		}
	}
	return least
}

// costOf is freight and holding of deliveries beyond what holding cost before.
func costOf(s *Supplier, list []delivery, h holding, before Money) Money {
	sum := -before
	for i := range list {
		sum += s.freightFor(list[i].goods()) + heldBy(&list[i], h)
	}
	return sum
}

func heldBy(d *delivery, h holding) Money {
	sum := Money(0)
	for _, w := range d.wants {
		sum += h.cost(Amount(w.packages, w.price), daysFrom(d.delivery, w.own))
	}
	return sum
}

// lyingOn is what of deliveries lies at the place on a day.
func lyingOn(list []delivery, d rooms.Date) (kg float64) {
	for _, l := range list {
		for _, w := range l.wants {
			if !d.Before(l.delivery) && !w.needBy.Before(d) {
				kg += w.kg * float64(w.packages)
			}
		}
	}
	return kg
}

// Which deliveries are made costs, freight and holding together, what the cheapest of all
// ways does; where a place stores little it costs no more than before, and never is more
// there than it stores.
func TestFewerDeliveriesAgainstBruteForce(t *testing.T) {
	r := rand.New(rand.NewPCG(8, 8))
	first := rooms.Date{Year: 2026, Month: time.May, Day: 4}
	merged, stored := 0, 0
	for n := range 400 {
		var wants []want
		for i := range 1 + r.IntN(8) {
			w := want{product: fmt.Sprint("p", i), packages: 1 + r.IntN(8), unit: "bag", price: Money(10_000 + r.IntN(900_000)), needBy: first.AddDays(r.IntN(70)),
				rooms: []string{fmt.Sprintf("elm/bath%d", i)}, place: "elm/home", kg: float64(r.IntN(30))}
			if r.IntN(4) == 0 {
				w.shelfDays = 10 + r.IntN(60)
			}
			wants = append(wants, w)
		}
		s := &Supplier{Key: "depot", LeadDays: 1, Days: rooms.MondayToFriday(), Freight: Money(r.IntN(1_500_000)), FreeFrom: Money(r.IntN(3) * 8_000_000)}
		kg := 0.0
		if n%4 == 0 {
			kg = 200 + 300*r.Float64()
		}
		tk := &Taken{places: []place{{key: "elm/home", to: "Elm Row 4", kg: kg}}}
		h := holdingOf(Catalogue{EarlyDays: []int{0, 4, 20, -1}[r.IntN(4)], HoldShare: []float64{0, 0.1}[r.IntN(2)]})
		today := day("2026-03-02")
		store := tk.newStore(Catalogue{}, today, nil)
		was := deliveries(tk.receivingAt(s, "elm/home"), today, wants, store, h.early)
		before := Money(0)
		for i := range was {
			before += heldBy(&was[i], h)
		}
		least, old := cheapest(s, was, h), costOf(s, was, h, before)
		got := fewer(s, was, store, h)
		count := 0
		for i := range got {
			count += len(got[i].wants)
			if there := lyingOn(got, got[i].delivery); kg > 0 && len(got[i].wants) > 1 && there > kg {
				t.Fatalf("case %d: %.0f kg lie where %.0f can be stored", n, there, kg)
			}
		}
		if count != len(wants) {
			t.Fatalf("case %d: %d of %d wants are delivered", n, count, len(wants))
		}
		switch v := costOf(s, got, h, before); {
		case kg == 0 && v != least:
			t.Fatalf("case %d: freight and holding cost %d, brute force finds %d, it was %d", n, v, least, old)
		case v > old:
			t.Fatalf("case %d: freight and holding cost %d, it was %d", n, v, old)
		case len(got) < len(was) && kg == 0:
			merged++
		case len(got) < len(was):
			stored++
		}
	}
	if merged < 50 || stored < 10 {
		t.Errorf("%d of 300 cases have fewer deliveries, %d of 100 with a small store: the test shows nothing", merged, stored)
	}
}

// Three cartridges for weeks later come with all else, and the order says so; a pallet of
// tile does not, nor what does not keep, nor anything where holding is dear.
func TestACartridgeComesWithAllElse(t *testing.T) {
	first := rooms.Date{Year: 2026, Month: time.May, Day: 4}
	s := &Supplier{Key: "depot", LeadDays: 1, Days: rooms.MondayToFriday(), Freight: 600_000}
	for _, c := range []struct {
		name  string
		cat   Catalogue
		late  want
		want  int
		words string
	}{
		{"cartridges", Catalogue{}, want{packages: 3, price: 70_000}, 1, "one delivery instead of 2, which saves 60.00 EUR of freight; some of it comes 35 days early, as that costs less"},
		{"a pallet of tile", Catalogue{}, want{packages: 40, price: 250_000}, 2, ""},
		{"cartridges that keep a month", Catalogue{}, want{packages: 3, price: 70_000, shelfDays: 30}, 2, ""},
		{"where holding is dear", Catalogue{HoldShare: 1}, want{packages: 3, price: 70_000}, 2, ""},
		{"where five days are the rule", Catalogue{EarlyDays: 5}, want{packages: 3, price: 70_000}, 2, ""},
		{"where nothing comes early", Catalogue{EarlyDays: -1}, want{packages: 3, price: 70_000}, 2, ""},
	} {
		c.cat.Currency = "EUR"
		c.late.product, c.late.unit, c.late.place, c.late.needBy, c.late.rooms = "seal", "cartridge", "elm/home", first.AddDays(35), []string{"elm/bath2"}
		wants := []want{{product: "fix", packages: 10, unit: "bag", price: 240_000, needBy: first, rooms: []string{"elm/bath1"}, place: "elm/home"}, c.late}
		tk := &Taken{places: []place{{key: "elm/home", to: "Elm Row 4"}}}
		store := tk.newStore(c.cat, first, nil)
		got := fewer(s, deliveries(tk.receivingAt(s, "elm/home"), day("2026-03-02"), wants, store, earlyDays(c.cat)), store, holdingOf(c.cat))
		if o := tk.order(&got[0], s, c.cat); len(got) != c.want || c.words != "" && o.WhyMerged != c.words || c.words == "" && strings.Contains(o.WhyMerged, "early") {
			t.Errorf("%s: %d deliveries, want %d; %q", c.name, len(got), c.want, o.WhyMerged)
		}
	}
}
