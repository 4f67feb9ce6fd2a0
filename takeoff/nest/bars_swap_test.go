package nest

import (
	"math/rand/v2"
	"slices"
	"testing"
)

// triplets is a problem of the kind Falkenauer 1996 calls triplets: each bar is cut into three, the first piece 380 to 490,
// the second more than 250 but no more than leaves the third 250, and nothing is wasted. The optimum is the number of bars.
func triplets(r *rand.Rand, bars int) BarProblem {
	p := BarProblem{Capacity: 1000}
	for range bars {
		a := 380 + r.Int64N(111)
		b := 250 + r.Int64N((p.Capacity-a)/2-250+1)
		p.Items = append(p.Items, a, b, p.Capacity-a-b)
	}
	r.Shuffle(len(p.Items), func(i, j int) { p.Items[i], p.Items[j] = p.Items[j], p.Items[i] })
	return p
}

func TestSwapsWasteNothing(t *testing.T) {
	r := rand.New(rand.NewPCG(23, 1))
	for n := range 12 {
		p := triplets(r, 100+10*n)
		s := newBarSolver(t.Context(), p, Options{})
		s.bound = s.volumeBound()
		s.take(s.bestFit(s.demand))
		s.take(s.fullest(s.demand))
		if s.closed() {
			t.Fatalf("case %d: simple rules waste nothing, so nothing is tried", n)
		}
		if s.swaps(); !s.closed() {
			t.Errorf("case %d: %d bars, %d would do", n, len(s.best), s.bound)
		}
		if err := CheckBars(p, s.result(p)); err != nil {
			t.Errorf("case %d: %v", n, err)
		}
		if r := mustBars(t, p); r.Status != Optimal || r.Bars != s.bound {
			t.Errorf("case %d: %v, %s", n, r.Status, r.Sentence())
		}
	}
}

// Whatever is swapped, no item is lost and the loads are those of the items.
func TestSwapsKeepAccount(t *testing.T) {
	r := rand.New(rand.NewPCG(23, 2))
	for n := range 200 {
		p := randomBars(r, 40)
		s := newBarSolver(t.Context(), p, Options{Seed: uint64(n)})
		s.take(s.bestFit(s.demand))
		if len(s.best) < 2 {
			continue
		}
		w := barSwaps{s: s, random: rand.New(rand.NewPCG(uint64(n), 0))}
		w.start(len(s.best) - 1)
		done := w.run(100_000)
		count, over := make([]int, len(s.size)), []int{}
		for i, bar := range w.bars {
			if bar.length(s.size) != w.load[i] {
				t.Fatalf("case %d: bar %d is said to hold %d, it holds %d", n, i, w.load[i], bar.length(s.size))
			}
			for _, k := range bar {
				count[k]++
			}
			if w.load[i] > s.capacity {
				over = append(over, i)
			}
		}
		slices.Sort(w.over)
		if !slices.Equal(count, s.demand) || !slices.Equal(over, w.over) || done != (len(over) == 0) {
			t.Fatalf("case %d: items %v of %v; bars too full %v, said to be %v; done %t", n, count, s.demand, over, w.over, done)
		}
	}
}
