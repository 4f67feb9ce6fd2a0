package takeoff

import (
	"cmp"
	"slices"

	"potlife/rooms"
)

// Releases gives for every product and room the first date on which it can be
// there, opened and acclimatised: the zero date where what is on hand serves the
// room, the day an order placed is ready, else today's order and the supplier's
// lead time. What is on hand of a product without lots goes to rooms in the
// order of their due dates.
func (t *Taken) Releases(cat Catalogue, today rooms.Date) map[Use]rooms.Date {
	out := map[Use]rooms.Date{}
	cover := t.coverRows(t.placed)
	for i := range t.Rows {
		r := &t.Rows[i]
		d := cover[i].ready
		if r.Boxes > cover[i].boxes+r.FromStock {
			tile := cat.tile(r.Tile)
			if tile == nil {
				continue
			}
			if e := cat.earliestReady(tile.Supplier, today, t.acclimatiseDays); d.Before(e) || d.IsZero() {
				d = e
			}
		}
		for _, k := range r.Rooms {
			out[Use{r.Tile, k}] = d
		}
	}
	for i := range t.Materials {
		t.releaseProduct(cat, today, &t.Materials[i], out)
	}
	return out
}

// releaseProduct serves rooms by due date from what is on hand, then from orders
// placed in the order they are ready, then from a new order.
func (t *Taken) releaseProduct(cat Catalogue, today rooms.Date, m *Material, out map[Use]rooms.Date) {
	p := cat.product(m.Product)
	if p == nil {
		return
	}
	type batch struct {
		packages float64
		ready    rooms.Date
	}
	supply := []batch{{packages: cat.packages(m.Product)}}
	for _, o := range t.placed {
		for _, l := range o.Lines {
			if l.Product == m.Product {
				supply = append(supply, batch{l.Quantity, o.Ready})
			}
		}
	}
	slices.SortStableFunc(supply[1:], func(a, b batch) int { return a.ready.Compare(b.ready) })
	shares := t.shares(m.Product, uses{})
	slices.SortStableFunc(shares, func(a, b roomShare) int {
		x, y := t.due[a.room], t.due[b.room]
		if x.IsZero() != y.IsZero() {
			if x.IsZero() {
				return 1
			}
			return -1
		}
		return cmp.Or(x.Compare(y), cmp.Compare(a.room, b.room))
	})
	at := inTotal(m, shares)
	for n, s := range shares {
		total, ready, ok := 0.0, rooms.Date{}, false
		for _, b := range supply {
			total += b.packages
			if ready = b.ready; total >= at[n]-1e-9 {
				ok = true
				break
			}
		}
		if !ok {
			// It takes the last of what is placed and what is ordered beyond that.
			ready = laterDate(ready, cat.earliestReady(p.Supplier, today, t.openDays))
		}
		out[Use{m.Product, s.room}] = ready
	}
}
