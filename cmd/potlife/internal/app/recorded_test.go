package app

import (
	"context"
	"errors"
	"fmt"
	"slices"
	"strings"
	"testing"
	"time"

	"potlife/cmd/potlife/internal/store"
	"potlife/cmd/potlife/internal/web"
	"potlife/rooms"
	"potlife/scheduler"
	"potlife/takeoff"
)

// onSite is a firm on the morning of a day on which an issued sheet sets tile,
// with all that was ordered delivered.
type onSite struct {
	*firmOf
	crew string
	day  rooms.Date
	area scheduler.Area
	n    int
}

// onEvenings starts a demonstration, orders all its goods and walks through the
// evenings until a sheet with work is out that the caller takes.
func onEvenings(t *testing.T, which, what string, takes func(f *firmOf, s Outcome) bool) {
	t.Helper()
	monday := rooms.Date{Year: 2027, Month: 1, Day: 18}
	f := demoFirm(t, which, monday.AddDays(-14), monday)
	f.placeAll()
	for d := monday.AddDays(-13); d.Before(monday.AddDays(40)); d = d.AddDays(1) {
		f.set(clockTimes(f.zone, d, 10, 0))
		f.deliver(d)
		f.catchUp("deliveries")
		f.set(clockTimes(f.zone, d, 17, 0))
		for _, o := range f.mustIssue() {
			if o.Issued > 0 && takes(f, o) {
				return
			}
		}
	}
	t.Fatalf("no sheet has %s", what)
}

// settingDay is the noon of a day with a setting area of at least eight pieces,
// its sheet out.
func settingDay(t *testing.T) (site *onSite) {
	t.Helper()
	onEvenings(t, twoBaths, "eight pieces to set", func(f *firmOf, o Outcome) bool {
		p := f.plan()
		clock := scheduler.Clock{Epoch: p.Epoch, Zone: f.zone}
		for _, a := range p.Areas {
			if a.Crew == o.Crew && clock.Day(a.Start) == o.Date && len(a.Pieces) >= 8 {
				f.set(clock.At(a.Finish).Add(30 * time.Minute))
				site = &onSite{firmOf: f, crew: o.Crew, day: o.Date, area: a}
				return true
			}
		}
		return false
	})
	return site
}

func (f *firmOf) catchUp(why string) {
	f.t.Helper()
	if stale, err := f.o.Store.Overtaken(context.Background()); err != nil || !stale {
		return
	}
	if err := f.CatchUp(context.Background(), why); err != nil {
		f.t.Fatal(err)
	}
}

// report sends a report by somebody of the office and lets the plan follow.
func (s *onSite) report(in web.RecordIn) web.RecordOut {
	s.t.Helper()
	out, err := s.try(in)
	if err != nil {
		s.t.Fatalf("%s: %v", in.Kind, err)
	}
	s.catchUp(in.Kind)
	return out
}

func (s *onSite) try(in web.RecordIn) (web.RecordOut, error) {
	s.n++
	in.Crew, in.Date = s.crew, s.day.String()
	if in.Key == "" {
		in.Key = fmt.Sprint("report-", s.n)
	}
	if in.By.Name == "" {
		in.By = web.User{Name: "Olive", Role: web.Office}
	}
	return Pages{s.App}.Record(context.Background(), in)
}

func (s *onSite) state() string {
	for _, a := range s.plan().Activities {
		if a.ID == s.area.Activity {
			return a.State
		}
	}
	return "gone"
}

// set counts the area's pieces that the plan in force has set on or before the day.
func (s *onSite) set() int {
	p, n := s.plan(), 0
	clock := scheduler.Clock{Epoch: p.Epoch, Zone: s.zone}
	for _, a := range p.Areas {
		for _, id := range a.Pieces {
			if slices.Contains(s.area.Pieces, id) && !s.day.Before(clock.Day(a.Start)) {
				n++
			}
		}
	}
	return n
}

func (s *onSite) broken() int {
	n := 0
	for _, t := range s.plan().Stock {
		if t.Broken {
			n++
		}
	}
	return n
}

func (s *onSite) revision() int {
	s.t.Helper()
	i, err := s.o.Store.CurrentIssue(context.Background(), s.crew, s.day)
	if err != nil {
		s.t.Fatal(err)
	}
	return i.Revision
}

