package store

import (
	"context"
	"errors"
	"fmt"
	"sync"
	"sync/atomic"
	"testing"
	"time"

	"github.com/google/go-cmp/cmp"

	"potlife/rooms"
	"potlife/scheduler"
	"potlife/takeoff"
)

var workDay = rooms.Date{Year: 2026, Month: 11, Day: 26}

func sheet(revision int, pieces ...string) NewIssue {
	n := NewIssue{Crew: "north", Date: workDay, Revision: revision, Sheet: []byte(fmt.Sprintf(`{ "b": 1, "a": %d }`, revision)),
		Text: fmt.Sprint("sheet ", revision), FrozenUntil: noon.Add(30 * time.Hour),
		Messages: []Message{{Key: fmt.Sprint("north 2026-11-26 ", revision), Channel: "mail", To: "north@example.org"}}}
	if revision > 1 {
		n.Differences = []string{"area 2 moved to Friday"}
	}
	for i, id := range pieces {
		n.Pieces = append(n.Pieces, IssuedPiece{ID: id, Job: "flat", Room: "bath-1", Surface: "south", Zone: "zone-0", Area: "area-1",
			Label: "1.0" + fmt.Sprint(i), Course: 1, Position: i, Tile: "white", Full: i > 0, Stock: "s" + fmt.Sprint(i), Lot: "A-7"})
	}
	return n
}

func pieceIDs(t *testing.T, s *Store) []string {
	t.Helper()
	pieces, err := s.IssuedPieces(context.Background())
	if err != nil {
		t.Fatal(err)
	}
	var ids []string
	for _, p := range pieces {
		ids = append(ids, fmt.Sprint(p.ID, " ", p.Crew, " ", p.Date()))
	}
	return ids
}

func TestIssueRevisions(t *testing.T) {
	ctx := context.Background()
	s := imported(t)
	for i, n := range []NewIssue{sheet(1, "p1", "p2"), sheet(2, "p2", "p3")} {
		ok, err := s.IssueSheet(ctx, n, noon.Add(time.Duration(i)*time.Hour))
		if err != nil || !ok {
			t.Fatalf("revision %d: issued %v, %v", n.Revision, ok, err)
		}
		if again, err := s.IssueSheet(ctx, n, noon.Add(9*time.Hour)); err != nil || again {
			t.Errorf("revision %d again: issued %v, %v", n.Revision, again, err)
		}
	}
	if _, err := s.IssueSheet(ctx, sheet(4), noon); !errors.Is(err, ErrConflict) {
		t.Errorf("revision 4 after 2: %v", err)
	}
	first, err := s.Issue(ctx, "north", workDay, 1)
	if err != nil || first.Current() || string(first.Sheet) != `{ "b": 1, "a": 1 }` || !first.ReplacedAt.Equal(noon.Add(time.Hour)) {
		t.Errorf("revision 1 reads %+v (%s), %v", first, first.Sheet, err)
	}
	now, err := s.CurrentIssue(ctx, "north", workDay)
	if err != nil || now.Revision != 2 || now.Text != "sheet 2" || now.Date() != workDay || len(now.Differences) != 1 {
		t.Errorf("the current one reads %+v, %v", now, err)
	}
	if d := cmp.Diff([]string{"p2 north 2026-11-26", "p3 north 2026-11-26"}, pieceIDs(t, s)); d != "" {
		t.Errorf("issued pieces (-want +got):\n%s", d)
	}
	list, err := s.Issues(ctx, workDay, workDay)
	if err != nil || len(list) != 2 || list[0].Revision != 1 || list[1].Revision != 2 {
		t.Errorf("Issues: %+v, %v", list, err)
	}
	if m, err := s.Messages(ctx, true, 10); err != nil || len(m) != 2 {
		t.Errorf("%d messages, %v; want one a revision", len(m), err)
	}
	days, err := s.WorkDays(ctx, workDay)
	if err != nil || len(days) != 1 || days[0].Revision != 2 || days[0].Date() != workDay {
		t.Errorf("WorkDays: %+v, %v", days, err)
	}
	if at, err := s.Frozen(ctx); err != nil || len(at) != 1 || !at["north"].Equal(noon.Add(30*time.Hour)) {
		t.Errorf("Frozen: %v, %v", at, err)
	}
	if _, err := s.CurrentIssue(ctx, "east", workDay); !errors.Is(err, ErrNotFound) {
		t.Errorf("a sheet never issued: %v", err)
	}
}

// However many replicas issue at once, one does, and everything that belongs to
// the sheet is there once.
func TestOneIssuePerCrewAndDay(t *testing.T) {
	ctx := context.Background()
	s := imported(t)
	for revision := 1; revision <= 3; revision++ {
		var issued atomic.Int32
		var wg sync.WaitGroup
		for range 20 {
			wg.Go(func() {
				ok, err := s.IssueSheet(ctx, sheet(revision, "p1"), noon)
				if err != nil {
					t.Error(err)
				}
				if ok {
					issued.Add(1)
				}
			})
		}
		wg.Wait()
		if issued.Load() != 1 {
			t.Errorf("revision %d was issued %d times", revision, issued.Load())
		}
	}
	if m, _ := s.Messages(ctx, true, 100); len(m) != 3 {
		t.Errorf("%d messages; want one a revision", len(m))
	}
}

