package scheduler

import (
	"context"
	"encoding/json"
	"reflect"
	"slices"
	"strings"
	"testing"
	"time"

	"potlife/rooms"
	"potlife/takeoff"
)

// allUntil freezes every crew up to one instant.
func allUntil(f Firm, at time.Time) map[string]time.Time {
	out := map[string]time.Time{}
	for _, c := range f.Crews {
		out[c.Key] = at
	}
	return out
}

// frozenAfter is the n-th day with work of the plan, and the input that freezes it
// for every crew.
func frozenAfter(in Input, p *Plan, n int) (Input, rooms.Date) {
	var days []rooms.Date
	for _, s := range p.Sheets {
		if !slices.Contains(days, s.Date) {
			days = append(days, s.Date)
		}
	}
	d := days[min(n, len(days)-1)]
	next := in
	next.Prior, next.Placed = p, p.Orders
	next.Today = d
	next.Frozen = allUntil(in.Firm, d.AddDays(1).In(in.Firm.Zone))
	return next, d
}

// replanned is the plan of an input, held to its rules and to the promise that what
// goes in stays as it is: plans are shared.
func replanned(t *testing.T, in Input) *Plan {
	t.Helper()
	given, err := json.Marshal(in)
	if err != nil {
		t.Fatal(err)
	}
	p, err := Make(context.Background(), in)
	if err != nil {
		t.Fatalf("Make: %v", err)
	}
	if now, err := json.Marshal(in); err != nil || string(now) != string(given) {
		t.Errorf("Make changed what it was given, %v", err)
	}
	if err := CheckPlan(p); err != nil {
		t.Fatalf("CheckPlan: %v", err)
	}
	return p
}

func areaByID(p *Plan, id string) *Area {
	for i := range p.Areas {
		if p.Areas[i].ID == id {
			return &p.Areas[i]
		}
	}
	return nil
}

// A replan without news keeps what is frozen word for word and loses no piece.
func TestReplanKeepsWhatIsFrozen(t *testing.T) {
	for _, seed := range []uint64{2, 3, 6} {
		in := small(t, seed, 3)
		p := made(t, in)
		for step := 1; step < 12; step += 3 {
			next, d := frozenAfter(in, p, step)
			q := replanned(t, next)
			frozen := Clock{p.Epoch, in.Firm.Zone}.DayStart(d.AddDays(1))
			kept := 0
			for _, a := range p.Activities {
				if a.Start >= frozen || a.Kind == "hold" {
					continue
				}
				kept++
				i := slices.IndexFunc(q.Activities, func(b Activity) bool { return b.ID == a.ID })
				if i < 0 {
					t.Fatalf("seed %d, %s: activity %s is gone", seed, d, a.ID)
				}
				b := q.Activities[i]
				if b.State != "issued" && b.State != "done, unconfirmed" {
					t.Errorf("activity %s has state %q", b.ID, b.State)
				}
				a.State, b.State, a.Critical, b.Critical = "", "", false, false
				if !reflect.DeepEqual(a, b) {
					t.Errorf("seed %d: frozen activity changed:\n%+v\n%+v", seed, a, b)
				}
			}
			for _, a := range p.Areas {
				if b := areaByID(q, a.ID); a.Start < frozen && !reflect.DeepEqual(a, *b) {
					t.Errorf("seed %d: frozen area changed:\n%+v\n%+v", seed, a, *b)
				}
			}
			for _, s := range p.Sheets {
				if diff := Differences(p, q, s.Crew, s.Date); s.Date.Before(d.AddDays(1)) && len(diff) > 0 {
					t.Errorf("seed %d: issued sheet of %s for %s changed: %v", seed, s.Crew, s.Date, diff)
				}
			}
			if kept == 0 {
				t.Fatal("nothing was frozen: the test shows nothing")
			}
			p = q
		}
	}
}

// firstArea is the first area of the plan with at least n pieces.
func firstArea(t *testing.T, p *Plan, n int) *Area {
	t.Helper()
	for i := range p.Areas {
		if len(p.Areas[i].Pieces) >= n {
			return &p.Areas[i]
		}
	}
	t.Fatal("no area is large enough")
	return nil
}

