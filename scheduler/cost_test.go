package scheduler

import (
	"math"
	"math/big"
	"strings"
	"testing"

	"potlife/takeoff"
)

// Labour is the crews' minutes at their hourly rates, each crew in a room rounded to
// the cent once, against rational arithmetic; goods are the takeoff's.
func TestRoomCosts(t *testing.T) {
	for seed := uint64(1); seed <= 6; seed++ {
		in := small(t, seed, 3)
		in.Firm.Crews[0].SetterRate, in.Firm.Crews[0].HelperRate = 38_5033, 27_1250
		in.Firm.Crews[1].SetterRate = 41_0000
		p := made(t, in)
		type key struct{ room, crew string }
		exact := map[key]*big.Rat{}
		minutes := map[string][2]int{}
		for _, a := range p.Activities {
			for _, c := range in.Firm.Crews {
				if c.Key != a.Crew {
					continue
				}
				n := 0
				for _, w := range a.Work {
					n += w.End - w.Start
				}
				if exact[key{a.Room, a.Crew}] == nil {
					exact[key{a.Room, a.Crew}] = new(big.Rat)
				}
				hour := int64(a.Setters)*int64(c.SetterRate) + int64(a.Helpers)*int64(c.HelperRate)
				exact[key{a.Room, a.Crew}].Add(exact[key{a.Room, a.Crew}], big.NewRat(int64(n)*hour, 60*100)) // cents
				m := minutes[a.Room]
				minutes[a.Room] = [2]int{m[0] + n*a.Setters, m[1] + n*a.Helpers}
			}
		}
		labour := map[string]takeoff.Money{}
		for k, x := range exact {
			half := new(big.Rat).Add(x, big.NewRat(1, 2))
			labour[k.room] += takeoff.Money(new(big.Int).Quo(half.Num(), half.Denom()).Int64() * 100)
		}
		goods, ordered := takeoff.Money(0), takeoff.Money(0)
		for _, c := range p.Costs {
			goods += c.Tiles + c.Products
			if c.Labour != labour[c.Room] || [2]int{c.SetterMinutes, c.HelperMinutes} != minutes[c.Room] || c.Job != "job" || c.Worked != 0 {
				t.Errorf("seed %d: %+v, want labour %d, minutes %v", seed, c, labour[c.Room], minutes[c.Room])
			}
			if c.Total() != c.Tiles+c.Products+c.Labour || c.Labour <= 0 {
				t.Errorf("seed %d: %s: total %d", seed, c.Room, c.Total())
			}
		}
		for _, o := range p.Orders { // nothing is on hand: all is ordered
			for _, l := range o.Lines {
				if l.Product != "" {
					ordered += l.Amount
				}
			}
		}
		if len(p.Costs) != 3 || goods != ordered {
			t.Errorf("seed %d: %d rooms, goods %d, ordered %d", seed, len(p.Costs), goods, ordered)
		}
	}
}

// What was recorded stands beside what was planned of the same activities.
func TestRecordedCosts(t *testing.T) {
	in := small(t, 2, 1)
	in.Firm.Crews = in.Firm.Crews[:1]
	in.Firm.Crews[0].SetterRate, in.Firm.Crews[0].HelperRate = 40_0000, 20_0000
	p := made(t, in)
	var a *Activity
	for i := range p.Activities {
		if p.Activities[i].Kind == kindSet {
			a = &p.Activities[i]
			break
		}
	}
	planned := a.Finish - a.Start
	broken := p.Areas[0].Pieces[0]
	in.Prior = p
	clock := Clock{p.Epoch, in.Firm.Zone}
	in.Frozen = allUntil(in.Firm, clock.Day(a.Finish-1).AddDays(1).In(in.Firm.Zone))
	in.Records = []Record{
		{Kind: "pieces broken", At: clock.At(p.Areas[0].Start - 1), Pieces: []string{broken}},
		{Kind: "activity done", At: clock.At(a.Finish), Activity: a.ID, Minutes: planned + 30},
		{Kind: "boxes opened", At: clock.At(a.Start), Room: a.Room, Product: "bed", Packages: 2},
		{Kind: "boxes opened", At: clock.At(a.Start), Room: a.Room, Product: p.Rows[0].Tile, Lot: "A", Packages: 2},
		{Kind: "boxes opened", At: clock.At(a.Finish), Room: a.Room, Product: "bed", Packages: 1},
	}
	q := made(t, in)
	c, bags := q.Costs[0], 0.0
	for _, done := range q.Activities {
		for _, u := range done.Products {
			if strings.HasPrefix(done.State, "done") && u.Product == "bed" {
				bags += u.Quantity / 20
			}
		}
	}
	if len(c.Packages) != 1 || c.Packages[0].Opened != 3 || bags == 0 || math.Abs(c.Packages[0].Planned-bags) > 0.002 {
		t.Errorf("bags: %+v, want 3 opened and %g planned", c.Packages, bags)
	}
	hour := int64(a.Setters*40_0000 + a.Helpers*20_0000)
	if c.Done != planned || c.Worked != planned+30 || c.DoneLabour != perHour(int64(planned)*hour) || c.WorkedLabour != perHour(int64(planned+30)*hour) {
		t.Errorf("%+v, want %d planned and %d worked at %d an hour", c, planned, planned+30, hour)
	}
	if c.TilesUsed != c.TilesPlanned+1 || c.TilesPlanned == 0 {
		t.Errorf("%d tiles planned for what is cut and set, %d used, one broke", c.TilesPlanned, c.TilesUsed)
	}
}
