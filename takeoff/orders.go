package takeoff

import (
	"cmp"
	"fmt"
	"math"
	"slices"
	"strings"

	"potlife/rooms"
)

// Use is a product in a room, "job/room".
type Use struct{ Product, Room string }

// OnHand lists what was on hand: lots that are bought, and the stock of all
// other products.
func (t *Taken) OnHand() []OnHand {
	var list []OnHand
	for _, l := range t.catalogue.Lots {
		if l.Offered {
			continue
		}
		if l.Boxes > 0 {
			list = append(list, OnHand{l.Tile, l.Lot, float64(l.Boxes), "box"})
		}
		if l.Tiles > 0 {
			list = append(list, OnHand{l.Tile, l.Lot, float64(l.Tiles), "tile"})
		}
	}
	for _, s := range t.catalogue.Stock {
		if s.Packages > 0 {
			list = append(list, OnHand{s.Product, "", s.Packages, "package"})
		}
	}
	return list
}

// want is packages of one product that have to be on site, opened, by a date.
type want struct {
	product, lot string
	packages     int
	unit, text   string
	price        Money
	supplier     string
	needBy       rooms.Date // first use
	rooms        []string
	wait         int     // days from delivery to use
	kg           float64 // of one package
	shelfDays    int
	tile         bool
}

// Amount is a quantity at a price, rounded to the cent (halves up).
func Amount(packages int, price Money) Money {
	return (Money(packages)*price + 50) / 100 * 100
}

// Orders returns the orders placed, as they are, and after them what has to be
// ordered beyond them: per supplier in as few deliveries as the dates of first
// use, shelf life and the sites' storage allow. FirstUse comes from the
// schedule; what it lacks is ordered for the earliest day it can be there.
//
// An order is placed at the latest on OrderBy: first use less the days to
// acclimatise and open, less lead time and buffer in the supplier's working
// days. Where that day has passed the order is Late and goes out today.
func (t *Taken) Orders(cat Catalogue, today rooms.Date, firstUse map[Use]rooms.Date, placed []Order) []Order {
	out := slices.Clone(placed)
	wants := t.wants(cat, today, firstUse, placed)
	taken := map[string]bool{}
	for _, o := range placed {
		taken[o.Key] = true
	}
	for i := range cat.Suppliers {
		s := &cat.Suppliers[i]
		var list []want
		for _, w := range wants {
			if w.supplier == s.Key {
				list = append(list, w)
			}
		}
		n := 0
		for _, d := range t.deliveries(s, today, list) {
			o := d.order(s, cat.Currency)
			if full := t.overfull(&d); len(full) > 0 {
				o.note("more than can be stored at " + strings.Join(full, ", "))
			}
			for {
				n++
				if o.Key = fmt.Sprintf("%s-%d", s.Key, n); !taken[o.Key] {
					break
				}
			}
			out = append(out, o)
		}
	}
	return out
}

// delivery is wants that come together.
type delivery struct {
	orderBy, delivery, ready rooms.Date
	late                     bool
	wants                    []want
	until                    rooms.Date // none of the wants can do with a later ready
	own                      []ownDay   // what it would be if every first use had its own
}

// ownDay is the goods of a delivery that would come for itself.
type ownDay struct {
	day   rooms.Date
	goods Money
}

// dates gives order-by, delivery and ready of one want: as late as its first use
// allows, or as soon as can be where that has passed.
func dates(s *Supplier, today rooms.Date, w want) (d delivery) {
	due := workingOnOrBefore(s.Days, w.needBy.AddDays(-w.wait))
	d.orderBy, _ = s.Days.Add(due, -(s.LeadDays + s.BufferDays))
	if d.orderBy.Before(today) {
		d.late = true
		d.delivery = earliestDelivery(s, today)
	} else {
		d.delivery, _ = s.Days.Add(d.orderBy, s.LeadDays)
	}
	d.ready = d.delivery.AddDays(w.wait)
	return d
}

// earliestDelivery is when an order sent today arrives: it is taken up on the
// supplier's next working day.
func earliestDelivery(s *Supplier, today rooms.Date) rooms.Date {
	d := today
	if !s.Days.Works(d) {
		d, _ = s.Days.Add(d, 1)
	}
	d, _ = s.Days.Add(d, s.LeadDays)
	return d
}

func workingOnOrBefore(days rooms.Days, d rooms.Date) rooms.Date {
	if days.Works(d) {
		return d
	}
	d, _ = days.Add(d, -1)
	return d
}

// deliveries merges wants, earliest first: a want joins the latest delivery
// before it that it can come with.
func (t *Taken) deliveries(s *Supplier, today rooms.Date, wants []want) []delivery {
	var list []delivery
	slices.SortStableFunc(wants, func(a, b want) int {
		x, y := dates(s, today, a), dates(s, today, b)
		return cmp.Or(x.delivery.Compare(y.delivery), x.orderBy.Compare(y.orderBy), a.needBy.Compare(b.needBy), cmp.Compare(a.product, b.product), slices.Compare(a.rooms, b.rooms))
	})
	for _, w := range wants {
		d := dates(s, today, w)
		at := -1
		for i := range list {
			if list[i].takes(w) && t.stores(list, i, w) {
				at = i
			}
		}
		if at < 0 {
			d.wants, d.until = []want{w}, laterDate(w.needBy, d.ready)
			d.addOwn(d.delivery, w)
			list = append(list, d)
			continue
		}
		to := &list[at]
		to.addOwn(d.delivery, w)
		to.wants = append(to.wants, w)
		to.ready = laterDate(to.ready, to.delivery.AddDays(w.wait))
		to.until = earlierDate(to.until, laterDate(w.needBy, to.delivery.AddDays(w.wait)))
	}
	return list
}

