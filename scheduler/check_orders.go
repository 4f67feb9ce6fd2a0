package scheduler

import (
	"maps"
	"slices"

	"potlife/rooms"
	"potlife/takeoff"
)

// orders: what is still to be ordered comes on a day on which its supplier delivers and
// somebody takes it in, where there is such a day in the weeks before. What is placed
// comes when it was agreed.
func (c *checker) orders() {
	for _, o := range c.plan.Orders[min(len(c.plan.Orders), c.plan.Placed):] {
		for _, s := range c.plan.Firm.Catalogue.Suppliers {
			if s.Key != o.Supplier || c.takesIn(&s, &o, o.Delivery) {
				continue
			}
			for n := 1; n < 60; n++ {
				if c.takesIn(&s, &o, o.Delivery.AddDays(-n)) {
					c.breach("order %s is delivered on %s, when nobody is there to take it in", o.Key, o.Delivery)
					break
				}
			}
		}
	}
}

// takesIn reports whether a supplier delivers on a day and somebody is there: of the firm
// on its working days, on a site whoever is named there, while the site is open.
func (c *checker) takesIn(s *takeoff.Supplier, o *takeoff.Order, d rooms.Date) bool {
	if !s.Days.Works(d) || s.Unattended {
		return s.Unattended && s.Days.Works(d)
	}
	firm := !c.plan.Firm.Days.Any() || c.plan.Firm.Days.Works(d)
	for _, j := range c.plan.Jobs {
		for _, site := range j.Sites {
			if j.Key+"/"+site.Key == o.Place {
				return (firm || site.Contact != "") && c.siteOpen(&site, d)
			}
		}
	}
	return firm
}

// siteOpen reports whether work is allowed on a site at some time of a day.
func (c *checker) siteOpen(s *rooms.Site, d rooms.Date) bool {
	for _, off := range s.Closed {
		if off == d {
			return false
		}
	}
	for _, h := range s.Hours {
		if h.Weekday == int(d.Weekday()) {
			return true
		}
	}
	return len(s.Hours) == 0
}

// taking is a tile out of a box, on the first day on which something is cut from it or
// set of it.
type taking struct {
	day     rooms.Date
	group   string
	planned bool // what is issued or done may have been overtaken by news
}

// arrived: on each day on which tile is to be cut or set as planned, as many tiles are
// there, opened, as have been taken by then: of each product as planned in all, and for
// what is seen together, with what is issued, of what is on hand and of the orders that
// are for it, in however many deliveries they come. Goods that nobody booked in count as
// still to come though work with them is issued: those of one group say nothing of
// another's.
func (c *checker) arrived() {
	perBox := map[string]float64{}
	for _, t := range c.plan.Firm.Catalogue.Tiles {
		perBox[takeoff.GoodsKey(t.Key)] = float64(max(1, t.PerBox))
	}
	takings := c.takings()
	for _, product := range slices.Sorted(maps.Keys(takings)) {
		list := takings[product]
		groups := map[string]bool{}
		for _, k := range list {
			groups[k.group] = true
		}
		onHand := 0.0
		for _, h := range c.plan.OnHand {
			if takeoff.GoodsKey(h.Product) != product {
				continue
			}
			if onHand += h.Quantity; h.Unit != "tile" {
				onHand += h.Quantity * (perBox[product] - 1)
			}
		}
		c.enough(product, "", list, perBox[product], onHand)
		for _, g := range slices.Sorted(maps.Keys(groups)) {
			c.enough(product, g, list, perBox[product], onHand)
		}
	}
}

// enough walks through the days on which tiles of a product are taken, for one group or
// for all where none is named.
func (c *checker) enough(product, group string, list []taking, perBox, onHand float64) {
	taken := 0.0
	for i, k := range list {
		if group != "" && k.group != group || group == "" && !k.planned {
			continue
		}
		taken++
		if !k.planned || i+1 < len(list) && group == "" && list[i+1].day == k.day && list[i+1].planned {
			continue
		}
		there := onHand
		for n := range c.plan.Orders {
			o := &c.plan.Orders[n]
			for m := range o.Lines {
				if l := &o.Lines[m]; l.Product == product && !k.day.Before(o.ReadyOf(l)) && (group == "" || c.isFor(l, product, group)) {
					there += l.Quantity * perBox
				}
			}
		}
		if taken > there {
			c.breach("tile %s: on %s %g tiles have been taken%s, and %g are there", product, k.day, taken, forGroup(group), there)
			return
		}
	}
}

func forGroup(group string) string {
	if group == "" {
		return ""
	}
	return " for " + group
}

// isFor reports whether a line of an order can serve a group: it names the group, one of
// its rooms or its lot, or nobody.
func (c *checker) isFor(l *takeoff.OrderLine, product, group string) bool {
	if len(l.Rooms) == 0 || slices.Contains(l.Groups, group) {
		return true
	}
	for _, r := range c.plan.Rows {
		if r.Group != group || takeoff.GoodsKey(r.Tile) != product {
			continue
		}
		if l.Lot != "" && l.Lot == r.Lot || slices.ContainsFunc(r.Rooms, func(k string) bool { return slices.Contains(l.Rooms, k) }) {
			return true
		}
	}
	return false
}

// takings are the tiles taken of each product, in order of time. A tile that was an
// offcut in hand comes out of no box.
func (c *checker) takings() map[string][]taking {
	clock := Clock{c.plan.Epoch, c.plan.Firm.Zone}
	cut := make(map[string]taking, len(c.pieces)/4)
	for i := range c.plan.Sheets {
		s := &c.plan.Sheets[i]
		for _, g := range s.Cuts {
			for _, id := range g.Pieces {
				if was, ok := cut[id]; !ok || s.Date.Before(was.day) {
					cut[id] = taking{day: s.Date, planned: s.Revision == 0}
				}
			}
		}
	}
	out := map[string][]taking{}
	for i := range c.plan.Stock {
		t := &c.plan.Stock[i]
		first, any := taking{}, false
		for _, q := range t.Pieces {
			p := c.piece[q.Piece]
			if p == nil || p.area == nil {
				continue
			}
			k := taking{day: clock.Day(p.area.Start), planned: c.act[p.area.Activity].State == "planned"}
			if at, ok := cut[q.Piece]; ok && at.day.Before(k.day) {
				k = taking{day: at.day, planned: k.planned && at.planned}
			}
			if !any || k.day.Before(first.day) {
				first, any = k, true
			}
		}
		if any && t.Offcut == nil {
			first.group = t.Group
			out[takeoff.GoodsKey(t.Tile)] = append(out[takeoff.GoodsKey(t.Tile)], first)
		}
	}
	for _, list := range out {
		slices.SortStableFunc(list, func(a, b taking) int {
			if d := a.day.Compare(b.day); d != 0 || a.planned == b.planned {
				return d
			}
			if a.planned {
				return 1 // behind what is issued for the day
			}
			return -1
		})
	}
	return out
}
