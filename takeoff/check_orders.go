package takeoff

import (
	"errors"
	"math"
	"reflect"
	"slices"

	"potlife/rooms"
)

// CheckOrders holds what Orders returned to its input: orders placed stand
// unchanged, amounts add to the cent, dates are the suppliers' and days on which the
// goods are taken in, everything is on hand or ordered and nothing twice, and what can
// be ready by its first use is.
func CheckOrders(t *Taken, cat Catalogue, today rooms.Date, firstUse map[Use]rooms.Date, placed, orders []Order) error {
	c := &takenCheck{t: t}
	if len(orders) < len(placed) || !reflect.DeepEqual(orders[:len(placed)], placed) && len(placed) > 0 {
		c.fault("the orders placed do not stand first and unchanged")
		return errors.Join(c.faults...)
	}
	keys := map[string]bool{}
	type visit struct {
		supplier, place string
		day             rooms.Date
	}
	comes := map[visit]string{}
	for i, o := range orders {
		if o.Key == "" || keys[o.Key] {
			c.fault("order %q has no key or stands twice", o.Key)
		}
		keys[o.Key] = true
		if i >= len(placed) {
			c.order(o, cat, today)
			c.lines(o, cat)
			v := visit{o.Supplier, o.Place, o.Delivery}
			if comes[v] != "" {
				c.fault("orders %s and %s bring the same supplier to %q on %s twice", comes[v], o.Key, o.Place, o.Delivery)
			}
			comes[v] = o.Key
		}
	}
	c.bought(cat, placed, orders)
	c.inTime(cat, today, firstUse, orders)
	return errors.Join(c.faults...)
}

// order holds one new order's sums and dates.
func (c *takenCheck) order(o Order, cat Catalogue, today rooms.Date) {
	i := slices.IndexFunc(cat.Suppliers, func(s Supplier) bool { return s.Key == o.Supplier })
	if i < 0 || o.Currency != cat.Currency {
		c.fault("order %s: supplier %q, currency %q", o.Key, o.Supplier, o.Currency)
		return
	}
	s := cat.Suppliers[i]
	total, goods := Money(0), Money(0)
	for _, l := range o.Lines {
		exact := float64(l.UnitPrice) * l.Quantity / 100
		if l.Quantity != math.Trunc(l.Quantity) || l.Quantity <= 0 || l.Amount%100 != 0 || math.Abs(float64(l.Amount/100)-exact) > 0.5 {
			c.fault("order %s: %v × %d makes %d", o.Key, l.Quantity, l.UnitPrice, l.Amount)
		}
		total += l.Amount
		if l.Product != "" {
			goods += l.Amount
		}
	}
	freight := s.Freight > 0 && (s.FreeFrom == 0 || goods < s.FreeFrom)
	if total != o.Total || (total != goods) != freight {
		c.fault("order %s: total %d, lines %d, goods %d", o.Key, o.Total, total, goods)
	}
	if o.Delivery.Before(o.OrderBy) || o.Ready.Before(o.Delivery) || o.Late != o.OrderBy.Before(today) {
		c.fault("order %s: order by %s, delivery %s, ready %s, late %v", o.Key, o.OrderBy, o.Delivery, o.Ready, o.Late)
	}
	sent := o.OrderBy
	if o.Late {
		for sent = today; !s.Days.Works(sent); {
			sent = sent.AddDays(1)
		}
	}
	n, awaited := 0, 0 // days after the lead time on which it could have come
	for d := sent; d.Before(o.Delivery); {
		if n >= s.LeadDays && c.takenIn(s, o.Place, d) {
			awaited++
		}
		if d = d.AddDays(1); s.Days.Works(d) {
			n++
		}
	}
	if n < s.LeadDays || !o.Late && n > s.LeadDays || awaited > 0 || !s.Days.Works(o.Delivery) {
		c.fault("order %s: %d working days from %s to %s, the lead time is %d", o.Key, n, sent, o.Delivery, s.LeadDays)
	}
	if !c.takenIn(s, o.Place, o.Delivery) && c.everTakenIn(s, o) {
		c.fault("order %s: delivered on %s, when nobody is at %q to take it in", o.Key, o.Delivery, o.Place)
	}
}

// takenIn reports whether a supplier delivers on a day and somebody takes the goods in:
// at the yard the firm on its days, on a site its contact or else the firm, on days on
// which the site is open.
func (c *takenCheck) takenIn(s Supplier, key string, d rooms.Date) bool {
	firm := !c.t.days.Any() || c.t.days.Works(d)
	for _, p := range c.t.places {
		if p.key == key {
			firm = (firm || p.contact) && (!p.open.Any() || p.open.Works(d))
		}
	}
	return s.Days.Works(d) && (firm || s.Unattended)
}

// everTakenIn looks for another day, up to a year before the delivery of an order that is
// in time, and after that of one that is late.
func (c *takenCheck) everTakenIn(s Supplier, o Order) bool {
	step := -1
	if o.Late {
		step = 1
	}
	for n := range 366 {
		if c.takenIn(s, o.Place, o.Delivery.AddDays(n*step)) {
			return true
		}
	}
	return false
}

