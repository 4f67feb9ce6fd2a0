package scheduler

import (
	"slices"
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

// A room too cold for the margin, as its coats dry for longer, goes without it; the
// warm rooms of the same plan, which can keep theirs, do.
func TestARoomGoesWithoutItsMarginAlone(t *testing.T) {
	const after, within = 6 * 60, 17*60 + 30
	const margin = after + (within-after)*3/4
	for _, seed := range []uint64{2, 5, 8, 12, 16} {
		in := small(t, seed, 4)
		for i := range in.Firm.Catalogue.Products {
			if s := &in.Firm.Catalogue.Products[i]; s.Kind == takeoff.KindMembrane {
				s.Sheet.RecoatAfter, s.Sheet.RecoatWithin = after, within
			}
		}
		cold := coldRoom(&in.Jobs[0])
		p := made(t, in)
		coats := map[bool]int{}
		for _, a := range p.Activities {
			for _, l := range a.After {
				if l.Most != within || a.Kind != kindMembrane {
					continue
				}
				coats[a.Room == cold]++
				b := p.Activities[slices.IndexFunc(p.Activities, func(b Activity) bool { return b.ID == l.Activity })]
				if gap := a.Start - b.Finish; a.Room != cold && gap > margin {
					t.Errorf("seed %d, %s: a coat %d min after the one before, though all but the cold room can keep to %d", seed, a.Room, gap, margin)
				}
			}
		}
		if coats[true] == 0 || coats[false] == 0 || !onTheBrink(p) {
			t.Errorf("seed %d: coats in cold and warm rooms %v, warned %v", seed, coats, onTheBrink(p))
		}
	}
}

// coldRoom is a room with a membrane where work ends 17 hours before it begins: it is
// cold, all others are warm.
func coldRoom(j *rooms.Job) (key string) {
	for s := range j.Sites {
		for r := range j.Sites[s].Rooms {
			k := &j.Sites[s].Rooms[r]
			k.Celsius, k.Due = 20, rooms.Date{}
			if s == 1 && key == "" && slices.ContainsFunc(k.Surfaces, func(f rooms.Surface) bool { return asks(&f, kindMembrane) }) {
				k.Celsius, key = 9, j.Key+"/"+k.Key
			}
		}
	}
	return key
}
