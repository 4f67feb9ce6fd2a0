package app

import (
	"cmp"
	"context"
	"fmt"
	"slices"

	"potlife/cmd/potlife/internal/store"
	"potlife/cmd/potlife/internal/web"
	"potlife/rooms"
	"potlife/takeoff"
)

// Adjust makes a change that the plan in force asks for: fewer on an order that
// is not sent yet, more on it, or goods that go back.
func (p Pages) Adjust(ctx context.Context, in web.AdjustIn) error {
	order, err := p.orderNamed(ctx, in.Order)
	if err != nil {
		return err
	}
	saved, err := p.o.Store.CurrentPlan(ctx)
	if err != nil {
		return refuse(err)
	}
	i := indexOf(saved.Plan.Changes, func(c takeoff.Change) bool {
		return c.Order == order.Key && c.Kind == in.Kind && c.Product == in.Product && c.Lot == in.Lot && c.Quantity == in.Quantity
	})
	if i < 0 {
		return &web.Error{Kind: web.Conflict, Text: "The plan no longer asks for that change; look at the order again."}
	}
	c := saved.Plan.Changes[i]
	switch c.Kind {
	case takeoff.Return:
		err = p.o.Store.ReturnGoods(ctx, order.Number, store.Return{Key: in.Key, Product: c.Product, Lot: c.Lot, Packages: c.Quantity, Unit: c.Unit, Note: in.Note}, in.By.Name, p.now())
	case takeoff.Reduce, takeoff.Add:
		err = p.amend(ctx, saved, order, c, in)
	default:
		return &web.Error{Kind: web.Conflict, Field: "kind", Text: fmt.Sprintf("%q is nothing that can be done to an order.", c.Kind)}
	}
	if err != nil {
		return refuse(err)
	}
	p.somethingToSend()
	p.follow.Follow(fmt.Sprintf("order %d changed", order.Number))
	return nil
}

// amend changes the lines of an order and tells the supplier. Goods that are
// added for a room whose client signs wait for the signature, as an order does.
func (p Pages) amend(ctx context.Context, saved *store.SavedPlan, order *store.Order, c takeoff.Change, in web.AdjustIn) error {
	var more []string
	wanted := map[string]string{}
	if c.Kind == takeoff.Add {
		placed, err := p.o.Store.Orders(ctx)
		if err != nil {
			return err
		}
		more = roomsOfDraft(saved.Plan.Orders, placed, c)
		doc, err := p.document(ctx, saved.ID)
		if err != nil {
			return err
		}
		if wanted, err = p.wanted(ctx, doc, more); err != nil {
			return err
		}
	}
	lines, err := adjusted(order.Lines, c, more, saved.Plan.Firm.Catalogue)
	if err != nil {
		return err
	}
	letters, err := p.changeMail(ctx, order)
	if err != nil {
		return err
	}
	_, err = p.o.Store.AmendOrder(ctx, order.Number, lines, wanted, in.By.Name, in.Note, letters, p.now())
	return err
}

// roomsOfDraft are the rooms for which the plan's orders that are not placed yet
// ask for the product and lot of a change.
func roomsOfDraft(orders []takeoff.Order, placed []store.Order, c takeoff.Change) []string {
	var out []string
	for _, o := range orders {
		if anyOf(placed, func(q store.Order) bool { return q.Key == o.Key && q.State != store.OrderCancelled }) {
			continue
		}
		for _, l := range o.Lines {
			if l.Product == c.Product && l.Lot == c.Lot {
				out = together(out, l.Rooms)
			}
		}
	}
	return out
}

// together are the names of both lists, each once, in order.
func together(a, b []string) []string {
	out := slices.Concat(a, b)
	slices.Sort(out)
	return slices.Compact(out)
}

// adjusted are an order's lines after a change: taken off the last lines of the
// product, or added to one of the same lot and price, for more rooms.
func adjusted(lines []takeoff.OrderLine, c takeoff.Change, more []string, cat takeoff.Catalogue) ([]takeoff.OrderLine, error) {
	out := append([]takeoff.OrderLine(nil), lines...)
	set := func(l *takeoff.OrderLine, n float64) {
		l.Quantity, l.Amount = n, takeoff.Amount(int(n), l.UnitPrice)
	}
	rest := c.Quantity
	for i := len(out) - 1; i >= 0 && rest > 0; i-- {
		l := &out[i]
		if l.Product != c.Product || l.Lot != c.Lot {
			continue
		}
		if c.Kind == takeoff.Add {
			set(l, l.Quantity+rest)
			l.Rooms = together(l.Rooms, more)
			return out, nil
		}
		n := min(rest, l.Quantity)
		set(l, l.Quantity-n)
		rest -= n
	}
	if rest == 0 {
		return out, nil
	}
	if c.Kind == takeoff.Reduce {
		return nil, &web.Error{Kind: web.Conflict, Text: fmt.Sprintf("The order has no %g %s of %s to take off; look at it again.", c.Quantity, rooms.Plural(c.Unit, c.Quantity), goodsCalled(cat, c.Product))}
	}
	l := takeoff.OrderLine{Product: c.Product, Lot: c.Lot, Text: goodsCalled(cat, c.Product), Unit: c.Unit, Rooms: more, NeedBy: lines[0].NeedBy, Ready: lines[0].Ready}
	for _, t := range cat.Tiles {
		if t.Key == c.Product {
			l.UnitPrice = t.PricePerBox
		}
	}
	for _, q := range cat.Products {
		if q.Key == c.Product {
			l.UnitPrice = q.Price
		}
	}
	set(&l, c.Quantity)
	return append(out, l), nil
}

// goodsCalled is the name of a tile or product, its key where it has none.
func goodsCalled(cat takeoff.Catalogue, key string) string {
	name := ""
	for _, t := range cat.Tiles {
		if t.Key == key {
			name = t.Name
		}
	}
	for _, q := range cat.Products {
		if q.Key == key {
			name = q.Name
		}
	}
	return cmp.Or(name, key)
}
