package rcpsp

import (
	"math/rand/v2"
	"testing"
)

// plainProblem has capacities and lags forward only.
func plainProblem(rng *rand.Rand, n int) Problem {
	p := Problem{Resources: []Resource{{Capacity: 8}, {Capacity: 9}, {Capacity: 10}}}
	for i := range n {
		p.Activities = append(p.Activities, one(rng.IntN(10), rng.IntN(6), rng.IntN(6), rng.IntN(6)))
		for range min(i, 2) {
			before := max(0, i-1-rng.IntN(12))
			p.Lags = append(p.Lags, Lag{before, i, p.Activities[before].Duration + rng.IntN(3)})
		}
	}
	return p
}

// TestLanesAgainstScan holds the packed generator against one that looks at every time and every resource.
func TestLanesAgainstScan(t *testing.T) {
	rng := rand.New(rand.NewPCG(7, 1))
	for range 200 {
		p := plainProblem(rng, 1+rng.IntN(30))
		m, bad := compile(p)
		if bad != nil || !m.isPlain() {
			t.Fatalf("not a plain problem: %v", bad)
		}
		l, start := newLanes(m, false), make([]int32, m.n)
		order := make([]int32, m.n)
		for k, i := range rng.Perm(m.n) {
			order[k] = int32(i)
		}
		span := l.build(order, start)
		want := scanBuild(p, order)
		for i := range want {
			if int(start[i]) != want[i] {
				t.Fatalf("activity %d of %+v starts at %d, want %d", i, p, start[i], want[i])
			}
		}
		if got := Evaluate(p, want, nil).Makespan; got != int(span) {
			t.Fatalf("makespan %d, want %d", span, got)
		}
	}
}

// scanBuild places what the order names next, before it what it waits for, in the order of the lags.
func scanBuild(p Problem, order []int32) []int {
	start := make([]int, len(p.Activities))
	load := map[[2]int]int{} // by resource and time
	for i := range start {
		start[i] = -1
	}
	var place func(i int)
	place = func(i int) {
		t := 0
		for _, l := range p.Lags {
			if l.To == i {
				if start[l.From] < 0 {
					place(l.From)
				}
				t = max(t, start[l.From]+l.Min)
			}
		}
		a := p.Activities[i]
		for !fitsAt(p, load, a, t) {
			t++
		}
		for at := t; at < t+a.Duration; at++ {
			for r, q := range a.Demand {
				load[[2]int{r, at}] += q
			}
		}
		start[i] = t
	}
	for _, i := range order {
		if start[i] < 0 {
			place(int(i))
		}
	}
	return start
}

func fitsAt(p Problem, load map[[2]int]int, a Activity, t int) bool {
	for at := t; at < t+a.Duration; at++ {
		for r, q := range a.Demand {
			if load[[2]int{r, at}]+q > p.Resources[r].Capacity {
				return false
			}
		}
	}
	return true
}

// TestAmpleBudgetIsDeterministic: populations that grow and take turns with the engine by effort, not by time.
func TestAmpleBudgetIsDeterministic(t *testing.T) {
	p := plainProblem(rand.New(rand.NewPCG(3, 1)), smallPlain+6)
	o := Options{Schedules: ampleBudget + 2000, Seed: 5}
	a, b := solve(t, p, o), solve(t, p, o)
	if a.Status != b.Status || a.Bound != b.Bound || a.Schedules != b.Schedules || !equalStarts(a.Start, b.Start) {
		t.Errorf("the same seed gives %v %d after %d and %v %d after %d schedules", a.Status, a.Makespan, a.Schedules, b.Status, b.Makespan, b.Schedules)
	}
	if a.Bound > a.Makespan {
		t.Errorf("bound %d above the makespan %d", a.Bound, a.Makespan)
	}
	few := solve(t, p, Options{Schedules: 100, Seed: 5})
	if few.Makespan < a.Makespan {
		t.Errorf("%d after %d schedules, %d after 100", a.Makespan, a.Schedules, few.Makespan)
	}
	if a.Schedules > o.Schedules || few.Schedules > 100 {
		t.Errorf("%d and %d schedules, %d and 100 were allowed", a.Schedules, few.Schedules, o.Schedules)
	}
	t.Logf("%v %d, bound %d, %d schedules; %d after 100", a.Status, a.Makespan, a.Bound, a.Schedules, few.Makespan)
}