// A piece that broke is listed to be cut again at once and its tile stays broken
// in the stock; taken back, the plan is as if it had never been reported. What
// was half set and put right is whole again.
func TestACorrectionUndoesWhatFollowed(t *testing.T) {
	s := settingDay(t)
	all, before := len(s.area.Pieces), s.broken()
	if s.set() != all {
		t.Fatalf("%d of %d pieces are planned for the day", s.set(), all)
	}
	s.report(web.RecordIn{Key: "broke", Kind: "pieces broken", Pieces: s.area.Pieces[2:4]})
	if got := s.broken(); got < before+1 {
		t.Errorf("%d tiles are broken, %d before", got, before)
	}
	if s.revision() < 2 {
		t.Error("no revision lists the recut")
	}
	s.report(web.RecordIn{Kind: store.Withdrawn, Corrects: "broke"})
	if got := s.broken(); got != before || s.set() != all {
		t.Errorf("taken back: %d tiles broken, %d of %d pieces on the day", got, s.set(), all)
	}
	s.report(web.RecordIn{Key: "half", Kind: "area done", Area: s.area.ID, Pieces: s.area.Pieces[:3]})
	if got := s.set(); got != 3 {
		t.Errorf("reported set up to the third: %d", got)
	}
	s.report(web.RecordIn{Key: "whole", Kind: "area done", Area: s.area.ID, Corrects: "half"})
	if got := s.set(); got != all || s.state() != "done" {
		t.Errorf("corrected to all: %d of %d, %s", got, all, s.state())
	}
	if _, err := s.try(web.RecordIn{Kind: "area done", Area: s.area.ID, Corrects: "half"}); err == nil || !strings.Contains(err.Error(), "already") {
		t.Errorf("a second correction of the same report: %v", err)
	}
	other := web.RecordIn{Kind: store.Withdrawn, Corrects: "whole"}
	if _, err := (Pages{s.App}).Record(context.Background(), func() web.RecordIn {
		other.Key, other.Crew, other.Date, other.By = "x", "nobody", s.day.String(), web.User{Name: "Bo"}
		return other
	}()); err == nil {
		t.Error("another crew takes the report back")
	}
}

// What nobody reports is done once the day is over, unconfirmed; said otherwise
// later, its pieces are planned again, a sheet that is out gets a revision, and a
// confirmation taken back is unconfirmed again.
func TestWhatNobodyReportedIsUnconfirmed(t *testing.T) {
	s := settingDay(t)
	s.report(web.RecordIn{Key: "done", Kind: "area done", Area: s.area.ID})
	if s.state() != "done" {
		t.Fatalf("reported done it is %q", s.state())
	}
	s.set1700()
	s.mustIssue()
	s.firmOf.set(clockTimes(s.zone, s.day.AddDays(1), 8, 0))
	s.report(web.RecordIn{Kind: store.Withdrawn, Corrects: "done"})
	if s.state() != "done, unconfirmed" {
		t.Errorf("the report taken back after the next day was issued, it is %q", s.state())
	}
	if got := s.set(); got != len(s.area.Pieces) {
		t.Errorf("unconfirmed, %d of %d pieces count as set", got, len(s.area.Pieces))
	}
	issues, err := s.o.Store.Issues(context.Background(), s.day.AddDays(1), s.day.AddDays(9))
	if err != nil {
		t.Fatal(err)
	}
	for _, a := range s.plan().Areas {
		if a.Activity == s.area.Activity {
			s.report(web.RecordIn{Kind: "area not done", Area: a.ID})
		}
	}
	if got := s.set(); got != 0 {
		t.Errorf("said not to have been done, %d pieces still count as set", got)
	}
	after, err := s.o.Store.Issues(context.Background(), s.day.AddDays(1), s.day.AddDays(9))
	if err != nil {
		t.Fatal(err)
	}
	if len(issues) > 0 && len(after) == len(issues) {
		t.Errorf("%d sheets were out and none was revised", len(issues))
	}
	rows, err := (Pages{s.App}).Records(context.Background(), s.crew, s.day.String())
	if err != nil || len(rows) < 3 || rows[0].Date != s.day.String() {
		t.Fatalf("reports of the day: %+v, %v", rows, err)
	}
	for _, r := range rows { // written the day after, they are of the sheet's day and of the end of its work
		if r.Date != s.day.String() || rooms.DateOf(r.At.In(s.zone)) != s.day {
			t.Errorf("%s is shown on %s, at %s", r.Kind, r.Date, r.At.In(s.zone))
		}
	}
}

