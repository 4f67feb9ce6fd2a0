package plandoc

import (
	"math/rand/v2"
	"testing"
)

// Whether any of many rings comes near a point is the same whether all are looked
// at or those about the point.
func TestNeighboursAgainstAll(t *testing.T) {
	r := rand.New(rand.NewPCG(3, 11))
	met := 0
	for range 60 {
		var all region
		for range r.IntN(40) {
			x, y, w, h, lean := r.Float64()*1000, r.Float64()*1000, 1+r.Float64()*300, 1+r.Float64()*90, r.Float64()*40
			all = append(all, region{{{x, y}, {x + w, y + lean}, {x + w - lean, y + h + lean}, {x - lean, y + h}}}...)
		}
		n := neighboursOf(all)
		for range 100 {
			p, reach := xy{r.Float64()*1200 - 100, r.Float64()*1200 - 100}, 0.5+r.Float64()*20
			want := nearest(p, all, reach) < reach
			if n.within(p, reach) != want {
				t.Fatalf("%v within %g of %d rings: %v, want %v", p, reach, len(all), !want, want)
			}
			if want {
				met++
			}
		}
	}
	if met < 100 {
		t.Errorf("%d points lie near: the test shows little", met)
	}
}
