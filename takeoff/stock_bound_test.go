package takeoff

import (
	"math/rand/v2"
	"slices"
	"testing"
)

// fewestByTrying packs sizes into the fewest bins by trying every way.
func fewestByTrying(sizes []int, capacity int) int {
	best := len(sizes)
	var bins []int
	var walk func(i int)
	walk = func(i int) {
		if len(bins) >= best {
			return
		}
		if i == len(sizes) {
			best = len(bins)
			return
		}
		for b := range bins {
			if bins[b]+sizes[i] <= capacity {
				bins[b] += sizes[i]
				walk(i + 1)
				bins[b] -= sizes[i]
			}
		}
		bins = append(bins, sizes[i])
		walk(i + 1)
		bins = bins[:len(bins)-1]
	}
	walk(0)
	return best
}

func TestTakeBoundOfBins(t *testing.T) {
	for _, c := range []struct {
		sizes []float64
		want  int
	}{
		{nil, 0}, {[]float64{1, 1, 1, 1}, 1}, {[]float64{3, 3, 2}, 3}, {[]float64{3, 1, 3, 1}, 2}, {[]float64{2, 2, 2}, 2}, {[]float64{4, 1}, 2},
	} {
		if got := fewestBins(c.sizes, 4); got != c.want {
			t.Errorf("%v in bins of 4: bound %d, want %d", c.sizes, got, c.want)
		}
	}
	rng := rand.New(rand.NewPCG(6, 11))
	tight := 0
	for n := range 2000 {
		var sizes []int
		var floats []float64
		for range rng.IntN(8) {
			s := 1 + rng.IntN(20)
			sizes, floats = append(sizes, s), append(floats, float64(s))
		}
		slices.Sort(sizes)
		got, best := fewestBins(floats, 20), fewestByTrying(sizes, 20)
		if got > best {
			t.Fatalf("case %d: bound %d over %d for %v", n, got, best, sizes)
		}
		if got == best {
			tight++
		}
	}
	if tight < 1800 {
		t.Errorf("only %d of 2000 bounds are reached", tight)
	}
}
