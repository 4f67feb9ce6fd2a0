package scheduler

import (
	"context"
	"testing"

	"potlife/takeoff"
)

// TestReplanKeepsToItsOrders places the orders of a plan as it says and makes it again
// without news: rooms get their goods from the orders that were made for them, also where
// the plan sets them in another order than they are listed or due, so none is later.
func TestReplanKeepsToItsOrders(t *testing.T) {
	in := many(t, 16)
	in.Memory = &takeoff.Memory{}
	p, err := Make(context.Background(), in)
	if err != nil {
		t.Fatal(err)
	}
	if len(p.Orders) < 2 {
		t.Fatalf("%d orders are too few to be given to the wrong rooms", len(p.Orders))
	}
	next := in
	next.Prior, next.Placed = p, p.Orders
	next.Frozen = allUntil(in.Firm, in.Today.AddDays(1).In(in.Firm.Zone))
	q := replanned(t, next)
	if q.Finish > p.Finish {
		t.Errorf("all is done %d min later than before the orders were placed", q.Finish-p.Finish)
	}
	if len(q.Orders) != len(p.Orders) {
		t.Errorf("%d orders, %d are placed for all of it", len(q.Orders), len(p.Orders))
	}
	was := map[string]int{}
	for _, d := range p.RoomDates {
		was[d.Room] = d.Finish
	}
	for _, d := range q.RoomDates {
		if d.Finish > was[d.Room] {
			t.Errorf("%s is handed over %d min later", d.Room, d.Finish-was[d.Room])
		}
	}
}
