package scheduler

import (
	"reflect"
	"runtime"
	"slices"
	"strings"
	"testing"

	"potlife/rooms"
)

// In no run do more people of a crew work than are there that day, more of a
// tool than the firm has, or does work begin outside its site's hours or loud
// work outside those for it.
func TestRunsKeepToPeopleToolsAndHours(t *testing.T) {
	met := map[string]int{}
	for seed := uint64(1); seed <= 2; seed++ {
		in := small(t, seed, 3)
		in.Firm.Tools = []Tool{{ToolMixer, 1}, {ToolSaw, 1}}
		in.Firm.Crews = slices.Clone(in.Firm.Crews)
		in.Firm.Crews[1].Away = []Absence{{From: day("2026-03-23"), To: day("2026-03-27")}, {Helper: true, From: day("2026-03-26"), To: day("2026-04-02")}}
		for j := range in.Jobs {
			for k := range in.Jobs[j].Sites {
				site := &in.Jobs[j].Sites[k]
				for d := 1; d <= 5; d++ {
					site.Hours = append(site.Hours, rooms.DayHours{Weekday: d, Start: 7 * 60, End: 16 * 60})
					site.Noise = append(site.Noise, rooms.DayHours{Weekday: d, Start: 9 * 60, End: 15 * 60})
				}
			}
		}
		p := made(t, in)
		s := newSimulation(p, Uncertainty{Least: 0.8, Most: 2, BreakChance: 0.1, Seed: seed}, indexPieces(p.Layouts).ofAreas(p.Areas))
		for range 10 {
			s.run()
			for i := range s.nodes {
				s.holdTo(t, p, i, met)
			}
		}
	}
	for _, k := range []string{ToolMixer, "away", "loud"} {
		if met[k] == 0 {
			t.Errorf("%s was never met: the test shows nothing", k)
		}
	}
}

// holdTo checks one activity of a run by counting all that go on when it begins.
func (s *simulation) holdTo(t *testing.T, p *Plan, i int, met map[string]int) {
	t.Helper()
	a, n := &p.Activities[i], &s.nodes[i]
	if a.Crew == "" {
		return
	}
	var crew Crew
	for _, c := range p.Firm.Crews {
		if c.Key == a.Crew {
			crew = c
		}
	}
	setters, helpers := s.clock.strength(crew, n.start)
	if setters < crew.Setters || helpers < crew.Helpers {
		met["away"]++
	}
	busy, help, tools := 0, 0, map[string]int{}
	for j := range s.nodes {
		if b := &p.Activities[j]; s.nodes[j].start <= n.start && n.start < s.nodes[j].end {
			if b.Crew == a.Crew {
				by := s.nodes[j].gangs[s.nodes[j].by]
				busy, help = busy+by.setters, help+by.helpers
			}
			for _, k := range b.Tools {
				tools[k]++
			}
		}
	}
	if n.end > n.start && (busy > setters || help > helpers) {
		t.Errorf("%s on %s: %d setters and %d helpers of %s at work, %d and %d are there", a.ID, s.clock.Words(n.start), busy, help, crew.Key, setters, helpers)
	}
	for _, k := range a.Tools {
		if met[k]++; tools[k] > 1 {
			t.Errorf("%s: %d use the one %s", a.ID, tools[k], k)
		}
	}
	on := s.clock.Day(n.start)
	minute := n.start - s.clock.DayStart(on)
	from, to := 7*60, 16*60
	if a.Noisy {
		met["loud"]++
		from, to = 9*60, 15*60
	}
	if minute < from || minute >= to {
		t.Errorf("%s (loud: %v) begins at minute %d of %s", a.ID, a.Noisy, minute, on)
	}
}

// Runs beyond the first batch have draws of their own, the same on any number of
// processors, and the first batch draws what it draws alone; a plan too large for the
// runs that are asked for takes fewer and says so.
func TestBatchesOfRuns(t *testing.T) {
	p := made(t, small(t, 4, 2))
	few, many := Simulate(p, Uncertainty{Runs: batchRuns, Seed: 3}), Simulate(p, Uncertainty{Runs: 3*batchRuns + 7, Seed: 3})
	if many.Runs != 3*batchRuns+7 || few.Runs != batchRuns {
		t.Fatalf("%d and %d runs", few.Runs, many.Runs)
	}
	was := runtime.GOMAXPROCS(1)
	alone := Simulate(p, Uncertainty{Runs: 3*batchRuns + 7, Seed: 3})
	runtime.GOMAXPROCS(was)
	if !reflect.DeepEqual(many, alone) {
		t.Error("on one processor the runs say something else")
	}
	u := Uncertainty{Seed: 3, Runs: batchRuns}.filled(len(p.Activities))
	s := newSimulation(p, u, indexPieces(p.Layouts).ofAreas(p.Areas))
	ends := map[int][]int{}
	for k := range 2 {
		b := s.batch(k)
		for range 5 {
			b.run()
			ends[k] = append(ends[k], b.nodes[len(b.nodes)-1].end)
		}
	}
	if slices.Equal(ends[0], ends[1]) {
		t.Errorf("two batches draw the same: %v", ends)
	}
	if got := (Uncertainty{Runs: 10_000}).filled(20_000).Runs; got != mostDrawn/20_000 {
		t.Errorf("%d runs of 20 000 activities", got)
	}
	if r := (Risk{Runs: 1000, Asked: 10_000}); !strings.Contains(r.runWords(), "1000 simulated runs (not 10000:") {
		t.Errorf("said %q", r.runWords())
	}
	if r := (Risk{Runs: 1, Asked: 1}); r.runWords() != "1 simulated run" {
		t.Errorf("said %q", r.runWords())
	}
}

