package app

import (
	"context"
	"fmt"
	"strconv"
	"strings"

	"potlife/cmd/potlife/internal/plandoc"
	"potlife/cmd/potlife/internal/store"
	"potlife/cmd/potlife/internal/web"
	"potlife/rooms"
	"potlife/takeoff"
)

// Placed returns every order that has been placed, as it stands, by number.
func (p Pages) Placed(ctx context.Context) ([]web.OrderState, error) {
	_, doc, err := p.current(ctx)
	if err != nil {
		return nil, refuse(err)
	}
	orders, err := p.o.Store.Orders(ctx)
	if err != nil {
		return nil, refuse(err)
	}
	mails, err := p.o.Store.MessagesOf(ctx, orderMailPrefix)
	if err != nil {
		return nil, refuse(err)
	}
	var out []web.OrderState
	for _, o := range orders {
		s := web.OrderState{Key: o.Key, Number: strconv.FormatInt(o.Number, 10), State: o.State, Order: doc.FromOrder(o.Order)}
		for _, e := range o.Events {
			s.Steps = append(s.Steps, web.OrderStep{State: e.State, By: e.Who, Text: e.Note, At: e.At})
		}
		for _, r := range o.Receipts {
			s.Came = append(s.Came, web.Delivered{Line: r.Line, Product: r.Product, Lot: r.Lot, Calibre: r.Calibre, Sound: r.Packages,
				Damaged: r.Damaged, Wrong: r.Wrong, On: r.On.String(), By: r.Who, Note: r.Note})
		}
		s.Mail, s.Unsent = mailState(mails, o.Number)
		out = append(out, s)
	}
	return out, nil
}

// mailState says what became of the last mail of an order.
func mailState(mails map[string]store.MessageState, number int64) (text string, unsent bool) {
	m, ok := mails[orderMailKey(number)]
	for key, later := range mails {
		if strings.HasPrefix(key, fmt.Sprintf("%s%d.", orderMailPrefix, number)) && later.ID > m.ID {
			m, ok = later, true
		}
	}
	switch {
	case !ok:
		return "No mail was written to the supplier: no mail server is configured, or the supplier has no address. Send the PDF yourself.", false
	case m.DoneAt != nil:
		return "Mail to " + m.To + " was accepted.", false
	case m.FailedAt != nil:
		return "The mail to " + m.To + " could not be sent: " + m.LastError + ".", true
	case m.LastError != "":
		return "The mail to " + m.To + " has not been accepted yet and is tried again: " + m.LastError + ".", false
	}
	return "The mail to " + m.To + " is on its way.", false
}

const orderMailPrefix = "order."

func orderMailKey(number int64) string { return fmt.Sprintf("%s%d.mail", orderMailPrefix, number) }

// orderNamed is the placed order of a number or a key; of a key the one that
// stands.
func (p Pages) orderNamed(ctx context.Context, name string) (*store.Order, error) {
	orders, err := p.o.Store.Orders(ctx)
	if err != nil {
		return nil, refuse(err)
	}
	for _, o := range orders {
		if strconv.FormatInt(o.Number, 10) == name || o.Key == name && o.State != store.OrderCancelled {
			return &o, nil
		}
	}
	return nil, &web.Error{Kind: web.Conflict, Field: "order", Text: fmt.Sprintf("Order %s has not been placed; place it first.", name)}
}

// Place places an order of the plan in force; placing it again changes nothing.
func (p Pages) Place(ctx context.Context, in web.PlaceIn) error {
	saved, err := p.o.Store.CurrentPlan(ctx)
	if err != nil {
		return refuse(err)
	}
	i := indexOf(saved.Plan.Orders, func(o takeoff.Order) bool { return o.Key == in.Order })
	if i < 0 {
		return &web.Error{Kind: web.NotFound, Field: "order", Text: fmt.Sprintf("The plan has no order %s any more; look at the orders again.", in.Order)}
	}
	if err := p.placeDraft(ctx, saved, saved.Plan.Orders[i], in.Note, in.By); err != nil {
		return refuse(err)
	}
	p.somethingToSend()
	p.follow.Follow("order " + in.Order + " placed by " + in.By.Name)
	return nil
}

// placeDraft places an order of a plan, as the plan has it or with another lot.
func (p Pages) placeDraft(ctx context.Context, saved *store.SavedPlan, o takeoff.Order, note string, by web.User) error {
	o.Remark = note
	letters, err := p.orderMail(ctx, &saved.Plan.Firm, o)
	if err != nil {
		return err
	}
	doc, err := p.document(ctx, saved.ID)
	if err != nil {
		return err
	}
	wanted, err := p.wanted(ctx, doc, o.Rooms)
	if err != nil {
		return err
	}
	_, err = p.o.Store.PlaceSigned(ctx, o, wanted, by.Name, letters, p.now())
	return err
}

