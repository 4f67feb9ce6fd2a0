package app

import (
	"context"
	"fmt"

	"potlife/cmd/potlife/internal/store"
	"potlife/cmd/potlife/internal/web"
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
		lines, bad := adjusted(order.Lines, c, saved.Plan.Firm.Catalogue)
		if bad != nil {
			return bad
		}
		_, err = p.o.Store.AmendOrder(ctx, order.Number, lines, in.By.Name, in.Note, nil, p.now())
	default:
		return &web.Error{Kind: web.Conflict, Field: "kind", Text: fmt.Sprintf("%q is nothing that can be done to an order.", c.Kind)}
	}
	if err != nil {
		return refuse(err)
	}
	p.follow.Follow(fmt.Sprintf("order %d changed", order.Number))
	return nil
}

// adjusted are an order's lines after a change: taken off the last lines of the
// product, or added to one of the same lot and price.
func adjusted(lines []takeoff.OrderLine, c takeoff.Change, cat takeoff.Catalogue) ([]takeoff.OrderLine, error) {
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
		return nil, &web.Error{Kind: web.Conflict, Text: fmt.Sprintf("The order has no %g %s of %s to take off; look at it again.", c.Quantity, c.Unit, c.Product)}
	}
	l := takeoff.OrderLine{Product: c.Product, Lot: c.Lot, Text: c.Product, Unit: c.Unit, NeedBy: lines[0].NeedBy, Ready: lines[0].Ready}
	for _, t := range cat.Tiles {
		if t.Key == c.Product {
			l.Text, l.UnitPrice = t.Name, t.PricePerBox
		}
	}
	for _, q := range cat.Products {
		if q.Key == c.Product {
			l.Text, l.UnitPrice = q.Name, q.Price
		}
	}
	set(&l, c.Quantity)
	return append(out, l), nil
}
