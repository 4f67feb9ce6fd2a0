package store

import (
	"context"
	"errors"
	"fmt"
	"reflect"
	"strings"
	"sync"
	"testing"

	"github.com/google/go-cmp/cmp"

	"potlife/rooms"
	"potlife/takeoff"
)

// order asks for 10 boxes of white and 4 bags of mortar.
func order(key string) takeoff.Order {
	return takeoff.Order{Key: key, Supplier: "kiln", Currency: "PLN", Total: 10*251_500 + 4*300_000 + 450_000,
		Delivery: rooms.Date{Year: 2026, Month: 12, Day: 3}, Ready: rooms.Date{Year: 2026, Month: 12, Day: 5},
		Lines: []takeoff.OrderLine{
			{Product: "white", Quantity: 10, Unit: "box", UnitPrice: 251_500, Amount: 2_515_000},
			{Product: "mortar", Quantity: 4, Unit: "bag", UnitPrice: 300_000, Amount: 1_200_000},
			{Text: "freight", Quantity: 1, Unit: "delivery", UnitPrice: 450_000, Amount: 450_000}}}
}

func placeOrder(t *testing.T, s *Store, o takeoff.Order) *Order {
	t.Helper()
	got, err := s.PlaceOrder(context.Background(), o, "olga", nil, noon)
	if err != nil {
		t.Fatal(err)
	}
	return got
}

func TestOrderRoundTrip(t *testing.T) {
	ctx := context.Background()
	s := imported(t)
	var o takeoff.Order
	new(filler).fill(reflect.ValueOf(&o).Elem())
	o.Supplier, o.Total = "kiln", o.Lines[0].Amount+o.Lines[1].Amount
	message := func(o *Order) ([]Message, error) {
		return []Message{{Key: fmt.Sprint("order mail ", o.Number), Channel: "mail"}}, nil
	}
	placed, err := s.PlaceOrder(ctx, o, "olga", message, noon)
	if err != nil {
		t.Fatal(err)
	}
	got, err := s.Order(ctx, placed.Number)
	if err != nil {
		t.Fatal(err)
	}
	if d := cmp.Diff(o, got.Order); d != "" {
		t.Errorf("(-placed +read):\n%s", d)
	}
	if len(got.Events) != 1 || got.Events[0].Who != "olga" || got.State != OrderPlaced {
		t.Errorf("order %+v", got)
	}
	again, err := s.PlaceOrder(ctx, o, "otto", message, noon)
	if err != nil || again.Number != placed.Number || len(again.Events) != 1 {
		t.Errorf("placed again: %+v, %v", again, err)
	}
	if m, _ := s.Messages(ctx, true, 9); len(m) != 1 {
		t.Errorf("%d messages", len(m))
	}
	o.Lines[0].Quantity++
	if _, err := s.PlaceOrder(ctx, o, "olga", nil, noon); !errors.Is(err, ErrConflict) {
		t.Errorf("the same key for another order: %v", err)
	}
}

func TestOrderNumbersHaveNoGaps(t *testing.T) {
	ctx := context.Background()
	s := imported(t)
	const n = 20
	var wg sync.WaitGroup
	for i := range n {
		wg.Go(func() {
			for _, key := range []string{fmt.Sprint("o", i), fmt.Sprint("o", i), fmt.Sprint("o", (i+1)%n)} { // most are repeats
				if _, err := s.PlaceOrder(ctx, order(key), "olga", nil, noon); err != nil {
					t.Error(err)
				}
			}
		})
		wg.Go(func() {
			bad := order(fmt.Sprint("bad", i))
			bad.Supplier = "nobody" // refused at commit, after it had its number
			if _, err := s.PlaceOrder(ctx, bad, "olga", nil, noon); !errors.Is(err, ErrConflict) {
				t.Errorf("an order to nobody: %v", err)
			}
		})
	}
	wg.Wait()
	orders, err := s.Orders(ctx)
	if err != nil || len(orders) != n {
		t.Fatalf("%d orders, %v; want %d", len(orders), err, n)
	}
	keys := map[string]bool{}
	for i, o := range orders {
		keys[o.Key] = true
		if o.Number != int64(i+1) {
			t.Errorf("order %d has number %d", i+1, o.Number)
		}
	}
	if len(keys) != n {
		t.Errorf("%d different orders", len(keys))
	}
}

