package web

import "context"

// Stock says what lies where. Options.Stock may be nil: there is then no page of
// stock.
type Stock interface {
	// StockRows lists what lies or has lain at each place, the yard first, then
	// by place, product and lot.
	StockRows(ctx context.Context) ([]StockRow, error)
}

// StockRow is the stock of a product's lot at a place, summed from movements.
type StockRow struct {
	Place              string // "" is the yard, else a site, "job/site"
	Product, Lot, Unit string // unit: "box", "tile" or "package"
	OnHand, Reserved   float64
	Used, Broken       float64 // gone
	Damaged            float64 // came damaged and was not kept
}
