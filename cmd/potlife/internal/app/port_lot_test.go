package app

import (
	"context"
	"errors"
	"slices"
	"strings"
	"testing"

	"potlife/cmd/potlife/internal/plandoc"
	"potlife/cmd/potlife/internal/store"
	"potlife/cmd/potlife/internal/web"
	"potlife/rooms"
	"potlife/takeoff"
)

// Another lot: looking changes nothing; a draft is placed with the lot, an order
// that was placed is changed, in part where the lot is not enough and that is
// meant; what was not looked at, or has changed since, is refused; taking it twice
// is taking it once.
func TestAnotherLotIsTaken(t *testing.T) {
	ctx := context.Background()
	day := rooms.Date{Year: 2026, Month: 11, Day: 26}
	f := demoFirm(t, "inches", day, day.AddDays(20))
	p, olga := Pages{f.App}, web.User{Name: "olga"}
	plan := func() *store.SavedPlan {
		t.Helper()
		saved, err := f.o.Store.CurrentPlan(ctx)
		if err != nil {
			t.Fatal(err)
		}
		return saved
	}
	line := -1
	i := slices.IndexFunc(plan().Plan.Orders, func(o takeoff.Order) bool {
		line = slices.IndexFunc(o.Lines, func(l takeoff.OrderLine) bool { return l.Unit == "box" && l.Lot == "" && l.Quantity > 2 })
		return line >= 0
	})
	if i < 0 {
		t.Fatal("the plan buys no tile")
	}
	o := plan().Plan.Orders[i]
	l := o.Lines[line]
	in := web.LotIn{Order: o.Key, Line: line + 1, Lot: "B7"}
	got, err := p.OtherLot(ctx, in)
	if err != nil {
		t.Fatal(err)
	}
	if !slices.Equal(got.Whole, l.Rooms) || len(got.Mixed) > 0 || got.Difference != "0.00" || got.Planned != "" {
		t.Errorf("all of a lot: %+v", got)
	}
	if all, err := f.o.Store.Orders(ctx); err != nil || len(all) != 0 {
		t.Fatalf("looking placed %d orders, %v", len(all), err)
	}
	refused := func(err error, what string) {
		t.Helper()
		var bad *web.Error
		if !errors.As(err, &bad) || !strings.Contains(bad.Text, what) {
			t.Errorf("%v, want a refusal that says %q", err, what)
		}
	}
	take := web.TakeLotIn{LotIn: in, Seen: "guessed", By: olga}
	refused(p.TakeLot(ctx, take), "when you looked")
	take.Seen = got.Seen
	for range 2 {
		if err := p.TakeLot(ctx, take); err != nil {
			t.Fatal(err)
		}
	}
	placed, err := f.o.Store.Orders(ctx)
	if err != nil || len(placed) != 1 || placed[0].Lines[line].Lot != "B7" || placed[0].Lines[line].Quantity != l.Quantity || placed[0].Total != o.Total {
		t.Fatalf("placed: %+v, %v", placed, err)
	}
	if _, err := f.Replan(ctx, "test"); err != nil {
		t.Fatal(err)
	}
	of := func(lot string) bool {
		return slices.ContainsFunc(plan().Plan.Rows, func(r takeoff.Row) bool {
			return takeoff.GoodsKey(r.Tile) == l.Product && r.Lot == lot && slices.Equal(r.Rooms, l.Rooms)
		})
	}
	if !of("B7") {
		t.Error("the plan does not know of the lot taken")
	}

	// Two boxes of a third lot, of another calibre: the rooms are mixed.
	in = web.LotIn{Order: "1", Line: line + 1, Lot: "C9", Boxes: 2, Calibre: "07"}
	if got, err = p.OtherLot(ctx, in); err != nil {
		t.Fatal(err)
	}
	if !slices.Equal(got.Mixed, l.Rooms) || len(got.Whole) > 0 || got.Planned != "B7" {
		t.Errorf("two boxes of a lot: %+v", got)
	}
	take = web.TakeLotIn{LotIn: in, Seen: got.Seen, By: olga}
	refused(p.TakeLot(ctx, take), "two lots side by side")
	take.Mixed = true
	// Somebody confirms one box less in the meantime.
	less := slices.Clone(placed[0].Lines)
	less[line].Quantity--
	less[line].Amount = takeoff.Amount(int(less[line].Quantity), l.UnitPrice)
	if _, err := f.o.Store.AmendOrder(ctx, 1, less, nil, "olga", "", nil, f.at); err != nil {
		t.Fatal(err)
	}
	refused(p.TakeLot(ctx, take), "when you looked")
	if _, err := f.o.Store.AmendSeen(ctx, 1, placed[0].Lines, less, nil, "olga", "", nil, f.at); err == nil || !strings.Contains(err.Error(), "changed since you looked") {
		t.Errorf("an order that has changed is changed on: %v", err)
	}
	if got, err = p.OtherLot(ctx, in); err != nil {
		t.Fatal(err)
	}
	take.Seen = got.Seen
	if err := p.TakeLot(ctx, take); err != nil {
		t.Fatal(err)
	}
	after, err := f.o.Store.Order(ctx, 1)
	if err != nil {
		t.Fatal(err)
	}
	last := after.Lines[len(after.Lines)-1]
	if last.Lot != "C9" || last.Quantity != 2 || !strings.Contains(last.Text, "calibre 07") || after.Lines[line].Quantity != l.Quantity-3 || after.Lines[line].Lot != "B7" {
		t.Errorf("the order stands at %+v", after.Lines)
	}
	if note := after.Events[len(after.Events)-1].Note; !strings.Contains(note, "2 boxes of "+nameOf(plan(), l.Product)+", lot C9") {
		t.Errorf("its history says %q", note)
	}
	refused(p.TakeLot(ctx, take), "when you looked") // a second time

	for _, c := range []struct {
		in   web.LotIn
		want string
	}{
		{web.LotIn{Order: "1", Line: 99, Lot: "D"}, "lines 1 to"},
		{web.LotIn{Order: "nowhere", Line: 1, Lot: "D"}, "There is no order"},
		{web.LotIn{Order: "1", Line: line + 1, Lot: "B7"}, "already"},
	} {
		_, err := p.OtherLot(ctx, c.in)
		refused(err, c.want)
	}
	d := &Daemon{App: f.App}
	lines, err := d.OtherLot(ctx, plandoc.LotAsked{Order: "1", Line: line + 1, Lot: "D3"})
	if err != nil || !strings.Contains(strings.Join(lines, "\n"), "lot D3 instead of lot B7") || !strings.Contains(lines[len(lines)-1], "Nothing is changed") {
		t.Errorf("the command line says %q, %v", lines, err)
	}
	if _, err := d.OtherLot(ctx, plandoc.LotAsked{Order: "1", Line: 99, Lot: "D3"}); !errors.Is(err, store.ErrInvalid) {
		t.Errorf("a line that is none: %v", err)
	}
}

// nameOf is the name of a tile.
func nameOf(saved *store.SavedPlan, key string) string {
	for _, t := range saved.Plan.Firm.Catalogue.Tiles {
		if t.Key == key {
			return t.Name
		}
	}
	return ""
}