func TestPieceStandsOnOneSheet(t *testing.T) {
	ctx := context.Background()
	s := imported(t)
	if _, err := s.IssueSheet(ctx, sheet(1, "p1", "p2"), noon); err != nil {
		t.Fatal(err)
	}
	other := sheet(1, "p2")
	other.Crew = "east"
	if ok, err := s.IssueSheet(ctx, other, noon); ok || !errors.Is(err, ErrConflict) {
		t.Errorf("a piece on two crews' sheets of a day: issued %v, %v", ok, err)
	}
	if days, _ := s.WorkDays(ctx, workDay); len(days) != 1 {
		t.Errorf("a refused issue left %d days", len(days))
	}
	other.Date = workDay.AddDays(1) // not set on the first day, so it comes again
	if ok, err := s.IssueSheet(ctx, other, noon); !ok || err != nil {
		t.Errorf("a piece comes again: issued %v, %v", ok, err)
	}
	if d := cmp.Diff([]string{"p1 north 2026-11-26", "p2 east 2026-11-27"}, pieceIDs(t, s)); d != "" {
		t.Errorf("issued pieces (-want +got):\n%s", d)
	}
}

func TestIssuedSurfaceCannotLeaveItsJob(t *testing.T) {
	ctx := context.Background()
	s := imported(t)
	if _, err := s.IssueSheet(ctx, sheet(1, "p1"), noon); err != nil {
		t.Fatal(err)
	}
	j := fullJob("flat")
	j.Sites[0].Rooms[0].Surfaces = j.Sites[0].Rooms[0].Surfaces[1:]
	if _, err := s.ImportJobs(ctx, []rooms.Job{j}, noon); !errors.Is(err, ErrConflict) {
		t.Errorf("taking out a surface of which pieces are issued: %v", err)
	}
	j = fullJob("flat") // changing it is fine
	j.Sites[0].Rooms[0].Surfaces[0].Name = "the south wall"
	if _, err := s.ImportJobs(ctx, []rooms.Job{j}, noon); err != nil {
		t.Errorf("changing a surface of which pieces are issued: %v", err)
	}
}

func TestPiecesOf(t *testing.T) {
	p := &scheduler.Plan{
		Areas: []scheduler.Area{{ID: "a1", Pieces: []string{"x/1.01"}}, {ID: "a2", Pieces: []string{"x/1.02"}}},
		Stock: []takeoff.StockTile{{ID: "s9", Lot: "A", Pieces: []takeoff.StockPiece{{Piece: "x/1.01"}}}},
		Layouts: []takeoff.Layout{{Job: "flat", Room: "flat/bath-1", Surface: "flat/bath-1/south", Zones: []takeoff.ZoneLayout{{
			Zone:   rooms.Zone{Key: "field"},
			Pieces: []takeoff.Piece{{ID: "x/1.01", Label: "1.01", Course: 1, Position: 1, Tile: "white"}, {ID: "x/1.02"}}}}}},
	}
	got := PiecesOf(p, scheduler.Sheet{Crew: "north", Date: workDay, Areas: []string{"a1"}})
	want := []IssuedPiece{{ID: "x/1.01", Job: "flat", Room: "bath-1", Surface: "south", Zone: "field", Area: "a1", Label: "1.01",
		Course: 1, Position: 1, Tile: "white", Stock: "s9", Lot: "A", Crew: "north", Day: day(workDay)}}
	if d := cmp.Diff(want, got); d != "" {
		t.Errorf("(-want +got):\n%s", d)
	}
}

func TestRevisionReservesTheDifference(t *testing.T) {
	ctx := context.Background()
	s := imported(t)
	stock := func() map[string]float64 {
		t.Helper()
		all, err := s.Stock(ctx)
		if err != nil {
			t.Fatal(err)
		}
		out := map[string]float64{}
		for _, h := range all {
			out[h.Product+" "+h.Lot+" "+h.Unit] = h.Quantity
		}
		return out
	}
	before := stock()
	revisions := [][]OnHand{
		{{Product: "white", Lot: "A-7", Unit: "box", Quantity: 5}, {Product: "mortar", Unit: "package", Quantity: 2}},
		{{Product: "white", Lot: "A-7", Unit: "box", Quantity: 3}, {Product: "white", Lot: "A-7", Unit: "box", Quantity: 1}, {Product: "grout", Unit: "package", Quantity: 1}},
		nil,
	}
	want := []map[string]float64{
		{"white A-7 box": -5, "mortar  package": -2, "grout  package": 0},
		{"white A-7 box": -4, "mortar  package": 0, "grout  package": -1},
		{"white A-7 box": 0, "mortar  package": 0, "grout  package": 0},
	}
	for i, reserve := range revisions {
		n := sheet(i + 1)
		n.Reserve = reserve
		for range 2 { // issuing again reserves nothing more
			if _, err := s.IssueSheet(ctx, n, noon); err != nil {
				t.Fatal(err)
			}
		}
		after := stock()
		for k, d := range want[i] {
			if got := after[k] - before[k]; got != d {
				t.Errorf("revision %d: %s changed by %g, want %g", i+1, k, got, d)
			}
		}
	}
	bad := sheet(4)
	bad.Reserve = []OnHand{{Product: "white", Unit: "box", Quantity: -1}}
	if _, err := s.IssueSheet(ctx, bad, noon); !errors.Is(err, ErrInvalid) {
		t.Errorf("reserving less than nothing: %v", err)
	}
}
