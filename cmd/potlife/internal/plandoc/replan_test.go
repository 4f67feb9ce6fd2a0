package plandoc_test

import (
	"context"
	"encoding/json"
	"fmt"
	"testing"
	"time"

	"potlife/cmd/potlife/internal/plandoc"
	"potlife/rooms"
	"potlife/scheduler"
)

// TestReplanWithoutNews makes each plan again from itself, first with nothing
// issued and then with its first day issued: lots, boxes and orders stay, and starts where
// nothing is issued, unless rooms are less late or crews change rooms less often than
// before.
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

// late is when the rooms that are late are handed over, added up.
func late(p *scheduler.Plan) int {
	n := 0
	for _, r := range p.RoomDates {
		if r.LateDays > 0 {
			n += r.Finish
		}
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
	if !starts || late(is) < late(was) || moves(is) < moves(was) { // what is issued frees the search to improve the rest, and so may luck
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

// Work that was reported done at another time than planned leaves a document
// that keeps the rules, also to a checker that knows nothing of it.
func TestWorkDoneAtAnotherTime(t *testing.T) {
	moved := 0
	for seed := range 4 {
		for _, late := range []time.Duration{-4 * time.Hour, 3 * time.Hour} {
			in := randomInput(uint64(seed))
			was, err := scheduler.Make(context.Background(), in)
			if err != nil {
				t.Fatal(err)
			}
			clock := scheduler.Clock{Epoch: was.Epoch, Zone: in.Firm.Zone}
			day := was.Sheets[len(was.Sheets)/2].Date
			in.Prior, in.Placed, in.Today, in.Now, in.Frozen = was, was.Orders, day, day.In(in.Firm.Zone).Add(12*time.Hour), map[string]time.Time{}
			for _, c := range in.Firm.Crews {
				in.Frozen[c.Key] = day.AddDays(2).In(in.Firm.Zone)
			}
			for _, a := range was.Activities {
				if a.Crew != "" && clock.At(a.Finish).Add(late).Before(in.Now) {
					in.Records = append(in.Records, scheduler.Record{Kind: "activity done", Activity: a.ID, Crew: a.Crew, At: clock.At(a.Finish).Add(late)})
				}
			}
			is, err := scheduler.Make(context.Background(), in)
			if err != nil {
				t.Fatal(err)
			}
			is.Firm = in.Firm
			doc := plandoc.FromPlan(is)
			for _, b := range plandoc.Check(doc) {
				t.Errorf("seed %d, %s: %s", seed, late, b)
			}
			stranger(t, doc)
			for _, a := range is.Activities {
				if a.Ended != 0 && a.Ended != a.Finish {
					moved++
				}
			}
		}
	}
	if moved == 0 {
		t.Error("nothing was done at another time: the test shows nothing")
	}
}

// A document written after another is the one written by itself, to the byte, and
// shares with it what the plans share.
func TestDocumentAfterAnother(t *testing.T) {
	shared, all := map[string]int{}, 0
	for seed, units := range []string{"metric", "imperial", "metric", "imperial"} {
		in := randomInput(uint64(seed))
		in.Firm.Units = units
		was, err := scheduler.Make(context.Background(), in)
		if err != nil {
			t.Fatal(err)
		}
		before := plandoc.FromPlan(was)
		in.Prior = was
		in.Records = []scheduler.Record{{Kind: "pieces broken", At: was.Epoch, Pieces: was.Areas[0].Pieces[:1]},
			{Kind: "reading", At: was.Epoch, Surface: was.Layouts[len(was.Layouts)-1].Surface, Reading: rooms.Reading{Deviation: -2 * rooms.Millimetre}}}
		is, err := scheduler.Make(context.Background(), in)
		if err != nil {
			t.Fatal(err)
		}
		alone, after := plandoc.FromPlan(is), plandoc.FromPlanAfter(is, was, before)
		want, _ := json.Marshal(alone)
		got, err := json.Marshal(after)
		if err != nil || string(got) != string(want) {
			t.Errorf("seed %d, %s: the document written after another differs, %v", seed, units, err)
		}
		if found := plandoc.CheckAfter(after, before); len(found) > 0 {
			t.Errorf("seed %d: %v", seed, found)
		}
		for i := range after.Surfaces {
			all++
			if a, b := after.Surfaces[i].Zones, before.Surfaces[i].Zones; len(a) > 0 && len(b) > 0 && &a[0] == &b[0] {
				shared[units]++
			}
		}
	}
	if shared["metric"] == 0 || shared["imperial"] == 0 || shared["metric"]+shared["imperial"] == all {
		t.Errorf("of %d surfaces %v are shared: the test shows nothing", all, shared)
	}
}
