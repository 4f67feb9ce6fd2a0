package app

import (
	"cmp"
	"context"
	"crypto/sha256"
	"encoding/hex"
	"encoding/json"
	"errors"
	"fmt"
	"slices"
	"strings"

	"github.com/shopspring/decimal"

	"potlife/cmd/potlife/internal/plandoc"
	"potlife/cmd/potlife/internal/store"
	"potlife/cmd/potlife/internal/web"
	"potlife/scheduler"
	"potlife/takeoff"
)

// lotCase is tile of another lot proposed for a line of an order: what it would
// stand like, and what it is compared with.
type lotCase struct {
	in     web.LotIn
	placed *store.Order  // nil: a draft
	order  takeoff.Order // as it stands
	line   int           // from 0
	got    takeoff.OtherLot
	lot    takeoff.Lot // what is known of the other lot
	plan   *store.SavedPlan
	doc    *plandoc.Document
}

// lotCase finds the line and works out what it would become.
func (p Pages) lotCase(ctx context.Context, in web.LotIn) (*lotCase, error) {
	saved, err := p.o.Store.CurrentPlan(ctx)
	if err != nil {
		return nil, refuse(err)
	}
	c := &lotCase{in: in, plan: saved, line: in.Line - 1}
	if c.doc, err = p.document(ctx, saved.ID); err != nil {
		return nil, refuse(err)
	}
	if i := indexOf(saved.Plan.Orders, func(o takeoff.Order) bool { return o.Key == in.Order }); i >= 0 {
		c.order = saved.Plan.Orders[i]
	}
	placed, err := p.orderNamed(ctx, in.Order)
	var not *web.Error
	switch {
	case err == nil:
		c.placed, c.order = placed, placed.Order
	case !errors.As(err, &not) || not.Kind != web.Conflict:
		return nil, err
	case c.order.Key == "":
		return nil, &web.Error{Kind: web.NotFound, Field: "order", Text: "There is no order " + in.Order + ", neither placed nor in the plan."}
	}
	return c, c.propose(in)
}

// propose works out the lines with the other lot.
func (c *lotCase) propose(in web.LotIn) error {
	if c.line < 0 || c.line >= len(c.order.Lines) {
		return &web.Error{Kind: web.Invalid, Field: "line", Text: fmt.Sprintf("This order has lines 1 to %d; name one of them.", len(c.order.Lines))}
	}
	l := c.order.Lines[c.line]
	cat := &c.plan.Plan.Firm.Catalogue
	i := slices.IndexFunc(cat.Tiles, func(t takeoff.Tile) bool { return t.Key == l.Product })
	if i < 0 {
		return &web.Error{Kind: web.Invalid, Field: "line", Text: fmt.Sprintf("Line %d is no tile; only tile comes in lots.", in.Line)}
	}
	came := 0.0
	if c.placed != nil {
		switch c.placed.State {
		case store.OrderPlaced, store.OrderConfirmed, store.OrderPartReceived:
		default:
			return &web.Error{Kind: web.Conflict, Field: "order", Text: fmt.Sprintf("Order %d is %s; no other lot can be taken for it any more.", c.placed.Number, c.placed.State)}
		}
		for _, r := range c.placed.Receipts {
			if r.Line == c.line {
				came += r.Packages
			}
		}
	}
	offer := takeoff.LotOffer{Lot: strings.TrimSpace(in.Lot), Calibre: strings.TrimSpace(in.Calibre), Boxes: in.Boxes}
	calibre, width, height := cat.Calibre(l.Product, offer.Lot)
	offer.Calibre = cmp.Or(offer.Calibre, calibre)
	offer.Lying = cat.Lying(l.Product, offer.Lot, c.plan.Plan.Rows)
	var err error
	c.got, err = takeoff.TakeLot(c.order.Lines, c.line, int(came), cat.Tiles[i], c.plan.Plan.Rows, offer)
	if errors.Is(err, takeoff.ErrLot) {
		return &web.Error{Kind: web.Invalid, Field: "lot", Text: strings.TrimPrefix(err.Error(), takeoff.ErrLot.Error()+": ") + "."}
	}
	if err == nil && c.placed == nil && c.got.Taken == c.got.OnHand {
		return &web.Error{Kind: web.Invalid, Field: "lot", Text: fmt.Sprintf("Lot %s lies in the yard and is enough for this line, so there is nothing to order: the plan takes it by itself unless other rooms need it.", offer.Lot)}
	}
	c.lot = takeoff.Lot{Tile: l.Product, Lot: offer.Lot, Calibre: offer.Calibre, Width: width, Height: height}
	return err
}

