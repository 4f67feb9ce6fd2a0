package scheduler

import (
	"math/rand/v2"
	"testing"

	"potlife/rooms"
	"potlife/takeoff"
)

// Areas are divided so that the run ends soonest by what the shifts have left, the
// costs of its stops and of long areas counted: as brute force over all stops finds it,
// those within long courses too.
func TestFillAgainstBruteForce(t *testing.T) {
	r := rand.New(rand.NewPCG(4, 4))
	within, over := 0, 0
	for n := 0; n < 80; {
		blocks := blocksOf(wall(1+r.IntN(7), 2+r.IntN(7), 0), &rooms.Surface{Key: "w", Kind: rooms.Wall}, plainItem)
		for i := range blocks {
			blocks[i].loud, blocks[i].joint = r.IntN(5) == 0, r.IntN(4) == 0
		}
		run := newAreaRun(blocks, spread{open: 14, bucket: 20, speed: 0.2 + r.Float64(), setUp: 10, end: 10}, caps{210, 130}, 120)
		if len(run.inParts()) > 13 {
			continue // too many ways for brute force
		}
		n++
		hours := runHours{quiet: []Interval{{0, 30 + r.IntN(100)}, {200, 260 + r.IntN(150)}, {500, 740}, {800, 1010}, {1500, 1740}, {1800, 2040}, {2500, 5000}}}
		hours.loud = Common(hours.quiet, []Interval{{60, 700}, {900, 2000}, {2600, 5000}})
		ready := map[string]int{"j/r/w": r.IntN(60)}
		best, any := 0, false
		for stops := range 1 << (len(run.inParts()) - 1) {
			if v, ok := endOf(run, stops, hours, ready, aimOf(n)); ok && (!any || v < best) {
				best, any = v, true
			}
		}
		d, ok := run.fill(hours, ready, aimOf(n))
		if ok != any || ok && aimOf(n).by(d.finish, hours)+d.cost != best {
			t.Fatalf("%d rows: ends at %d with costs of %d (%v), brute force finds %d (%v)", len(blocks), d.finish, d.cost, ok, best, any)
		}
		for i, stop := range d.stops {
			if harmOf(run.inParts(), stop) == harmWithin {
				within++
			}
			from := 0
			if i > 0 {
				from = d.stops[i-1]
			}
			if minutesFor(run, from, stop) > run.wanted {
				over++
			}
		}
	}
	if within == 0 || over == 0 {
		t.Errorf("%d areas end within a course, %d are longer than wanted: the test shows nothing", within, over)
	}
}

// aimOf is what is aimed at by turns.
func aimOf(n int) *aim { return []*aim{&toEndSoon, &toStopKindly}[n%2] }

// minutesFor are those of an area of rows, or parts of them, of a run.
func minutesFor(run *areaRun, from, to int) int {
	p := patching{spread: &run.spread, at: run.spread.setUp}
	for _, k := range run.inParts()[from:to] {
		for _, it := range k.items {
			p.add(it)
		}
	}
	minutes := p.finish() + run.spread.end
	return minutes + 1 + minutes/100
}

// endOf is the end of a run that stops where the bits of a number say, with the costs.
func endOf(run *areaRun, stops int, hours runHours, ready map[string]int, to *aim) (int, bool) {
	at, cost, from := 0, 0, 0
	blocks := run.inParts()
	n := len(blocks)
	for end := 1; end <= n; end++ {
		if end < n && stops&(1<<(end-1)) == 0 {
			continue
		}
		loud := false
		for _, k := range blocks[from:end] {
			loud = loud || k.loud
			at = max(at, ready[k.surface])
		}
		minutes := minutesFor(run, from, end)
		start, ok := earliest(hours.of(loud), at, minutes)
		if !ok || float64(minutes) > run.most.of(loud) || minutes < leastFilled && !(from == 0 && end == n) {
			return 0, false
		}
		at, cost, from = start+minutes, cost+run.costOf(minutes, harmOf(blocks, end), to), end
	}
	return to.by(at, hours) + cost, true
}

