package rcpsp

import (
	"math/rand/v2"
	"testing"
)

// What is lent is not there: two work beside each other while two are there, one after the other while one is.
func TestLent(t *testing.T) {
	pair, night := []Resource{{Capacity: 2, Lent: []Loan{{Interval{4, 8}, 1}}}}, []Interval{{8, 24}, {32, 48}}
	for _, c := range []struct {
		name     string
		p        Problem
		status   Status
		makespan int
	}{
		{"both before", Problem{Activities: []Activity{one(4, 1), one(4, 1)}, Resources: pair}, Optimal, 4},
		{"one goes on alone", Problem{Activities: []Activity{one(4, 1), one(4, 1), one(4, 1)}, Resources: pair}, Optimal, 8},
		{"what takes two waits", Problem{Activities: []Activity{one(3, 2), one(3, 2)}, Resources: pair}, Optimal, 11},
		{"a loan counts for nothing by itself", Problem{Activities: []Activity{one(2, 1)}, Resources: []Resource{{Capacity: 2, Lent: []Loan{{Interval{4, 900}, 1}}}}}, Optimal, 2},
		{"mornings only", Problem{Activities: []Activity{one(4, 2), one(4, 2), one(4, 1)}, Horizon: 48,
			Resources: []Resource{{Capacity: 2, Forbidden: night, Lent: []Loan{{Interval{4, 24}, 1}, {Interval{28, 40}, 1}}}}}, Optimal, 28},
		{"all of it lent", Problem{Activities: []Activity{one(4, 1)}, Resources: []Resource{{Capacity: 1, Lent: []Loan{{Interval{0, 3}, 1}, {Interval{5, 9}, 1}}}}}, Optimal, 13},
	} {
		r := solve(t, c.p, Options{Schedules: 200})
		if r.Makespan != c.makespan || r.Status != c.status {
			t.Errorf("%s: %v %d, want %v %d", c.name, r.Status, r.Makespan, c.status, c.makespan)
		}
	}
	p := Problem{Activities: []Activity{one(3, 1), one(3, 1)}, Resources: pair}
	if Check(p, []int{1, 1}) != nil || Check(p, []int{2, 2}) == nil || Check(p, []int{5, 4}) == nil || Check(p, []int{4, 7}) != nil {
		t.Error("the check does not hold what is used to what is left")
	}
	for _, bad := range [][]Loan{{{Interval{3, 2}, 1}}, {{Interval{3, 5}, 1}, {Interval{4, 6}, 1}}, {{Interval{3, 5}, 3}}, {{Interval{3, 5}, -1}}} {
		if (Problem{Resources: []Resource{{Capacity: 2, Lent: bad}}}).Validate() == nil {
			t.Errorf("loans %v are taken", bad)
		}
	}
}

// A loan does what an activity does that is fixed at its time, but for the makespan.
func TestLentAsFixedActivities(t *testing.T) {
	proved := 0
	for seed := uint64(1); seed <= 150; seed++ {
		rng := rand.New(rand.NewPCG(seed, 9))
		p := randomProblem(rng, 5)
		other := p
		other.Resources, other.Activities = append([]Resource{}, p.Resources...), append([]Activity{}, p.Activities...)
		last := 0
		for r := range p.Resources {
			at := rng.IntN(4)
			for range rng.IntN(4) {
				l := Loan{Interval{at, at + 1 + rng.IntN(5)}, 1 + rng.IntN(p.Resources[r].Capacity)}
				at = l.End + rng.IntN(3)
				last = max(last, l.End)
				p.Resources[r].Lent = append(p.Resources[r].Lent, l)
				d := make([]int, r+1)
				d[r] = l.Count
				a := one(l.End-l.Start, d...)
				a.Fixed = l.Start
				other.Activities = append(other.Activities, a)
			}
			other.Resources[r].Lent = nil
		}
		a, b := solve(t, p, Options{Schedules: 3000, Seed: seed}), solve(t, other, Options{Schedules: 3000, Seed: seed})
		if (a.Status == Infeasible) != (b.Status == Infeasible) && a.Status != Unknown && b.Status != Unknown {
			t.Errorf("seed %d: lent %v, fixed %v", seed, a.Status, b.Status)
		}
		if a.Status != Optimal || b.Status != Optimal {
			continue
		}
		proved++
		if a.Lateness != b.Lateness || max(a.Makespan, last) != max(b.Makespan, last) {
			t.Errorf("seed %d: lent %d late, done at %d; fixed %d, %d, the last loan ends at %d", seed, a.Lateness, a.Makespan, b.Lateness, b.Makespan, last)
		}
	}
	if proved < 60 {
		t.Errorf("%d are proved: the test shows little", proved)
	}
}
