package nest

import (
	"cmp"
	"math/rand/v2"
	"slices"
	"testing"
)

// The list of most improving columns is what sorting all of them gives, equal ones by number.
func TestImprovingListsTheBest(t *testing.T) {
	r := rand.New(rand.NewPCG(31, 1))
	for range 300 {
		s := newSimplex([]float64{1, 1}, []column{{1, []int32{0}, []float64{1}}, {1, []int32{1}, []float64{1}}})
		for range r.IntN(60) {
			s.add(column{1, []int32{int32(r.IntN(2))}, []float64{float64(r.IntN(5))}})
		}
		var want []int
		for c := range s.cols {
			if s.where[c] < 0 && s.reduced(c) < -priceTolerance {
				want = append(want, c)
			}
		}
		slices.SortStableFunc(want, func(a, b int) int { return cmp.Compare(s.reduced(a), s.reduced(b)) })
		most := 1 + r.IntN(20)
		if got := s.improving(most); !slices.Equal(got, want[:min(most, len(want))]) {
			t.Fatalf("%d most improving are %v, want %v", most, got, want)
		}
	}
}
