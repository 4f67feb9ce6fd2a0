package app

import (
	"bytes"
	"context"
	"errors"
	"strconv"
	"strings"
	"testing"

	"github.com/google/go-cmp/cmp"

	"potlife/cmd/potlife/internal/jobfile"
	"potlife/cmd/potlife/internal/store"
	"potlife/cmd/potlife/internal/web"
	"potlife/rooms"
	"potlife/takeoff"
)

// What cannot be bought is refused in the file, with its line and what is wrong.
func TestBadGoodsAreRefusedInTheFile(t *testing.T) {
	good := jobfile.Demo("")
	for _, c := range []struct{ name, was, is, says string }{
		{"negative price", "price: 31.20", "price: -31.20", "the amount -31.20 is negative"},
		{"unknown unit", "holds: 25 kg", "holds: 25 stone", "stone"},
		{"a lot with no boxes", `calibre: "6", boxes: 19`, `calibre: "6", boxes: 0`, "lot A48 has no boxes"},
		{"a supplier without working days", "lead_days: 2\n", "lead_days: 2\n      days: []\n", "supplier harbour has no working days"},
		{"a currency mix", "price: 31.20", "price: 31.20 USD", "mixes currencies"},
	} {
		bad := bytes.Replace(good, []byte(c.was), []byte(c.is), 1)
		if bytes.Equal(bad, good) {
			t.Fatalf("%s: the demonstration has no %q", c.name, c.was)
		}
		_, problems := jobfile.Parse("demo.yaml", bad)
		if len(problems) == 0 || problems[0].Line == 0 || problems[0].Expected == "" || !strings.Contains(problems[0].String(), c.says) {
			t.Errorf("%s: %v; want a line and %q", c.name, problems, c.says)
		}
	}
}

// goods is all that an order and a delivery can change.
type goods struct {
	Orders []store.Order
	Stock  []store.StockLevel
	Plan   int64
}

func goodsOf(t *testing.T, f *firmOf) goods {
	t.Helper()
	ctx := context.Background()
	orders, err := f.o.Store.Orders(ctx)
	if err != nil {
		t.Fatal(err)
	}
	stock, err := f.o.Store.StockLevels(ctx)
	if err != nil {
		t.Fatal(err)
	}
	saved, err := f.o.Store.CurrentPlan(ctx)
	if err != nil {
		t.Fatal(err)
	}
	return goods{orders, stock, saved.ID}
}

// A delivery that cannot be is refused by its field, and nothing is changed by
// it: neither the order nor the stock nor the plan.
func TestBadDeliveriesChangeNothing(t *testing.T) {
	ctx := context.Background()
	start := rooms.Date{Year: 2026, Month: 10, Day: 12}
	f := demoFirm(t, "", start.AddDays(-14), start)
	f.placeAll()
	before := goodsOf(t, f)
	var order *store.Order
	var line takeoff.OrderLine
	for i := range before.Orders {
		for _, l := range before.Orders[i].Lines {
			if l.Product != "" && l.Lot != "" {
				order, line = &before.Orders[i], l
			}
		}
	}
	if order == nil {
		t.Fatal("the demonstration orders no tile of a lot")
	}
	for _, c := range []struct {
		name, field, says string
		line              web.ReceiveLine
		day               int // after the order's
	}{
		{"beyond the order", "", "is beyond the order", web.ReceiveLine{Lot: line.Lot, Packages: line.Quantity + 1}, 0},
		{"no boxes", "lines", "Nothing came", web.ReceiveLine{Lot: line.Lot}, 0},
		{"another lot", "lot", "asks for lot " + line.Lot, web.ReceiveLine{Lot: "other", Packages: 1}, 0},
		{"fewer than none", "", "", web.ReceiveLine{Lot: line.Lot, Packages: -1}, 0},
		{"more wrong than came", "", "", web.ReceiveLine{Lot: line.Lot, Packages: 1, Wrong: 2}, 0},
		{"a product not ordered", "lines", "has no line for", web.ReceiveLine{Product: "pink", Packages: 1}, 0},
		{"not come yet", "date", "has not come yet", web.ReceiveLine{Lot: line.Lot, Packages: 1}, 1},
		{"before it was ordered", "date", "was placed", web.ReceiveLine{Lot: line.Lot, Packages: 1}, -365},
	} {
		if c.line.Product == "" {
			c.line.Product = string(line.Product)
		}
		in := web.ReceiveIn{Key: "bad " + c.name, Order: strconv.FormatInt(order.Number, 10), Date: start.AddDays(c.day - 14).String(), Lines: []web.ReceiveLine{c.line}}
		err := Pages{f.App}.Receive(ctx, in)
		var refused *web.Error
		if !errors.As(err, &refused) || c.field != "" && refused.Field != c.field || !strings.Contains(err.Error(), c.says) {
			t.Errorf("%s: %v; want a refusal of %q saying %q", c.name, err, c.field, c.says)
		}
	}
	if d := cmp.Diff(before, goodsOf(t, f)); d != "" {
		t.Errorf("refused deliveries changed (-before +after):\n%s", d)
	}
}
