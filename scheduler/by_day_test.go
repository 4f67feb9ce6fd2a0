package scheduler

import (
	"slices"
	"testing"
	"time"

	"potlife/takeoff"
)

// oneAway is an input of rooms for a crew of two setters and a helper, and which of
// them is away for some days of the work.
func oneAway(t *testing.T, seed uint64, n int, away ...Absence) Input {
	in := small(t, seed, n)
	in.Firm.Crews = slices.Clone(in.Firm.Crews[1:]) // birch
	in.Firm.Crews[0].Away = away
	for s := range in.Jobs[0].Sites {
		for k := range in.Jobs[0].Sites[s].Rooms {
			r := &in.Jobs[0].Sites[s].Rooms[k]
			r.People, r.Celsius = max(2, r.People), 20
		}
	}
	return in
}

// Both work when both are there, and one goes on alone while the other is away, in
// one and the same room: on each day areas are as long as those who are there take
// for them, and all is done sooner than if all had waited, or the room had been
// planned for one alone.
func TestOneGoesOnAlone(t *testing.T) {
	from, to := day("2026-03-26"), day("2026-03-30")
	mixed, sooner := 0, 0
	for seed := uint64(1); seed <= 5; seed++ {
		whole := made(t, oneAway(t, seed, 2))
		in := oneAway(t, seed, 2, Absence{Who: "Ida", From: from, To: to})
		p := made(t, in) // CheckPlan counts people
		alone := oneAway(t, seed, 2)
		alone.Firm.Crews[0].Setters = 1
		if q := made(t, alone); p.Finish > q.Finish {
			t.Errorf("seed %d: done at %d, by one alone all the time at %d", seed, p.Finish, q.Finish)
		} else if p.Finish < q.Finish {
			sooner++
		}
		if p.Finish < whole.Finish {
			t.Errorf("seed %d: with one away all is done at %d, sooner than %d with everybody", seed, p.Finish, whole.Finish)
		}
		clock := Clock{p.Epoch, in.Firm.Zone}
		by := map[string][]int{} // setters, by room
		for _, a := range p.Activities {
			d := clock.Day(a.Start)
			if a.Kind == kindSet && a.Setters > 1 && !d.Before(from) && !to.Before(d) {
				t.Errorf("seed %d: %s is done by %d setters on %s", seed, a.ID, a.Setters, d)
			}
			if a.Kind == kindSet && !slices.Contains(by[a.Room], a.Setters) {
				by[a.Room] = append(by[a.Room], a.Setters)
			}
		}
		for _, n := range by {
			mixed += len(n) - 1
		}
	}
	if mixed == 0 || sooner == 0 {
		t.Errorf("%d rooms are set by two and by one, %d plans are done sooner than by one: the test shows nothing", mixed, sooner)
	}
}

// An area of one alone takes as long as one alone takes for its pieces: what two set
// in a patch would lie open too long.
func TestAreasAreOfWhoIsThere(t *testing.T) {
	in := oneAway(t, 2, 1)
	w := Rates{}.filled()
	pair, alone := gangOf(in.Firm.Crews[0], 2, w), gangOf(Crew{Setters: 1, Helpers: 1}, 2, w)
	r, whole := &roomWork{people: 2}, &team{Crew: in.Firm.Crews[0]}
	b := &builder{works: &works{rates: w, tiles: map[string]takeoff.Tile{}, limits: in.Firm.Limits.filled()}, r: r, crew: whole, whole: whole, gang: pair, manned: manning{"p/2": {setters: 1, helpers: 1}}}
	block := func(id string) block { return block{items: []*item{{piece: &takeoff.Piece{ID: id}}}} }
	if h := b.handsForBlock(Step{}, block("p/1")); h != (hands{setters: 2, helpers: 1}) {
		t.Errorf("what is not named is done by %v", h)
	}
	b.with(b.handsForBlock(Step{}, block("p/2")))
	if b.gang != alone || pair.speed <= alone.speed {
		t.Errorf("gang %v, want %v, slower than %v", b.gang, alone, pair)
	}
	if h := b.handsFor(Step{Setters: 2}, "p/2"); h != (hands{setters: 2, helpers: 1}) {
		t.Errorf("a step that asks for two setters is done by %v", h)
	}
	b.with(hands{setters: 2, helpers: 1})
	if b.gang != pair || b.crew != b.whole {
		t.Errorf("gang %v of all, want %v", b.gang, pair)
	}
}

// While somebody is away a plan made again without news leaves areas, gangs and dates
// as they are; what is issued stands although others are away now.
func TestDailyGangsStay(t *testing.T) {
	away := Absence{Who: "Ida", From: day("2026-03-26"), To: day("2026-03-30")}
	in := oneAway(t, 6, 2, away)
	p := made(t, in)
	next, d := frozenAfter(in, p, 2)
	next.Placed = p.Orders
	q := replanned(t, next)
	for i := range p.Areas {
		a := &p.Areas[i]
		b := areaByID(q, a.ID)
		if b == nil || !slices.Equal(a.Pieces, b.Pieces) || a.Start != b.Start {
			t.Errorf("%s has other pieces or another date without news", a.ID)
		}
	}
	next.Firm.Crews = slices.Clone(next.Firm.Crews)
	next.Firm.Crews[0].Away = []Absence{away, {Who: "Jonas", From: d.AddDays(1), To: d.AddDays(3)}}
	news := replanned(t, next)
	frozen := next.Frozen["birch"]
	for _, a := range p.Activities {
		if !p.Epoch.Add(time.Duration(a.Start) * time.Minute).Before(frozen) {
			continue
		}
		i := slices.IndexFunc(news.Activities, func(b Activity) bool { return b.ID == a.ID })
		if i < 0 || news.Activities[i].Start != a.Start || news.Activities[i].Setters != a.Setters {
			t.Errorf("%s is issued and does not stand", a.ID)
		}
	}
}
