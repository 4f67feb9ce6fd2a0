package store

import (
	"context"
	"crypto/sha256"
	"encoding/hex"
	"fmt"
	"time"

	"github.com/jackc/pgx/v5"

	"potlife/rooms"
	"potlife/takeoff"
)

// PriceList is prices of packages to take over.
type PriceList struct {
	Source, Who, Currency string
	Prices                []Price
}

// Price is what a package of a tile or product costs from a day on.
type Price struct {
	Product string
	Price   takeoff.Money
	From    rooms.Date
}

// PriceInfo is a price with where it comes from.
type PriceInfo struct {
	Price
	Source, Who string
	At          time.Time
}

// digest stands for what a list says.
func (l PriceList) digest() string {
	h := sha256.New()
	fmt.Fprintln(h, l.Currency)
	for _, p := range l.Prices {
		fmt.Fprintln(h, p.Product, p.From, int64(p.Price))
	}
	return hex.EncodeToString(h.Sum(nil))
}

// AddPrices takes a list over, all of it or nothing; false where the same was
// taken over before. Prices before it stay in the history. ErrInvalid: a price is
// negative, or the currency is not the firm's. ErrConflict: a product is unknown
// or has two prices from one day.
func (s *Store) AddPrices(ctx context.Context, l PriceList, now time.Time) (fresh bool, err error) {
	err = s.write(ctx, func(tx pgx.Tx) error {
		fresh = false
		f, err := loadFirm(ctx, tx)
		if err != nil {
			return err
		}
		if l.Currency != f.Catalogue.Currency {
			return invalid("the prices are in %s and the firm buys in %s", orNone(l.Currency), f.Catalogue.Currency)
		}
		known := map[string]bool{}
		for _, t := range f.Catalogue.Tiles {
			known[t.Key] = true
		}
		for _, p := range f.Catalogue.Products {
			known[p.Key] = true
		}
		for _, p := range l.Prices {
			if !known[p.Product] {
				return conflict("there is no tile or product %q", p.Product)
			}
		}
		var id int64
		err = tx.QueryRow(ctx, `
			INSERT INTO price_lists (digest, source, who, at, currency) VALUES ($1, $2, $3, $4, $5)
			ON CONFLICT (digest) DO NOTHING RETURNING id`, l.digest(), l.Source, l.Who, now, l.Currency).Scan(&id)
		if err == pgx.ErrNoRows {
			return nil
		}
		if err != nil {
			return err
		}
		var b pgx.Batch
		for _, p := range l.Prices {
			b.Queue(`INSERT INTO prices (list, product, price, from_day) VALUES ($1, $2, $3, $4)`, id, p.Product, amount(p.Price), day(p.From))
		}
		fresh = true
		return tx.SendBatch(ctx, &b).Close()
	})
	return fresh && err == nil, err
}

// Prices is the history of prices: by product, the latest day first, of a day
// the last taken over first.
func (s *Store) Prices(ctx context.Context) ([]PriceInfo, error) {
	var out []PriceInfo
	err := s.read(ctx, func(tx pgx.Tx) (err error) {
		out, err = loadPrices(ctx, tx)
		return err
	})
	return out, err
}

func loadPrices(ctx context.Context, tx pgx.Tx) ([]PriceInfo, error) {
	var out []PriceInfo
	rows, _ := tx.Query(ctx, `
		SELECT p.product, p.price, p.from_day, l.source, l.who, l.at FROM prices p JOIN price_lists l ON l.id = p.list
		ORDER BY p.product COLLATE "C", p.from_day DESC, p.id DESC`)
	var p PriceInfo
	_, err := pgx.ForEachRow(rows, []any{&p.Product, (*amount)(&p.Price.Price), (*day)(&p.From), &p.Source, &p.Who, &p.At}, func() error {
		out = append(out, p)
		return nil
	})
	return out, err
}

// PriceOn writes the prices that count on a day into a catalogue: those of lists
// go before those of the firm's file.
func PriceOn(cat *takeoff.Catalogue, history []PriceInfo, on rooms.Date) {
	now := map[string]takeoff.Money{}
	for _, p := range history {
		if _, later := now[p.Product]; !later && !on.Before(p.From) {
			now[p.Product] = p.Price.Price
		}
	}
	for i := range cat.Tiles {
		if p, ok := now[cat.Tiles[i].Key]; ok {
			cat.Tiles[i].PricePerBox = p
		}
	}
	for i := range cat.Products {
		if p, ok := now[cat.Products[i].Key]; ok {
			cat.Products[i].Price = p
		}
	}
}
