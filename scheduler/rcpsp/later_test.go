package rcpsp

import (
	"math/rand/v2"
	"slices"
	"testing"
)

// An activity is put off to the last day that leaves the rest where it is: there is no later day on the first free time
// of which it could be done. Nothing else moves, no room is late by it, and the schedule keeps its rules.
func TestLaterFindsTheLastDay(t *testing.T) {
	const day = 5
	rng, later := rand.New(rand.NewPCG(3, 14)), 0
	for range 3_000 {
		p := randomProblem(rng, 3+rng.IntN(7))
		p.Objective, p.Horizon = LatenessFirst, 0
		p.Resources[0].Moves = true
		m, bad := compile(p)
		if bad != nil {
			continue
		}
		b := newBuilder(m)
		if !b.build(newOrderer(m).order(nil, make([]int, len(m.blocks)))) {
			continue
		}
		start := slices.Clone(b.start)
		was, act := Evaluate(p, start, nil), rng.IntN(len(start))
		var days []int
		for d := 0; d < was.Makespan; d += day {
			days = append(days, d)
		}
		got, moved := Later(p, start, []int{act}, days)
		if err := Check(p, got); err != nil {
			t.Fatal(err)
		}
		for i := range got {
			if got[i] != start[i] && (i != act || !moved || got[i] < start[i] || p.Activities[i].Fixed >= 0) {
				t.Fatalf("activity %d is put off, %v has become %v (%v)", act, start, got, moved)
			}
		}
		now := Evaluate(p, got, nil)
		if now.Lateness > was.Lateness || now.Makespan > was.Makespan || now.Moves > was.Moves {
			t.Fatalf("%+v has become %+v", was, now)
		}
		if moved {
			later++
		}
		next := slices.Clone(got)
		for d := got[act]/day + 1; p.Activities[act].Fixed < 0 && p.Activities[act].Duration > 0 && d*day < was.Makespan; d++ {
			for next[act] = d * day; next[act] <= was.Makespan && Check(p, next) != nil; {
				next[act]++
			}
			if s := Evaluate(p, next, nil); Check(p, next) == nil && noneTogether(next) && s.Lateness <= was.Lateness && s.Makespan <= was.Makespan && s.Moves <= was.Moves {
				t.Fatalf("activity %d is put off to %d and could be to %d: %+v", act, got[act], next[act], p)
			}
		}
	}
	if later < 100 {
		t.Errorf("%d activities are put off: the test shows little", later)
	}
}

// noneTogether reports whether all activities begin at times of their own: those that
// begin together may be counted in either order.
func noneTogether(start []int) bool {
	all := slices.Sorted(slices.Values(start))
	return len(slices.Compact(all)) == len(start)
}
