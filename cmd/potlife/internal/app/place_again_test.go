package app

import (
	"context"
	"testing"

	"potlife/rooms"
)

// Placing all orders a second time places none, and one that was cancelled
// since is placed anew.
func TestPlaceOrdersSkipsWhatStands(t *testing.T) {
	ctx := context.Background()
	f := demoFirm(t, "", rooms.Date{Year: 2026, Month: 10, Day: 5}, rooms.Date{Year: 2026, Month: 10, Day: 12})
	d := &Daemon{App: f.App}
	first, err := d.PlaceOrders(ctx, "test")
	if err != nil || len(first) == 0 {
		t.Fatal(first, err)
	}
	if _, err := f.Replan(ctx, "orders placed"); err != nil {
		t.Fatal(err)
	}
	if again, err := d.PlaceOrders(ctx, "test"); err != nil || len(again) != 0 {
		t.Errorf("placed again: %q, %v", again, err)
	}
	if err := f.o.Store.CancelOrder(ctx, 1, "test", "", nil, f.at); err != nil {
		t.Fatal(err)
	}
	if again, err := d.PlaceOrders(ctx, "test"); err != nil || len(again) != 1 {
		t.Errorf("after a cancellation placed: %q, %v", again, err)
	}
}
