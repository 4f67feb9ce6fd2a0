package scheduler

import (
	"testing"

	"potlife/rooms"
	"potlife/takeoff"
)

// Where nobody but the setter cuts, a day's sheet lists cuts for a later day only as
// far as the day leaves time for them, with saw, grinder and drill in the site's hours
// for loud work; the others stand on the day whose areas hold their time. With a
// helper they are all listed ahead as before.
func TestLoneSetterHasTimeForCutsAhead(t *testing.T) {
	ahead, own, withHelper := 0, 0, 0 // cuts listed ahead; on their own day alone, and with a helper
	for seed := uint64(4); seed <= 5; seed++ {
		in := small(t, seed, 5)
		in.Firm.Crews = in.Firm.Crews[:1]                          // alder
		in.Firm.Rates.PerCutSnap, in.Firm.Rates.PerCutWet = 15, 15 // more than what a day leaves
		for i := range in.Jobs[0].Sites {
			for k := range in.Jobs[0].Sites[i].Rooms {
				for f := range in.Jobs[0].Sites[i].Rooms[k].Surfaces {
					w := &in.Jobs[0].Sites[i].Rooms[k].Surfaces[f]
					w.Prepare, w.Wet = nil, false
				}
			}
			for d := 1; d <= 5 && seed == 4; d++ {
				in.Jobs[0].Sites[i].Noise = append(in.Jobs[0].Sites[i].Noise, rooms.DayHours{Weekday: d, Start: 9 * 60, End: 14 * 60})
			}
		}
		for _, sh := range made(t, in).Sheets {
			if _, day := cutsOn(sh); seed > 1 {
				withHelper += day
			}
		}
		in.Firm.Crews[0].Helpers = 0
		p := made(t, in)
		s := spareOf(p)
		for _, sh := range p.Sheets {
			before, day := cutsOn(sh)
			if ahead += before; seed > 1 { // else all cuts are work of their own
				own += day
			}
			s.check(t, sh)
		}
	}
	if ahead == 0 || own == 0 || own <= withHelper {
		t.Errorf("alone %d cuts are listed ahead and %d on their day, with a helper %d on their day: the test shows nothing", ahead, own, withHelper)
	}
}

// cutsOn are the cuts of a sheet for a later day, and those of its own.
func cutsOn(sh Sheet) (ahead, day int) {
	for _, g := range sh.Cuts {
		if g.Ahead {
			ahead += len(g.Pieces)
		} else {
			day += len(g.Pieces)
		}
	}
	return ahead, day
}

// spare counts a crew's free minutes of a day by themselves, one after the other.
type spare struct {
	plan  *Plan
	clock Clock
	site  map[string]string // of pieces
}

func spareOf(p *Plan) *spare {
	s := &spare{p, clockOf(p), map[string]string{}}
	site := map[string]string{}
	for _, a := range p.Activities {
		site[a.ID] = a.Site
	}
	for _, a := range p.Areas {
		for _, id := range a.Pieces {
			s.site[id] = site[a.Activity]
		}
	}
	return s
}

func (s *spare) check(t *testing.T, sh Sheet) {
	t.Helper()
	rates := s.plan.Firm.Rates.filled()
	all, loud := 0.0, 0.0
	for _, g := range sh.Cuts {
		per := map[string]float64{takeoff.Snap: rates.PerCutSnap, takeoff.HoleSaw: rates.PerHole}[g.Tool]
		if per == 0 {
			per = rates.PerCutWet
		}
		if g.Ahead {
			all += per * aheadShare * float64(len(g.Pieces))
			if g.Tool != takeoff.Snap {
				loud += per * aheadShare * float64(len(g.Pieces))
			}
		}
	}
	free, quiet := 0, 0
	for m := s.clock.DayStart(sh.Date); m < s.clock.DayStart(sh.Date.AddDays(1)); m++ {
		if !Within(s.plan.Hours[sh.Crew], m, m+1) {
			continue
		}
		busy := false
		for _, a := range s.plan.Activities {
			busy = busy || a.Kind != kindCut && a.Crew == sh.Crew && a.Start <= m && m < a.Finish
		}
		if busy {
			continue
		}
		free++
		if h := s.clock.At(m).Hour(); h < 9 || h >= 14 {
			quiet++
		}
	}
	if all > float64(free)+1e-6 || len(s.plan.Jobs[0].Sites[0].Noise) > 0 && loud > float64(free-quiet)+1e-6 {
		t.Errorf("%s %s: %.1f min of cuts ahead, %.1f of them loud; %d min are free, %d in the hours for loud work", sh.Crew, sh.Date, all, loud, free, free-quiet)
	}
}
