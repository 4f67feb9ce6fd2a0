package rcpsp

import (
	"context"
	"errors"
	"math/rand/v2"
	"testing"
)

func solve(t *testing.T, p Problem, o Options) Result {
	t.Helper()
	r, err := Solve(context.Background(), p, o)
	if err != nil {
		t.Fatal(err)
	}
	if r.Start != nil {
		if err := Check(p, r.Start); err != nil {
			t.Fatalf("the solver's own schedule fails: %v", err)
		}
		s := Evaluate(p, r.Start, o.Warm)
		if s.Makespan != r.Makespan || s.Lateness != r.Lateness {
			t.Fatalf("result says %+v, its starts say %+v", r, s)
		}
	}
	return r
}

func one(d int, demand ...int) Activity {
	return Activity{Duration: d, Demand: demand, Latest: -1, Due: -1, Site: -1, Room: -1, Fixed: -1}
}

func TestSolveTable(t *testing.T) {
	night := []Interval{{8, 24}, {32, 48}, {56, 72}}
	tests := []struct {
		name     string
		p        Problem
		status   Status
		makespan int
	}{
		{"nothing to do", Problem{}, Optimal, 0},
		{"two share one crew", Problem{Activities: []Activity{one(3, 1), one(4, 1)}, Resources: []Resource{{Capacity: 1}}}, Optimal, 7},
		{"two fit beside each other", Problem{Activities: []Activity{one(3, 1), one(4, 1)}, Resources: []Resource{{Capacity: 2}}}, Optimal, 4},
		{"a cure runs through the night", Problem{Activities: []Activity{one(4, 1), one(2, 1)}, Resources: []Resource{{Capacity: 1, Forbidden: night}},
			Lags: []Lag{{0, 1, 16}}}, Optimal, 26},
		{"not interrupted by the night", Problem{Activities: []Activity{one(5, 1), one(5, 1)}, Resources: []Resource{{Capacity: 1, Forbidden: night}}}, Optimal, 29},
		{"longer than every shift", Problem{Activities: []Activity{one(9, 1)}, Resources: []Resource{{Capacity: 1, Forbidden: night}}, Horizon: 72}, Infeasible, 0},
		{"demand over capacity", Problem{Activities: []Activity{one(1, 2)}, Resources: []Resource{{Capacity: 1}}}, Infeasible, 0},
		{"lags in a circle", Problem{Activities: []Activity{one(1), one(1)}, Lags: []Lag{{0, 1, 3}, {1, 0, -2}}}, Infeasible, 0},
		{"a membrane is covered in time", Problem{Activities: []Activity{one(2, 1), one(2, 1), one(6, 1)}, Resources: []Resource{{Capacity: 1}},
			Lags: []Lag{{0, 1, 4}, {1, 0, -6}}}, Optimal, 12},
		{"travel between sites", Problem{Activities: []Activity{{Duration: 2, Demand: []int{1}, Latest: -1, Due: -1, Site: 0, Fixed: -1},
			{Duration: 2, Demand: []int{1}, Latest: -1, Due: -1, Site: 1, Fixed: -1}}, Resources: []Resource{{Capacity: 2, Moves: true}},
			Travel: [][]int{{0, 3}, {3, 0}}}, Optimal, 7},
	}
	for _, test := range tests {
		t.Run(test.name, func(t *testing.T) {
			r := solve(t, test.p, Options{Schedules: 200})
			if r.Makespan != test.makespan || r.Status != test.status && !(test.status == Optimal && r.Status == Feasible) {
				t.Errorf("got %v %d (bound %d, %s), want %v %d", r.Status, r.Makespan, r.Bound, r.Reason, test.status, test.makespan)
			}
			if r.Status == Infeasible && len(r.Conflict) == 0 {
				t.Error("an infeasible problem names no activity")
			}
		})
	}
}

func TestMalformed(t *testing.T) {
	_, err := Solve(context.Background(), Problem{Activities: []Activity{one(-1)}}, Options{})
	if !errors.Is(err, ErrProblem) {
		t.Errorf("got %v", err)
	}
}

