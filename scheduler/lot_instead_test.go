package scheduler

import (
	"context"
	"slices"
	"strings"
	"testing"

	"potlife/rooms"
	"potlife/takeoff"
)

// The plan with another lot on an order: what is bought changes by lot and not by
// boxes where the lot suffices; where it does not, its rooms are mixed and a
// calibre that differs is warned of; a lot of another size lays rooms out anew.
func TestWithLot(t *testing.T) {
	ctx := context.Background()
	in := small(t, 5, 2)
	plan, err := Make(ctx, in)
	if err != nil {
		t.Fatal(err)
	}
	order, line := lineOfTile(plan)
	if line < 0 {
		t.Fatal("the plan buys no tile")
	}
	l := order.Lines[line]
	tile := takeoff.Tile{}
	for _, k := range in.Firm.Catalogue.Tiles {
		if k.Key == l.Product {
			tile = k
		}
	}
	with := func(in Input, offer takeoff.LotOffer, lot takeoff.Lot) *OtherLot {
		t.Helper()
		o, err := takeoff.TakeLot(order.Lines, line, 0, tile, plan.Rows, offer)
		if err != nil {
			t.Fatal(err)
		}
		next := order
		next.Lines, next.Total = o.Lines, 0
		for _, l := range o.Lines {
			next.Total += l.Amount
		}
		lot.Tile, lot.Lot, lot.Calibre = l.Product, offer.Lot, offer.Calibre
		got, err := WithLot(ctx, in, next, lot)
		if err != nil {
			t.Fatal(err)
		}
		return got
	}
	count := func(list []LotBought, lot string) (n int) {
		for _, b := range list {
			if lot == "*" || b.Lot == lot {
				n += b.Boxes
			}
		}
		return n
	}
	got := with(in, takeoff.LotOffer{Lot: "B7"}, takeoff.Lot{})
	if n := count(got.BoughtIs, "B7"); n != int(l.Quantity) || count(got.BoughtIs, "*") != count(got.BoughtWas, "*") || got.CostIs != got.CostWas {
		t.Errorf("all of a lot: %+v instead of %+v, %d instead of %d", got.BoughtIs, got.BoughtWas, got.CostIs, got.CostWas)
	}
	if len(got.Mixed) > 0 || len(got.Relaid) > 0 {
		t.Errorf("mixed %v, laid out anew %v", got.Mixed, got.Relaid)
	}

	// The order stands with lot A7 of calibre 1; a little of B7 of calibre 2 goes with it.
	order.Lines = slices.Clone(order.Lines)
	order.Lines[line].Lot = "A7"
	in.Placed = []takeoff.Order{order}
	in.Received = append(in.Received, Receipt{Product: l.Product, Lot: "A7", Calibre: "1"})
	if l.Quantity > 1 {
		got = with(in, takeoff.LotOffer{Lot: "B7", Calibre: "2", Boxes: 1}, takeoff.Lot{})
		if !slices.Equal(got.Mixed, l.Rooms) || count(got.BoughtIs, "A7") != int(l.Quantity)-1 {
			t.Errorf("mixed %v, want %v; bought %+v", got.Mixed, l.Rooms, got.BoughtIs)
		}
		if !slices.ContainsFunc(got.Findings, func(f takeoff.Finding) bool {
			return f.Rule == "calibre" && strings.Contains(f.Message, "calibres")
		}) {
			t.Errorf("two calibres in a room are not warned of: %+v", got.Findings)
		}
	}

	box := tile.Shape.Box()
	got = with(in, takeoff.LotOffer{Lot: "B7"}, takeoff.Lot{Width: box.Width() - 2*rooms.Millimetre, Height: box.Height() - 2*rooms.Millimetre})
	if !slices.Equal(got.Relaid, l.Rooms) {
		t.Errorf("a lot 2 mm smaller lays out %v anew, want %v", got.Relaid, l.Rooms)
	}
}

// lineOfTile is the first order with a line of tile, and its index.
func lineOfTile(p *Plan) (takeoff.Order, int) {
	for _, o := range p.Orders {
		for i, l := range o.Lines {
			if l.Unit == "box" && l.Quantity > 1 {
				return o, i
			}
		}
	}
	return takeoff.Order{}, -1
}
