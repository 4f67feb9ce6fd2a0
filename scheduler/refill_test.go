package scheduler

import (
	"math/rand/v2"
	"testing"

	"potlife/rooms"
)

// Areas are divided so that the run ends soonest by what the shifts have left, the
// costs of its stops counted: as brute force over all stops finds it.
func TestFillAgainstBruteForce(t *testing.T) {
	r := rand.New(rand.NewPCG(4, 4))
	for range 60 {
		blocks := blocksOf(wall(3+r.IntN(5), 2+r.IntN(7), 0), &rooms.Surface{Key: "w", Kind: rooms.Wall}, plainItem)
		for i := range blocks {
			blocks[i].loud, blocks[i].joint = r.IntN(5) == 0, r.IntN(4) == 0
		}
		run := newAreaRun(blocks, spread{open: 14, bucket: 20, speed: 0.2 + r.Float64(), setUp: 10, end: 10}, caps{150, 110})
		hours := runHours{quiet: []Interval{{0, 30 + r.IntN(100)}, {200, 260 + r.IntN(150)}, {500, 740}, {800, 1010}, {1500, 1740}, {1800, 2040}, {2500, 5000}}}
		hours.loud = Common(hours.quiet, []Interval{{60, 700}, {900, 2000}, {2600, 5000}})
		ready := map[string]int{"j/r/w": r.IntN(60)}
		best, any := 0, false
		for stops := range 1 << (len(blocks) - 1) {
			if v, ok := endOf(run, stops, hours, ready); ok && (!any || v < best) {
				best, any = v, true
			}
		}
		d, ok := run.fill(hours, ready)
		if ok != any || ok && d.finish+d.cost != best {
			t.Fatalf("%d rows: ends at %d with costs of %d (%v), brute force finds %d (%v)", len(blocks), d.finish, d.cost, ok, best, any)
		}
	}
}

// endOf is the end of a run that stops where the bits of a number say, with the costs.
func endOf(run *areaRun, stops int, hours runHours, ready map[string]int) (int, bool) {
	at, cost, from := 0, 0, 0
	n := len(run.blocks)
	for end := 1; end <= n; end++ {
		if end < n && stops&(1<<(end-1)) == 0 {
			continue
		}
		p, loud := patching{spread: &run.spread, at: run.spread.setUp}, false
		for _, k := range run.blocks[from:end] {
			loud = loud || k.loud
			at = max(at, ready[k.surface])
			for _, it := range k.items {
				p.add(it)
			}
		}
		minutes := p.finish() + run.spread.end
		minutes += 1 + minutes/100
		start, ok := earliest(hours.of(loud), at, minutes)
		if !ok || float64(minutes) > run.most.of(loud) || minutes < leastFilled && !(from == 0 && end == n) {
			return 0, false
		}
		at, cost, from = start+minutes, cost+costOfArea+costOfStop(harmOf(run.blocks, end)), end
	}
	return at + cost, true
}

// A floor of four areas of two hours leaves an hour and a half of the first day: its
// areas are divided so that they fill it, and it is done the sooner; when the plan is
// made again they stay.
func TestAreasFillWhatAShiftHasLeft(t *testing.T) {
	in := small(t, 3, 1)
	floor := rectangle("floor", rooms.Floor, 2400*mm, 3000*mm, field("small", "straight"))
	in.Jobs[0].Sites[0].Rooms, in.Jobs[0].Sites[1].Rooms = []rooms.Room{{Key: "hall", Celsius: 20, People: 2, Surfaces: []rooms.Surface{floor}}}, nil
	in.Firm.Crews = in.Firm.Crews[:1]
	p := made(t, in)
	clock := Clock{p.Epoch, p.Firm.Zone}
	day := clock.Day(p.Areas[0].Start)
	last, shift := 0, 0
	for _, a := range p.Activities {
		if a.Kind == kindSet && clock.Day(a.Start) == day {
			last = max(last, a.Finish)
		}
	}
	for _, h := range p.Hours[in.Firm.Crews[0].Key] {
		if clock.Day(h.Start) == day {
			shift = max(shift, h.End)
		}
	}
	if shift-last > 30 {
		t.Errorf("%d min of the first day are left, the areas are %v", shift-last, ends(p))
	}
	in.Prior, in.Placed = p, p.Orders
	again := made(t, in)
	if len(again.Areas) != len(p.Areas) {
		t.Fatalf("%d areas, made again %d", len(p.Areas), len(again.Areas))
	}
	for i := range p.Areas {
		if a, b := p.Areas[i], again.Areas[i]; a.Start != b.Start || len(a.Pieces) != len(b.Pieces) {
			t.Errorf("%s begins at %d with %d pieces, made again at %d with %d", a.ID, a.Start, len(a.Pieces), b.Start, len(b.Pieces))
		}
	}
}

func ends(p *Plan) (out []string) {
	for _, a := range p.Areas {
		out = append(out, Clock{p.Epoch, p.Firm.Zone}.Words(a.Start)+" to "+Clock{p.Epoch, p.Firm.Zone}.Words(a.Finish)+" "+a.StopAt)
	}
	return out
}
