package rcpsp

import (
	"math/rand/v2"
	"testing"
)

// TestProfileAgainstArray adds and removes at random and compares with one cell per time.
func TestProfileAgainstArray(t *testing.T) {
	rng := rand.New(rand.NewPCG(3, 1))
	for range 200 {
		const span = 40
		p := newProfile(Resource{Capacity: 5, Forbidden: []Interval{{6, 9}, {20, 21}, {21, 25}}})
		var load [span]int
		for _, f := range [][2]int{{6, 9}, {20, 25}} {
			for k := f[0]; k < f[1]; k++ {
				load[k] = blocked
			}
		}
		type span3 struct{ from, to, q int }
		var held []span3
		for range 60 {
			if len(held) > 0 && rng.IntN(2) == 0 {
				k := rng.IntN(len(held))
				h := held[k]
				held = append(held[:k], held[k+1:]...)
				p.remove(h.from, h.to, h.q)
				for i := h.from; i < h.to; i++ {
					load[i] -= h.q
				}
			} else {
				from := rng.IntN(span - 1)
				h := span3{from, from + 1 + rng.IntN(span-from-1), 1 + rng.IntN(3)}
				held = append(held, h)
				p.add(h.from, h.to, h.q)
				for i := h.from; i < h.to; i++ {
					load[i] += h.q
				}
			}
			from, d, q := rng.IntN(span), 1+rng.IntN(5), 1+rng.IntN(4)
			if got, want := p.earliest(from, d, q), earliestInArray(load[:], from, d, 5-q); got != want {
				t.Fatalf("earliest(%d, %d, %d) = %d, want %d with %v and %v", from, d, q, got, want, load, p.steps)
			}
		}
	}
}

func earliestInArray(load []int, from, d, room int) int {
	for t := from; ; t++ {
		fits := true
		for i := t; i < t+d && i < len(load); i++ {
			fits = fits && load[i] <= room
		}
		if fits {
			return t
		}
	}
}