// A piece that breaks while it is set is listed again and set later; one that
// is not reported counts as set.
func TestBrokenPieceIsSetAgain(t *testing.T) {
	in := small(t, 4, 2)
	p := made(t, in)
	a := firstArea(t, p, 5)
	clock := Clock{p.Epoch, in.Firm.Zone}
	id := ""
	for _, k := range a.Pieces[:len(a.Pieces)-1] {
		if q := pieceOf(p, k); len(q.Cuts) > 0 && !q.OnSite {
			id = k
		}
	}
	if id == "" {
		t.Skip("the first area has no cut piece")
	}
	next := in
	next.Prior, next.Placed, next.Today = p, p.Orders, clock.Day(a.Start)
	next.Frozen = allUntil(in.Firm, clock.Day(a.Start).AddDays(1).In(in.Firm.Zone))
	next.Records = []Record{{Kind: "pieces broken", At: clock.At(a.Start + 30), Crew: a.Crew, Pieces: []string{id}}}
	q := replanned(t, next)
	if slices.Contains(areaByID(q, a.ID).Pieces, id) {
		t.Error("the broken piece still counts as set")
	}
	if late := pieceOf(q, id).Late; !strings.Contains(late, "broken on") {
		t.Errorf("late reason is %q", late)
	}
	days := 0
	for _, s := range q.Sheets {
		for _, g := range s.Cuts {
			if slices.Contains(g.Pieces, id) {
				days++
				if s.Date.Before(clock.Day(a.Start).AddDays(1)) {
					t.Errorf("cut again on %s, a day that is issued", s.Date)
				}
			}
		}
	}
	if days == 0 {
		t.Error("the piece is not listed again")
	}
	n := 0
	for _, s := range q.Stock {
		if s.Broken {
			n++
		}
	}
	if n == 0 {
		t.Error("no stock tile is broken")
	}
}

func pieceOf(p *Plan, id string) *takeoff.Piece {
	for i := range p.Layouts {
		for z := range p.Layouts[i].Zones {
			for k := range p.Layouts[i].Zones[z].Pieces {
				if q := &p.Layouts[i].Zones[z].Pieces[k]; q.ID == id {
					return q
				}
			}
		}
	}
	return nil
}

// A day that ends early leaves the rest of its area to be planned again.
func TestAreaEndedEarly(t *testing.T) {
	in := small(t, 7, 2)
	p := made(t, in)
	a := firstArea(t, p, 6)
	clock := Clock{p.Epoch, in.Firm.Zone}
	next := in
	next.Prior, next.Placed, next.Today = p, p.Orders, clock.Day(a.Start)
	next.Frozen = allUntil(in.Firm, clock.Day(a.Start).AddDays(1).In(in.Firm.Zone))
	next.Records = []Record{{Kind: "area done", At: clock.At(a.Finish), Crew: a.Crew, Area: a.ID, Pieces: a.Pieces[:3]}}
	q := replanned(t, next)
	if got := areaByID(q, a.ID).Pieces; !slices.Equal(got, a.Pieces[:3]) {
		t.Errorf("the area keeps %v", got)
	}
	for _, id := range a.Pieces[3:] {
		for _, b := range q.Areas {
			if slices.Contains(b.Pieces, id) && b.Start < clock.Minute(next.Frozen[a.Crew]) {
				t.Errorf("piece %s is in area %s, which is frozen", id, b.ID)
			}
		}
	}
	i := slices.IndexFunc(q.Activities, func(b Activity) bool { return b.ID == a.Activity })
	if q.Activities[i].State != "done" {
		t.Errorf("state %q", q.Activities[i].State)
	}
}

// A wall measured narrower changes cuts on that edge only, and no origin.
func TestReadingChangesOneEdge(t *testing.T) {
	in := small(t, 9, 1)
	p := made(t, in)
	a := firstArea(t, p, 2)
	surface := a.Surfaces[0]
	clock := Clock{p.Epoch, in.Firm.Zone}
	next := in
	next.Prior, next.Placed, next.Today = p, p.Orders, clock.Day(a.Start)
	next.Frozen = allUntil(in.Firm, clock.At(a.Start+1))
	next.Records = []Record{{Kind: "reading", At: clock.At(a.Start), Surface: surface, Reading: rooms.Reading{Edge: 1, Deviation: -6 * mm}}}
	q := replanned(t, next)
	moved := 0
	for i := range p.Layouts {
		l, k := &p.Layouts[i], &q.Layouts[i]
		for z := range l.Zones {
			if l.Zones[z].Origin != k.Zones[z].Origin && l.Surface == surface {
				t.Errorf("%s: origin moved", l.Surface)
			}
			for x := range l.Zones[z].Pieces {
				was := &l.Zones[z].Pieces[x]
				is := pieceOf(q, was.ID)
				if is == nil || reflect.DeepEqual(was.Polygon, is.Polygon) {
					continue
				}
				moved++
				if l.Surface != surface || !strings.Contains(cutsAt(was), "edge 1") {
					t.Errorf("piece %s changed, its cuts are at %q", was.ID, cutsAt(was))
				}
			}
		}
	}
	t.Logf("%d pieces changed", moved)
}

