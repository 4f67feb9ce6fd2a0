package web

import (
	"context"
	"time"

	"potlife/takeoff"
)

// Stock says what lies where. Options.Stock may be nil: there is then no page of
// stock.
type Stock interface {
	// StockRows lists what lies or has lain at each place, the yard first, then
	// by place, product and lot.
	StockRows(ctx context.Context) ([]StockRow, error)
	// Offcuts lists the offcuts that were ever kept, those in hand first.
	Offcuts(ctx context.Context) ([]OffcutRow, error)
	// KeepOffcut records an offcut in hand and returns its key.
	KeepOffcut(ctx context.Context, in OffcutIn) (string, error)
	// OffcutGone records that an offcut is not there any more.
	OffcutGone(ctx context.Context, key string, by User) error
}

// OffcutIn is an offcut that someone records: sizes as people write them, in the
// firm's units; Edges are its sides that are the tile's own.
type OffcutIn struct {
	Key, Tile, Lot, Width, Height string
	Edges                         []string
	Place, From                   string
	By                            User
}

// OffcutRow is an offcut that was kept.
type OffcutRow struct {
	takeoff.YardOffcut
	KeptAt, GoneAt time.Time
	KeptBy, GoneBy string // empty: the plan
	Gone           bool
}

// StockRow is the stock of a product's lot at a place, summed from movements.
type StockRow struct {
	Place              string // "" is the yard, else a site, "job/site"
	Product, Lot, Unit string // unit: "box", "tile" or "package"
	OnHand, Reserved   float64
	Used, Broken       float64 // gone
	Damaged            float64 // came damaged and was not kept
}