func (s *onSite) set1700() { s.firmOf.set(clockTimes(s.zone, s.day, 17, 0)) }

// What makes no sense is refused; what does is answered with what to mind.
func TestReportsAreAnswered(t *testing.T) {
	s := settingDay(t)
	t.Run("nonsense changes nothing", func(t *testing.T) { nonsense(t, s) })
	p := s.plan()
	room := strings.Join(strings.Split(s.area.Surfaces[0], "/")[:2], "/")
	tile, lot := "", ""
	for _, r := range p.Rows {
		if slices.Contains(r.Rooms, room) && r.Lot != "" {
			tile, lot = r.Tile, r.Lot
		}
	}
	if tile == "" {
		t.Logf("no lot is known for %s; the warning is not tried", room)
	} else {
		if out := s.report(web.RecordIn{Kind: "boxes opened", Room: room, Product: tile, Lot: lot, Packages: 1}); strings.Contains(out.Message, "Mind") {
			t.Errorf("the right lot is answered %q", out.Message)
		}
		if out := s.report(web.RecordIn{Kind: "boxes opened", Area: s.area.ID, Product: tile, Lot: "ZZ-9", Packages: 1}); !strings.Contains(out.Message, lot) || !strings.Contains(out.Message, "ZZ-9") {
			t.Errorf("a wrong lot is answered %q", out.Message)
		}
	}
	s.report(web.RecordIn{Kind: "area done", Area: s.area.ID, Pieces: s.area.Pieces[:5]})
	out := s.report(web.RecordIn{Kind: "area done", Area: s.area.ID, By: web.User{Name: "Jo", Role: web.Crew, Crew: s.crew}})
	if !strings.Contains(out.Message, "Olive had reported") || !strings.Contains(out.Message, "5 pieces") || !strings.Contains(out.Message, "yours counts") {
		t.Errorf("a second person is told %q", out.Message)
	}
}

func nonsense(t *testing.T, s *onSite) {
	ctx := context.Background()
	basis, err := s.o.Store.Basis(ctx)
	if err != nil {
		t.Fatal(err)
	}
	jo := web.User{Name: "Jo", Role: web.Crew, Crew: s.crew}
	other := ""
	for _, a := range s.plan().Areas {
		if a.Crew != s.crew {
			other = a.ID
		}
	}
	for name, c := range map[string]struct {
		in   web.RecordIn
		says string
	}{
		"no such area":     {web.RecordIn{Kind: "area done", Area: "attic/9"}, "setting area"},
		"no such work":     {web.RecordIn{Kind: "activity done", Activity: "lunch"}, "activity"},
		"no such piece":    {web.RecordIn{Kind: "pieces broken", Pieces: []string{s.area.Pieces[0], "Z.99"}}, "piece Z.99"},
		"no such room":     {web.RecordIn{Kind: "boxes opened", Room: "a/b", Product: "x", Packages: 1}, "room"},
		"no such product":  {web.RecordIn{Kind: "boxes opened", Area: s.area.ID, Product: "gold", Packages: 1}, "product gold"},
		"no such surface":  {web.RecordIn{Kind: "reading", Surface: "a/b/c"}, "surface"},
		"an edge too many": {web.RecordIn{Kind: "reading", Surface: s.area.Surfaces[0], Edge: 99}, "edge"},
		"past the edge":    {web.RecordIn{Kind: "reading", Surface: s.area.Surfaces[0], EdgeAtMM: 90_000}, "long"},
		"two years ago":    {web.RecordIn{Kind: "note", Note: "n", At: s.now().AddDate(-2, 0, 0)}, "more than a year"},
		"no such report":   {web.RecordIn{Kind: store.Withdrawn, Corrects: "k-none"}, "k-none"},
		"another's area":   {web.RecordIn{Kind: "area done", Area: other, By: jo}, "another crew"},
	} {
		if name == "another's area" && other == "" {
			continue
		}
		_, err := s.try(c.in)
		var known *web.Error
		if !errors.As(err, &known) || !strings.Contains(known.Text, c.says) {
			t.Errorf("%s: %v, want %q", name, err, c.says)
		}
	}
	if now, err := s.o.Store.Basis(ctx); err != nil || now != basis {
		t.Errorf("from %s to %s (%v)", basis, now, err)
	}
}