func cutsAt(p *takeoff.Piece) string {
	var at []string
	for _, c := range p.Cuts {
		at = append(at, c.At)
	}
	return strings.Join(at, ", ")
}

func TestDifferencesSayWhatMoved(t *testing.T) {
	in := small(t, 2, 2)
	p := made(t, in)
	s := p.Sheets[0]
	if d := Differences(p, p, s.Crew, s.Date); len(d) > 0 {
		t.Errorf("a plan differs from itself: %v", d)
	}
	if d := Differences(p, nil, s.Crew, s.Date); len(d) != 1 || !strings.Contains(d[0], "no work is left") {
		t.Errorf("got %v", d)
	}
	q := *p
	q.Activities = slices.Clone(p.Activities)
	i := slices.IndexFunc(q.Activities, func(a Activity) bool { return a.ID == s.Activities[0] })
	q.Activities[i].Start += 15
	d := Differences(p, &q, s.Crew, s.Date)
	if len(d) != 1 || !strings.HasPrefix(d[0], "moved: ") {
		t.Errorf("got %v", d)
	}
}

// A crew that falls ill after its day was issued keeps that day and loses the next.
func TestAbsenceAfterIssue(t *testing.T) {
	in := small(t, 3, 2)
	p := made(t, in)
	next, d := frozenAfter(in, p, 2)
	next.Firm.Crews = slices.Clone(next.Firm.Crews)
	for i := range next.Firm.Crews {
		next.Firm.Crews[i].Off = []rooms.Date{d, d.AddDays(1)}
	}
	q := replanned(t, next)
	clock := Clock{q.Epoch, in.Firm.Zone}
	for _, a := range q.Activities {
		if a.Crew != "" && clock.Day(a.Start) == d.AddDays(1) {
			t.Errorf("%s works on the day off", a.ID)
		}
	}
}

// reports are what crews could say about the areas of a day: done, a piece
// broken, stopped half way, or nothing.
func reports(p *Plan, clock Clock, d rooms.Date, k int) []Record {
	var out []Record
	for _, a := range p.Areas {
		if on := clock.Day(a.Start); on != d && on != d.AddDays(-1) {
			continue
		}
		r := Record{Kind: "area done", At: clock.At(a.Finish), Crew: a.Crew, Area: a.ID}
		n := len(a.Pieces)
		switch (n + k) % 4 {
		case 0:
			out = append(out, r)
		case 1:
			if n > 4 {
				out = append(out, Record{Kind: "pieces broken", At: clock.At(a.Start + 20), Crew: a.Crew, Pieces: []string{a.Pieces[n/2]}})
			}
		case 2:
			if n > 4 {
				r.Pieces = a.Pieces[:n/2]
				out = append(out, r)
			}
		case 3:
			if k%4 == 1 {
				r.Kind = "area not done"
				out = append(out, r)
			}
		}
	}
	return out
}

// Whatever crews report, day after day, every plan keeps its rules, also when
// it is read back from where it was stored.
func TestRandomReportsKeepTheRules(t *testing.T) {
	broken, late := 0, 0
	for seed := uint64(1); seed <= 5; seed++ {
		in := small(t, seed, 1+int(seed%3))
		p := made(t, in)
		orders, clock := p.Orders, Clock{p.Epoch, in.Firm.Zone}
		var said []Record
		for step := 1; step < 10; step += 2 {
			next, d := frozenAfter(in, p, step)
			next.Placed = orders
			more := reports(p, clock, d, step)
			for i := range more { // done earlier or later than planned
				more[i].At = more[i].At.Add(time.Duration((i*97+step*31)%400-150) * time.Minute)
			}
			said = append(said, more...)
			next.Records = said
			if step%4 == 1 { // at noon, with the rest of the day to come
				next.Now = d.In(in.Firm.Zone).Add(12 * time.Hour)
			}
			q := replanned(t, next)
			p = stored(t, q)
		}
		for _, s := range p.Stock {
			if s.Broken {
				broken++
			}
		}
		for _, l := range p.Layouts {
			for _, z := range l.Zones {
				for _, q := range z.Pieces {
					if q.Late != "" {
						late++
					}
				}
			}
		}
	}
	if broken == 0 || late == 0 {
		t.Errorf("%d tiles broke and %d pieces came late: the test shows too little", broken, late)
	}
}

// stored writes a plan down and reads it back.
func stored(t *testing.T, p *Plan) *Plan {
	t.Helper()
	b, err := json.Marshal(p)
	if err != nil {
		t.Fatal(err)
	}
	var q Plan
	if err := json.Unmarshal(b, &q); err != nil {
		t.Fatal(err)
	}
	return &q
}

