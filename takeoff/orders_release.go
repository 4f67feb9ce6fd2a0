package takeoff

import (
	"cmp"
	"slices"

	"potlife/rooms"
)

// Releases gives for every product and room the first date on which it can be
// there, opened and acclimatised: the zero date where what is on hand serves the
// room, the day an order placed is ready, else today's order and the supplier's
// lead time. What is on hand or has been ordered of a product without lots goes to
// rooms in the order of their due dates, or of the days on which they use it first in a
// plan in force, as far as used knows them: it was ordered by these.
func (t *Taken) Releases(cat Catalogue, today rooms.Date, used map[Use]rooms.Date) map[Use]rooms.Date {
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
			if e := t.earliestReady(cat, tile.Supplier, t.placeOf(r.Rooms[0]), today, t.tileWait(tile)); d.Before(e) || d.IsZero() {
				d = e
			}
		}
		for _, k := range r.Rooms {
			out[Use{r.Tile, k}] = laterDate(out[Use{r.Tile, k}], d) // parts of a room wait for the last
		}
	}
	for i := range t.Materials {
		t.releaseProduct(cat, today, &t.Materials[i], used, out)
	}
	return out
}

// releaseProduct serves rooms in their order from what is on hand, then from orders
// placed in the order they are ready, then from a new order.
func (t *Taken) releaseProduct(cat Catalogue, today rooms.Date, m *Material, used, out map[Use]rooms.Date) {
	p := cat.product(m.Product)
	if p == nil {
		return
	}
	shares := t.shares(m, uses{})
	wanted := func(room string) rooms.Date {
		if d := used[Use{m.Product, room}]; !d.IsZero() {
			return d
		}
		return t.due[room]
	}
	slices.SortStableFunc(shares, func(a, b roomShare) int {
		return cmp.Or(datedFirst(wanted(a.room), wanted(b.room)), cmp.Compare(a.room, b.room))
	})
	t.countUp(m, shares)
	supply := t.supplyOf(m, cat.packages(m.Product), t.placed)
	for _, s := range shares {
		k := Use{m.Product, s.place}
		fresh := t.earliestReady(cat, p.Supplier, s.place, today, t.productWait(p))
		out[Use{m.Product, s.room}] = supply.release(s, float64(t.packagesAt[k]), today, fresh)
	}
}