func TestReceive(t *testing.T) {
	ctx := context.Background()
	s := imported(t)
	o := placeOrder(t, s, order("o1"))
	before, err := s.Stock(ctx)
	if err != nil {
		t.Fatal(err)
	}
	steps := []struct {
		receipts []Receipt
		state    string
		err      error
	}{
		{[]Receipt{{Key: "r1", Line: 0, Lot: "B-2", Calibre: "08", Packages: 6, Damaged: 1, MeanWidth: 199 * rooms.Millimetre, On: workDay}}, OrderPartReceived, nil},
		{[]Receipt{{Key: "r1", Line: 0, Lot: "B-2", Packages: 6, On: workDay}}, OrderPartReceived, nil},                                             // sent again
		{[]Receipt{{Key: "r2", Line: 1, Packages: 4, On: workDay}, {Key: "r3", Line: 0, Packages: 5, On: workDay}}, OrderPartReceived, ErrConflict}, // 11 boxes
		{[]Receipt{{Key: "r4", Line: 2, Packages: 1, On: workDay}}, OrderPartReceived, ErrNotFound},                                                 // freight
		{[]Receipt{{Key: "r5", Line: 1, Packages: -1, On: workDay}}, OrderPartReceived, ErrInvalid},                                                 //
		{[]Receipt{{Key: "r6", Line: 1, Packages: 4, On: workDay}, {Key: "r7", Line: 0, Lot: "B-2", Packages: 4, On: workDay}}, OrderReceived, nil}, //
		{[]Receipt{{Key: "r8", Line: 1, Packages: 1, On: workDay}}, OrderReceived, ErrConflict},                                                     //
		{[]Receipt{{Key: "r6", Line: 1, Packages: 4, On: workDay}, {Key: "r7", Line: 0, Lot: "B-2", Packages: 4, On: workDay}}, OrderReceived, nil}, // sent again
		{[]Receipt{{Key: "r9", Line: 9, Packages: 4, On: workDay}, {Key: "r7", Line: 0, Lot: "B-2", Packages: 4, On: workDay}}, OrderReceived, ErrNotFound},
	}
	for i, step := range steps {
		err := s.Receive(ctx, o.Number, step.receipts, "olga", noon)
		if !errors.Is(err, step.err) {
			t.Errorf("step %d: %v; want %v", i, err, step.err)
		}
		if got, err := s.Order(ctx, o.Number); err != nil || got.State != step.state {
			t.Errorf("step %d: order is %s, %v; want %s", i, got.State, err, step.state)
		}
	}
	stock := map[string]float64{}
	after, err := s.Stock(ctx)
	if err != nil {
		t.Fatal(err)
	}
	for _, h := range after {
		stock[h.Product+" "+h.Lot+" "+h.Unit] += h.Quantity
	}
	for _, h := range before {
		stock[h.Product+" "+h.Lot+" "+h.Unit] -= h.Quantity
	}
	if stock["white B-2 box"] != 10 || stock["mortar  package"] != 4 {
		t.Errorf("stock came to %v", stock)
	}
	received, err := s.Received(ctx)
	if err != nil || len(received) != 3 || received[0].Order != "o1" || received[0].Calibre != "08" || received[0].At != workDay {
		t.Errorf("Received: %+v, %v", received, err)
	}
	got, _ := s.Order(ctx, o.Number)
	if len(got.Receipts) != 3 || got.Receipts[0].MeanWidth != 199*rooms.Millimetre || got.Receipts[0].Damaged != 1 {
		t.Errorf("receipts %+v", got.Receipts)
	}
	if err := s.Receive(ctx, 99, nil, "olga", noon); !errors.Is(err, ErrNotFound) {
		t.Errorf("order 99: %v", err)
	}
}

