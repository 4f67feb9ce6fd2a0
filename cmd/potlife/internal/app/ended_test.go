package app

import (
	"context"
	"encoding/json"
	"slices"
	"testing"
	"time"

	"potlife/cmd/potlife/internal/web"
	"potlife/rooms"
	"potlife/scheduler"
)

// coatingDay is an evening on which a sheet is out with work, of a kind that
// cures, that something else waits for until a later day; it returns that work
// and who waits how long.
func coatingDay(t *testing.T, kind string) (site *onSite, coat scheduler.Activity, waits map[string]int) {
	t.Helper()
	onEvenings(t, slowCoats, kind+" that is waited for", func(f *firmOf, o Outcome) bool {
		p := f.plan()
		clock := scheduler.Clock{Epoch: p.Epoch, Zone: f.zone}
		for _, b := range p.Activities {
			if b.Kind != kind || b.Crew != o.Crew || clock.Day(b.Start) != o.Date {
				continue
			}
			waits = map[string]int{}
			for _, a := range p.Activities {
				for _, l := range a.After {
					if l.Activity == b.ID && l.Least >= 120 && namedAfter(p, o.Date, b.Finish+l.Least) {
						waits[a.ID] = l.Least
					}
				}
			}
			if len(waits) > 0 {
				site, coat = &onSite{firmOf: f, crew: o.Crew, day: o.Date}, b
				return true
			}
		}
		return false
	})
	site.deliver(site.day) // what the days after are issued for is there
	return site, coat, waits
}

// namedAfter reports whether a sheet of a later day names a wait that ends at a minute.
func namedAfter(p *scheduler.Plan, day rooms.Date, minute int) bool {
	return slices.ContainsFunc(p.Sheets, func(sh scheduler.Sheet) bool {
		return day.Before(sh.Date) && slices.ContainsFunc(sh.Waits, func(w scheduler.Wait) bool { return w.Until == minute })
	})
}

// A coat that is reported later or earlier than planned starts its cure at that
// minute: in the plan, in the waits of the sheets, on the next one issued.
func TestACureBeginsWhenTheCoatIsReported(t *testing.T) {
	s, b, waits := coatingDay(t, "membrane")
	ctx := context.Background()
	clock := scheduler.Clock{Epoch: s.plan().Epoch, Zone: s.zone}
	holds := func(end int, when string) {
		t.Helper()
		p, told := s.plan(), 0
		for id, least := range waits {
			i := slices.IndexFunc(p.Activities, func(a scheduler.Activity) bool { return a.ID == id })
			if i < 0 {
				t.Errorf("%s: %s is gone", when, id)
				continue
			}
			a := p.Activities[i]
			if a.Start < end+least {
				t.Errorf("%s: %s starts at %s, the coat is dry at %s", when, id, clock.At(a.Start).Format(time.DateTime), clock.At(end+least).Format(time.DateTime))
			}
			for _, sh := range p.Sheets {
				for _, w := range sh.Waits {
					if w.Until == end+least {
						told++
					}
				}
			}
		}
		if told == 0 {
			t.Errorf("%s: no sheet names the minute at which the coat is dry", when)
		}
	}
	holds(b.Finish, "as planned")
	late, early := b.Finish+125, b.Finish-70
	s.firmOf.set(clock.At(late).Add(time.Minute))
	s.report(web.RecordIn{Key: "coat", Kind: "activity done", Activity: b.ID, At: clock.At(late)})
	holds(late, "late")
	s.report(web.RecordIn{Key: "coat-again", Kind: "activity done", Activity: b.ID, At: clock.At(early), Corrects: "coat"})
	holds(early, "corrected to early")
	s.report(web.RecordIn{Key: "coat-last", Kind: "activity done", Activity: b.ID, At: clock.At(late), Corrects: "coat-again"})
	holds(late, "corrected to late again")
	for d := s.day; d.Before(s.day.AddDays(4)); d = d.AddDays(1) { // the work that waits may have moved on by a day or two
		s.firmOf.set(clockTimes(s.zone, d, 17, 0))
		s.deliver(d)
		s.mustIssue()
	}
	issues, err := s.o.Store.Issues(ctx, s.day, s.day.AddDays(9))
	if err != nil {
		t.Fatal(err)
	}
	named := 0
	for _, i := range issues {
		var sheet struct{ Waits []struct{ Until time.Time } }
		full, err := s.o.Store.CurrentIssue(ctx, i.Crew, i.Date())
		if err != nil {
			t.Fatal(err)
		}
		if err := json.Unmarshal(full.Sheet, &sheet); err != nil {
			t.Fatal(err)
		}
		for _, w := range sheet.Waits {
			for _, least := range waits {
				if w.Until.Equal(clock.At(late + least)) {
					named++
				}
				if i.Date() == s.day.AddDays(1) && w.Until.Equal(clock.At(b.Finish+least)) {
					t.Errorf("the sheet of %s on %s still names the planned end of the coat", i.Crew, i.Date())
				}
			}
		}
	}
	if named == 0 {
		t.Error("no sheet that is out names the minute at which the coat is dry")
	}
}

// What waits for it and is out already is put off by a revision that says so.
func TestALateCoatRevisesTheSheetThatIsOut(t *testing.T) {
	s, b, waits := coatingDay(t, "membrane")
	ctx := context.Background()
	clock := scheduler.Clock{Epoch: s.plan().Epoch, Zone: s.zone}
	first, least := "", 0
	for id, n := range waits {
		if first == "" || id < first {
			first, least = id, n
		}
	}
	at := func() scheduler.Activity {
		p := s.plan()
		i := slices.IndexFunc(p.Activities, func(a scheduler.Activity) bool { return a.ID == first })
		if i < 0 {
			t.Fatalf("%s is gone", first)
		}
		return p.Activities[i]
	}
	was := at()
	next := clock.Day(was.Start)
	s.firmOf.set(clockTimes(s.zone, s.day, 6, 0))
	if _, err := s.IssueDay(ctx, next, true); err != nil {
		t.Fatal(err)
	}
	issue, err := s.o.Store.CurrentIssue(ctx, was.Crew, next)
	if err != nil {
		t.Fatal(err)
	}
	end := was.Start - least + 200
	s.firmOf.set(clock.At(max(end, b.Start)).Add(time.Minute))
	s.report(web.RecordIn{Kind: "activity done", Activity: b.ID, At: clock.At(end)})
	if is := at(); is.Start < end+least || is.Start <= was.Start {
		t.Errorf("%s stands at %s, dry is %s", first, clock.At(is.Start), clock.At(end+least))
	}
	revised, err := s.o.Store.CurrentIssue(ctx, was.Crew, next)
	if err != nil {
		t.Fatal(err)
	}
	if revised.Revision != issue.Revision+1 || len(revised.Differences) == 0 {
		t.Errorf("the sheet of %s stands at revision %d with differences %q", next, revised.Revision, revised.Differences)
	}
	t.Logf("%q %q", revised.Differences, revised.Moved)
}
