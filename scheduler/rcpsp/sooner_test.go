package rcpsp

import (
	"context"
	"math/rand/v2"
	"slices"
	"testing"
)

// TestDraftsBeginAsSoonAsTheyCan solves random problems from starts that nobody asked for, held to Check: nothing can
// begin sooner by itself, unless that took a crew to more rooms.
func TestDraftsBeginAsSoonAsTheyCan(t *testing.T) {
	rng := rand.New(rand.NewPCG(11, 4))
	looked := 0
	for range 150 {
		p := randomProblem(rng, 3+rng.IntN(9))
		p.Objective = LatenessFirst
		first, err := Solve(context.Background(), p, Options{Schedules: 50, Seed: 1})
		if err != nil {
			t.Fatal(err)
		}
		if first.Start == nil {
			continue
		}
		warm := slices.Clone(first.Start)
		for i := range warm {
			warm[i] += rng.IntN(9)
		}
		r, err := Solve(context.Background(), p, Options{Schedules: 20, Seed: 1, Warm: warm, Draft: true})
		if err != nil || r.Start == nil {
			t.Fatalf("%v, %v from starts that a schedule was known for", r.Status, err)
		}
		if err := Check(p, r.Start); err != nil {
			t.Fatal(err)
		}
		score := Evaluate(p, r.Start, nil)
		for i, a := range p.Activities {
			for s := max(0, r.Start[i]-12); a.Fixed < 0 && s < r.Start[i]; s++ {
				next := slices.Clone(r.Start)
				next[i] = s
				if looked++; Check(p, next) == nil && Evaluate(p, next, nil).Less(score) {
					t.Fatalf("activity %d begins at %d, and could at %d: %v of %+v", i, r.Start[i], s, r.Start, p)
				}
			}
		}
	}
	if looked < 1000 {
		t.Errorf("only %d starts were looked at", looked)
	}
}