func TestConcurrentReceiptsLoseNothing(t *testing.T) {
	ctx := context.Background()
	s := imported(t)
	o := placeOrder(t, s, order("o1"))
	var wg sync.WaitGroup
	var mu sync.Mutex
	refused := 0
	for i := range 20 { // one box each, ten more than ordered
		wg.Go(func() {
			err := s.Receive(ctx, o.Number, []Receipt{{Key: fmt.Sprint("r", i), Line: 0, Lot: "B", Packages: 1, On: workDay}}, "olga", noon)
			if errors.Is(err, ErrConflict) {
				mu.Lock()
				refused++
				mu.Unlock()
			} else if err != nil {
				t.Error(err)
			}
		})
	}
	wg.Wait()
	got, err := s.Order(ctx, o.Number)
	if err != nil || len(got.Receipts) != 10 || refused != 10 {
		t.Errorf("%d receipts, %d refused, %v; want 10 and 10", len(got.Receipts), refused, err)
	}
}

func TestOrderSteps(t *testing.T) {
	ctx := context.Background()
	s := imported(t)
	o := placeOrder(t, s, order("o1"))
	if err := s.CloseOrder(ctx, o.Number, "olga", "", noon); !errors.Is(err, ErrConflict) || !strings.Contains(err.Error(), "placed and cannot become closed") {
		t.Errorf("closing an order of which nothing came: %v", err)
	}
	if err := s.ConfirmOrder(ctx, o.Number, rooms.Date{Year: 2026, Month: 12, Day: 7}, "olga", "by phone", noon); err != nil {
		t.Fatal(err)
	}
	got, err := s.Order(ctx, o.Number)
	if err != nil || got.State != OrderConfirmed || got.Delivery.String() != "2026-12-07" || got.Ready.String() != "2026-12-09" {
		t.Errorf("confirmed: %+v, %v; delivery and what follows move together", got, err)
	}
	if _, err := s.PlaceOrder(ctx, order("o1"), "olga", nil, noon); err != nil {
		t.Errorf("placing a confirmed order again: %v", err)
	}
	if err := s.CancelOrder(ctx, o.Number, "olga", "other tile", nil, noon); err != nil {
		t.Fatal(err)
	}
	if placed, err := s.Placed(ctx); err != nil || len(placed) != 0 {
		t.Errorf("a cancelled order counts: %v, %v", placed, err)
	}
	if err := s.Receive(ctx, o.Number, []Receipt{{Key: "r", Packages: 1, On: workDay}}, "olga", noon); !errors.Is(err, ErrConflict) {
		t.Errorf("a delivery for a cancelled order: %v", err)
	}
	got, _ = s.Order(ctx, o.Number)
	var steps []string
	for _, e := range got.Events {
		steps = append(steps, e.State+" "+e.Note)
	}
	if d := cmp.Diff([]string{"placed ", "confirmed by phone", "cancelled other tile"}, steps); d != "" {
		t.Errorf("history (-want +got):\n%s", d)
	}
}