// A crew that reports tomorrow's work done today has done what comes before it.
func TestWorkAheadOfItsDay(t *testing.T) {
	in := small(t, 3, 2)
	p := made(t, in)
	clock := Clock{p.Epoch, in.Firm.Zone}
	n := 0
	for i := len(p.Areas) / 2; i < len(p.Areas); i += 3 {
		a := p.Areas[i]
		next := in
		next.Prior, next.Placed, next.Today = p, p.Orders, clock.Day(a.Start).AddDays(-1)
		next.Frozen = allUntil(in.Firm, clock.Day(a.Start).In(in.Firm.Zone))
		next.Records = []Record{{Kind: "area done", At: next.Frozen[a.Crew], Crew: a.Crew, Area: a.ID}}
		q := replanned(t, next)
		for _, b := range q.Activities {
			if b.ID == a.Activity {
				n++
				if b.State != "done" || b.Start != p.Activities[slices.IndexFunc(p.Activities, func(x Activity) bool { return x.ID == b.ID })].Start {
					t.Errorf("%s: state %q at %d", b.ID, b.State, b.Start)
				}
			}
		}
	}
	if n == 0 {
		t.Error("no area was reported")
	}
}

// What a crew reads names rooms and tiles, not the keys of files.
func TestNamesNotKeys(t *testing.T) {
	in := small(t, 4, 2)
	for s := range in.Jobs[0].Sites {
		for k := range in.Jobs[0].Sites[s].Rooms {
			in.Jobs[0].Sites[s].Rooms[k].Name = "Guest bath"
		}
	}
	p := made(t, in)
	n := namesOf(p)
	first := p.Stock[0].Pieces[0].Piece
	if got := n.stock(first + "/again.1"); got != "a fresh tile" {
		t.Errorf("a tile for a piece cut again is called %q", got)
	}
	if got := n.stock(first); !strings.HasPrefix(got, "the tile of Guest bath, ") || strings.Contains(got, "/") {
		t.Errorf("a tile is called %q", got)
	}
	q := *p
	q.Activities = slices.Clone(p.Activities)
	s := p.Sheets[0]
	i := slices.IndexFunc(q.Activities, func(a Activity) bool { return a.ID == s.Activities[0] })
	q.Activities[i].Start += 15
	for _, d := range Differences(p, &q, s.Crew, s.Date) {
		if !strings.Contains(d, "in Guest bath, now") {
			t.Errorf("the change reads %q", d)
		}
	}
}

// A firm that keeps its offcuts cuts later rooms from them first: planned again day
// after day, every plan holds, with fewer tiles than one that throws them away.
func TestKeptOffcutsAreCutFurther(t *testing.T) {
	tiles := map[bool]int{}
	for _, keep := range []bool{false, true} {
		in := small(t, 3, 4)
		in.Firm.Catalogue.Lots = nil
		for _, tile := range in.Firm.Catalogue.Tiles {
			in.Firm.Catalogue.Lots = append(in.Firm.Catalogue.Lots, takeoff.Lot{Tile: tile.Key, Lot: "L1", Boxes: 900})
		}
		in.Firm.Limits.KeepOffcuts, in.Firm.Limits.Sharing = keep, ""
		if keep {
			in.Firm.Limits.Sharing = takeoff.ShareLot
		}
		p := made(t, in)
		for _, n := range []int{2, 5, 8, 11, 14} {
			next, _ := frozenAfter(in, p, n)
			p = replanned(t, next)
		}
		if len(p.Offcuts) == 0 {
			t.Error("nothing is left of any tile")
		}
		tiles[keep] += len(p.Stock)
	}
	if tiles[true] >= tiles[false] {
		t.Errorf("%d tiles with offcuts kept, %d without", tiles[true], tiles[false])
	}
	t.Log(tiles)
}

// What is put off for longer than a replan looks ahead at first is dated all the same.
func TestReplanLooksFurtherWhereItMust(t *testing.T) {
	in := small(t, 3, 4)
	in.Firm.Crews = in.Firm.Crews[1:]
	p := made(t, in)
	next, d := frozenAfter(in, p, 1)
	next.Firm.Crews = slices.Clone(in.Firm.Crews)
	clock := Clock{p.Epoch, in.Firm.Zone}
	back := clock.Day(p.Finish).AddDays(nearDays + 5)
	for x := d.AddDays(1); x.Before(back); x = x.AddDays(1) {
		next.Firm.Crews[0].Off = append(slices.Clip(next.Firm.Crews[0].Off), x)
	}
	if q := replanned(t, next); clock.Day(q.Finish).Before(back) {
		t.Errorf("all is done on %s, the only crew is away until %s", clock.Day(q.Finish), back)
	}
}
