package nest

import (
	"math/rand/v2"
	"testing"
)

// frontOf puts random rectangles into a front.
func frontOf(r *rand.Rand, n int) (front, all []spot) {
	for range n {
		s := spot{w: 1 + r.Int64N(30), h: 1 + r.Int64N(30)}
		front, all = addSpot(front, s), append(all, s)
	}
	return front, all
}

// inside reports whether some rectangle of a list lies in w × h.
func inside(list []spot, w, h int64) bool {
	for _, e := range list {
		if e.w <= w && e.h <= h {
			return true
		}
	}
	return false
}

// A front holds of all rectangles put into it just those in which no other lies, each
// wider and lower than the one before it.
func TestFrontKeepsTheSmallest(t *testing.T) {
	r := rand.New(rand.NewPCG(3, 5))
	for range 500 {
		front, all := frontOf(r, 1+r.IntN(20))
		for i := 1; i < len(front); i++ {
			if front[i].w <= front[i-1].w || front[i].h >= front[i-1].h {
				t.Fatalf("%v does not follow %v", front[i], front[i-1])
			}
		}
		for w := range int64(31) {
			for h := range int64(31) {
				if got, want := inside(front, w, h), inside(all, w, h); got != want {
					t.Fatalf("%d × %d: %v, want %v; front %v of %v", w, h, got, want, front, all)
				}
			}
		}
	}
}

// Two parts side by side, or one above the other, leave the same smallest rectangles
// as all pairs of theirs do.
func TestJoinedFrontsLoseNothing(t *testing.T) {
	r := rand.New(rand.NewPCG(7, 9))
	for range 100 {
		f := &fitter{w: 20 + r.Int64N(50), h: 20 + r.Int64N(50), kerf: r.Int64N(3)}
		parts := [2]*group{}
		for i := range parts {
			front, _ := frontOf(r, 1+r.IntN(12))
			parts[i] = &group{members: []int32{0}, may: ^uint16(0), known: ^uint16(0), fronts: [][]spot{front}}
			for s := range parts[i].at {
				parts[i].at[s] = 1
			}
		}
		part := split{parts[0], parts[1]}
		var beside, above []spot
		for _, a := range parts[0].fronts[0] {
			for _, b := range parts[1].fronts[0] {
				if s := (spot{w: a.w + f.kerf + b.w, h: max(a.h, b.h)}); s.w <= f.w {
					beside = append(beside, s)
				}
				if s := (spot{w: max(a.w, b.w), h: a.h + f.kerf + b.h}); s.h <= f.h {
					above = append(above, s)
				}
			}
		}
		upright, level := f.joinUpright(nil, part, NoSides), f.joinLevel(nil, part, NoSides)
		for w := range f.w + 1 {
			for h := range f.h + 1 {
				if got, want := inside(upright, w, h), inside(beside, w, h); got != want {
					t.Fatalf("side by side in %d × %d: %v, want %v", w, h, got, want)
				}
				if got, want := inside(level, w, h), inside(above, w, h); got != want {
					t.Fatalf("one above the other in %d × %d: %v, want %v", w, h, got, want)
				}
			}
		}
	}
}
