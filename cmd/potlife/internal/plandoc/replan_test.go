package plandoc_test

import (
	"context"
	"fmt"
	"testing"
	"time"

	"potlife/cmd/potlife/internal/plandoc"
	"potlife/scheduler"
)

// TestReplanWithoutNews makes each plan again from itself, first with nothing
// issued and then with its first day issued: lots, boxes and orders stay, and starts where
// nothing is issued, unless crews change rooms less often than before.
func TestReplanWithoutNews(t *testing.T) {
	for seed := range 8 {
		t.Run(fmt.Sprint("seed ", seed), func(t *testing.T) {
			in := randomInput(uint64(seed))
			was, err := scheduler.Make(context.Background(), in)
			if err != nil {
				t.Fatal(err)
			}
			in.Prior = was
			for _, issued := range []bool{false, true} {
				if issued {
					in.Frozen = map[string]time.Time{}
					for _, c := range in.Firm.Crews {
						in.Frozen[c.Key] = was.Sheets[0].Date.AddDays(1).In(in.Firm.Zone)
					}
					in.Now = was.Sheets[0].Date.In(in.Firm.Zone)
				}
				is, err := scheduler.Make(context.Background(), in)
				if err != nil {
					t.Fatal(err)
				}
				same(t, was, is, !issued)
				is.Firm = in.Firm
				for _, b := range plandoc.Check(plandoc.FromPlan(is)) {
					t.Error(b)
				}
			}
		})
	}
}

// moves is how often crews change rooms.
func moves(p *scheduler.Plan) int {
	n, last := 0, map[string]string{}
	for _, a := range p.Activities { // in order of start
		if a.Crew == "" {
			continue
		}
		if r, ok := last[a.Crew]; ok && r != a.Room {
			n++
		}
		last[a.Crew] = a.Room
	}
	return n
}

func same(t *testing.T, was, is *scheduler.Plan, starts bool) {
	t.Helper()
	if len(was.Rows) != len(is.Rows) || len(was.Orders) != len(is.Orders) {
		t.Fatalf("%d rows and %d orders, there were %d and %d", len(is.Rows), len(is.Orders), len(was.Rows), len(was.Orders))
	}
	for i, r := range was.Rows {
		if n := is.Rows[i]; n.Lot != r.Lot || n.Boxes != r.Boxes || n.FromStock != r.FromStock {
			t.Errorf("%s for %s: lot %q, %d boxes, %d from stock; it was %q, %d, %d", r.Tile, r.Group, n.Lot, n.Boxes, n.FromStock, r.Lot, r.Boxes, r.FromStock)
		}
	}
	if !starts || moves(is) < moves(was) { // what is issued frees the search to improve the rest, and so may luck
		return
	}
	start := map[string]int{}
	for _, a := range was.Activities {
		start[a.ID] = a.Start
	}
	for _, a := range is.Activities {
		if s, ok := start[a.ID]; !ok || s != a.Start {
			t.Errorf("%s starts at %d, it was %d (%v)", a.ID, a.Start, s, ok)
			return
		}
	}
}