// seen stands for the order as it is and as it would be.
func (c *lotCase) seen() string {
	text, _ := json.Marshal([]any{c.order.Key, c.order.Lines, c.got.Lines}) // plain data
	sum := sha256.Sum256(text)
	return hex.EncodeToString(sum[:8])
}

// asked reports whether the line asks for the lot already.
func (c *lotCase) asked() bool {
	return c.placed != nil && c.line >= 0 && c.line < len(c.order.Lines) && c.order.Lines[c.line].Lot == strings.TrimSpace(c.in.Lot)
}

// with is the order with the other lot.
func (c *lotCase) with() takeoff.Order {
	o := c.order
	o.Lines, o.Total = c.got.Lines, 0
	for _, l := range o.Lines {
		o.Total += l.Amount
	}
	return o
}

// OtherLot says what taking another lot for a line would do. Nothing is saved.
func (p Pages) OtherLot(ctx context.Context, in web.LotIn) (web.LotAnswer, error) {
	c, err := p.lotCase(ctx, in)
	if err != nil {
		return web.LotAnswer{}, err
	}
	input, _, err := p.planInput(ctx, p.now())
	if err != nil {
		return web.LotAnswer{}, refuse(err)
	}
	got, err := scheduler.WithLot(ctx, *input, c.forPlan(input.Placed), c.lot)
	if err != nil && ctx.Err() == nil {
		return web.LotAnswer{}, &web.Error{Kind: web.Conflict, Field: "lot", Text: "It cannot be taken: " + c.doc.Say([]string{scheduler.Said(err)})[0]}
	}
	if err != nil {
		return web.LotAnswer{}, err
	}
	return c.answer(got), nil
}

// forPlan is the order with the other lot as the planner takes orders placed: less
// what went back of it.
func (c *lotCase) forPlan(placed []takeoff.Order) takeoff.Order {
	o := c.with()
	i := indexOf(placed, func(q takeoff.Order) bool { return q.Key == o.Key })
	if c.placed == nil || i < 0 {
		return o
	}
	o.Delivery, o.Ready = placed[i].Delivery, placed[i].Ready
	o.Lines = slices.Clone(o.Lines)
	for k := range placed[i].Lines {
		if back := c.order.Lines[k].Quantity - placed[i].Lines[k].Quantity; back > 0 {
			o.Lines[k].Quantity = max(0, o.Lines[k].Quantity-back)
		}
	}
	return o
}

// answer words a comparison for a page.
func (c *lotCase) answer(got *scheduler.OtherLot) web.LotAnswer {
	out := web.LotAnswer{Seen: c.seen(), Product: c.lot.Tile, Planned: c.order.Lines[c.line].Lot, Currency: c.order.Currency,
		CostWas: decimalOf(got.CostWas), CostIs: decimalOf(got.CostIs), Difference: decimalOf(got.CostIs - got.CostWas),
		Whole: c.got.Whole, Stay: c.got.Stay, Relaid: got.Relaid, Mixed: slices.Compact(slices.Sorted(slices.Values(slices.Concat(c.got.Mixed, got.Mixed))))}
	out.Whole = slices.DeleteFunc(slices.Clone(out.Whole), func(r string) bool { return slices.Contains(out.Mixed, r) })
	if !(len(got.Text) == 1 && len(got.Rooms) == 0 && got.Was.Finish == got.Is.Finish) {
		out.Text = c.doc.Say(got.Text)
	}
	for _, f := range got.Findings {
		out.Warnings = append(out.Warnings, f.Message)
	}
	out.Warnings = append(c.calibres(), c.doc.Say(out.Warnings)...)
	for _, b := range got.BoughtWas {
		out.Bought = append(out.Bought, web.LotBought{Lot: b.Lot, Was: b.Boxes})
	}
	for _, b := range got.BoughtIs {
		i := slices.IndexFunc(out.Bought, func(w web.LotBought) bool { return w.Lot == b.Lot })
		if i < 0 {
			i, out.Bought = len(out.Bought), append(out.Bought, web.LotBought{Lot: b.Lot})
		}
		out.Bought[i].Is = b.Boxes
	}
	out.Shifts = shiftsOf(got.Was, got.Is, got.Rooms, c.doc.Say)
	return out
}