// Of two ways between the same sites the simulation takes the longer, as the plan does,
// whichever is given last.
func TestLongerWayCounts(t *testing.T) {
	plan := func(ways ...Travel) *Plan {
		return &Plan{Firm: Firm{Travel: ways}, Activities: []Activity{{ID: "a", Site: "j/yard"}, {ID: "b", Site: "j/mill"}, {ID: "c"}}}
	}
	long, short := Travel{From: "j/yard", To: "j/mill", Minutes: 25}, Travel{From: "j/mill", To: "j/yard", Minutes: 10}
	for _, ways := range [][]Travel{{long}, {long, short}, {short, long}} {
		s := newSimulation(plan(ways...), Uncertainty{}, nil)
		w := &works{firm: &Firm{Travel: ways}}
		a, b, none := s.nodes[0].site, s.nodes[1].site, s.nodes[2].site
		if s.travel(a, b) != 25 || s.travel(b, a) != 25 || w.way("j/yard", "j/mill") != 25 || s.travel(a, a) != 0 || s.travel(none, b) != 0 {
			t.Errorf("%v: %d and %d min in the simulation, %d in the plan, want 25", ways, s.travel(a, b), s.travel(b, a), w.way("j/yard", "j/mill"))
		}
	}
}

// Without uncertainty a run is the plan, minute by minute: areas that end within courses,
// dry after the saw, are done by fewer people for a time or follow what is issued stand
// where they are planned, and so do the dates of the rooms.
func TestWithoutUncertaintyARunIsThePlan(t *testing.T) {
	within, held, fixed := 0, 0, 0
	for seed := range uint64(12) {
		in := small(t, seed+1, 1+int(seed%3))
		switch seed % 4 {
		case 1:
			in.Firm.Limits.SawDry = 24 * 60
		case 2:
			in.Firm.Crews = slices.Clone(in.Firm.Crews)
			in.Firm.Crews[1].Away = []Absence{{From: day("2026-03-23"), To: day("2026-03-27")}, {Helper: true, From: day("2026-03-26"), To: day("2026-04-02")}}
		}
		p := made(t, in)
		if seed%4 == 3 {
			next, _ := frozenAfter(in, p, 4)
			p = made(t, next)
		}
		u := Uncertainty{Least: 1, Most: 1, BreakChance: -1, RecutMinutes: -1, OverrunMinutes: -1, Runs: 20, Seed: seed}
		s := newSimulation(p, u, indexPieces(p.Layouts).ofAreas(p.Areas))
		s.run()
		for i := range s.nodes {
			n, a := &s.nodes[i], &p.Activities[i]
			if n.start != a.Start || n.end != a.Finish {
				t.Errorf("seed %d: %s runs from %s to %s, planned from %s to %s", seed, a.ID, s.clock.Words(n.start), s.clock.Words(n.end), s.clock.Words(a.Start), s.clock.Words(a.Finish))
			}
			if n.release > 0 {
				held++
			}
			if n.fixed {
				fixed++
			}
		}
		for _, a := range p.Areas {
			if a.StopAt == shownWithin {
				within++
			}
		}
		r := Simulate(p, u)
		if r.Half != p.Finish || r.Eighty != p.Finish {
			t.Errorf("seed %d: half of the runs end at %d, 80 %% at %d, the plan at %d", seed, r.Half, r.Eighty, p.Finish)
		}
		for i, d := range r.Rooms {
			if d.Half != p.RoomDates[i].Finish || d.Eighty != d.Half {
				t.Errorf("seed %d: %s is handed over at %d and %d, planned at %d", seed, d.Room, d.Half, d.Eighty, p.RoomDates[i].Finish)
			}
		}
	}
	if within == 0 || held == 0 || fixed == 0 {
		t.Errorf("%d stops within courses, %d held by what is not known, %d carried over: the test shows nothing", within, held, fixed)
	}
}

// The later share of the runs is never the sooner, more spread never ends sooner at
// 80 %, and work that only takes longer is never done before its planned date.
func TestSharesOfRunsAreInOrder(t *testing.T) {
	for seed := range uint64(4) {
		p := made(t, small(t, seed+1, 1+int(seed%3)))
		was := Risk{}
		for _, most := range []float64{1, 1.3, 1.8, 3} {
			r := Simulate(p, Uncertainty{Least: 1, Most: most, BreakChance: -1, OverrunMinutes: -1, Runs: 100, Seed: seed})
			if r.Half > r.Eighty || r.Half < p.Finish || r.Eighty < was.Eighty {
				t.Errorf("seed %d, up to %g times: half at %d, 80 %% at %d, with less spread %d, planned %d", seed, most, r.Half, r.Eighty, was.Eighty, p.Finish)
			}
			for i, d := range r.Rooms {
				if d.Half > d.Eighty || d.Half < p.RoomDates[i].Finish {
					t.Errorf("seed %d, %s: half at %d, 80 %% at %d, planned %d", seed, d.Room, d.Half, d.Eighty, p.RoomDates[i].Finish)
				}
			}
			was = r
		}
	}
}
