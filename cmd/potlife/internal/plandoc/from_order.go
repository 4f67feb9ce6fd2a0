package plandoc

import "potlife/takeoff"

// FromOrder writes an order as it was placed, in the words and units of the
// document it goes with, which itself is left alone.
func (d *Document) FromOrder(o takeoff.Order) *Order {
	spoken := Document{Units: d.Units, Tiles: d.Tiles, Products: d.Products, Orders: []Order{orderOf(&o)}}
	if d.Units == "imperial" {
		// Names may not be turned, so they are known by their lists; the lists are
		// copies.
		spoken.Tiles, spoken.Products = append([]Tile(nil), d.Tiles...), append([]Product(nil), d.Products...)
		spoken.speakImperial()
	}
	return &spoken.Orders[0]
}

func orderOf(o *takeoff.Order) Order {
	out := Order{Key: o.Key, Supplier: o.Supplier, OrderBy: o.OrderBy.String(), Delivery: o.Delivery.String(),
		Ready: o.Ready.String(), Currency: o.Currency, Total: money(o.Total), Lines: []OrderLine{},
		NeedBy: o.NeedBy.String(), Late: o.Late, Rooms: list(o.Rooms), Notes: o.Notes, Remark: o.Remark,
		Place: optional(o.Place), DeliverTo: o.DeliverTo, Saved: money(o.Saved),
		Buyer: Buyer{Name: o.Buyer.Name, Address: o.Buyer.Address, Phone: o.Buyer.Phone, Email: o.Buyer.Email, Tax: o.Buyer.TaxNumber}}
	if o.WhyMerged != "" {
		out.Notes = join(out.Notes, o.WhyMerged)
	}
	for _, l := range o.Lines {
		out.Lines = append(out.Lines, OrderLine{Product: optional(l.Product), Lot: optional(l.Lot), Quantity: l.Quantity,
			Unit: l.Unit, UnitPrice: money(l.UnitPrice), Amount: money(l.Amount), Text: l.Text, NeedBy: l.NeedBy.String(),
			Ready: o.ReadyOf(&l).String(), Rooms: list(l.Rooms)})
	}
	return out
}

// OrderMark is what a printed order says beside its content.
type OrderMark struct {
	// Number counts the firm's orders; empty on a draft.
	Number string
	// State is "draft" or what has become of it.
	State string
	// Placed is the day it was placed, YYYY-MM-DD; empty on a draft.
	Placed string
}
