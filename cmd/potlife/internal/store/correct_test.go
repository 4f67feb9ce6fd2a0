package store

import (
	"context"
	"errors"
	"strings"
	"testing"
	"time"

	"potlife/rooms"
	"potlife/scheduler"
)

func TestCorrectionsAreRecordsOfTheirOwn(t *testing.T) {
	ctx := context.Background()
	s := imported(t)
	add := func(key, kind, corrects string) error {
		r := areaDone(key, "ann", noon)
		r.Kind, r.Corrects = kind, corrects
		_, err := s.AddRecord(ctx, r, noon)
		return err
	}
	for _, c := range []struct{ key, kind, corrects, refused string }{
		{"wrong", "area done", "", ""},
		{"right", "area done", "wrong", ""},
		{"again", "area done", "wrong", "corrected by ann already"},
		{"back", Withdrawn, "right", ""},
		{"un-back", "area done", "back", "report it again"},
		{"nothing", Withdrawn, "k99", "no report k99"},
	} {
		err := add(c.key, c.kind, c.corrects)
		if c.refused == "" && err != nil || c.refused != "" && (!errors.Is(err, ErrConflict) || !strings.Contains(err.Error(), c.refused)) {
			t.Errorf("%s: %v, want %q", c.key, err, c.refused)
		}
	}
	all, err := s.Records(ctx, 0)
	if err != nil || len(all) != 3 {
		t.Fatalf("%d records stand, %v", len(all), err)
	}
	if all[0].CorrectedBy != "right" || all[1].CorrectedBy != "back" || all[2].CorrectedBy != "" {
		t.Errorf("corrected by %q, %q, %q", all[0].CorrectedBy, all[1].CorrectedBy, all[2].CorrectedBy)
	}
	if got := InForce(all); len(got) != 0 {
		t.Errorf("in force: %+v", got)
	}
}

// Others who reported on the same work are named, whatever they said of it;
// what was put right is not.
func TestSameWorkNamesTheOthers(t *testing.T) {
	ctx := context.Background()
	s := imported(t)
	add := func(key, who, kind, corrects string) Added {
		r := areaDone(key, who, noon)
		r.Kind, r.Corrects = kind, corrects
		a, err := s.AddRecord(ctx, r, noon)
		if err != nil {
			t.Fatal(err)
		}
		return a
	}
	add("1", "ann", "area done", "")
	if a := add("2", "bea", "area not done", ""); len(a.Same) != 1 || a.Same[0].Who != "ann" {
		t.Errorf("another word on the same area names %+v", a.Same)
	}
	if a := add("3", "ann", "area started", ""); len(a.Same) != 0 {
		t.Errorf("a start is told of %+v", a.Same)
	}
	if a := add("4", "cleo", "area done", "2"); len(a.Same) != 1 || a.Same[0].Key != "1" {
		t.Errorf("a correction names %+v", a.Same)
	}
	if a := add("5", "dora", "area done", ""); len(a.Same) != 2 {
		t.Errorf("%d others, want ann and cleo: %+v", len(a.Same), a.Same)
	}
}

func TestRecordsBelongToTheDayOfTheirSheet(t *testing.T) {
	ctx := context.Background()
	s := imported(t)
	zone := time.FixedZone("east", 9*3600)
	day := rooms.Date{Year: 2026, Month: 11, Day: 24}
	late := areaDone("late", "ann", noon) // reported on the 25th, of the 24th
	late.Day = day
	loose := areaDone("loose", "ann", time.Date(2026, 11, 23, 16, 0, 0, 0, time.UTC)) // the 24th there
	other := areaDone("other", "ann", noon)
	if _, err := s.AddRecords(ctx, []Record{late, loose, other}, noon); err != nil {
		t.Fatal(err)
	}
	got, err := s.RecordsOfDays(ctx, "north", day, day, zone)
	if err != nil || len(got) != 2 || got[0].Key != "loose" || got[1].Key != "late" {
		t.Errorf("of %s: %+v, %v", day, got, err)
	}
	if got, err = s.RecordsOfDays(ctx, "east", day, day, zone); err != nil || len(got) != 0 {
		t.Errorf("of another crew: %+v, %v", got, err)
	}
}

// Boxes opened leave the stock once, whether they were reserved or not, and come
// back when the report is taken back.
func TestBoxesOpenedLeaveTheStock(t *testing.T) {
	ctx := context.Background()
	s := imported(t)
	onHand := func() map[string]float64 {
		t.Helper()
		got, err := s.Stock(ctx)
		if err != nil {
			t.Fatal(err)
		}
		out := map[string]float64{}
		for _, h := range got {
			if h.Product == "white" {
				out[h.Place+" "+h.Lot] += h.Quantity
			}
		}
		return out
	}
	before := onHand()
	if err := s.Move(ctx, []Movement{
		{At: noon, Kind: CameIn, Place: "flat/mill", Product: "white", Lot: "K7", Unit: "box", Quantity: 10, Why: "test"},
		{At: noon, Kind: Reserved, Place: "flat/mill", Product: "white", Lot: "K7", Unit: "box", Quantity: -4, Why: "sheet of north on 2026-11-25"},
	}); err != nil {
		t.Fatal(err)
	}
	open := func(key, corrects string, n float64) {
		t.Helper()
		r := Record{Key: key, Who: "ann", Corrects: corrects, Record: scheduler.Record{Kind: "boxes opened", At: noon, Crew: "north", Day: rooms.Date{Year: 2026, Month: 11, Day: 25},
			Room: "flat/bath", Product: "white", Lot: "K7", Packages: n}}
		if n == 0 {
			r.Kind = Withdrawn
		}
		for range 2 {
			if _, err := s.AddRecord(ctx, r, noon); err != nil {
				t.Fatal(err)
			}
		}
	}
	for _, c := range []struct {
		key, corrects string
		n, left       float64 // on hand less what is still reserved
	}{
		{"a", "", 3, 6},  // of the four reserved, three are used: nothing more is gone
		{"b", "", 3, 4},  // one was reserved, two come on top
		{"c", "b", 1, 6}, // it was one, not three
		{"d", "a", 0, 6}, // they were not opened at all: their reservation stands again
	} {
		open(c.key, c.corrects, c.n)
		if got := onHand()["flat/mill K7"] - before["flat/mill K7"]; got != c.left {
			t.Errorf("after %s: %g boxes, want %g", c.key, got, c.left)
		}
	}
}
