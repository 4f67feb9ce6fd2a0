package scheduler

import (
	"strings"
	"testing"

	"potlife/rooms"
	"potlife/takeoff"
)

// coated is an input of a room with a membrane whose next coat follows within a
// time, and the gaps between its coats in the plan.
func coated(t *testing.T, after, within int, change func(*Input)) (p *Plan, gaps []int) {
	in, room := heldRoom(t, rooms.Hold{Key: "visit", Why: "the client's visit", Before: "hand over", Minutes: 60})
	for i := range in.Firm.Catalogue.Products {
		if s := &in.Firm.Catalogue.Products[i]; s.Kind == takeoff.KindMembrane {
			s.Sheet.RecoatAfter, s.Sheet.RecoatWithin = after, within
		}
	}
	if change != nil {
		change(&in)
	}
	p = made(t, in)
	for _, a := range p.Activities {
		for _, l := range a.After {
			if l.Most != within || a.Room != room || a.Kind != kindMembrane {
				continue
			}
			for _, b := range p.Activities {
				if b.ID == l.Activity {
					gaps = append(gaps, a.Start-b.Finish)
				}
			}
		}
	}
	if len(gaps) == 0 {
		t.Fatal("no coat has a latest time")
	}
	return p, gaps
}

func onTheBrink(p *Plan) bool {
	for _, f := range p.Findings {
		if f.Rule == "latest time" && strings.Contains(f.Message, "a delay on that day spoils the coat") {
			return true
		}
	}
	return false
}

// The next coat of a membrane is planned in the first three quarters of its time, or
// in what the firm says; where no plan keeps that, to its latest time, and the plan
// warns of it.
func TestACoatIsNotPlannedToTheLastMinute(t *testing.T) {
	for _, within := range []int{6 * 60, 20 * 60, 4 * 24 * 60} {
		p, gaps := coated(t, 4*60, within, nil)
		for _, g := range gaps {
			if most := 4*60 + (within-4*60)*3/4; g > most && (within > 24*60 || !onTheBrink(p)) {
				t.Errorf("a coat %d min after the one before, which may follow after %d to %d min", g, 4*60, within)
			}
		}
	}
	// A coat that dries for half a day follows on the next morning, 17 hours after the
	// end of the site's hours: in the last quarter of its time.
	p, gaps := coated(t, 12*60, 17*60+30, nil)
	if !onTheBrink(p) {
		t.Errorf("coats %v min after the ones before and no warning", gaps)
	}
	if p, gaps := coated(t, 12*60, 17*60+30, func(in *Input) { in.Firm.Limits.RecoatSafety = 1 }); onTheBrink(p) {
		t.Errorf("a firm that plans to the last minute is warned, coats %v min after the ones before", gaps)
	}
}
