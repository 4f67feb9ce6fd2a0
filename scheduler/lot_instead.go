package scheduler

import (
	"cmp"
	"context"
	"fmt"
	"slices"

	"potlife/takeoff"
)

// OtherLot compares the plan as it is with the plan if an order stood with tile of
// another lot.
type OtherLot struct {
	Was, Is *Plan
	// Rooms and Text are those of Compare.
	Rooms []Shift
	Text  []string
	// CostWas and CostIs are what all orders come to, freight among it.
	CostWas, CostIs takeoff.Money
	// BoughtWas and BoughtIs are what all orders buy of the tile, by lot.
	BoughtWas, BoughtIs []LotBought
	// Mixed are the rooms that get tile of several lots and would not without the
	// change, Relaid those that are laid out anew because the lot is of another
	// size.
	Mixed, Relaid []string
	// Findings are those that come with the change.
	Findings []takeoff.Finding
}

// LotBought is what orders buy of a lot; an empty Lot is one the supplier picks.
type LotBought struct {
	Lot    string
	Boxes  int
	Amount takeoff.Money
}

// WithLot plans in as it is and with an order as it would stand, placed, with lot
// for some of its tile; what is known of the lot's calibre and size counts, boxes
// do not. Nothing is saved, and in is left alone.
func WithLot(ctx context.Context, in Input, order takeoff.Order, lot takeoff.Lot) (*OtherLot, error) {
	was, err := Make(ctx, in)
	if err != nil {
		return nil, fmt.Errorf("the plan as it is: %w", err)
	}
	next := in
	next.Placed = slices.Clone(in.Placed)
	if i := slices.IndexFunc(next.Placed, func(o takeoff.Order) bool { return o.Key == order.Key }); i >= 0 {
		next.Placed[i] = order
	} else {
		next.Placed = append(next.Placed, order)
	}
	if lot.Calibre != "" || lot.Width > 0 {
		// As if none of it had come yet, but somebody had looked at it.
		next.Received = append(slices.Clip(in.Received), Receipt{Product: lot.Tile, Lot: lot.Lot, Calibre: lot.Calibre, Width: lot.Width, Height: lot.Height})
	}
	is, err := Make(ctx, next)
	if err != nil {
		return nil, fmt.Errorf("with this lot: %w", err)
	}
	a := Compare(was, is)
	out := &OtherLot{Was: was, Is: is, Rooms: a.Rooms, Text: a.Text, CostWas: was.ordered(), CostIs: is.ordered(),
		BoughtWas: was.bought(lot.Tile), BoughtIs: is.bought(lot.Tile), Mixed: newlyMixed(was, is, lot.Tile), Relaid: relaid(was, is)}
	for _, f := range is.Findings {
		same := func(o takeoff.Finding) bool { return o.Rule == f.Rule && o.Where == f.Where && o.Message == f.Message }
		if f.Severity != takeoff.Info && !slices.ContainsFunc(was.Findings, same) {
			out.Findings = append(out.Findings, f)
		}
	}
	return out, nil
}

// ordered is what all orders come to.
func (p *Plan) ordered() (sum takeoff.Money) {
	for i := range p.Orders {
		sum += p.Orders[i].Total
	}
	return sum
}

// bought is what all orders buy of a tile, by lot.
func (p *Plan) bought(tile string) []LotBought {
	var list []LotBought
	for i := range p.Orders {
		for _, l := range p.Orders[i].Lines {
			if l.Product != tile || l.Quantity == 0 {
				continue
			}
			k := slices.IndexFunc(list, func(b LotBought) bool { return b.Lot == l.Lot })
			if k < 0 {
				k, list = len(list), append(list, LotBought{Lot: l.Lot})
			}
			list[k].Boxes += int(l.Quantity)
			list[k].Amount += l.Amount
		}
	}
	slices.SortFunc(list, func(a, b LotBought) int { return cmp.Compare(a.Lot, b.Lot) })
	return list
}

// newlyMixed are the rooms whose rows of a tile are split in is and not in was.
func newlyMixed(was, is *Plan, tile string) []string {
	split := func(p *Plan, group string) bool {
		return slices.ContainsFunc(p.Rows, func(r takeoff.Row) bool {
			return takeoff.GoodsKey(r.Tile) == tile && r.Group == group && r.Split != ""
		})
	}
	var out []string
	for _, r := range is.Rows {
		if takeoff.GoodsKey(r.Tile) == tile && r.Split != "" && !split(was, r.Group) {
			out = append(out, r.Rooms...)
		}
	}
	slices.Sort(out)
	return slices.Compact(out)
}

// relaid are the rooms whose zones take other tiles, a lot as measured or not.
func relaid(was, is *Plan) []string {
	tiles := map[string]string{}
	for i := range was.Layouts {
		for _, z := range was.Layouts[i].Zones {
			tiles[was.Layouts[i].Surface+"/"+z.Zone.Key] = fmt.Sprint(z.Zone.Tile, z.Zone.Tiles)
		}
	}
	var out []string
	for i := range is.Layouts {
		for _, z := range is.Layouts[i].Zones {
			if t, ok := tiles[is.Layouts[i].Surface+"/"+z.Zone.Key]; ok && t != fmt.Sprint(z.Zone.Tile, z.Zone.Tiles) {
				out = append(out, is.Layouts[i].Room)
			}
		}
	}
	slices.Sort(out)
	return slices.Compact(out)
}
