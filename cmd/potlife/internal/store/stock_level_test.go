package store

import (
	"context"
	"errors"
	"fmt"
	"strings"
	"sync"
	"testing"
)

func levelOf(t *testing.T, s *Store, place, product, lot, unit string) StockLevel {
	t.Helper()
	all, err := s.StockLevels(context.Background())
	if err != nil {
		t.Fatal(err)
	}
	for _, l := range all {
		if l.Place == place && l.Product == product && l.Lot == lot && l.Unit == unit {
			return l
		}
	}
	return StockLevel{}
}

// Ten boxes come of which two are damaged; a sheet reserves, a crew opens,
// breaks and opens more than there is: the levels follow, and the last is not
// refused.
func TestStockLevels(t *testing.T) {
	ctx := context.Background()
	s := imported(t)
	o := placeOrder(t, s, order("o1"))
	if err := s.Receive(ctx, o.Number, []Receipt{{Key: "r", Line: 0, Lot: "Z", Packages: 8, Damaged: 2, On: workDay}}, "olga", noon); err != nil {
		t.Fatal(err)
	}
	for i, step := range []struct {
		kind     string
		quantity float64
		want     [6]float64 // on hand, reserved, free, used, broken, damaged
	}{
		{Reserved, -3, [6]float64{8, 3, 5, 0, 0, 2}},
		{Released, 2, [6]float64{8, 1, 7, 0, 0, 2}},
		{Used, -2, [6]float64{6, 1, 5, 2, 0, 2}},
		{Broken, -1, [6]float64{5, 1, 4, 2, 1, 2}},
		{Used, -7, [6]float64{-2, 1, -3, 9, 1, 2}},
	} {
		if err := s.Move(ctx, []Movement{{At: noon, Kind: step.kind, Product: "white", Lot: "Z", Unit: "box", Quantity: step.quantity}}); err != nil {
			t.Fatal(err)
		}
		l := levelOf(t, s, "", "white", "Z", "box")
		if got := [6]float64{l.OnHand, l.Reserved, l.Free(), l.Used, l.Broken, l.Damaged}; got != step.want {
			t.Errorf("step %d: %v, want %v", i, got, step.want)
		}
	}
}

// What does not lie there cannot go back or elsewhere, whatever the order says;
// nothing of the whole booking stays.
func TestWhatIsNotThereCannotLeave(t *testing.T) {
	ctx := context.Background()
	s := imported(t)
	o := placeOrder(t, s, order("o1"))
	if err := s.Receive(ctx, o.Number, []Receipt{{Key: "r", Line: 0, Lot: "Z", Packages: 8, On: workDay}}, "olga", noon); err != nil {
		t.Fatal(err)
	}
	box := func(kind, place string, n float64) Movement {
		return Movement{At: noon, Kind: kind, Place: place, Product: "white", Lot: "Z", Unit: "box", Quantity: n}
	}
	if err := s.Move(ctx, []Movement{box(Used, "", -5)}); err != nil {
		t.Fatal(err)
	}
	err := s.ReturnGoods(ctx, o.Number, Return{Key: "back", Product: "white", Lot: "Z", Packages: 4, Unit: "box"}, "olga", noon)
	if !errors.Is(err, ErrConflict) || !strings.Contains(err.Error(), "lie 3 in the yard, so 4 cannot be returned") {
		t.Errorf("4 of 3 go back: %v", err)
	}
	if err := s.Move(ctx, []Movement{box(Moved, "flat/home", 4), box(Moved, "", -4)}); !errors.Is(err, ErrConflict) {
		t.Errorf("4 of 3 are moved: %v", err)
	}
	if l := levelOf(t, s, "flat/home", "white", "Z", "box"); l != (StockLevel{}) {
		t.Errorf("half of a refused move stays: %+v", l)
	}
	if got, err := s.Order(ctx, o.Number); err != nil || len(got.Events) != 2 {
		t.Errorf("a refused return left a step: %+v, %v", got.Events, err)
	}
	var wg sync.WaitGroup
	for i := range 8 {
		wg.Go(func() {
			m := box(Moved, "", -1)
			m.Key = fmt.Sprint("m", i)
			if err := s.Move(ctx, []Movement{m}); err != nil && !errors.Is(err, ErrConflict) {
				t.Error(err)
			}
		})
	}
	wg.Wait()
	if l := levelOf(t, s, "", "white", "Z", "box"); l.OnHand != 0 {
		t.Errorf("%g lie there after eight took one each of three", l.OnHand)
	}
}

// Goods go back from where they came in and by the lots that came, also where the
// return names none; a return that is sent again books nothing.
func TestReturnsWithoutALot(t *testing.T) {
	ctx := context.Background()
	s := imported(t)
	o := placeOrder(t, s, order("o1"))
	for i, r := range []Receipt{{Lot: "A", Packages: 3}, {Lot: "B", Packages: 4, Place: "flat/home"}} {
		r.Key, r.On = fmt.Sprint("r", i), workDay
		if err := s.Receive(ctx, o.Number, []Receipt{r}, "olga", noon); err != nil {
			t.Fatal(err)
		}
	}
	back := func(key, lot string, n float64) error {
		return s.ReturnGoods(ctx, o.Number, Return{Key: key, Product: "white", Lot: lot, Packages: n, Unit: "box"}, "olga", noon)
	}
	holds := func(step string, a, b float64) {
		t.Helper()
		if l := levelOf(t, s, "", "white", "A", "box"); l.OnHand != a {
			t.Errorf("%s: %g of lot A lie in the yard, want %g", step, l.OnHand, a)
		}
		if l := levelOf(t, s, "flat/home", "white", "B", "box"); l.OnHand != b {
			t.Errorf("%s: %g of lot B lie on site, want %g", step, l.OnHand, b)
		}
		if l := levelOf(t, s, "", "white", "", "box"); l != (StockLevel{}) {
			t.Errorf("%s: something is booked without a lot: %+v", step, l)
		}
	}
	holds("came", 3, 4)
	if err := back("too-many", "", 8); !errors.Is(err, ErrConflict) || !strings.Contains(err.Error(), ": 7 boxes of ") {
		t.Errorf("8 of 7 go back: %v", err)
	}
	if err := back("of-a", "A", 4); !errors.Is(err, ErrConflict) {
		t.Errorf("4 of 3 of lot A go back: %v", err)
	}
	for range 2 {
		if err := back("five", "", 5); err != nil {
			t.Fatal(err)
		}
		holds("five gone", 2, 0)
	}
	placed, err := s.Placed(ctx)
	if err != nil || placed[0].Lines[0].Quantity != 5 {
		t.Errorf("the order brings %+v, %v", placed, err)
	}
	came, err := s.Received(ctx)
	if err != nil || len(came) != 1 || came[0].Lot != "A" || came[0].Packages != 2 {
		t.Errorf("what came and stayed: %+v, %v", came, err)
	}
}
