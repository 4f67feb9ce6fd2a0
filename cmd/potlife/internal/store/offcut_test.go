package store

import (
	"context"
	"errors"
	"slices"
	"testing"

	"potlife/rooms"
	"potlife/takeoff"
)

// kept is an offcut of the tile "white" of fullFirm.
func kept(key string, w, h rooms.Length) takeoff.YardOffcut {
	return takeoff.YardOffcut{Key: key, Tile: "white", Lot: "L1", Width: w * rooms.Millimetre, Height: h * rooms.Millimetre, Left: true, Bottom: true}
}

func inHand(t *testing.T, s *Store) (keys []string) {
	t.Helper()
	list, err := s.OffcutsInHand(context.Background())
	if err != nil {
		t.Fatal(err)
	}
	for _, o := range list {
		keys = append(keys, o.Key)
	}
	return keys
}

func TestOffcutsAreKept(t *testing.T) {
	ctx := context.Background()
	s := imported(t)
	f := fullFirm()
	f.Catalogue.Offcuts = []takeoff.YardOffcut{kept("file1", 40, 50), kept("file2", 60, 50)}
	if _, err := s.ImportFirm(ctx, f, noon); err != nil {
		t.Fatal(err)
	}
	for i, step := range []struct {
		o    takeoff.YardOffcut
		key  string
		kept bool
		err  error
	}{
		{kept("shelf", 70, 50), "shelf", true, nil},
		{kept("shelf", 70, 50), "shelf", false, nil}, // again
		{kept("shelf", 71, 50), "shelf", false, ErrConflict},
		{kept("file1", 71, 50), "file1", false, ErrConflict},
		{kept("", 70, 50), "no1", true, nil},
		{kept("", 70, 50), "no2", true, nil}, // another piece like it
		{takeoff.YardOffcut{Key: "x", Tile: "pink", Width: 1, Height: 1}, "x", false, ErrInvalid},
		{kept("wide", 99_999, 50), "wide", false, ErrInvalid},
	} {
		before, _ := s.Basis(ctx)
		key, fresh, err := s.KeepOffcut(ctx, step.o, "olga", noon)
		if key != step.key || fresh != step.kept || !errors.Is(err, step.err) {
			t.Errorf("step %d: %q, %v, %v; want %q, %v, %v", i, key, fresh, err, step.key, step.kept, step.err)
		}
		if now, _ := s.Basis(ctx); (now != before) != step.kept {
			t.Errorf("step %d: a plan would follow is %v", i, now != before)
		}
	}
	if got := inHand(t, s); !slices.Equal(got, []string{"file1", "file2", "no1", "no2", "shelf"}) {
		t.Errorf("in hand %v", got)
	}
	if f, err := s.Firm(ctx); err != nil || len(f.Catalogue.Offcuts) != 2 || f.Catalogue.Offcuts[0] != kept("file1", 40, 50) {
		t.Errorf("the firm's file has %+v, %v", f.Catalogue.Offcuts, err)
	}

	before, _ := s.Basis(ctx)
	for range 2 {
		if err := s.OffcutGone(ctx, "no1", "olga", noon); err != nil {
			t.Fatal(err)
		}
	}
	if now, _ := s.Basis(ctx); now == before {
		t.Error("a plan would not follow an offcut that is gone")
	}
	if err := s.OffcutGone(ctx, "none", "olga", noon); !errors.Is(err, ErrNotFound) {
		t.Error(err)
	}
	// A plan takes over what a job left and uses up what it cuts; it does not overtake
	// itself by that.
	p := fullPlan()
	p.ToYard, p.Spent = []takeoff.YardOffcut{kept("job/room/wall/field/0.1.1", 30, 40)}, []string{"file1", "shelf"}
	before, _ = s.Basis(ctx)
	for range 2 {
		if _, err := s.SavePlan(ctx, NewPlan{Plan: p}, noon); err != nil {
			t.Fatal(err)
		}
	}
	if now, _ := s.Basis(ctx); now != before {
		t.Error("a plan overtakes itself")
	}
	want := []string{"file2", "job/room/wall/field/0.1.1", "no2"}
	if got := inHand(t, s); !slices.Equal(got, want) {
		t.Errorf("in hand %v, want %v", got, want)
	}
	// Counted again, the piece that is used up stays so; one no longer counted goes.
	f.Catalogue.Offcuts = []takeoff.YardOffcut{kept("file1", 40, 50), kept("file3", 60, 50)}
	if _, err := s.ImportFirm(ctx, f, noon); err != nil {
		t.Fatal(err)
	}
	if got := inHand(t, s); !slices.Equal(got, []string{"file3", "job/room/wall/field/0.1.1", "no2"}) {
		t.Errorf("counted again: in hand %v", got)
	}
	all, err := s.Offcuts(ctx)
	if err != nil || len(all) != 6 {
		t.Errorf("%d offcuts were ever kept, %v", len(all), err)
	}
	for _, o := range all {
		if by := map[string]string{"no1": "olga"}[o.Key]; o.GoneBy != by {
			t.Errorf("%s: gone by %q", o.Key, o.GoneBy)
		}
	}
}

// The plan in force is read back with what it says of offcuts in hand.
func TestPlanKeepsItsOffcuts(t *testing.T) {
	ctx := context.Background()
	s := imported(t)
	o := kept("a", 40, 50)
	p := fullPlan()
	p.Stock = []takeoff.StockTile{{ID: "offcut/a", Tile: "white", Lot: "L1", Offcut: &o, Gone: []rooms.Polygon{{Outer: rooms.Rect(0, 0, 8000, 8000)}}, Pieces: p.Stock[0].Pieces}}
	if _, err := s.SavePlan(ctx, NewPlan{Plan: p}, noon); err != nil {
		t.Fatal(err)
	}
	for _, read := range []func(context.Context) (*SavedPlan, error){s.CurrentPlan, func(ctx context.Context) (*SavedPlan, error) { return s.PlanByID(ctx, 1) }} {
		got, err := read(ctx)
		if err != nil {
			t.Fatal(err)
		}
		st := got.Plan.Stock[0]
		if st.Offcut == nil || *st.Offcut != o || len(st.Gone) != 1 {
			t.Errorf("%+v", st)
		}
	}
}