func TestReturnGoods(t *testing.T) {
	ctx := context.Background()
	s := imported(t)
	o := placeOrder(t, s, order("o1"))
	if err := s.Receive(ctx, o.Number, []Receipt{{Key: "r1", Line: 0, Lot: "B", Packages: 6, On: workDay}, {Key: "r2", Line: 1, Packages: 4, On: workDay}}, "olga", noon); err != nil {
		t.Fatal(err)
	}
	for i, c := range []struct {
		r   Return
		err error
	}{
		{Return{Key: "a", Product: "white", Lot: "B", Packages: 7, Unit: "box"}, ErrConflict},
		{Return{Key: "b", Product: "white", Lot: "B", Packages: 0, Unit: "box"}, ErrInvalid},
		{Return{Key: "c", Product: "white", Lot: "B", Packages: 2, Unit: "box"}, nil},
		{Return{Key: "c", Product: "white", Lot: "B", Packages: 2, Unit: "box"}, nil}, // again
		{Return{Key: "d", Product: "white", Lot: "B", Packages: 5, Unit: "box"}, ErrConflict},
		{Return{Key: "e", Product: "pink", Packages: 1, Unit: "box"}, ErrConflict},
	} {
		if err := s.ReturnGoods(ctx, o.Number, c.r, "olga", noon); !errors.Is(err, c.err) {
			t.Errorf("step %d: %v, want %v", i, err, c.err)
		}
	}
	var wg sync.WaitGroup
	for i := range 12 { // four bags came
		wg.Go(func() {
			err := s.ReturnGoods(ctx, o.Number, Return{Key: fmt.Sprint("w", i), Product: "mortar", Packages: 1, Unit: "bag"}, "olga", noon)
			if err != nil && !errors.Is(err, ErrConflict) {
				t.Error(err)
			}
		})
	}
	wg.Wait()
	stock, err := s.Stock(ctx)
	if err != nil {
		t.Fatal(err)
	}
	for _, h := range stock {
		if h.Product == "white" && h.Lot == "B" && h.Quantity != 4 {
			t.Errorf("%+v; want 4", h)
		}
	}
	if n := count1(t, s, `SELECT count(*) FROM stock_movements WHERE kind = 'returned' AND product = 'mortar'`); n != 4 {
		t.Errorf("%d bags went back of 4", n)
	}
	placed, err := s.Placed(ctx)
	if err != nil || placed[0].Lines[0].Quantity != 8 || placed[0].Lines[1].Quantity != 0 || placed[0].Total != 8*251_500+450_000 {
		t.Errorf("counts for planning: %+v, %v", placed, err)
	}
	if got, err := s.Received(ctx); err != nil || len(got) != 1 || got[0].Packages != 4 {
		t.Errorf("what came and stayed: %+v, %v", got, err)
	}
}

func TestCancelledKeyIsFreeAgain(t *testing.T) {
	ctx := context.Background()
	s := imported(t)
	first := placeOrder(t, s, order("o1"))
	if err := s.CancelOrder(ctx, first.Number, "olga", "", nil, noon); err != nil {
		t.Fatal(err)
	}
	second := placeOrder(t, s, order("o1"))
	if second.Number != first.Number+1 || second.State != OrderPlaced {
		t.Errorf("placed after cancelling: %+v", second)
	}
	if placed, err := s.Placed(ctx); err != nil || len(placed) != 1 {
		t.Errorf("%d orders count, %v", len(placed), err)
	}
	if all, err := s.Orders(ctx); err != nil || len(all) != 2 || all[0].State != OrderCancelled {
		t.Errorf("%+v, %v", all, err)
	}
}

func TestOrderMustAddUp(t *testing.T) {
	ctx := context.Background()
	s := imported(t)
	o := order("o1")
	o.Total++
	if _, err := s.PlaceOrder(ctx, o, "olga", nil, noon); !errors.Is(err, ErrInvalid) || !strings.Contains(err.Error(), "416.50 and its total is 416.5001") {
		t.Errorf("error %v", err)
	}
	placeOrder(t, s, order("o1"))
	if _, err := s.pool.Exec(ctx, `UPDATE orders SET total = total + 0.01`); err == nil || !strings.Contains(err.Error(), "416.50") {
		t.Errorf("the database lets a total differ from its lines: %v", err)
	}
	if _, err := s.pool.Exec(ctx, `UPDATE order_lines SET amount = amount + 0.01 WHERE pos = 0`); err == nil {
		t.Error("the database lets a line differ from its total")
	}
}
