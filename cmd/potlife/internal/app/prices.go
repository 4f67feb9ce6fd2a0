package app

import (
	"context"
	"fmt"
	"io"
	"time"

	"potlife/cmd/potlife/internal/pricelist"
	"potlife/cmd/potlife/internal/store"
	"potlife/cmd/potlife/internal/web"
	"potlife/rooms"
	"potlife/scheduler"
)

var _ web.Prices = Pages{}

// TakePrices reads a price list and takes it over: all of it, or with skip what
// is right of it. With dry, or where a row is wrong and skip is not set, nothing
// is written. The text says what was done.
func (a *App) TakePrices(ctx context.Context, text []byte, o pricelist.Options, how pricelist.How) (pricelist.Report, string, error) {
	firm, err := a.o.Store.Firm(ctx)
	if err != nil {
		return pricelist.Report{}, "", err
	}
	if o.From.IsZero() {
		o.From = today(firm, a.now())
	}
	got, err := pricelist.Read(text, firm.Catalogue, o)
	if err != nil {
		return got, "", &store.Error{Kind: store.ErrInvalid, Text: err.Error(), Cause: err}
	}
	n, bad := len(got.Items), len(got.Problems)
	switch {
	case bad > 0 && !how.Skip:
		return got, fmt.Sprintf("nothing was taken over: mend the rows, or ask to skip them and take %d", n), nil
	case n == 0:
		return got, "nothing was taken over: no row is right", nil
	case how.Dry:
		return got, fmt.Sprintf("%s would be taken over; nothing is written", priceCount(n)), nil
	}
	l := store.PriceList{Source: how.Source, Who: how.Who, Currency: firm.Catalogue.Currency}
	for _, it := range got.Items {
		l.Prices = append(l.Prices, store.Price{Product: it.Product, Price: it.Price, From: it.From})
	}
	fresh, err := a.o.Store.AddPrices(ctx, l, a.now())
	if err != nil {
		return got, "", err
	}
	if !fresh {
		return got, "this list was taken over before; nothing changes", nil
	}
	a.follow.Follow("price list " + how.Source)
	return got, priceCount(n) + " taken over", nil
}

func priceCount(n int) string {
	if n == 1 {
		return "1 price"
	}
	return fmt.Sprintf("%d prices", n)
}

// PriceTemplate writes the prices of today as a list that can be changed and
// taken over.
func (a *App) PriceTemplate(ctx context.Context, w io.Writer) error {
	firm, err := a.o.Store.Firm(ctx)
	if err != nil {
		return err
	}
	history, err := a.o.Store.Prices(ctx)
	if err != nil {
		return err
	}
	day := today(firm, a.now())
	store.PriceOn(&firm.Catalogue, history, day)
	return pricelist.Write(w, firm.Catalogue, day)
}

func today(firm *scheduler.Firm, now time.Time) rooms.Date {
	zone := firm.Zone
	if zone == nil {
		zone = time.UTC
	}
	return rooms.DateOf(now.In(zone))
}

// TakePrices is App.TakePrices with refusals for a page.
func (p Pages) TakePrices(ctx context.Context, text []byte, o pricelist.Options, how pricelist.How) (pricelist.Report, string, error) {
	got, said, err := p.App.TakePrices(ctx, text, o, how)
	if err != nil {
		return got, said, refuse(err)
	}
	return got, said, nil
}

// PriceTemplate is App.PriceTemplate with refusals for a page.
func (p Pages) PriceTemplate(ctx context.Context, w io.Writer) error {
	if err := p.App.PriceTemplate(ctx, w); err != nil {
		return refuse(err)
	}
	return nil
}

// Prices is the history of prices.
func (p Pages) Prices(ctx context.Context) ([]web.PriceRow, error) {
	history, err := p.o.Store.Prices(ctx)
	if err != nil {
		return nil, refuse(err)
	}
	var out []web.PriceRow
	for _, h := range history {
		out = append(out, web.PriceRow{Product: h.Product, Price: h.Price.Price, From: h.From.String(), Source: h.Source, By: h.Who, At: h.At})
	}
	return out, nil
}
