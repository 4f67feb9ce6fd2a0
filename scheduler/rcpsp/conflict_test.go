package rcpsp

import (
	"slices"
	"testing"
)

// TestConflictIsSmall hides a contradiction of three activities among twenty that are fine.
func TestConflictIsSmall(t *testing.T) {
	p := Problem{Resources: []Resource{{Capacity: 1}}}
	for range 20 {
		p.Activities = append(p.Activities, one(2, 1))
	}
	// Within two after 4 starts, both 9 and 13 must have started; each takes two of the only crew.
	p.Lags = append(p.Lags, Lag{4, 9, 0}, Lag{9, 4, -3}, Lag{4, 13, 0}, Lag{13, 4, -3})
	r := solve(t, p, Options{})
	if r.Status != Infeasible || !slices.Equal(r.Conflict, []int{4, 9, 13}) {
		t.Errorf("got %v %v, want activities 4, 9 and 13", r.Status, r.Conflict)
	}
	r = solve(t, p, Options{Unexplained: true})
	if r.Status != Infeasible || len(r.Conflict) != len(p.Activities) {
		t.Errorf("unexplained: got %v %v, want all that were looked at", r.Status, r.Conflict)
	}
}

// TestConflictNamesTheChain: a fixed start that its own predecessor cannot meet.
func TestConflictNamesTheChain(t *testing.T) {
	p := Problem{Activities: []Activity{one(4), one(3), one(1), one(1)}, Lags: []Lag{{0, 1, 4}, {1, 2, 3}}}
	p.Activities[2].Fixed = 5
	r := solve(t, p, Options{})
	if r.Status != Infeasible || !slices.Equal(r.Conflict, []int{0, 1, 2}) || r.Reason == "" {
		t.Errorf("got %v %v %q", r.Status, r.Conflict, r.Reason)
	}
}