// What pieces added one by one take is what their patches take, whatever bounds these.
func TestPatchingTakesWhatPatchesTake(t *testing.T) {
	r := rand.New(rand.NewPCG(6, 6))
	many := 0
	for range 300 {
		s := spread{open: 3 + r.IntN(30), bucket: 2 + 20*r.Float64(), speed: 0.3 + 2*r.Float64(), setUp: r.IntN(15), end: 10, charge: r.IntN(2) == 0, apart: r.IntN(2) == 0}
		if r.IntN(2) == 0 {
			s.capM2 = 0.1 + r.Float64()
		}
		var items []*item
		for range 1 + r.IntN(40) {
			p := &takeoff.Piece{AreaMM2: 1e6 * r.Float64()}
			if r.IntN(3) == 0 {
				p.Cuts = []takeoff.Cut{{Tool: []string{takeoff.Snap, takeoff.WetSaw}[r.IntN(2)]}}
			}
			items = append(items, &item{piece: p, bed: bed{"bed", 5 * r.Float64()}, set: 12 * r.Float64(), cut: 4 * r.Float64(), ahead: 3 * r.Float64()})
		}
		p := patching{spread: &s, at: s.setUp}
		if p.finish() != s.setUp {
			t.Fatalf("nothing is set by minute %d, set-up takes %d", p.finish(), s.setUp)
		}
		for i, it := range items {
			p.add(it)
			patches, finish := patchesOf(items[:i+1], s)
			if p.finish() != finish {
				t.Fatalf("%d pieces are in at minute %d, %d patches of them at %d", i+1, p.finish(), len(patches), finish)
			}
			if i == len(items)-1 && len(patches) > 1 && len(patches) < len(items) {
				many++
			}
		}
	}
	if many < 100 {
		t.Errorf("%d of 300 areas have several patches of several pieces: the test shows nothing", many)
	}
}

// A floor of more than a day in areas of two hours leaves an hour and a half of the first
// day: its areas are divided so that they fill it, and it is done the sooner; when the plan is
// made again they stay.
func TestAreasFillWhatAShiftHasLeft(t *testing.T) {
	in := small(t, 3, 1)
	floor := rectangle("floor", rooms.Floor, 2400*mm, 4200*mm, field("small", "straight"))
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

// A run begins no sooner than its first area may, also where the later ones wait for
// nothing but it.
func TestRunsBeginAfterWhatTheirFirstAreaWaitsFor(t *testing.T) {
	room := &roomWork{key: "job/hall"}
	run := &areaRun{}
	layOut := &task{room: room, surfaces: []string{"floor"}, start: 400, minutes: 60}
	primed := &task{room: room, surfaces: []string{"wall"}, start: 700, minutes: 30}
	first := &task{room: room, surfaces: []string{"floor"}, area: &areaPlan{run: run}, release: 100, after: []lag{{task: layOut, due: fixed(15)}}}
	second := &task{room: room, surfaces: []string{"floor", "wall"}, area: &areaPlan{run: run}, release: 100, after: []lag{{task: first}, {task: primed}}}
	by, soonest := (*choice).ready(nil, &setRun{areaRun: run, tasks: []*task{first, second}})
	if by["floor"] != 475 || by["wall"] != 730 || soonest != 475 {
		t.Errorf("ready from minute %d, by surface %v, expected 475 for the floor and 730 for the wall", soonest, by)
	}
}

func ends(p *Plan) (out []string) {
	for _, a := range p.Areas {
		out = append(out, Clock{p.Epoch, p.Firm.Zone}.Words(a.Start)+" to "+Clock{p.Epoch, p.Firm.Zone}.Words(a.Finish)+" "+a.StopAt)
	}
	return out
}

// Where the areas of all rooms divided anew together make a plan no better, those of one
// do: two rooms of a lone setter are less late than with any limit of their areas.
func TestAreasOfOneRoomAreDividedAnew(t *testing.T) {
	plan := func(limit int) int {
		in := small(t, 119, 2)
		in.Firm.Limits = Limits{AreaMinutes: limit}
		in.Firm.Crews = in.Firm.Crews[:1]
		in.Firm.Crews[0].Helpers = 0
		in.Jobs = withRooms(in.Jobs, func(_ string, r *rooms.Room) { r.Due = r.Due.AddDays(-8) })
		for s := range in.Jobs[0].Sites {
			in.Jobs[0].Sites[s].Hours = nil
		}
		return lateMinutes(made(t, in))
	}
	free := plan(0)
	for _, limit := range []int{60, 90, 120, 150} {
		if late := plan(limit); free >= late {
			t.Errorf("the rooms are %d min late, %d with areas of %d min at most", free, late, limit)
		}
	}
}
