package app

import (
	"context"

	"potlife/cmd/potlife/internal/web"
)

var _ web.Stock = Pages{}

// StockRows lists what lies where, by movements.
func (p Pages) StockRows(ctx context.Context) ([]web.StockRow, error) {
	levels, err := p.o.Store.StockLevels(ctx)
	if err != nil {
		return nil, refuse(err)
	}
	var out []web.StockRow
	for _, l := range levels {
		out = append(out, web.StockRow{Place: l.Place, Product: l.Product, Lot: l.Lot, Unit: l.Unit, OnHand: l.OnHand, Reserved: l.Reserved,
			Used: l.Used, Broken: l.Broken, Damaged: l.Damaged})
	}
	return out, nil
}
