package scheduler

import (
	"slices"
	"strings"
	"testing"

	"potlife/rooms"
	"potlife/takeoff"
)

// A crew without a helper on a site with hours for loud work cuts in these, as work of
// its own: what is set of it is no longer loud, each piece is listed on the day on which
// it is cut, and what is sawn dries before its area. Made again as the days go by the
// plan keeps what is out (CheckPlan), and nothing is cut twice.
func TestCutsOfLoneSetterAreWorkOfTheirOwn(t *testing.T) {
	in := loudRoom(t)
	in.Firm.Crews[0].Helpers = 0
	p := made(t, in)
	for days := range 6 {
		checkCutsApart(t, p, in.Firm.Limits.filled().SawDry)
		next, _ := frozenAfter(in, p, days+1)
		next.Placed = p.Orders
		p = made(t, next)
	}
	helped := loudRoom(t)
	for _, a := range made(t, helped).Activities {
		if a.Kind == kindCut {
			t.Errorf("%s: a helper cuts while the others set", a.ID)
		}
	}
}

func checkCutsApart(t *testing.T, p *Plan, dry int) {
	t.Helper()
	clock, pieces, cuts := clockOf(p), indexPieces(p.Layouts), 0
	byID, day := map[string]*Activity{}, map[string]string{}
	for i := range p.Activities {
		byID[p.Activities[i].ID] = &p.Activities[i]
		if a := &p.Activities[i]; a.Kind == kindCut {
			cuts++
			if at := clock.At(a.Start); at.Hour() != 9 || clock.At(a.Finish-1).Hour() != 9 {
				t.Errorf("%s is cut from %s", a.ID, clock.Words(a.Start))
			}
		}
	}
	for _, sh := range p.Sheets {
		for _, g := range sh.Cuts {
			for _, id := range g.Pieces {
				day[id] = sh.Date.String()
			}
		}
	}
	if cuts == 0 {
		t.Fatal("nothing is cut by itself")
	}
	for _, a := range p.Areas {
		act := byID[a.Activity]
		onSite, ahead := false, []string{}
		for _, id := range a.Pieces {
			q := pieces[id]
			onSite = onSite || q.OnSite && slices.ContainsFunc(q.Cuts, func(c takeoff.Cut) bool { return c.Tool != takeoff.Snap })
			if !q.OnSite && power(q.Piece) {
				ahead = append(ahead, id)
			}
		}
		if act.Noisy && !onSite {
			t.Errorf("%s is held to the hours for loud work and nothing of it is cut in place", a.ID)
		}
		last := ""
		for _, l := range act.After {
			c := byID[l.Activity]
			if c == nil || c.Kind != kindCut || c.State != "planned" {
				continue
			}
			if a.Start < c.Finish+dry {
				t.Errorf("%s begins %s, its pieces are cut until %s", a.ID, clock.Words(a.Start), clock.Words(c.Finish))
			}
			last = max(last, clock.Day(c.Start).String())
		}
		for _, id := range ahead {
			if last != "" && (day[id] == "" || day[id] > last) {
				t.Errorf("%s is listed on %q, cut until %s", id, day[id], last)
			}
		}
	}
}

// Where the hours of one day do not hold all cuts of an area, each day's sheet lists
// what its part cuts and no more; once the first is out the other parts are still to
// come.
func TestPartsOfCutsAreListedByDay(t *testing.T) {
	in := loudRoom(t)
	in.Firm.Crews[0].Helpers, in.Firm.Rates.PerCutWet = 0, 12
	for i := range in.Jobs[0].Sites[0].Rooms[0].Surfaces {
		in.Jobs[0].Sites[0].Rooms[0].Surfaces[i].Edges[1].Unmeasured = false
	}
	p := made(t, in)
	parts, issued := 0, 0
	for step := 4; step < 9; step += 2 {
		at, listed := map[string]float64{}, map[string]float64{}
		for _, a := range p.Activities {
			if a.Kind == kindCut {
				at[clockOf(p).Day(a.Start).String()] += float64(a.Finish - a.Start)
				if strings.Contains(a.Title, ", part 2 of ") {
					parts++
				}
				if a.State != "planned" {
					issued++
				}
			}
		}
		for _, sh := range p.Sheets {
			for _, g := range sh.Cuts {
				listed[sh.Date.String()] += 12 * aheadShare * float64(len(g.Pieces))
			}
		}
		for d := range listed {
			if listed[d] > at[d]+1e-6 {
				t.Errorf("%s: cuts of %.1f min are listed, %.0f min are planned for them", d, listed[d], at[d])
			}
		}
		for d := range at {
			if listed[d] == 0 {
				t.Errorf("%s: %.0f min of cutting and nothing to cut", d, at[d])
			}
		}
		next, _ := frozenAfter(in, p, step)
		p = replanned(t, next)
	}
	if parts == 0 || issued == 0 {
		t.Errorf("%d second parts, %d issued activities: the test shows nothing", parts, issued)
	}
}

// Where a room holds fewer people than its crew has, nobody cuts while it is full: who
// cuts for a room counts as one in it, whether the cutting is planned or issued.
func TestNobodyCutsForFullRoom(t *testing.T) {
	in := loudRoom(t)
	in.Firm.Crews[0].Setters, in.Firm.Crews[0].Helpers = 2, 0
	in.Jobs[0].Sites[0].Rooms[0].People = 1
	p := made(t, in)
	for days := range 5 {
		cuts := 0
		for _, a := range p.Activities {
			if a.Kind != kindCut {
				continue
			}
			cuts++
			for _, o := range p.Activities {
				if o.ID != a.ID && o.Crew != "" && o.Start < a.Finish && a.Start < o.Finish {
					t.Errorf("day %d: %s and %s go on together", days, a.ID, o.ID)
				}
			}
		}
		if cuts == 0 {
			t.Fatal("nothing is cut by itself")
		}
		next, _ := frozenAfter(in, p, days+1)
		next.Placed = p.Orders
		p = made(t, next)
	}
}

// Tile is cut on the last day with time for it, not weeks before it is set; made again,
// the plan keeps the days it had.
func TestCutsAreNotMadeWeeksAhead(t *testing.T) {
	in := loudRoom(t)
	in.Firm.Crews[0].Helpers = 0
	room := &in.Jobs[0].Sites[0].Rooms[0]
	room.Holds = []rooms.Hold{{Key: "h", Why: "the plumber comes", Before: "set", Until: in.Today.AddDays(21)}}
	p := made(t, in)
	clock, at, set := clockOf(p), map[string]int{}, p.Finish
	for _, a := range p.Activities {
		if at[a.ID] = a.Start; a.Kind == kindSet {
			set = min(set, a.Start)
		}
	}
	cuts := 0
	for _, a := range p.Activities {
		if a.Kind == kindCut {
			if cuts++; clock.Day(a.Start).AddDays(5).Before(clock.Day(set)) {
				t.Errorf("%s is on %s, and setting begins on %s", a.ID, clock.Day(a.Start), clock.Day(set))
			}
		}
	}
	if cuts == 0 {
		t.Fatal("nothing is cut by itself")
	}
	next := in
	next.Prior, next.Placed = p, p.Orders
	for _, a := range replanned(t, next).Activities {
		if was, ok := at[a.ID]; a.Kind == kindCut && (!ok || was != a.Start) {
			t.Errorf("%s is put off from %s to %s without news", a.ID, clock.Words(was), clock.Words(a.Start))
		}
	}
}
