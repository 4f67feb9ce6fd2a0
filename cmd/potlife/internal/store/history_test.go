package store

import (
	"context"
	"errors"
	"fmt"
	"strings"
	"testing"
	"time"

	"github.com/google/go-cmp/cmp"
	"github.com/jackc/pgx/v5"

	"potlife/rooms"
	"potlife/scheduler"
	"potlife/takeoff"
)

func TestTimeline(t *testing.T) {
	ctx := context.Background()
	s := imported(t)
	j := fullJob("flat")
	j.Sites[0].Rooms[0].Name = "the bath"
	j.Sites[0].Rooms[1].Name = "the other bath"
	j.Sites[0].Rooms[0].Surfaces[0].Edges[1].Seen = false
	if _, err := s.Import(ctx, Import{Jobs: []rooms.Job{j}, Who: "olga"}, noon.Add(time.Hour)); err != nil {
		t.Fatal(err)
	}
	o := order("o1")
	o.Rooms = []string{"flat/bath-1"}
	if _, err := s.PlaceOrder(ctx, o, "olga", nil, noon.Add(2*time.Hour)); err != nil {
		t.Fatal(err)
	}
	if _, err := s.IssueSheet(ctx, sheet(1, "p1"), noon.Add(3*time.Hour)); err != nil {
		t.Fatal(err)
	}
	for i, r := range []scheduler.Record{
		{Kind: "area done", Area: "flat/bath-1/a2", Note: "corner left open"},
		{Kind: "reading", Surface: "flat/bath-1/south"},
		{Kind: "area done", Area: "flat/bath-2/a1"},
		{Kind: "area done", Area: "flat/bath-11/a1"},
	} {
		r.At = noon.Add(time.Duration(4+i) * time.Hour)
		if _, err := s.AddRecord(ctx, Record{Record: r, Key: fmt.Sprint(i), Who: "ann"}, r.At); err != nil {
			t.Fatal(err)
		}
	}
	got, err := s.Timeline(ctx, "flat/bath-1")
	if err != nil {
		t.Fatal(err)
	}
	var lines []string
	for _, h := range got {
		lines = append(lines, fmt.Sprintf("%s %s %s %s", h.At.UTC().Format("15:04"), h.Kind, h.Who, h.Text))
	}
	want := []string{
		"13:00 import olga edge flat/bath-1/south#1: seen yes → no",
		"13:00 import olga room flat/bath-1: name text * → the bath",
		"14:00 order olga order 1 placed",
		"15:00 sheet north sheet of 2026-11-26, revision 1",
		"16:00 record ann area done: corner left open",
		"17:00 record ann reading",
	}
	if len(lines) != len(want) {
		t.Fatalf("timeline %q", lines)
	}
	for i := range want {
		if !matches(want[i], lines[i]) {
			t.Errorf("entry %d: %q, want %q", i, lines[i], want[i])
		}
	}
	if _, err := s.Timeline(ctx, "flat/attic"); !errors.Is(err, ErrNotFound) {
		t.Errorf("a room that does not exist: %v", err)
	}
}

func TestAmendOrder(t *testing.T) {
	ctx := context.Background()
	s := imported(t)
	o := placeOrder(t, s, order("o1"))
	if err := s.Receive(ctx, o.Number, []Receipt{{Key: "r1", Line: 0, Lot: "B", Packages: 6, On: workDay}}, "olga", noon); err != nil {
		t.Fatal(err)
	}
	amend := func(change func(l []takeoff.OrderLine) []takeoff.OrderLine) (*Order, error) {
		return s.AmendOrder(ctx, o.Number, change(order("o1").Lines), nil, "olga", "layout changed:", func(*Order) ([]Message, error) { return []Message{{Key: "amend", Channel: "mail"}}, nil }, noon)
	}
	refusals := map[string]func(l []takeoff.OrderLine) []takeoff.OrderLine{
		"have been received": func(l []takeoff.OrderLine) []takeoff.OrderLine { l[0].Quantity, l[0].Amount = 5, 5*251_500; return l },
		"cannot become":      func(l []takeoff.OrderLine) []takeoff.OrderLine { l[1].Product = "grout"; return l },
		"the change names 2": func(l []takeoff.OrderLine) []takeoff.OrderLine { return l[:2] },
		"amount_check":       func(l []takeoff.OrderLine) []takeoff.OrderLine { l[1].Amount = -1; return l },
	}
	for want, change := range refusals {
		if _, err := amend(change); err == nil || !strings.Contains(err.Error(), want) {
			t.Errorf("error %v; want %q", err, want)
		}
	}
	got, err := amend(func(l []takeoff.OrderLine) []takeoff.OrderLine {
		l[0].Quantity, l[0].Amount = 8, 8*251_500
		l[1].Quantity, l[1].Amount = 0, 0
		return append(l, takeoff.OrderLine{Product: "grout", Quantity: 2, Unit: "bag", UnitPrice: 90_000, Amount: 180_000, Rooms: []string{"flat/bath-1"}})
	})
	if err != nil {
		t.Fatal(err)
	}
	if got.Total != 8*251_500+450_000+180_000 || len(got.Lines) != 4 || got.State != OrderPartReceived {
		t.Errorf("amended: %+v", got)
	}
	if d := cmp.Diff([]string{"flat/bath-1"}, got.Rooms); d != "" {
		t.Error(d)
	}
	names := map[string]string{}
	if err := s.read(ctx, func(tx pgx.Tx) (err error) { names, err = goodsNames(ctx, tx); return err }); err != nil {
		t.Fatal(err)
	}
	want := fmt.Sprintf("layout changed: line 1, %s: 10 boxes → 8 boxes; line 2, %s: 4 bags → 0 bags; line 4 added: 2 bags of %s", names["white"], names["mortar"], names["grout"])
	if last := got.Events[len(got.Events)-1]; last.Note != want {
		t.Errorf("history says %q, want %q", last.Note, want)
	}
	// What is left completes the order.
	if err := s.Receive(ctx, o.Number, []Receipt{{Key: "r2", Line: 0, Packages: 2, On: workDay}, {Key: "r3", Line: 3, Packages: 2, On: workDay}}, "olga", noon); err != nil {
		t.Fatal(err)
	}
	if got, _ := s.Order(ctx, o.Number); got.State != OrderReceived {
		t.Errorf("order is %s", got.State)
	}
	if _, err := amend(func(l []takeoff.OrderLine) []takeoff.OrderLine { return l }); !errors.Is(err, ErrConflict) {
		t.Errorf("changing a received order: %v", err)
	}
}