// randomProblem has everything a problem can have, in small.
func randomProblem(rng *rand.Rand, n int) Problem {
	p := Problem{Resources: make([]Resource, 1+rng.IntN(2)), Objective: Objective(rng.IntN(2))}
	for r := range p.Resources {
		p.Resources[r].Capacity = 1 + rng.IntN(3)
		if rng.IntN(2) == 0 {
			at := rng.IntN(6)
			for range 3 {
				end := at + 1 + rng.IntN(3)
				p.Resources[r].Forbidden = append(p.Resources[r].Forbidden, Interval{at, end})
				at = end + 1 + rng.IntN(5)
			}
		}
		p.Resources[r].Moves = rng.IntN(3) == 0
	}
	p.Travel = [][]int{{0, 1 + rng.IntN(3)}, {1 + rng.IntN(3), 0}}
	for range n {
		a := Activity{Duration: rng.IntN(4), Latest: -1, Due: -1, Site: rng.IntN(3) - 1, Room: rng.IntN(2), Fixed: -1}
		for r := range p.Resources {
			a.Demand = append(a.Demand, rng.IntN(p.Resources[r].Capacity+1))
		}
		if rng.IntN(4) == 0 {
			a.Release = rng.IntN(5)
		}
		if rng.IntN(6) == 0 {
			a.Latest = 2 + rng.IntN(8)
		}
		if rng.IntN(2) == 0 {
			a.Due, a.Weight = rng.IntN(8), 1+rng.IntN(3)
		}
		if rng.IntN(8) == 0 {
			a.Fixed = rng.IntN(4)
		}
		p.Activities = append(p.Activities, a)
	}
	for range n / 2 {
		i, j := rng.IntN(n), rng.IntN(n)
		if i > j {
			i, j = j, i
		}
		if i != j {
			p.Lags = append(p.Lags, Lag{i, j, rng.IntN(6) - 1})
			if rng.IntN(3) == 0 {
				p.Lags = append(p.Lags, Lag{j, i, -4 - rng.IntN(4)})
			}
		}
	}
	if rng.IntN(2) == 0 {
		p.Horizon = 12 + rng.IntN(8)
	}
	return p
}

// bruteForce tries every start up to the horizon.
func bruteForce(p Problem, horizon int) (Score, bool) {
	start := make([]int, len(p.Activities))
	var best Score
	found := false
	var try func(i int)
	try = func(i int) {
		if i == len(start) {
			if Check(p, start) != nil {
				return
			}
			s := Evaluate(p, start, nil)
			s.Moves, s.Change = 0, 0
			if p.Objective == Makespan {
				s.Lateness = 0
			}
			if !found || s.Less(best) {
				best, found = s, true
			}
			return
		}
		if f := p.Activities[i].Fixed; f >= 0 {
			start[i] = f
			try(i + 1)
			return
		}
		for t := 0; t <= horizon; t++ {
			start[i] = t
			ok := true
			for _, l := range p.Lags {
				if l.From <= i && l.To <= i && start[l.To] < start[l.From]+l.Min && (p.Activities[l.From].Fixed < 0 || p.Activities[l.To].Fixed < 0) {
					ok = false
				}
			}
			if ok {
				try(i + 1)
			}
		}
	}
	try(0)
	return best, found
}

func TestAgainstBruteForce(t *testing.T) {
	rng := rand.New(rand.NewPCG(7, 7))
	rounds := 120
	solved, proved := 0, 0
	for round := range rounds {
		p := randomProblem(rng, 3+rng.IntN(2))
		horizon := 20
		if p.Horizon > 0 {
			horizon = p.Horizon
		}
		want, feasible := bruteForce(p, horizon)
		r := solve(t, p, Options{Schedules: 300, Seed: uint64(round)})
		if r.Status == Optimal || r.Status == Infeasible {
			proved++
		}
		if !feasible {
			if r.Start != nil && r.Makespan <= horizon {
				t.Fatalf("round %d: %v %v where brute force finds none\n%+v", round, r.Status, r.Start, p)
			}
			continue
		}
		if r.Status == Infeasible {
			t.Fatalf("round %d: called infeasible (%s), brute force finds %+v\n%+v", round, r.Reason, want, p)
		}
		if r.Bound > want.Makespan && p.Objective == Makespan || p.Objective == LatenessFirst && r.LatenessBound > want.Lateness {
			t.Fatalf("round %d: bounds %d, %d over the optimum %+v\n%+v", round, r.LatenessBound, r.Bound, want, p)
		}
		got := Score{Lateness: r.Lateness, Makespan: r.Makespan}
		if p.Objective == Makespan {
			got.Lateness = 0
		}
		if r.Start != nil && got.Less(want) {
			t.Fatalf("round %d: %+v beats brute force %+v", round, got, want)
		}
		if r.Start != nil && got == want {
			solved++
		} else if r.Status == Optimal {
			t.Fatalf("round %d: claims %+v optimal, brute force has %+v", round, got, want)
		}
	}
	if proved < rounds*9/10 {
		t.Errorf("%d of %d rounds closed", proved, rounds)
	}
	t.Logf("optimum found in %d rounds, %d of %d closed", solved, proved, rounds)
}
