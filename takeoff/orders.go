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

// want is packages of one product that have to be at a place, opened, by a date.
type want struct {
	product, lot string
	packages     int
	unit, text   string
	price        Money
	supplier     string
	place        string
	needBy       rooms.Date // first use
	own          rooms.Date // when it would come by itself
	rooms        []string
	groups       []string
	wait         int     // days from delivery to use
	kg, pallets  float64 // of one package
	shelfDays    int
	tile         bool
}

// Amount is a quantity at a price, rounded to the cent (halves up).
func Amount(packages int, price Money) Money {
	return (Money(packages)*price + 50) / 100 * 100
}

// Orders returns the orders placed, as they are, and after them what has to be
// ordered beyond them: per supplier and place in as few deliveries as the dates of
// first use, shelf life, the place's storage and the days that goods may come
// early allow, and earlier still where holding them costs less than the freight. Today is the day on which orders still go out. FirstUse comes from
// the schedule; what it lacks is ordered for the earliest day it can be there.
//
// An order is placed at the latest on OrderBy: first use less the days to
// acclimatise, open and check, less lead time and buffer in the supplier's working
// days; goods come on a day on which somebody is there to take them in (see
// receiving). Where that day has passed the order is Late and goes out today.
func (t *Taken) Orders(cat Catalogue, today rooms.Date, firstUse map[Use]rooms.Date, placed []Order) []Order {
	out := slices.Clone(placed)
	wants := t.wants(cat, today, firstUse, placed)
	taken := map[string]bool{}
	for _, o := range placed {
		taken[o.Key] = true
	}
	store := t.newStore(cat, today, placed)
	for i := range cat.Suppliers {
		s := &cat.Suppliers[i]
		byPlace := map[string][]want{}
		for _, w := range wants {
			if w.supplier == s.Key {
				byPlace[w.place] = append(byPlace[w.place], w)
			}
		}
		var made []delivery
		for _, p := range sortedKeys(byPlace) {
			list := deliveries(t.receivingAt(s, p), today, byPlace[p], store, earlyDays(cat))
			list = fewer(s, list, store, holdingOf(cat))
			for k := range list {
				store.lay(list[k].wants, list[k].delivery)
			}
			made = append(made, list...)
		}
		slices.SortStableFunc(made, func(a, b delivery) int { return a.delivery.Compare(b.delivery) })
		n := 0
		for k := range made {
			o := t.order(&made[k], s, cat)
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
	place             string
	orderBy, delivery rooms.Date
	late              bool
	wants             []want
	own               []ownDay // what it would be if every first use had its own
}

// ownDay is the goods of a delivery that would come for itself.
type ownDay struct {
	day   rooms.Date
	goods Money
}

// DefaultEarlyDays is how long before its own delivery date goods may come so as
// to share a delivery: two weeks, common practice.
const DefaultEarlyDays = 14

func earlyDays(c Catalogue) int {
	if c.EarlyDays == 0 {
		return DefaultEarlyDays
	}
	return max(0, c.EarlyDays)
}

// deliveries merges what one supplier brings to one place, earliest first: a want
// joins the latest delivery before it that it can come with. A delivery stands on
// the last day that is in time for its first want, so no fewer would do but for
// storage and shelf life.
func deliveries(r receiving, today rooms.Date, wants []want, store *store, early int) []delivery {
	var list []delivery
	dated := make(map[*want]delivery, len(wants))
	order := make([]*want, len(wants))
	for i := range wants {
		order[i] = &wants[i]
		d := r.dates(today, wants[i])
		dated[order[i]], wants[i].own = d, d.delivery
	}
	slices.SortStableFunc(order, func(a, b *want) int {
		x, y := dated[a], dated[b]
		return cmp.Or(x.delivery.Compare(y.delivery), x.orderBy.Compare(y.orderBy), a.needBy.Compare(b.needBy), cmp.Compare(a.product, b.product), slices.Compare(a.rooms, b.rooms))
	})
	for _, w := range order {
		d := dated[w]
		at := -1
		for i := len(list) - 1; i >= 0; i-- {
			same := list[i].delivery == d.delivery
			if same || list[i].takes(w, d.delivery, early) && store.takes(list, i, w) {
				at = i
				break
			}
		}
		if at < 0 {
			d.wants = []want{*w}
			d.addOwn(d.delivery, *w)
			list = append(list, d)
			continue
		}
		list[at].addOwn(d.delivery, *w)
		list[at].wants = append(list[at].wants, *w)
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

// takes reports whether a want that would come on a day of its own can come with
// a delivery before it: it keeps until its first use, and does not lie about for
// longer than goods may.
func (d *delivery) takes(w *want, own rooms.Date, early int) bool {
	return w.keeps(d.delivery) && !d.delivery.Before(own.AddDays(-early))
}

// order writes a delivery as an order.
func (t *Taken) order(d *delivery, s *Supplier, cat Catalogue) Order {
	o := Order{Supplier: s.Key, Place: d.place, Buyer: cat.Buyer, OrderBy: d.orderBy, Delivery: d.delivery, Currency: cat.Currency, Late: d.late}
	to := t.place(d.place, cat.Buyer)
	o.DeliverTo = to.to
	for _, w := range d.wants {
		ready := d.delivery.AddDays(w.wait)
		if o.NeedBy.IsZero() || w.needBy.Before(o.NeedBy) {
			o.NeedBy = w.needBy
		}
		if o.Ready.IsZero() || ready.Before(o.Ready) {
			o.Ready = ready
		}
		o.Rooms = append(o.Rooms, w.rooms...)
		if l := o.lineFor(&w); l != nil {
			l.Quantity += float64(w.packages)
			l.Amount = Amount(int(l.Quantity), l.UnitPrice)
			l.Rooms, l.Groups = append(l.Rooms, w.rooms...), append(l.Groups, w.groups...)
			l.NeedBy, l.Ready = earlierDate(l.NeedBy, w.needBy), laterDate(l.Ready, ready)
			continue
		}
		o.Lines = append(o.Lines, OrderLine{
			Product: w.product, Lot: w.lot, Text: w.text, Quantity: float64(w.packages), Unit: w.unit,
			UnitPrice: w.price, Amount: Amount(w.packages, w.price), NeedBy: w.needBy, Ready: ready, Rooms: w.rooms, Groups: w.groups,
		})
	}
	for i := range o.Lines {
		o.Lines[i].Rooms = uniqueSorted(o.Lines[i].Rooms)
		if o.Lines[i].Groups != nil {
			o.Lines[i].Groups = uniqueSorted(o.Lines[i].Groups)
		}
		if l := &o.Lines[i]; l.Lot != "" {
			l.Text = lotText(cat.tile(l.Product), l.Lot, int(l.Quantity))
		}
	}
	o.Rooms = uniqueSorted(o.Rooms)
	o.addFreight(s)
	o.sayMerged(d, s, cat)
	if r := t.receivingAt(s, d.place); !r.works(d.delivery) {
		o.note("nobody is there on a day on which they deliver: agree who takes the goods in")
	}
	if to.overfull(d.wants) {
		o.note("more than can be stored at " + o.DeliverTo)
	}
	return o
}

// lineFor is the line a want joins: of the same product, and for tile of the same
// lot by name. Tile of no named lot has a line for each lot group, because each
// line asks for one lot.
func (o *Order) lineFor(w *want) *OrderLine {
	for i := range o.Lines {
		if l := &o.Lines[i]; l.Product == w.product && l.Lot == w.lot && (!w.tile || w.lot != "") {
			return l
		}
	}
	return nil
}

// sayMerged says what merging saved.
func (o *Order) sayMerged(d *delivery, s *Supplier, cat Catalogue) {
	if len(d.own) < 2 {
		return
	}
	o.WhyMerged = fmt.Sprintf("one delivery instead of %d", len(d.own))
	if o.Saved = d.freightSaved(s); o.Saved > 0 {
		o.WhyMerged += fmt.Sprintf(", which saves %s of freight", moneyWords(o.Saved, o.Currency))
	}
	if n := d.mostEarly(); n > earlyDays(cat) {
		o.WhyMerged += fmt.Sprintf("; some of it comes %d days early, as that costs less", n)
	}
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
	return strings.TrimSpace(sign + rooms.Grouped(fmt.Sprintf("%d.%02d", m/100, m%100)) + " " + currency)
}

func uniqueSorted(list []string) []string {
	list = slices.Clone(list)
	slices.Sort(list)
	return slices.Compact(list)
}

// wholePackages rounds what is still to be bought up to whole packages.
func wholePackages(x float64) int { return max(0, int(math.Ceil(x-1e-9))) }
