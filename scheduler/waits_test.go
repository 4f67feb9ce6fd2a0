package scheduler

import (
	"fmt"
	"slices"
	"strings"
	"testing"

	"potlife/rooms"
)

// Nobody is told to keep off a wall: a wait that speaks of walking follows work
// on a floor, and between two pieces of work on one wall the wait names what
// dries or cures there.
func TestWaitsNameWhatTheyWaitFor(t *testing.T) {
	walked, dried := 0, 0
	for seed := uint64(1); seed <= 8; seed++ {
		p := made(t, small(t, seed, 2))
		kind, byID := surfaceKinds(p), map[string]*Activity{}
		for i := range p.Activities {
			byID[p.Activities[i].ID] = &p.Activities[i]
		}
		onFloor := func(a *Activity) bool {
			return slices.ContainsFunc(a.Surfaces, func(k string) bool { return kind[k] == rooms.Floor || kind[k] == rooms.ShowerFloor })
		}
		for _, a := range p.Activities {
			for _, l := range a.After {
				b := byID[l.Activity]
				if strings.Contains(l.Why, "walked on") {
					walked++
					if !onFloor(b) {
						t.Errorf("%s waits after %s, which is on no floor: %s", a.ID, b.ID, l.Why)
					}
				}
				if a.Kind == kindMembrane && b.Kind == kindMembrane && l.Least > 0 {
					dried++
					if !strings.Contains(l.Why, "dries") {
						t.Errorf("%s waits %d min after %s: %s", a.ID, l.Least, b.ID, l.Why)
					}
				}
			}
		}
	}
	if walked == 0 || dried == 0 {
		t.Errorf("%d waits for floors, %d for coats: the test shows nothing", walked, dried)
	}
}

func surfaceKinds(p *Plan) map[string]string {
	kind := map[string]string{}
	for _, j := range p.Jobs {
		for _, s := range j.Sites {
			for _, r := range s.Rooms {
				for _, f := range r.Surfaces {
					kind[fmt.Sprintf("%s/%s/%s", j.Key, r.Key, f.Key)] = f.Kind
				}
			}
		}
	}
	return kind
}

// On each surface the primer goes on before the leveller, and soft joints are
// sealed a day after its grout at the earliest.
func TestPrimeLevelGroutSeal(t *testing.T) {
	primed, sealed := 0, 0
	for seed := uint64(1); seed <= 8; seed++ {
		p := made(t, small(t, seed, 2))
		for i := range p.Activities {
			for k := range p.Activities {
				a, b := &p.Activities[i], &p.Activities[k]
				if !slices.ContainsFunc(a.Surfaces, func(s string) bool { return slices.Contains(b.Surfaces, s) }) {
					continue
				}
				switch {
				case a.Kind == kindPrime && b.Kind == kindLevel:
					primed++
					if b.Start-a.Finish < 120 {
						t.Errorf("%s starts %d min after %s, its primer dries 120", b.ID, b.Start-a.Finish, a.ID)
					}
				case a.Kind == kindGrout && b.Kind == kindSeal:
					sealed++
					if b.Start-a.Finish < 24*60 {
						t.Errorf("%s starts %d min after %s, grout dries 24 h", b.ID, b.Start-a.Finish, a.ID)
					}
				}
			}
		}
	}
	if primed == 0 || sealed == 0 {
		t.Errorf("%d levelled, %d sealed: the test shows nothing", primed, sealed)
	}
}

// Nothing is cut from tile that has not been delivered, opened and acclimatised
// by the day of the cut, though its area comes later.
func TestNothingIsCutFromTileThatHasNotCome(t *testing.T) {
	held := 0
	for seed := uint64(1); seed <= 6; seed++ {
		in := small(t, seed, 3)
		in.Firm.Catalogue.Suppliers[0].LeadDays = 6 // setting waits for the tile: the day before is too early to cut
		p := made(t, in)
		ready := map[string]rooms.Date{}
		for _, o := range p.Orders {
			for _, l := range o.Lines {
				if d, ok := ready[l.Product]; !ok || o.ReadyOf(&l).Before(d) {
					ready[l.Product] = o.ReadyOf(&l)
				}
			}
		}
		for _, s := range p.Sheets {
			for _, g := range s.Cuts {
				if s.Date.Before(ready[g.Tile]) {
					t.Errorf("seed %d: %d pieces of %s are cut on %s, it is ready on %s", seed, len(g.Pieces), g.Tile, s.Date, ready[g.Tile])
				}
				if s.Date == ready[g.Tile] && !g.Ahead {
					held++
				}
			}
		}
	}
	if held == 0 {
		t.Error("no tile is cut on the day it is ready: the test shows nothing")
	}
}

// A wait that lets several setting areas go on stands once on its sheet, with
// how many they are, and every area that waits is counted in one.
func TestAWaitStandsOnce(t *testing.T) {
	gathered := 0
	for seed := uint64(1); seed <= 8; seed++ {
		p := made(t, small(t, seed, 2))
		for _, s := range p.Sheets {
			seen := map[string]bool{}
			for _, w := range s.Waits {
				why, then, ok := strings.Cut(w.Why, ": then ")
				k := fmt.Sprintf("%s %d %s", w.Room, w.Until, why)
				if !ok || then == "" || seen[k] {
					t.Errorf("%s %s: %q is said twice, or lets nothing go on", s.Crew, s.Date, w.Why)
				}
				seen[k] = true
				if strings.Contains(then, " areas (") {
					gathered++
				}
			}
		}
	}
	if gathered == 0 {
		t.Error("no wait lets several areas go on: the test shows nothing")
	}
}
