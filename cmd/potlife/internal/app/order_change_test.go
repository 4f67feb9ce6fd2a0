package app

import (
	"context"
	"encoding/json"
	"errors"
	"slices"
	"strings"
	"testing"

	"potlife/cmd/potlife/internal/deliver"
	"potlife/cmd/potlife/internal/store"
	"potlife/cmd/potlife/internal/web"
	"potlife/rooms"
	"potlife/takeoff"
)

// A placed order that is changed or cancelled tells its supplier, once, with the
// change; nothing that was refused is told. Goods added for a room whose client
// signs wait for the signature.
func TestTheSupplierIsToldOfChanges(t *testing.T) {
	ctx := context.Background()
	day := rooms.Date{Year: 2026, Month: 11, Day: 26}
	f := demoFirm(t, "inches", day, day.AddDays(20))
	p, olga := Pages{f.App}, web.User{Name: "olga"}
	saved, err := f.o.Store.CurrentPlan(ctx)
	if err != nil {
		t.Fatal(err)
	}
	i := slices.IndexFunc(saved.Plan.Orders, func(o takeoff.Order) bool {
		return slices.ContainsFunc(saved.Plan.Firm.Catalogue.Suppliers, func(s takeoff.Supplier) bool { return s.Key == o.Supplier && s.Email != "" })
	})
	if i < 0 {
		t.Fatal("no supplier has an address")
	}
	o := saved.Plan.Orders[i]
	if err := p.Place(ctx, web.PlaceIn{Key: "place-1", Order: o.Key, By: olga}); err != nil {
		t.Fatal(err)
	}
	order, err := p.orderNamed(ctx, o.Key)
	if err != nil {
		t.Fatal(err)
	}
	told := func() []deliver.Message {
		t.Helper()
		all, err := f.o.Store.Messages(ctx, true, 50)
		if err != nil {
			t.Fatal(err)
		}
		var out []deliver.Message
		for _, m := range all {
			var d deliver.Message
			if err := json.Unmarshal(m.Body, &d); err != nil {
				t.Fatal(err)
			}
			if strings.HasPrefix(d.ID, orderMailPrefix) {
				out = append(out, d)
			}
		}
		return out // the latest first
	}
	if got := told(); len(got) != 1 {
		t.Fatalf("placing it wrote %d mails", len(got))
	}
	// Its jobs ask for signatures from here on.
	jobs, err := f.o.Store.Jobs(ctx)
	if err != nil {
		t.Fatal(err)
	}
	for i := range jobs {
		jobs[i].ClientSigns = true
	}
	if _, err := f.o.Store.Import(ctx, store.Import{Jobs: jobs, Who: "test", Source: "change"}, f.at); err != nil {
		t.Fatal(err)
	}
	if saved, err = f.Replan(ctx, "test"); err != nil {
		t.Fatal(err)
	}
	l := o.Lines[0]
	draft := takeoff.Order{Key: "draft", Lines: []takeoff.OrderLine{{Product: l.Product, Lot: l.Lot, Rooms: l.Rooms}}}
	saved.Plan.Orders = append(saved.Plan.Orders, draft)
	add := takeoff.Change{Order: o.Key, Kind: takeoff.Add, Product: l.Product, Lot: l.Lot, Quantity: 2, Unit: l.Unit}
	by := web.AdjustIn{Key: "add-1", Order: o.Key, By: olga}
	var refused *web.Error
	if err := refuse(p.amend(ctx, saved, order, add, by)); !errors.As(err, &refused) || refused.Kind != web.Conflict || !strings.Contains(refused.Text, "signed") {
		t.Fatalf("goods were added unsigned: %v", err)
	}
	if now, err := f.o.Store.Order(ctx, order.Number); err != nil || now.Lines[0].Quantity != l.Quantity || len(told()) != 1 {
		t.Errorf("what was refused changed the order (%v) or was told", err)
	}
	reduce := takeoff.Change{Order: o.Key, Kind: takeoff.Reduce, Product: l.Product, Lot: l.Lot, Quantity: 1, Unit: l.Unit}
	if err := p.amend(ctx, saved, order, reduce, by); err != nil {
		t.Fatalf("fewer goods need no signature: %v", err)
	}
	signings, err := p.Signings(ctx, l.Rooms)
	if err != nil {
		t.Fatal(err)
	}
	for room, g := range signings {
		if err := p.Sign(ctx, web.SignIn{Key: "sign " + room, Room: room, Digest: g.Digest, Signer: "Q. Reed", On: day.String(), By: olga}); err != nil {
			t.Fatal(err)
		}
	}
	if order, err = p.orderNamed(ctx, o.Key); err != nil {
		t.Fatal(err)
	}
	if err := p.amend(ctx, saved, order, add, by); err != nil {
		t.Fatalf("goods are not added although it is signed: %v", err)
	}
	if now, err := f.o.Store.Order(ctx, order.Number); err != nil || now.Lines[0].Quantity != l.Quantity+1 {
		t.Errorf("the line stands at %g, want %g (%v)", now.Lines[0].Quantity, l.Quantity+1, err)
	}
	for range 2 { // the second time it is refused, and told to nobody
		err = p.Step(ctx, web.StepIn{Order: "1", To: store.OrderCancelled, By: olga, Note: "another tile"})
	}
	if err == nil {
		t.Error("cancelled twice")
	}
	got := told()
	if len(got) != 4 {
		t.Fatalf("%d mails, want one for placing, two changes and the cancellation", len(got))
	}
	for i, want := range []string{"Cancelled: order no. 1", "Changed: order no. 1", "Changed: order no. 1", "Order no. 1"} {
		if !strings.HasPrefix(got[i].Subject, want) || got[i].To != got[3].To {
			t.Errorf("mail %d is %q to %s", i, got[i].Subject, got[i].To)
		}
	}
	if !strings.Contains(got[0].Text, "another tile") || len(got[0].Files) != 0 || len(got[1].Files) != 2 || !strings.Contains(got[2].Text, "→") {
		t.Errorf("the mails say:\n%s\n%s", got[0].Text, got[2].Text)
	}
}