func laterDate(a, b rooms.Date) rooms.Date {
	if a.Before(b) {
		return b
	}
	return a
}

func earlierDate(a, b rooms.Date) rooms.Date {
	if b.Before(a) {
		return b
	}
	return a
}

// takes reports whether a want can come with a delivery: it keeps until its
// first use, and as all that arrives together counts as ready together, none
// gets ready after its first use that would not by itself.
func (d *delivery) takes(w want) bool {
	if w.shelfDays > 0 && d.delivery.AddDays(w.shelfDays).Before(w.needBy) {
		return false
	}
	own := d.delivery.AddDays(w.wait)
	return !earlierDate(d.until, laterDate(w.needBy, own)).Before(laterDate(d.ready, own))
}

// order writes a delivery as an order.
func (d *delivery) order(s *Supplier, currency string) Order {
	o := Order{Supplier: s.Key, OrderBy: d.orderBy, Delivery: d.delivery, Ready: d.ready, Currency: currency, Late: d.late}
	for _, w := range d.wants {
		if o.NeedBy.IsZero() || w.needBy.Before(o.NeedBy) {
			o.NeedBy = w.needBy
		}
		o.Rooms = append(o.Rooms, w.rooms...)
		if i := slices.IndexFunc(o.Lines, func(l OrderLine) bool { return !w.tile && l.Product == w.product }); i >= 0 {
			l := &o.Lines[i]
			l.Quantity += float64(w.packages)
			l.Amount = Amount(int(l.Quantity), l.UnitPrice)
			l.Rooms = append(l.Rooms, w.rooms...)
			if w.needBy.Before(l.NeedBy) {
				l.NeedBy = w.needBy
			}
			continue
		}
		o.Lines = append(o.Lines, OrderLine{
			Product: w.product, Lot: w.lot, Text: w.text, Quantity: float64(w.packages), Unit: w.unit,
			UnitPrice: w.price, Amount: Amount(w.packages, w.price), NeedBy: w.needBy, Rooms: w.rooms,
		})
	}
	for i := range o.Lines {
		o.Lines[i].Rooms = uniqueSorted(o.Lines[i].Rooms)
	}
	o.Rooms = uniqueSorted(o.Rooms)
	o.addFreight(s)
	if len(d.own) > 1 {
		o.WhyMerged = fmt.Sprintf("one delivery instead of %d", len(d.own))
		if saved := d.freightSaved(s); saved > 0 {
			o.WhyMerged += fmt.Sprintf(", which saves %s of freight", moneyWords(saved, currency))
		}
	}
	return o
}

// addOwn notes the day on which a want would come by itself.
func (d *delivery) addOwn(day rooms.Date, w want) {
	i := slices.IndexFunc(d.own, func(o ownDay) bool { return o.day == day })
	if i < 0 {
		i = len(d.own)
		d.own = append(d.own, ownDay{day: day})
	}
	d.own[i].goods += Amount(w.packages, w.price)
}

// freightSaved is the freight of the deliveries there would have been, less the
// one there is.
func (d *delivery) freightSaved(s *Supplier) Money {
	all, saved := Money(0), Money(0)
	for _, o := range d.own {
		saved += s.freightFor(o.goods)
		all += o.goods
	}
	return saved - s.freightFor(all)
}

// freightFor is what a delivery of goods costs.
func (s *Supplier) freightFor(goods Money) Money {
	if s.FreeFrom > 0 && goods >= s.FreeFrom {
		return 0
	}
	return s.Freight
}

// addFreight sums the lines and adds freight below the supplier's threshold.
func (o *Order) addFreight(s *Supplier) {
	goods := Money(0)
	for _, l := range o.Lines {
		goods += l.Amount
	}
	if s.MinOrder > 0 && goods < s.MinOrder {
		o.note(fmt.Sprintf("%s under the supplier's minimum order of %s", moneyWords(s.MinOrder-goods, o.Currency), moneyWords(s.MinOrder, o.Currency)))
	}
	if s.freightFor(goods) > 0 {
		text := "freight"
		if s.FreeFrom > 0 {
			text = fmt.Sprintf("freight (free from %s)", moneyWords(s.FreeFrom, o.Currency))
		}
		o.Lines = append(o.Lines, OrderLine{Text: text, Quantity: 1, Unit: "delivery", UnitPrice: s.Freight, Amount: Amount(1, s.Freight), NeedBy: o.NeedBy, Rooms: o.Rooms})
	}
	o.Total = 0
	for _, l := range o.Lines {
		o.Total += l.Amount
	}
}

// note adds a remark.
func (o *Order) note(text string) {
	if o.Notes != "" {
		text = o.Notes + "; " + text
	}
	o.Notes = text
}

// moneyWords prints an amount to the cent: "12.50 EUR".
func moneyWords(m Money, currency string) string {
	sign := ""
	if m < 0 {
		sign, m = "-", -m
	}
	m = (m + 50) / 100
	return strings.TrimSpace(fmt.Sprintf("%s%d.%02d %s", sign, m/100, m%100, currency))
}

func uniqueSorted(list []string) []string {
	list = slices.Clone(list)
	slices.Sort(list)
	return slices.Compact(list)
}

// wholePackages rounds what is still to be bought up to whole packages.
func wholePackages(x float64) int { return max(0, int(math.Ceil(x-1e-9))) }
