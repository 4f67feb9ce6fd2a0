package web

import (
	"context"
	"io"
	"time"

	"potlife/cmd/potlife/internal/pricelist"
	"potlife/takeoff"
)

// Prices keeps price lists. Options.Prices may be nil: there is then no page of
// prices.
type Prices interface {
	// Prices is the history: by product, the latest day first.
	Prices(ctx context.Context) ([]PriceRow, error)
	// TakePrices reads a list and takes it over, and says what was done.
	TakePrices(ctx context.Context, text []byte, o pricelist.Options, how pricelist.How) (pricelist.Report, string, error)
	// PriceTemplate writes the prices of today as a list.
	PriceTemplate(ctx context.Context, w io.Writer) error
}

// PriceRow is a price of a package from a day on.
type PriceRow struct {
	Product, From, Source, By string
	Price                     takeoff.Money
	At                        time.Time
}
