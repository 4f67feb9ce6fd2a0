package rcpsp

import (
	"context"
	"math/rand/v2"
	"testing"
)

// Decide agrees with the search that enumerates, gives schedules that hold, and takes
// no more than its effort by far.
func TestDecideAgainstSolve(t *testing.T) {
	got := map[Status]int{}
	for seed := range uint64(600) {
		rng := rand.New(rand.NewPCG(seed, 21))
		p := randomProblem(rng, 3+rng.IntN(4))
		want := solve(t, p, Options{Schedules: 5000})
		r, err := Decide(context.Background(), p, 100_000)
		if err != nil {
			t.Fatal(err)
		}
		if r.Start != nil {
			if err := Check(p, r.Start); err != nil {
				t.Fatalf("seed %d: %v", seed, err)
			}
		}
		if (r.Status == Infeasible) != (want.Status == Infeasible) || (r.Status == Feasible) != (r.Start != nil) || r.Status == Optimal {
			t.Fatalf("seed %d: decided %v, solved %v", seed, r.Status, want.Status)
		}
		got[r.Status]++
	}
	if got[Infeasible] < 50 || got[Feasible] < 50 {
		t.Errorf("verdicts %v", got)
	}
}

// With little effort nothing wrong is said.
func TestDecideWithLittleEffort(t *testing.T) {
	undecided := 0
	for seed := range uint64(300) {
		rng := rand.New(rand.NewPCG(seed, 22))
		p := randomProblem(rng, 5+rng.IntN(4))
		want := solve(t, p, Options{Schedules: 5000})
		r, err := Decide(context.Background(), p, 1+rng.Int64N(10))
		if err != nil {
			t.Fatal(err)
		}
		switch {
		case r.Status == Unknown:
			undecided++
		case (r.Status == Infeasible) != (want.Status == Infeasible):
			t.Fatalf("seed %d: decided %v, solved %v", seed, r.Status, want.Status)
		}
	}
	if undecided == 0 {
		t.Error("any effort is enough")
	}
}
