package store

import (
	"context"
	"testing"
)

// An order that is closed short counts for planning with what came of it, less
// what went back; one that is still open counts whole.
func TestAClosedOrderCountsWhatCame(t *testing.T) {
	ctx := context.Background()
	s := imported(t)
	o := placeOrder(t, s, order("o1"))
	if err := s.Receive(ctx, o.Number, []Receipt{{Key: "r", Line: 0, Lot: "Z", Packages: 6, Damaged: 1, On: workDay}}, "olga", noon); err != nil {
		t.Fatal(err)
	}
	counts := func(white, mortar float64) {
		t.Helper()
		got, err := s.Placed(ctx)
		if err != nil || len(got) != 1 {
			t.Fatal(got, err)
		}
		l := got[0].Lines
		if l[0].Quantity != white || l[1].Quantity != mortar || l[2].Quantity != 1 || got[0].Total != l[0].Amount+l[1].Amount+l[2].Amount {
			t.Errorf("counts %+v, total %d; want %g white and %g mortar", l, got[0].Total, white, mortar)
		}
	}
	counts(10, 4)
	if err := s.CloseOrder(ctx, o.Number, "olga", "the rest will not come", noon); err != nil {
		t.Fatal(err)
	}
	counts(6, 0)
	if err := s.ReturnGoods(ctx, o.Number, Return{Key: "back", Product: "white", Lot: "Z", Packages: 2, Unit: "box"}, "olga", noon); err != nil {
		t.Fatal(err)
	}
	counts(4, 0)
	if got, err := s.Order(ctx, o.Number); err != nil || got.Lines[0].Quantity != 10 {
		t.Errorf("the order itself reads %+v, %v", got.Lines, err)
	}
}
