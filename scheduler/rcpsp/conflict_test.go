package rcpsp

import (
	"slices"
	"testing"
)

// TestConflictNamesTheChain: a fixed start that its own predecessor cannot meet.
func TestConflictNamesTheChain(t *testing.T) {
	p := Problem{Activities: []Activity{one(4), one(3), one(1), one(1)}, Lags: []Lag{{0, 1, 4}, {1, 2, 3}}}
	p.Activities[2].Fixed = 5
	r := solve(t, p, Options{})
	if r.Status != Infeasible || !slices.Equal(r.Conflict, []int{0, 1, 2}) || r.Reason == "" {
		t.Errorf("got %v %v %q", r.Status, r.Conflict, r.Reason)
	}
}