// listedOn is on which days' sheets that are out a piece stands to be cut.
func (s *onSite) listedOn(piece string) []rooms.Date {
	s.t.Helper()
	var out []rooms.Date
	for _, sh := range s.plan().Sheets {
		for _, g := range sh.Cuts {
			if slices.Contains(g.Pieces, piece) && !slices.Contains(out, sh.Date) {
				out = append(out, sh.Date)
			}
		}
	}
	return out
}

// A piece said to have broken is listed to be cut again on the sheet that goes
// out next; taken back after that, the next revision lists it no more and the
// plan has it where it was set. Once the day of the recut has begun, the spare
// piece is told.
func TestARecutTakenBackAfterTheNextIssue(t *testing.T) {
	for _, begun := range []bool{false, true} {
		t.Run(fmt.Sprint("the recut's day begun ", begun), func(t *testing.T) { recutTakenBack(t, begun) })
	}
}

func recutTakenBack(t *testing.T, begun bool) {
	s := settingDay(t)
	ctx := context.Background()
	cut := ""
	for _, l := range s.plan().Layouts {
		for _, z := range l.Zones {
			for _, q := range z.Pieces {
				if slices.Contains(s.area.Pieces, q.ID) && !q.OnSite && len(q.Cuts) > 0 && cut == "" {
					cut = q.ID
				}
			}
		}
	}
	if cut == "" {
		t.Fatal("the area has no cut piece")
	}
	all, before, was := s.set(), s.broken(), s.listedOn(cut)
	tiles := len(s.plan().Stock)
	s.report(web.RecordIn{Key: "broke", Kind: "pieces broken", Pieces: []string{cut}})
	s.set1700()
	out := s.mustIssue()
	next := s.day.AddDays(1)
	for _, o := range out {
		if o.Issued > 0 && o.Crew == s.crew {
			next = o.Date
		}
	}
	again := s.listedOn(cut)
	if len(again) != 1 || slices.Equal(again, was) {
		t.Fatalf("listed on %v before and on %v after it broke", was, again)
	}
	if begun {
		s.firmOf.set(clockTimes(s.zone, next, 11, 0))
	} else {
		s.firmOf.set(clockTimes(s.zone, s.day, 18, 0))
	}
	old, err := s.o.Store.CurrentIssue(ctx, s.crew, again[0])
	if err != nil {
		t.Fatal(err)
	}
	s.report(web.RecordIn{Kind: store.Withdrawn, Corrects: "broke"})
	if got := s.listedOn(cut); !slices.Equal(got, was) {
		t.Errorf("taken back it is listed on %v, first it was on %v", got, was)
	}
	spare := slices.ContainsFunc(s.plan().Findings, func(f takeoff.Finding) bool { return f.Where == cut && f.Rule == "spare piece" })
	if got := s.set(); got != all || spare != begun {
		t.Errorf("%d of %d pieces count as set on the day; a spare piece is told: %v", got, all, spare)
	}
	want := before
	if begun {
		want++ // the tile of the recut is used up
	}
	if got := s.broken(); got != want || len(s.plan().Stock) != tiles+want-before {
		t.Errorf("%d tiles are lost, want %d; %d stock tiles, there were %d", got, want, len(s.plan().Stock), tiles)
	}
	now, err := s.o.Store.CurrentIssue(ctx, s.crew, again[0])
	if err != nil {
		t.Fatal(err)
	}
	if now.Revision != old.Revision+1 || !strings.Contains(strings.Join(now.Differences, "\n"), "no longer due") {
		t.Errorf("revision %d follows %d with %q", now.Revision, old.Revision, now.Differences)
	}
}
