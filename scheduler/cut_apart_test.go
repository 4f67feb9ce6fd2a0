package scheduler

import (
	"slices"
	"testing"

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
		for _, l := range act.After {
			c := byID[l.Activity]
			if c == nil || c.Kind != kindCut || c.State != "planned" {
				continue
			}
			if a.Start < c.Finish+dry {
				t.Errorf("%s begins %s, its pieces are cut until %s", a.ID, clock.Words(a.Start), clock.Words(c.Finish))
			}
			for _, id := range ahead {
				if day[id] == "" || day[id] > clock.Day(c.Start).String() {
					t.Errorf("%s is listed on %q, cut on %s", id, day[id], clock.Day(c.Start))
				}
			}
		}
	}
}
