package scheduler

import (
	"cmp"
	"math"
	"math/rand/v2"
	"reflect"
	"slices"
	"strings"
	"testing"
)

func TestTriangularDraw(t *testing.T) {
	s := &simulation{u: Uncertainty{Least: 0.8, Most: 1.7}, rng: rand.New(rand.NewPCG(1, 1))}
	const n = 50_000
	sum, low, high, under := 0.0, math.Inf(1), 0.0, 0
	for range n {
		v := s.draw()
		sum += v
		low, high = min(low, v), max(high, v)
		if v < 1 {
			under++
		}
	}
	// Mean (a+b+c)/3 and share below the peak (c-a)/(b-a) of a triangular
	// distribution.
	if mean := sum / n; math.Abs(mean-3.5/3) > 0.005 || low < 0.8 || high > 1.7 {
		t.Errorf("mean %.4f, from %.3f to %.3f", mean, low, high)
	}
	if share := float64(under) / n; math.Abs(share-0.2/0.9) > 0.01 {
		t.Errorf("%.3f lie under the peak, want %.3f", share, 0.2/0.9)
	}
}

func TestQuantile(t *testing.T) {
	v := []int{9, 1, 5, 3, 7}
	for percent, want := range map[int]int{50: 5, 80: 7, 100: 9, 1: 1} {
		if got := quantile(v, percent); got != want {
			t.Errorf("%d %%: %d, want %d", percent, got, want)
		}
	}
}

func TestSimulation(t *testing.T) {
	p := made(t, small(t, 3, 4))
	sure := Simulate(p, Uncertainty{Least: 1, Most: 1.0000001, BreakChance: 1e-12, Runs: 20})
	if d := sure.Half - p.Finish; d < -24*60 || d > 60 {
		t.Errorf("without uncertainty the plan ends %d min from its own finish", d)
	}
	none := Simulate(p, Uncertainty{Least: 1, Most: 1, BreakChance: -1, RecutMinutes: -1, OverrunMinutes: -1, Runs: 20})
	if none.Half != none.Eighty || none.Half < sure.Half {
		t.Errorf("where nothing breaks half of the runs end at %d, 80 %% at %d; with time to stay longer at %d", none.Half, none.Eighty, sure.Half)
	}
	usual := Simulate(p, Uncertainty{Runs: 200, Seed: 4})
	wild := Simulate(p, Uncertainty{Runs: 200, Seed: 4, Most: 3, BreakChance: 0.2})
	if usual.Half > usual.Eighty || wild.Eighty < usual.Eighty {
		t.Errorf("50 %% %d, 80 %% %d; with more uncertainty %d", usual.Half, usual.Eighty, wild.Eighty)
	}
	if len(usual.Critical) == 0 || usual.Critical[0].Share <= 0 || usual.Critical[0].Share > 1 {
		t.Errorf("critical: %v", usual.Critical)
	}
	if again := Simulate(p, Uncertainty{Runs: 200, Seed: 4}); !reflect.DeepEqual(usual, again) {
		t.Error("the same seed gives another answer")
	}
	for _, r := range usual.Rooms {
		if r.Chance < 0 || r.Chance > 1 || r.Half > r.Eighty {
			t.Errorf("room %+v", r)
		}
	}
}

// The chain that held a room's hand-over ends with that, in every run; no more than
// five activities are named, most often first. Work that takes its planned time and no tile
// that breaks leave nothing to chance.
func TestHeldRooms(t *testing.T) {
	in := small(t, 3, 3)
	in.Firm.Uncertainty = Uncertainty{Least: 0.9, Most: 2.5, BreakChance: 0.1, Runs: 40}
	p := made(t, in)
	if p.Risk.Runs != 40 || !strings.Contains(strings.Join(p.Summary, "\n"), "it takes 0.9 to 2.5 times as long as planned, 10 % of the cut pieces break), half of 40") {
		t.Errorf("%d runs, %q: the firm's figures are not taken", p.Risk.Runs, p.Summary)
	}
	for _, r := range p.Risk.Rooms {
		if len(r.Critical) == 0 || len(r.Critical) > 5 || r.Critical[0].Share != 1 {
			t.Errorf("%s is held by %v", r.Room, r.Critical)
		}
		if !slices.IsSortedFunc(r.Critical, func(a, b Often) int { return cmp.Compare(b.Share, a.Share) }) {
			t.Errorf("%s: %v", r.Room, r.Critical)
		}
	}
	s := newSimulation(p, Uncertainty{Least: 0.9, Most: 2.5, BreakChance: 0.1}, indexPieces(p.Layouts).ofAreas(p.Areas))
	h := newTally(len(p.RoomDates), len(p.Activities))
	for range 10 {
		s.run()
		s.trace(h)
	}
	for i, r := range p.RoomDates {
		last := slices.IndexFunc(p.Activities, func(a Activity) bool { return a.Room == r.Room && a.Kind == kindHandOver })
		if h.own[last] != 10 {
			t.Errorf("%s (%d): its hand-over held it in %d of 10 runs", r.Room, i, h.own[last])
		}
	}
	s = newSimulation(p, Uncertainty{Least: 1, Most: 1, BreakChance: 1e-12}, indexPieces(p.Layouts).ofAreas(p.Areas))
	for range 5 {
		if v := s.draw(); v != 1 {
			t.Fatalf("a factor of %g where work takes its planned time", v)
		}
	}
}