// lines holds a new order's lines to its place and dates: each is for rooms whose
// goods are delivered there, and is ready when it
// has been opened, checked and has acclimatised.
func (c *takenCheck) lines(o Order, cat Catalogue) {
	first := rooms.Date{}
	seen := map[[2]string]bool{}
	for _, l := range o.Lines {
		if l.Product == "" {
			continue
		}
		wait, tile := 0, false
		for _, t := range cat.Tiles {
			if t.Key == l.Product {
				wait, tile = c.t.tileWait(&t), true
			}
		}
		for _, p := range cat.Products {
			if p.Key == l.Product {
				wait = c.t.productWait(&p)
			}
		}
		if l.Ready != o.Delivery.AddDays(wait) || first.IsZero() || l.Ready.Before(first) {
			first = l.Ready
		}
		if l.Ready != o.Delivery.AddDays(wait) {
			c.fault("order %s: %s is delivered on %s and ready on %s, %d days are to lie between", o.Key, l.Product, o.Delivery, l.Ready, wait)
		}
		if k := [2]string{l.Product, l.Lot}; !tile || l.Lot != "" {
			if seen[k] {
				c.fault("order %s: %s, lot %q, stands on two lines", o.Key, l.Product, l.Lot)
			}
			seen[k] = true
		}
		for _, r := range l.Rooms {
			if at := c.t.placeOf(r); at != o.Place {
				c.fault("order %s to %q: %s for %s belongs to %q", o.Key, o.Place, l.Product, r, at)
			}
		}
	}
	if first != o.Ready {
		c.fault("order %s: ready %s, its first line %s", o.Key, o.Ready, first)
	}
	if o.DeliverTo == "" {
		c.fault("order %s says nowhere to deliver it", o.Key)
	}
}

// bought holds what is on hand and ordered to what is needed.
func (c *takenCheck) bought(cat Catalogue, placed, orders []Order) {
	need, have, fresh := map[string]float64{}, map[string]float64{}, map[string]float64{}
	for _, r := range c.t.Rows {
		need[GoodsKey(r.Tile)] += float64(r.Boxes)
		have[GoodsKey(r.Tile)] += float64(r.FromStock)
	}
	for _, m := range c.t.Materials {
		need[m.Product] += float64(m.Packages)
	}
	for _, s := range cat.Stock {
		have[s.Product] += s.Packages
	}
	for i, o := range orders {
		for _, l := range o.Lines {
			have[l.Product] += l.Quantity
			if i >= len(placed) {
				fresh[l.Product] += l.Quantity
			}
		}
	}
	for p, n := range need {
		if have[p] < n-1e-6 {
			c.fault("%s: %v packages needed, %v on hand or ordered", p, n, have[p])
		}
	}
	for p, n := range fresh {
		tile := slices.ContainsFunc(cat.Tiles, func(t Tile) bool { return t.Key == p })
		if p != "" && !tile && have[p]-n >= need[p]+1e-6 {
			c.fault("%s: %v ordered, none was needed", p, n)
		}
		if p != "" && !tile && have[p]-need[p] >= 1 && have[p]-n < need[p] {
			c.fault("%s: %v ordered, %v too many", p, n, have[p]-need[p])
		}
	}
}

// inTime holds tile rows, and the sums of all else, to their first uses: by then
// enough is on hand or ready, unless an order that goes out today would be late.
func (c *takenCheck) inTime(cat Catalogue, today rooms.Date, firstUse map[Use]rooms.Date, orders []Order) {
	ready := func(product string, by rooms.Date) (n float64) {
		for _, o := range orders {
			for _, l := range o.Lines {
				if l.Product == product && (!by.Before(o.ReadyOf(&l)) || c.late(cat, o, today, by)) {
					n += l.Quantity
				}
			}
		}
		return n
	}
	type use struct {
		by   rooms.Date
		need float64
	}
	uses := map[string][]use{}
	have := map[string]float64{}
	for _, r := range c.t.Rows {
		have[GoodsKey(r.Tile)] += float64(r.FromStock)
		var by rooms.Date
		for _, k := range r.Rooms {
			if d := firstUse[Use{r.Tile, k}]; !d.IsZero() && (by.IsZero() || d.Before(by)) {
				by = d
			}
		}
		if !by.IsZero() {
			uses[GoodsKey(r.Tile)] = append(uses[GoodsKey(r.Tile)], use{by, float64(r.Boxes)})
		}
	}
	size := map[string]float64{}
	for _, m := range c.t.Materials {
		size[m.Product] = m.PackageSize
	}
	for _, s := range cat.Stock {
		have[s.Product] += s.Packages
	}
	for _, n := range c.t.Needs {
		if d := firstUse[Use{n.Product, n.Room}]; !d.IsZero() && !c.t.inBars(n.Product) {
			uses[n.Product] = append(uses[n.Product], use{d, n.With / size[n.Product]})
		}
	}
	for product, list := range uses {
		slices.SortFunc(list, func(a, b use) int { return a.by.Compare(b.by) })
		sum := 0.0
		for i, u := range list {
			sum += u.need
			if i+1 < len(list) && list[i+1].by == u.by {
				continue
			}
			if got := have[product] + ready(product, u.by); got < sum-1e-3 {
				c.fault("%s: on %s %.2f packages are used, %.2f are on hand or ready", product, u.by, sum, got)
				break
			}
		}
	}
}

// late reports whether no order sent today could be delivered by a date.
func (c *takenCheck) late(cat Catalogue, o Order, today, by rooms.Date) bool {
	for _, s := range cat.Suppliers {
		if s.Key != o.Supplier {
			continue
		}
		d, n := today, s.LeadDays
		for !s.Days.Works(d) {
			d = d.AddDays(1)
		}
		for n > 0 {
			if d = d.AddDays(1); s.Days.Works(d) {
				n--
			}
		}
		for k := 0; k < 366 && !c.takenIn(s, o.Place, d); k++ {
			d = d.AddDays(1)
		}
		return by.Before(d)
	}
	return false
}
