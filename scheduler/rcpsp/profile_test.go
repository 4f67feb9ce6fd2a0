package rcpsp

import (
	"math/rand/v2"
	"testing"
)

// TestProfileAgainstArray adds and removes at random and compares with one cell per time; a calendar of many steps is
// taken up bit by bit.
func TestProfileAgainstArray(t *testing.T) {
	var weeks []Interval
	for at := 3; at < 990; at += 5 {
		weeks = append(weeks, Interval{at, at + 2})
	}
	for _, c := range []struct {
		name string
		away []Interval
		span int
	}{
		{"three spans", []Interval{{6, 9}, {20, 21}, {21, 25}}, 40},
		{"many spans", weeks, 1000},
	} {
		t.Run(c.name, func(t *testing.T) {
			rng := rand.New(rand.NewPCG(3, 1))
			for range 200 {
				profileAgainstArray(t, rng, c.away, c.span)
			}
		})
	}
}

func profileAgainstArray(t *testing.T, rng *rand.Rand, away []Interval, span int) {
	p := newProfile(Resource{Capacity: 5, Forbidden: away})
	base := newProfile(Resource{Capacity: 5, Forbidden: away})
	load := make([]int, span)
	for _, f := range away {
		for k := f.Start; k < f.End; k++ {
			load[k] = blocked
		}
	}
	type held struct{ from, to, q int }
	var all []held
	for turn := range 60 {
		near := span // the first turns stay near the beginning
		if turn < 20 {
			near = min(span, 40)
		}
		if len(all) > 0 && rng.IntN(2) == 0 {
			k := rng.IntN(len(all))
			h := all[k]
			all = append(all[:k], all[k+1:]...)
			p.remove(h.from, h.to, h.q)
			for i := h.from; i < h.to; i++ {
				load[i] -= h.q
			}
		} else {
			from := rng.IntN(near - 1)
			h := held{from, from + 1 + rng.IntN(near-from-1), 1 + rng.IntN(3)}
			all = append(all, h)
			p.add(h.from, h.to, h.q)
			for i := h.from; i < h.to; i++ {
				load[i] += h.q
			}
		}
		from, d, q := rng.IntN(near), 1+rng.IntN(5), 1+rng.IntN(4)
		if got, want := p.earliest(from, d, q), earliestInArray(load, from, d, 5-q); got != want {
			t.Fatalf("earliest(%d, %d, %d) = %d, want %d with %v and %v", from, d, q, got, want, load, p.steps)
		}
	}
	p.copyOf(&base)
	if got, want := p.earliest(0, 1, 5), earliestInArray(make([]int, 1), 0, 1, 0); got != want {
		t.Fatalf("an empty profile begins at %d, want %d", got, want)
	}
	if len(p.steps) != len(base.steps) || len(p.later) != len(base.later) {
		t.Fatalf("a copy has %d and %d steps, want %d and %d", len(p.steps), len(p.later), len(base.steps), len(base.later))
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
