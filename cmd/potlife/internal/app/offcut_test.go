package app

import (
	"bytes"
	"context"
	"slices"
	"strings"
	"testing"

	"potlife/cmd/potlife/internal/plandoc"
	"potlife/cmd/potlife/internal/web"
	"potlife/rooms"
	"potlife/takeoff"
)

// An offcut is recorded in the yard, the next plan cuts from it and buys no tile for
// what comes of it, the sheet says which to fetch, and once the day has begun it is gone. When
// the job is put away, what its tiles left lies in the yard.
func TestAnOffcutFromTheYardToTheSheetAndAway(t *testing.T) {
	ctx := context.Background()
	monday := rooms.Date{Year: 2027, Month: 1, Day: 18}
	f := demoFirm(t, "", monday.AddDays(-14), monday)
	pages := Pages{f.App}
	firm, err := f.o.Store.Firm(ctx)
	if err != nil {
		t.Fatal(err)
	}
	firm.Limits.KeepOffcuts = true
	if _, err := f.o.Store.ImportFirm(ctx, firm, f.at); err != nil {
		t.Fatal(err)
	}
	f.catchUp("keep offcuts")
	tiles := func() (n int) {
		for _, r := range f.plan().Rows {
			if r.Tile == "mist" {
				n += r.Stock
			}
		}
		return n
	}
	was := tiles()
	olga := web.User{Name: "Olga", Role: web.Office}
	for _, in := range []web.OffcutIn{
		{Key: "k1", Tile: "mist", Lot: "A48", Width: "300", Height: "297", Edges: []string{"left", "bottom", "top"}, From: "Elm Row 3, hall", By: olga},
		{Key: "k2", Tile: "mist", Lot: "A48", Width: "590", Height: "200", Edges: []string{"right", "bottom"}, Place: "shelf 2", By: olga},
		{Key: "k3", Tile: "mist", Lot: "Z9", Width: "300", Height: "297", Edges: []string{"left", "bottom", "top"}, By: olga},
	} {
		if _, err := pages.KeepOffcut(ctx, in); err != nil {
			t.Fatal(err)
		}
	}
	if _, err := pages.KeepOffcut(ctx, web.OffcutIn{Key: "k4", Tile: "mist", Width: "900", Height: "200", By: olga}); err == nil || !strings.Contains(err.Error(), "width") {
		t.Errorf("an offcut wider than its tile: %v", err)
	}
	f.catchUp("offcuts recorded")
	used := map[string]string{} // offcut → piece
	for _, s := range f.plan().Stock {
		if s.InHand() {
			used[s.Offcut.Key] = s.Pieces[0].Piece
		}
	}
	if len(used) == 0 || used["k3"] != "" || tiles() >= was {
		t.Fatalf("used %v; %d tiles out of boxes, were %d", used, tiles(), was)
	}
	if stale, _ := f.o.Store.Overtaken(ctx); stale {
		t.Error("the plan overtakes itself")
	}
	key := slices.Sorted(func(yield func(string) bool) {
		for k := range used {
			if !yield(k) {
				return
			}
		}
	})[0]

	f.placeAll()
	listed := f.issueUntilListed(used[key])
	sheet := f.sheetWith(used[key])
	for _, want := range []string{"(from offcut K", "from offcuts in hand", map[string]string{"k1": "the offcut kept from Elm Row 3, hall", "k2": "marked k2"}[key]} {
		if !strings.Contains(sheet, want) {
			t.Errorf("the sheet lacks %q:\n%s", want, sheet)
		}
	}
	f.set(clockTimes(f.zone, listed, 23, 0))
	for range 2 { // what the first finds spent, the next is not offered
		if _, err := f.Replan(ctx, "the day is over"); err != nil {
			t.Fatal(err)
		}
	}
	list, err := pages.Offcuts(ctx)
	if err != nil {
		t.Fatal(err)
	}
	for _, o := range list {
		if o.Key == key && !o.Gone || o.Key == "k3" && o.Gone {
			t.Errorf("after the day: %+v", o)
		}
	}
	if got := f.plan(); !slices.Contains(got.Spent, key) || slices.ContainsFunc(got.Firm.Catalogue.Offcuts, func(o takeoff.YardOffcut) bool { return o.Key == key }) {
		t.Errorf("offcut %s is offered again; spent %v", key, got.Spent)
	}

	job, _, _ := strings.Cut(used[key], "/")
	if err := f.CloseJob(ctx, job); err != nil {
		t.Fatal(err)
	}
	f.catchUp("job put away")
	list, err = pages.Offcuts(ctx)
	if err != nil {
		t.Fatal(err)
	}
	left := 0
	for _, o := range list {
		if strings.HasPrefix(o.Key, job+"/") || strings.HasPrefix(o.Key, "offcut/") {
			left++
		}
	}
	if left == 0 || slices.ContainsFunc(f.plan().Jobs, func(j rooms.Job) bool { return j.Key == job }) {
		t.Errorf("%d offcuts are left by the job that was put away", left)
	}
	if err := pages.OffcutGone(ctx, "k3", olga); err != nil {
		t.Fatal(err)
	}
	f.catchUp("thrown away")
	if slices.ContainsFunc(f.plan().Firm.Catalogue.Offcuts, func(o takeoff.YardOffcut) bool { return o.Key == "k3" }) {
		t.Error("what was thrown away is still offered")
	}
}

// issueUntilListed walks through the evenings until a sheet lists the cuts of a piece,
// and returns its day.
func (f *firmOf) issueUntilListed(piece string) rooms.Date {
	f.t.Helper()
	from := rooms.DateOf(f.at.In(f.zone))
	for d := from; d.Before(from.AddDays(60)); d = d.AddDays(1) {
		f.set(clockTimes(f.zone, d, 10, 0))
		f.deliver(d)
		f.catchUp("deliveries")
		f.set(clockTimes(f.zone, d, 17, 0))
		for _, o := range f.mustIssue() {
			for _, s := range f.plan().Sheets {
				for _, g := range s.Cuts {
					if o.Issued > 0 && s.Crew == o.Crew && s.Date == o.Date && slices.Contains(g.Pieces, piece) {
						return o.Date
					}
				}
			}
		}
	}
	f.t.Fatalf("%s is on no sheet", piece)
	return rooms.Date{}
}

// sheetWith prints the sheet that lists a piece's cuts.
func (f *firmOf) sheetWith(piece string) string {
	f.t.Helper()
	_, doc, err := f.current(context.Background())
	if err != nil {
		f.t.Fatal(err)
	}
	for i, s := range doc.Sheets {
		for _, g := range s.Cuts {
			if slices.Contains(g.Pieces, piece) {
				var b bytes.Buffer
				if err := f.o.Print.DayFile(&b, doc, i, plandoc.Mark{}, "html"); err != nil {
					f.t.Fatal(err)
				}
				return b.String()
			}
		}
	}
	f.t.Fatalf("%s is on no sheet", piece)
	return ""
}
