package scheduler

import (
	"reflect"
	"slices"
	"testing"
	"time"

	"potlife/rooms"
)

// twoCrews is a firm with a room each for two crews, both with work on the first
// day of the plan.
func twoCrews(t *testing.T) (Input, *Plan) {
	t.Helper()
	in := small(t, 3, 2)
	n := 0
	for s := range in.Jobs[0].Sites {
		for r := range in.Jobs[0].Sites[s].Rooms {
			in.Jobs[0].Sites[s].Rooms[r].Crew = []string{"alder", "birch"}[n%2]
			n++
		}
	}
	return in, made(t, in)
}

// sheetOn is the n-th sheet of a crew.
func sheetOn(t *testing.T, p *Plan, crew string, n int) Sheet {
	t.Helper()
	for _, s := range p.Sheets {
		if s.Crew == crew {
			if n == 0 {
				return s
			}
			n--
		}
	}
	t.Fatalf("crew %s has too few sheets", crew)
	return Sheet{}
}

// What is issued to one crew binds that crew alone: another whose days were not
// issued has its work planned again from today on, and none of it counts as
// done.
func TestFrozenByCrew(t *testing.T) {
	in, p := twoCrews(t)
	clock := Clock{p.Epoch, in.Firm.Zone}
	d := sheetOn(t, p, "alder", 2).Date
	next := in
	next.Prior, next.Placed, next.Today = p, p.Orders, d.AddDays(1)
	next.Frozen = map[string]time.Time{"alder": d.AddDays(1).In(in.Firm.Zone)}
	q := replanned(t, next)
	end, kept, again := clock.DayStart(d.AddDays(1)), 0, 0
	for _, a := range p.Activities {
		i := slices.IndexFunc(q.Activities, func(b Activity) bool { return b.ID == a.ID })
		switch {
		case a.Crew == "alder" && a.Start < end:
			kept++
			if i < 0 || q.Activities[i].Start != a.Start || q.Activities[i].State != "done, unconfirmed" {
				t.Errorf("%s was issued and is now %+v", a.ID, q.Activities[max(i, 0)])
			}
		case a.Crew == "birch" && a.Start < end:
			again++
		}
	}
	for _, b := range q.Activities {
		if b.Crew == "birch" && (b.State != "planned" || b.Start < end) {
			t.Errorf("%s was never issued and stands at %s as %q", b.ID, clock.At(b.Start), b.State)
		}
	}
	if kept == 0 || again == 0 {
		t.Fatalf("%d activities kept and %d planned again: the test shows nothing", kept, again)
	}
}

// Nothing new starts before From: what can no longer be issued for today is not
// planned for today, and neither is it counted as done tomorrow.
func TestNothingStartsBeforeFrom(t *testing.T) {
	in, p := twoCrews(t)
	clock := Clock{p.Epoch, in.Firm.Zone}
	d := sheetOn(t, p, "alder", 0).Date
	for _, from := range []time.Time{d.In(in.Firm.Zone).Add(13*time.Hour + 15*time.Minute), d.AddDays(1).In(in.Firm.Zone)} {
		next := in
		next.Prior, next.Placed, next.Today, next.From = p, p.Orders, d, from
		q := replanned(t, next)
		for _, a := range q.Activities {
			if a.Crew != "" && clock.At(a.Start).Before(from) {
				t.Errorf("%s starts at %s, before %s", a.ID, clock.At(a.Start), from)
			}
		}
	}
}

// A day issued ahead of its time leaves another crew's days before it free, and
// its own stay as they are.
func TestAnotherCrewIsNotBoundByADayIssuedAhead(t *testing.T) {
	in, p := twoCrews(t)
	clock := Clock{p.Epoch, in.Firm.Zone}
	far := sheetOn(t, p, "alder", 3).Date
	next := in
	next.Prior, next.Placed = p, p.Orders
	next.Frozen = map[string]time.Time{"alder": far.AddDays(1).In(in.Firm.Zone)}
	held := sheetOn(t, p, "birch", 0).Date.AddDays(1)
	next.Jobs = withReady(next.Jobs, "birch", held)
	q := replanned(t, next)
	moved := 0
	for _, b := range q.Activities {
		i := slices.IndexFunc(p.Activities, func(a Activity) bool { return a.ID == b.ID })
		if b.Crew == "birch" && clock.At(b.Start).Before(held.In(in.Firm.Zone)) {
			t.Errorf("%s starts at %s although the room is ready on %s only", b.ID, clock.At(b.Start), held)
		}
		if i >= 0 && b.Crew == "birch" && b.Start != p.Activities[i].Start {
			moved++
		}
		if i >= 0 && b.Crew == "alder" && clock.Day(b.Start).Before(far.AddDays(1)) && !reflect.DeepEqual(b.Work, p.Activities[i].Work) {
			t.Errorf("%s was issued and moved", b.ID)
		}
	}
	if moved == 0 {
		t.Fatal("nothing of the other crew moved: the test shows nothing")
	}
}

// withReady copies jobs with the rooms of a crew ready on a day.
func withReady(in []rooms.Job, crew string, on rooms.Date) []rooms.Job {
	out := slices.Clone(in)
	for j := range out {
		out[j].Sites = slices.Clone(out[j].Sites)
		for s := range out[j].Sites {
			site := &out[j].Sites[s]
			site.Rooms = slices.Clone(site.Rooms)
			for r := range site.Rooms {
				if site.Rooms[r].Crew == crew {
					site.Rooms[r].Ready = on
				}
			}
		}
	}
	return out
}
