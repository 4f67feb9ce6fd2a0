package scheduler

import (
	"slices"
	"strings"
	"testing"

	"potlife/rooms"
)

// Where tile comes on the day on which it is set, and the site lets the saw run from
// nine on, no patch with a piece that is sawn wet is spread before that is dry: no
// sheet has pieces whose turn comes sooner. The checker tells one that is not dry.
func TestAreasWaitForWhatIsSawnTheSameDay(t *testing.T) {
	same, told := 0, 0
	for _, seed := range []uint64{1, 2, 6} {
		in := small(t, seed, 4)
		for j := range in.Jobs {
			for s := range in.Jobs[j].Sites {
				for d := 1; d <= 5; d++ {
					site := &in.Jobs[j].Sites[s]
					site.Noise = append(site.Noise, rooms.DayHours{Weekday: d, Start: 9 * 60, End: 12 * 60}, rooms.DayHours{Weekday: d, Start: 14 * 60, End: 16 * 60})
				}
			}
		}
		p := made(t, in)
		for _, s := range p.Sheets {
			for _, w := range s.Waits {
				if !strings.Contains(w.Why, "sawn wet first") {
					continue
				}
				same++
				if strings.Contains(w.Why, "whose turn comes sooner") || strings.Contains(w.Why, "then set last") {
					t.Errorf("seed %d, %s: %s", seed, s.Date, w.Why)
				}
			}
		}
		p.Firm.Limits.SawDry = 600
		if err := CheckPlan(p); err != nil && strings.Contains(err.Error(), "dries 600 min and is spread") {
			told++
		}
	}
	if same == 0 || told == 0 {
		t.Errorf("%d waits for what is sawn on the day on which it is set, %d plans too soon are told", same, told)
	}
}

// What stands on a sheet that is out is sawn by the end of its day: where it dries for
// longer than a night, as its tile's sheet says, no patch with it is spread before that
// when the plan is made again; what stands on none yet is listed as long before.
func TestIssuedCutsDryBeforeTheirArea(t *testing.T) {
	const dry = 30 * 60
	issued, listed := 0, 0
	for _, seed := range []uint64{2, 3, 4, 5, 6} {
		in := small(t, seed, 3)
		p := made(t, in)
		next, d := frozenAfter(in, p, 6)
		next.Firm.Catalogue.Tiles = slices.Clone(in.Firm.Catalogue.Tiles)
		for i := range next.Firm.Catalogue.Tiles {
			next.Firm.Catalogue.Tiles[i].SawDry = dry
		}
		again := replanned(t, next)
		spread := map[string]int{} // when the patch of a piece that is still to be set
		for _, a := range again.Areas {
			for _, q := range a.Patches {
				for _, id := range q.Pieces {
					if a.Start >= clockOf(p).DayStart(d.AddDays(1)) {
						spread[id] = q.Start
					}
				}
			}
		}
		for id, end := range sawnBy(again) {
			at, ok := spread[id]
			if !ok {
				continue
			}
			if clockOf(p).Day(end).Compare(d) <= 0 {
				issued++
			} else if listed++; !slices.ContainsFunc(again.Sheets, func(s Sheet) bool {
				return d.Before(s.Date) && s.Date.Before(clockOf(p).Day(end)) && s.Crew == crewOf(again, id)
			}) {
				continue // its crew has no earlier sheet that could list it
			}
			if at < end+dry {
				t.Errorf("seed %d: %s is sawn by %s, dries %s and is spread at %s", seed, id, clockOf(p).Words(end), words(dry), clockOf(p).Words(at))
			}
		}
	}
	if issued == 0 || listed == 0 {
		t.Errorf("%d pieces that are sawn are still to be set, and %d to be sawn: the test shows too little", issued, listed)
	}
}

// sawnBy is the end of the work of the day on which each piece is sawn wet.
func sawnBy(p *Plan) map[string]int {
	out, clock := map[string]int{}, clockOf(p)
	for _, s := range p.Sheets {
		for _, g := range s.Cuts {
			for _, id := range g.Pieces {
				for _, h := range p.Hours[s.Crew] {
					if runsWet(g.Tool) && clock.Day(h.Start) == s.Date {
						out[id] = max(out[id], h.End)
					}
				}
			}
		}
	}
	return out
}

func crewOf(p *Plan, piece string) string { return areaOfPiece(p)[piece].Crew }

// A room that waits for tile, which is sawn when it comes, waits for the tile: that is
// said first, with its day.
func TestSawIsNotBlamedForTile(t *testing.T) {
	in := oneFloor(t, false, 20)
	in.Firm.Catalogue.Suppliers[0].LeadDays = 12
	for i := range in.Firm.Catalogue.Tiles {
		in.Firm.Catalogue.Tiles[i].Material = "stone" // cut by wet saw alone
	}
	p := made(t, in)
	// Ordered on Mon 16 Mar, delivered 12 working days later, 2 days in the room and 1 to be opened.
	if why, want := p.RoomDates[0].Blocked, "grey can be used from Sat 4 Apr, and pieces are sawn wet"; !strings.Contains(why, want) {
		t.Errorf("the room waits: %q, want %q", why, want)
	}
}
