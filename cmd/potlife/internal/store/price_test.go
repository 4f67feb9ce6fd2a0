package store

import (
	"context"
	"errors"
	"fmt"
	"sync"
	"testing"

	"potlife/rooms"
	"potlife/takeoff"
)

func priceList(currency string, prices ...Price) PriceList {
	return PriceList{Source: "kiln.csv", Who: "olga", Currency: currency, Prices: prices}
}

func TestPrices(t *testing.T) {
	ctx := context.Background()
	s := imported(t)
	f, err := s.Firm(ctx)
	if err != nil {
		t.Fatal(err)
	}
	own, may := f.Catalogue.Currency, rooms.Date{Year: 2024, Month: 5, Day: 1}
	june := may.AddDays(31)
	basis, _ := s.Basis(ctx)
	for i, step := range []struct {
		list  PriceList
		fresh bool
		err   error
	}{
		{priceList(own, Price{"white", 260_000, may}, Price{"mortar", 310_000, may}), true, nil},
		{priceList(own, Price{"white", 260_000, may}, Price{"mortar", 310_000, may}), false, nil}, // again
		{priceList(own, Price{"white", 270_000, june}), true, nil},
		{priceList(own, Price{"white", 265_000, may}), true, nil}, // corrects the first
		{priceList("XXX", Price{"white", 1, may}), false, ErrInvalid},
		{priceList(own, Price{"white", 2, may}, Price{"white", 3, may}), false, ErrConflict},
		{priceList(own, Price{"mortar", 1, may}, Price{"white", -1, may}), false, ErrInvalid},
		{priceList(own, Price{"mortar", 1, may}, Price{"pink", 1, may}), false, ErrConflict},
	} {
		fresh, err := s.AddPrices(ctx, step.list, noon)
		if fresh != step.fresh || !errors.Is(err, step.err) {
			t.Errorf("step %d: %v, %v; want %v, %v", i, fresh, err, step.fresh, step.err)
		}
	}
	history, err := s.Prices(ctx)
	if err != nil || len(history) != 4 || history[0].Who != "olga" {
		t.Fatalf("history %+v, %v; nothing of a refused list may stay", history, err)
	}
	if now, _ := s.Basis(ctx); now == basis {
		t.Error("a plan would not follow the prices")
	}
	for _, c := range []struct {
		on            rooms.Date
		white, mortar takeoff.Money
	}{{may.AddDays(-1), 0, 0}, {may, 265_000, 310_000}, {june.AddDays(-1), 265_000, 310_000}, {june, 270_000, 310_000}} {
		cat := takeoff.Catalogue{Tiles: []takeoff.Tile{{Key: "white"}}, Products: []takeoff.Product{{Key: "mortar"}}}
		PriceOn(&cat, history, c.on)
		if cat.Tiles[0].PricePerBox != c.white || cat.Products[0].Price != c.mortar {
			t.Errorf("on %s: %+v", c.on, cat)
		}
	}
	if _, err := s.pool.Exec(ctx, `UPDATE prices SET price = 0`); err == nil {
		t.Error("the database lets a price be overwritten")
	}
}

func TestTheSamePricesAtOnceCountOnce(t *testing.T) {
	ctx := context.Background()
	s := imported(t)
	f, _ := s.Firm(ctx)
	var wg sync.WaitGroup
	var mu sync.Mutex
	fresh := 0
	for i := range 12 {
		wg.Go(func() {
			l := priceList(f.Catalogue.Currency, Price{"white", 260_000, workDay})
			l.Source = fmt.Sprint(i)
			ok, err := s.AddPrices(ctx, l, noon)
			if err != nil {
				t.Error(err)
			}
			if mu.Lock(); ok {
				fresh++
			}
			mu.Unlock()
		})
	}
	wg.Wait()
	if n := count1(t, s, `SELECT count(*) FROM prices`); fresh != 1 || n != 1 {
		t.Errorf("%d took it over, %d prices; want 1 and 1", fresh, n)
	}
}