// calibres says where the other lot is known to be of another calibre than the one
// planned; where it is all that a room gets, its joint or module changes and no
// step shows.
func (c *lotCase) calibres() []string {
	l := c.order.Lines[c.line]
	was, _, _ := c.plan.Plan.Firm.Catalogue.Calibre(l.Product, l.Lot)
	if was == "" && c.placed != nil {
		for _, r := range c.placed.Receipts {
			if r.Line == c.line && r.Calibre != "" {
				was = r.Calibre
			}
		}
	}
	switch {
	case was == "" || c.lot.Calibre == was:
		return nil
	case c.lot.Calibre == "":
		return []string{fmt.Sprintf("The calibre of lot %s is not known; lot %s is of calibre %s. Ask for it before you take it.", c.lot.Lot, cmp.Or(l.Lot, "planned"), was)}
	}
	return []string{fmt.Sprintf("Lot %s is of calibre %s, the one planned of calibre %s: joints or modules change. Measure ten tiles when it comes, and the rooms are laid out for it.", c.lot.Lot, c.lot.Calibre, was)}
}

// decimalOf is an amount as decimals.
func decimalOf(m takeoff.Money) string { return decimal.New(int64(m), -4).StringFixed(2) }

// TakeLot takes another lot for a line: an order that was placed is changed and
// its supplier told, a draft is placed with the lot. Taking the same again changes
// nothing.
func (p Pages) TakeLot(ctx context.Context, in web.TakeLotIn) error {
	c, err := p.lotCase(ctx, in.LotIn)
	if c != nil && c.asked() {
		return nil
	}
	if err != nil {
		return err
	}
	if in.Seen != c.seen() {
		return &web.Error{Kind: web.Conflict, Text: "The order is not as it was when you looked at what this lot would change. Look at it again, then take it."}
	}
	answer, err := p.OtherLot(ctx, in.LotIn)
	if err != nil {
		return err
	}
	if len(answer.Mixed) > 0 && !in.Mixed {
		return &web.Error{Kind: web.Conflict, Field: "mixed", Text: fmt.Sprintf("%s would get two lots side by side. Say that this is meant, or ask for a lot that is enough.", namesOf(c.doc, answer.Mixed))}
	}
	what := c.note(in.Note)
	if c.placed == nil {
		err = p.placeDraft(ctx, c.plan, c.with(), what, in.By)
	} else {
		var letters func(*store.Order) ([]store.Message, error)
		if letters, err = p.changeMail(ctx, c.placed); err != nil {
			return err
		}
		_, err = p.o.Store.AmendSeen(ctx, c.placed.Number, c.order.Lines, c.got.Lines, nil, in.By.Name, what, letters, p.now())
	}
	if err != nil {
		return refuse(err)
	}
	p.somethingToSend()
	p.follow.Follow(fmt.Sprintf("lot %s taken on order %s", c.lot.Lot, in.Order))
	return nil
}

// note is what the order's history says beside the lines that change.
func (c *lotCase) note(typed string) string {
	if typed = strings.TrimSpace(typed); typed != "" && !strings.HasSuffix(typed, ".") {
		typed += "."
	}
	return typed
}

// namesOf names rooms: "Bath, Hall".
func namesOf(doc *plandoc.Document, keys []string) string {
	x := doc.Index()
	var list []string
	for _, k := range keys {
		list = append(list, x.RoomName(k))
	}
	return strings.Join(list, ", ")
}
