package nest

import (
	"math/rand/v2"
	"testing"
)

// Whatever is taken out and put back, every item is in one sheet or left out, and the state before is left as it was.
func TestRuinAndRecreateKeepAccount(t *testing.T) {
	r := rand.New(rand.NewPCG(9, 4))
	for n := range 60 {
		s := newSheetSolver(t.Context(), SheetProblem{W: 60, H: 40, Rotate: n%2 == 0}, Options{Seed: uint64(n)})
		for range 30 {
			s.items = append(s.items, SheetItem{1 + r.Int64N(30), 1 + r.Int64N(30)})
		}
		now := s.dropOne(s.construct(0, 0).trees)
		for range 40 {
			before := s.rate(now)
			next := s.ruin(now)
			holdsAll(t, s, next)
			s.recreate(&next, now.trees)
			holdsAll(t, s, next)
			holdsAll(t, s, now)
			if after := s.rate(now); after != before {
				t.Errorf("the state before was rated %v, now %v", before, after)
			}
			if t.Failed() {
				t.Fatalf("case %d", n)
			}
			now = next
		}
	}
}

func holdsAll(t *testing.T, s *sheetSolver, p packing) {
	t.Helper()
	count := make([]int, len(s.items))
	var area int64
	for _, i := range p.out {
		count[i]++
		area += s.items[i].W * s.items[i].H
	}
	for _, tree := range p.trees {
		checkTree(t, tree, s.items)
		for _, leaf := range tree.leaves() {
			count[tree.nodes[leaf].item]++
		}
	}
	for i, c := range count {
		if c != 1 {
			t.Errorf("item %d is there %d times", i, c)
		}
	}
	if area != p.area {
		t.Errorf("area %d without a place, noted %d", area, p.area)
	}
}

// The better state leaves less area out; where both leave as much, its free strips are larger.
func TestSheetRating(t *testing.T) {
	tests := []struct {
		name string
		a, b sheetRating
		want bool
	}{
		{"less area", sheetRating{5, 0}, sheetRating{6, 100}, true},
		{"more area", sheetRating{7, 100}, sheetRating{6, 0}, false},
		{"as much area, more room", sheetRating{6, 2}, sheetRating{6, 1}, true},
		{"as much area, less room", sheetRating{6, 1}, sheetRating{6, 2}, false},
		{"the same", sheetRating{6, 1}, sheetRating{6, 1}, true},
	}
	for _, tt := range tests {
		if got := tt.a.atLeast(tt.b); got != tt.want {
			t.Errorf("%s: %t", tt.name, got)
		}
	}
}
