package takeoff

import (
	"math/rand/v2"
	"slices"
	"strings"
	"testing"

	"potlife/rooms"
)

// randomDays closes the firm and the site on days of the weeks to come, and has some
// goods go to the site, some with somebody named there.
func randomDays(rng *rand.Rand, in *TakeIn) {
	off := func() (list []rooms.Date) {
		for range rng.IntN(3) {
			d := in.Today.AddDays(rng.IntN(80))
			for n := range 1 + rng.IntN(14) {
				list = append(list, d.AddDays(n))
			}
		}
		return list
	}
	if rng.IntN(4) > 0 {
		in.Days = rooms.MondayToFriday()
		in.Days.Off = off()
	}
	site := &in.Jobs[0].Sites[0]
	if rng.IntN(2) == 0 {
		site.Address = "Elm Row 4"
		site.Closed = off()
	}
	if rng.IntN(2) == 0 {
		site.Contact = "Ida"
	}
	for i := range in.Catalogue.Suppliers {
		in.Catalogue.Suppliers[i].Unattended = rng.IntN(4) == 0
	}
}

// Goods come when somebody is there to take them in.
func TestOrdersComeWhenSomebodyIsThere(t *testing.T) {
	week := rooms.MondayToFriday()
	closed := func(days ...string) rooms.Days {
		d := week
		for _, s := range days {
			d.Off = append(d.Off, day(s))
		}
		return d
	}
	open := func(weekdays ...int) (list []rooms.DayHours) {
		for _, w := range weekdays {
			list = append(list, rooms.DayHours{Weekday: w, Start: 480, End: 960})
		}
		return list
	}
	firm := closed("2026-03-19", "2026-03-20")
	daily := rooms.Days{Week: [7]bool{true, true, true, true, true, true, true}}
	for _, c := range []struct {
		name           string
		firm, supplier rooms.Days
		site           rooms.Site // of no address: to the yard
		unattended     bool
		buffer         int
		today, need    string
		orderBy, comes string
		late, nobody   bool
	}{
		{"the firm is closed: the day before, ordered as much earlier", firm, week, rooms.Site{}, false, 0, "2026-03-02", "2026-03-20", "2026-03-16", "2026-03-18", false, false},
		{"no days of the firm are named", rooms.Days{}, week, rooms.Site{}, false, 0, "2026-03-02", "2026-03-20", "2026-03-18", "2026-03-20", false, false},
		{"a supplier on Saturdays, a firm on weekdays", week, daily, rooms.Site{}, false, 0, "2026-03-02", "2026-03-22", "2026-03-18", "2026-03-20", false, false},
		{"left unattended", firm, week, rooms.Site{}, true, 0, "2026-03-02", "2026-03-20", "2026-03-18", "2026-03-20", false, false},
		{"the buffer is the supplier's days, then back to a day of the firm's", closed("2026-03-17", "2026-03-18"), week, rooms.Site{}, false, 2, "2026-03-02", "2026-03-20", "2026-03-12", "2026-03-16", false, false},
		{"to a site with nobody named: the firm's days", firm, week, rooms.Site{Address: "Elm Row 4"}, false, 0, "2026-03-02", "2026-03-20", "2026-03-16", "2026-03-18", false, false},
		{"to a site with a contact: any day of the supplier's", firm, week, rooms.Site{Address: "Elm Row 4", Contact: "Ida"}, false, 0, "2026-03-02", "2026-03-20", "2026-03-18", "2026-03-20", false, false},
		{"a site that is open on Tuesdays", week, week, rooms.Site{Address: "Elm Row 4", Contact: "Ida", Hours: open(2)}, false, 0, "2026-03-02", "2026-03-20", "2026-03-13", "2026-03-17", false, false},
		{"a site that is closed that day", week, week, rooms.Site{Address: "Elm Row 4", Closed: []rooms.Date{day("2026-03-20")}}, false, 0, "2026-03-02", "2026-03-20", "2026-03-17", "2026-03-19", false, false},
		{"late: the first day on which the firm is back", firm, week, rooms.Site{}, false, 0, "2026-03-17", "2026-03-18", "2026-03-16", "2026-03-23", true, false},
		{"never: the supplier's day, and the order says so", week, rooms.Days{Week: [7]bool{6: true}}, rooms.Site{}, false, 0, "2026-03-02", "2026-03-20", "2026-02-28", "2026-03-21", true, true},
	} {
		t.Run(c.name, func(t *testing.T) {
			in := bathJob(1)
			in.Today, in.Days = day(c.today), c.firm
			site := &in.Jobs[0].Sites[0]
			site.Address, site.Contact, site.Hours, site.Closed = c.site.Address, c.site.Contact, c.site.Hours, c.site.Closed
			for i := range in.Catalogue.Suppliers {
				s := &in.Catalogue.Suppliers[i]
				s.Days, s.LeadDays, s.BufferDays, s.Unattended = c.supplier, 2, c.buffer, c.unattended
			}
			for i := range in.Catalogue.Tiles {
				in.Catalogue.Tiles[i].WaitDays = -1
			}
			for i := range in.Catalogue.Products {
				in.Catalogue.Products[i].WaitDays = -1
			}
			got := take(t, in)
			first := map[Use]rooms.Date{}
			for k := range got.Releases(in.Catalogue, in.Today, nil) {
				first[k] = day(c.need)
			}
			orders := got.Orders(in.Catalogue, in.Today, first, nil)
			if len(orders) == 0 {
				t.Fatal("nothing is ordered")
			}
			for _, o := range orders {
				if o.OrderBy != day(c.orderBy) || o.Delivery != day(c.comes) || o.Late != c.late || strings.Contains(o.Notes, "nobody is there") != c.nobody {
					t.Errorf("%s: order by %s, delivery %s, late %v, %q", o.Key, o.OrderBy, o.Delivery, o.Late, o.Notes)
				}
			}
			if err := CheckOrders(got, in.Catalogue, in.Today, first, nil, orders); err != nil {
				t.Fatal(err)
			}
			if says := slices.ContainsFunc(OrderFindings(in.Catalogue, in.Today, orders), func(f Finding) bool { return strings.Contains(f.Message, "nobody is there") }); says != c.nobody {
				t.Errorf("a finding says that nobody is there: %v", says)
			}
		})
	}
}

// A delivery on a day on which nobody is there is found.
func TestCheckOrdersFindsWhatNobodyTakesIn(t *testing.T) {
	in := bathJob(1)
	in.Days = rooms.MondayToFriday()
	got := take(t, in)
	first := map[Use]rooms.Date{}
	for k := range got.Releases(in.Catalogue, in.Today, nil) {
		first[k] = in.Today.AddDays(60)
	}
	orders := got.Orders(in.Catalogue, in.Today, first, nil)
	got.days.Off = []rooms.Date{orders[0].Delivery}
	if err := CheckOrders(got, in.Catalogue, in.Today, first, nil, orders); err == nil || !strings.Contains(err.Error(), "when nobody is at") {
		t.Errorf("found: %v", err)
	}
}
