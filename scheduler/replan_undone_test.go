package scheduler

import (
	"slices"
	"testing"
	"time"
)

// What nobody reported counts as done, unconfirmed; said later not to have
// happened, its pieces are planned again and what follows in the room moves.
func TestAreaNotDoneAfterAll(t *testing.T) {
	in := small(t, 7, 2)
	p := made(t, in)
	a := firstArea(t, p, 6)
	clock := Clock{p.Epoch, in.Firm.Zone}
	day := clock.Day(a.Start)
	next := in
	next.Prior, next.Placed, next.Today = p, p.Orders, day.AddDays(1)
	next.Frozen = allUntil(in.Firm, day.AddDays(1).In(in.Firm.Zone))
	silent := replanned(t, next)
	state := func(q *Plan, id string) string {
		i := slices.IndexFunc(q.Activities, func(b Activity) bool { return b.ID == id })
		if i < 0 {
			return "gone"
		}
		return q.Activities[i].State
	}
	if got := state(silent, a.Activity); got != "done, unconfirmed" {
		t.Fatalf("without a report its state is %q", got)
	}
	again := next
	again.Prior = silent
	again.Records = []Record{{Kind: "area not done", Day: day, At: clock.At(a.Finish).Add(20 * time.Hour), Crew: a.Crew, Area: a.ID}}
	for _, b := range p.Areas {
		if b.Activity == a.Activity && b.ID != a.ID {
			again.Records = append(again.Records, Record{Kind: "area not done", Day: day, At: again.Records[0].At, Crew: a.Crew, Area: b.ID})
		}
	}
	q := replanned(t, again)
	frozen := clock.DayStart(day.AddDays(1))
	planned := map[string]bool{}
	for _, b := range q.Areas {
		for _, id := range b.Pieces {
			if b.Start < frozen && slices.Contains(a.Pieces, id) {
				t.Errorf("piece %s still counts as set in %s", id, b.ID)
			}
			planned[id] = true
		}
	}
	for _, id := range a.Pieces {
		if !planned[id] {
			t.Errorf("piece %s is set nowhere", id)
		}
	}
	if q.Finish < silent.Finish {
		t.Errorf("with work to do again it ends at %d, before %d", q.Finish, silent.Finish)
	}
	// Whoever knows better yet says so, and it counts as done.
	again.Records = append(again.Records, Record{Kind: "area done", At: again.Records[0].At.Add(time.Hour), Crew: a.Crew, Area: a.ID})
	if got := state(replanned(t, again), a.Activity); got != "done" {
		t.Errorf("reported done after all, its state is %q", got)
	}
}

func TestActivityNotDoneAfterAll(t *testing.T) {
	in := small(t, 7, 2)
	p := made(t, in)
	clock := Clock{p.Epoch, in.Firm.Zone}
	i := slices.IndexFunc(p.Activities, func(a Activity) bool { return a.Crew != "" && a.Kind != kindSet })
	if i < 0 {
		t.Fatal("no activity but setting")
	}
	a := p.Activities[i]
	next := in
	next.Prior, next.Placed, next.Today = p, p.Orders, clock.Day(a.Start).AddDays(1)
	next.Frozen = allUntil(in.Firm, next.Today.In(in.Firm.Zone))
	next.Records = []Record{{Kind: "activity done", At: clock.At(a.Finish), Crew: a.Crew, Activity: a.ID}}
	done := replanned(t, next)
	next.Prior = done
	next.Records = append(next.Records, Record{Kind: "activity not done", At: clock.At(a.Finish).Add(time.Hour), Crew: a.Crew, Activity: a.ID})
	for _, b := range replanned(t, next).Activities {
		if b.Room == a.Room && b.Kind == a.Kind && b.Start < clock.DayStart(next.Today) && b.ID == a.ID {
			t.Errorf("%s still stands on a day that is over (%s)", b.ID, b.State)
		}
	}
}

// Boxes opened in a room give what is set there, and the rest of the room, its lot.
func TestBoxesOpenedGiveTheRoomItsLot(t *testing.T) {
	in := small(t, 7, 2)
	p := made(t, in)
	a := firstArea(t, p, 6)
	clock := Clock{p.Epoch, in.Firm.Zone}
	room := roomOfSurface(a.Surfaces[0])
	tile := ""
	for _, s := range p.Stock {
		if len(s.Pieces) > 0 && slices.Contains(a.Pieces, s.Pieces[0].Piece) && s.Lot == "" {
			tile = s.Tile
		}
	}
	if tile == "" {
		t.Fatal("the area takes no tile without a lot")
	}
	next := in
	next.Prior, next.Placed, next.Today = p, p.Orders, clock.Day(a.Start).AddDays(1)
	next.Frozen = allUntil(in.Firm, next.Today.In(in.Firm.Zone))
	next.Records = []Record{{Kind: "boxes opened", At: clock.At(a.Start), Crew: a.Crew, Room: room, Product: tile, Lot: "K7", Packages: 2},
		{Kind: "boxes opened", At: clock.At(a.Start + 5), Crew: a.Crew, Room: room, Product: tile, Lot: "L8", Packages: 1}}
	q := replanned(t, next)
	for _, s := range q.Stock {
		if len(s.Pieces) > 0 && slices.Contains(a.Pieces, s.Pieces[0].Piece) && s.Tile == tile && s.Lot != "K7" {
			t.Errorf("%s, set from boxes of lot K7, is of lot %q", s.ID, s.Lot)
		}
	}
	for _, r := range q.Rows {
		if r.Tile == tile && slices.Contains(r.Rooms, room) && r.Lot != "K7" {
			t.Errorf("the rest of %s takes lot %q", room, r.Lot)
		}
	}
}
