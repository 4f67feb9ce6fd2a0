package app

import (
	"context"
	"encoding/json"
	"fmt"
	"strconv"
	"strings"
	"time"

	"potlife/cmd/potlife/internal/deliver"
	"potlife/cmd/potlife/internal/store"
	"potlife/cmd/potlife/internal/web"
	"potlife/rooms"
	"potlife/takeoff"
)

// States returns the state of every order that has been placed, by key.
func (p Pages) States(ctx context.Context) (map[string]web.OrderState, error) {
	orders, err := p.o.Store.Orders(ctx)
	if err != nil {
		return nil, refuse(err)
	}
	out := map[string]web.OrderState{}
	for _, o := range orders {
		s := web.OrderState{Key: o.Key, Number: strconv.FormatInt(o.Number, 10), State: o.State}
		for _, e := range o.Events {
			s.Steps = append(s.Steps, web.OrderStep{State: e.State, By: e.Who, Text: e.Note, At: e.At})
		}
		out[o.Key] = s
	}
	return out, nil
}

// Place places an order of the plan in force; placing it again changes nothing.
func (p Pages) Place(ctx context.Context, in web.PlaceIn) error {
	saved, err := p.o.Store.CurrentPlan(ctx)
	if err != nil {
		return refuse(err)
	}
	i := indexOf(saved.Plan.Orders, func(o takeoff.Order) bool { return o.Key == in.Order })
	if i < 0 {
		return &web.Error{Kind: web.NotFound, Field: "order", Text: fmt.Sprintf("the plan has no order %q any more; look at the orders again", in.Order)}
	}
	o := saved.Plan.Orders[i]
	o.Notes = strings.TrimSpace(o.Notes + " " + in.Note)
	messages, err := p.orderMail(saved, o)
	if err != nil {
		return err
	}
	if _, err := p.o.Store.PlaceOrder(ctx, o, in.By.Name, messages, p.now()); err != nil {
		return refuse(err)
	}
	p.somethingToSend()
	p.follow.Follow("order " + in.Order + " placed by " + in.By.Name)
	return nil
}

// orderMail writes to the supplier where mail is configured and the supplier
// has an address.
func (p Pages) orderMail(saved *store.SavedPlan, o takeoff.Order) ([]store.Message, error) {
	to := ""
	for _, s := range saved.Plan.Firm.Catalogue.Suppliers {
		if s.Key == o.Supplier {
			to = s.Email
		}
	}
	if to == "" || p.o.Post[deliver.Mail] == nil {
		return nil, nil
	}
	m := deliver.Message{ID: "order." + o.Key + ".mail", Channel: deliver.Mail, To: to, Created: p.now(), Event: "order placed",
		Subject: fmt.Sprintf("Order of %s, %s", saved.Plan.Firm.Name, p.now().Format(time.DateOnly)), Text: orderText(o)}
	body, err := json.Marshal(m)
	return []store.Message{{Key: m.ID, Channel: m.Channel, To: to, Body: body}}, err
}

func orderText(o takeoff.Order) string {
	var b strings.Builder
	fmt.Fprintf(&b, "Delivery by %s, please.\n\n", o.Delivery)
	for _, l := range o.Lines {
		fmt.Fprintf(&b, "%g %s  %s", l.Quantity, l.Unit, l.Text)
		if l.Lot != "" {
			fmt.Fprintf(&b, "  lot %s", l.Lot)
		}
		b.WriteByte('\n')
	}
	b.WriteString("\nTile of one line in one lot and one calibre.\n")
	return b.String()
}

// Receive books a delivery in.
func (p Pages) Receive(ctx context.Context, in web.ReceiveIn) error {
	orders, err := p.o.Store.Orders(ctx)
	if err != nil {
		return refuse(err)
	}
	i := indexOf(orders, func(o store.Order) bool { return o.Key == in.Order })
	if i < 0 {
		return &web.Error{Kind: web.Conflict, Field: "order", Text: fmt.Sprintf("order %q has not been placed; place it first", in.Order)}
	}
	on, err := rooms.ParseDate(in.Date)
	if in.Date == "" {
		on, err = rooms.DateOf(p.now()), nil
	}
	if err != nil {
		return &web.Error{Kind: web.Invalid, Field: "date", Text: err.Error()}
	}
	var receipts []store.Receipt
	for n, l := range in.Lines {
		if l.Packages == 0 && l.Damaged == 0 {
			continue
		}
		k := lineFor(orders[i].Lines, l)
		if k < 0 {
			return &web.Error{Kind: web.Invalid, Field: "lines", Text: fmt.Sprintf("order %q has no line for %s", in.Order, l.Product)}
		}
		receipts = append(receipts, receiptOf(in, n, k, on))
	}
	if len(receipts) == 0 {
		return &web.Error{Kind: web.Invalid, Field: "lines", Text: "nothing came: give the packages of at least one line"}
	}
	if err := p.o.Store.Receive(ctx, orders[i].Number, receipts, in.By.Name, p.now()); err != nil {
		return refuse(err)
	}
	p.follow.Follow("delivery for order " + in.Order)
	return nil
}

// receiptOf books line n of a delivery on a line of the order: what came
// damaged does not count as there.
func receiptOf(in web.ReceiveIn, n, line int, on rooms.Date) store.Receipt {
	l := in.Lines[n]
	return store.Receipt{Key: fmt.Sprintf("%s.%d", in.Key, n), Line: line, Lot: l.Lot, Calibre: l.Calibre,
		Packages: l.Packages - l.Damaged, Damaged: l.Damaged, On: on, Who: in.By.Name, Note: in.Note}
}

// Step takes a placed order a step further: confirmed for a day, closed, or
// cancelled.
func (p Pages) Step(ctx context.Context, in web.StepIn) error {
	orders, err := p.o.Store.Orders(ctx)
	if err != nil {
		return refuse(err)
	}
	i := indexOf(orders, func(o store.Order) bool { return o.Key == in.Order })
	if i < 0 {
		return &web.Error{Kind: web.Conflict, Field: "order", Text: fmt.Sprintf("order %q has not been placed; place it first", in.Order)}
	}
	number := orders[i].Number
	switch in.To {
	case store.OrderConfirmed:
		var day rooms.Date
		if in.Date != "" {
			if day, err = rooms.ParseDate(in.Date); err != nil {
				return &web.Error{Kind: web.Invalid, Field: "delivery", Text: err.Error()}
			}
		}
		err = p.o.Store.ConfirmOrder(ctx, number, day, in.By.Name, in.Note, p.now())
	case store.OrderClosed:
		err = p.o.Store.CloseOrder(ctx, number, in.By.Name, in.Note, p.now())
	case store.OrderCancelled:
		err = p.o.Store.CancelOrder(ctx, number, in.By.Name, in.Note, p.now())
	default:
		return &web.Error{Kind: web.Invalid, Field: "to", Text: fmt.Sprintf("%q is no step of an order", in.To)}
	}
	if err != nil {
		return refuse(err)
	}
	p.follow.Follow("order " + in.Order + " " + in.To)
	return nil
}

// lineFor is the line that a delivered product belongs to: the one of its lot
// where there are several, else the first of the product.
func lineFor(lines []takeoff.OrderLine, l web.ReceiveLine) int {
	first := -1
	for i, o := range lines {
		if o.Product != takeoff.GoodsKey(l.Product) {
			continue
		}
		if o.Lot == l.Lot {
			return i
		}
		if first < 0 {
			first = i
		}
	}
	return first
}