// Receive books a delivery in.
func (p Pages) Receive(ctx context.Context, in web.ReceiveIn) error {
	order, err := p.orderNamed(ctx, in.Order)
	if err != nil {
		return err
	}
	on, err := p.cameOn(ctx, order, in.Date)
	if err != nil {
		return err
	}
	var receipts []store.Receipt
	for n, l := range in.Lines {
		if l.Packages == 0 && l.Damaged == 0 {
			continue
		}
		k := lineFor(order.Lines, l)
		if k < 0 {
			return &web.Error{Kind: web.Invalid, Field: "lines", Text: fmt.Sprintf("Order %d has no line for %s; look at what stands on it.", order.Number, p.goodsCalled(ctx, l.Product))}
		}
		if err := sameLot(order, k, l); err != nil {
			return err
		}
		r := receiptOf(in, n, k, on)
		if !in.Yard {
			r.Place = order.Place
		}
		receipts = append(receipts, r)
	}
	if len(receipts) == 0 {
		return &web.Error{Kind: web.Invalid, Field: "lines", Text: "Nothing came: give the packages of at least one line"}
	}
	if err := p.o.Store.Receive(ctx, order.Number, receipts, in.By.Name, p.now()); err != nil {
		return refuse(err)
	}
	p.follow.Follow("delivery for order " + in.Order)
	return nil
}

// cameOn is the day of a delivery, today where none is given: none that is still
// to come, and none before its order was placed.
func (p Pages) cameOn(ctx context.Context, o *store.Order, date string) (rooms.Date, error) {
	firm, err := p.o.Store.Firm(ctx)
	if err != nil {
		return rooms.Date{}, refuse(err)
	}
	now := today(firm, p.now())
	if date == "" {
		return now, nil
	}
	on, err := rooms.ParseDate(date)
	if err != nil {
		return on, &web.Error{Kind: web.Invalid, Field: "date", Text: err.Error()}
	}
	said := func(d rooms.Date) string {
		return plandoc.Writing{Imperial: firm.Units == "imperial"}.Day(d.String())
	}
	if now.Before(on) {
		return on, &web.Error{Kind: web.Invalid, Field: "date", Text: fmt.Sprintf("The day of the delivery, %s, has not come yet: today is %s. Book it on the day it comes.", said(on), said(now))}
	}
	if len(o.Events) > 0 {
		if placed := today(firm, o.Events[0].At); on.Before(placed) {
			return on, &web.Error{Kind: web.Invalid, Field: "date", Text: fmt.Sprintf("The day of the delivery, %s, lies before %s, on which order %d was placed. Look at the year.", said(on), said(placed), o.Number)}
		}
	}
	return on, nil
}

// sameLot refuses tile of another lot than its line asks for: the rooms of the
// line were given that lot, and tile of another would serve none of them.
func sameLot(o *store.Order, line int, came web.ReceiveLine) error {
	want := o.Lines[line]
	if want.Lot == "" || came.Lot == want.Lot || came.Packages <= came.Damaged+came.Wrong {
		return nil
	}
	lot := "of no lot"
	if came.Lot != "" {
		lot = "of lot " + came.Lot
	}
	return &web.Error{Kind: web.Conflict, Field: "lot", Text: fmt.Sprintf("Order %d, line %d asks for lot %s of %s, which its rooms were given, and what came is %s. Book it as wrong and send it back; or if it is to be kept, look under \"Another lot\" on the order's page at what that changes and take it there first.",
		o.Number, line+1, want.Lot, want.Text, lot)}
}

// receiptOf books line n of a delivery on a line of the order: what came
// damaged or wrong does not count as there.
func receiptOf(in web.ReceiveIn, n, line int, on rooms.Date) store.Receipt {
	l := in.Lines[n]
	return store.Receipt{Key: fmt.Sprintf("%s.%d", in.Key, n), Line: line, Lot: l.Lot, Calibre: l.Calibre,
		Packages: l.Packages - l.Damaged - l.Wrong, Damaged: l.Damaged, Wrong: l.Wrong, MeanWidth: l.MeanWidth, MeanHeight: l.MeanHeight, On: on, Who: in.By.Name, Note: in.Note}
}

// Step takes a placed order a step further: confirmed for a day, closed, or
// cancelled.
func (p Pages) Step(ctx context.Context, in web.StepIn) error {
	order, err := p.orderNamed(ctx, in.Order)
	if err != nil {
		return err
	}
	number := order.Number
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
		letters, bad := p.changeMail(ctx, order)
		if bad != nil {
			return refuse(bad)
		}
		err = p.o.Store.CancelOrder(ctx, number, in.By.Name, in.Note, letters, p.now())
	default:
		return &web.Error{Kind: web.Invalid, Field: "to", Text: fmt.Sprintf("%q is no step of an order", in.To)}
	}
	if err != nil {
		return refuse(err)
	}
	p.somethingToSend()
	p.follow.Follow("order " + in.Order + " " + in.To)
	return nil
}

// changeMail is orderChangeMail of an order that is placed.
func (p Pages) changeMail(ctx context.Context, o *store.Order) (func(*store.Order) ([]store.Message, error), error) {
	firm, err := p.o.Store.Firm(ctx)
	if err != nil {
		return nil, err
	}
	return p.orderChangeMail(ctx, firm, o.Order)
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

// goodsCalled is the name of goods as the firm calls them now.
func (p Pages) goodsCalled(ctx context.Context, key string) string {
	if firm, err := p.o.Store.Firm(ctx); err == nil {
		return goodsCalled(firm.Catalogue, key)
	}
	return key
}
