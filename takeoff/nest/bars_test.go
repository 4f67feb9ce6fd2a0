package nest

import (
	"context"
	"errors"
	"math"
	"math/bits"
	"math/rand/v2"
	"reflect"
	"testing"
)

func TestSolveBarsTable(t *testing.T) {
	tests := []struct {
		name           string
		capacity, kerf int64
		items          []int64
		bars           int
	}{
		{"nothing", 2500, 3, nil, 0},
		{"one whole bar", 2500, 3, []int64{2500}, 1},
		{"two halves without a kerf", 2500, 0, []int64{1250, 1250}, 1},
		{"the kerf parts them", 2500, 3, []int64{1250, 1248}, 2},
		{"just room for the kerf", 2500, 3, []int64{1250, 1247}, 1},
		{"largest first would take three", 10, 0, []int64{6, 5, 3, 2, 2, 2}, 2},
		{"volume bound not reached", 10, 0, []int64{6, 6, 6}, 3},
		{"best fit takes one too many", 100, 0, []int64{44, 24, 24, 22, 21, 17, 8, 8, 6, 6, 10, 10}, 2},
	}
	for _, tt := range tests {
		t.Run(tt.name, func(t *testing.T) {
			p := BarProblem{Capacity: tt.capacity, Kerf: tt.kerf, Items: tt.items}
			r := mustBars(t, p)
			if r.Bars != tt.bars || r.Status != Optimal {
				t.Errorf("%v: %s, want %d bars, optimal", r.Status, r.Sentence(), tt.bars)
			}
		})
	}
}

func mustBars(t *testing.T, p BarProblem) BarResult {
	t.Helper()
	r, err := SolveBars(context.Background(), p, Options{})
	if err != nil {
		t.Fatal(err)
	}
	if err := CheckBars(p, r); err != nil {
		t.Fatalf("%v\n%+v\n%+v", err, p, r)
	}
	return r
}

func TestSolveBarsRefuses(t *testing.T) {
	for _, p := range []BarProblem{{}, {Capacity: 10, Kerf: -1}, {Capacity: 10, Items: []int64{3, 0}}, {Capacity: maxBar + 1}} {
		if _, err := SolveBars(context.Background(), p, Options{}); !errors.Is(err, ErrProblem) {
			t.Errorf("%+v: error %v, want ErrProblem", p, err)
		}
	}
	r, err := SolveBars(context.Background(), BarProblem{Capacity: 10, Items: []int64{11}}, Options{})
	if err != nil || r.Status != Infeasible {
		t.Errorf("an item longer than the bar: %v, %v", r.Status, err)
	}
}

// bruteBars is the fewest bars by dynamic programming over sets of items.
func bruteBars(p BarProblem) int {
	all := uint(1)<<len(p.Items) - 1
	best := make([]int, all+1)
	for set := uint(1); set <= all; set++ {
		best[set] = len(p.Items)
		for part := set; part > 0; part = (part - 1) & set {
			length := int64(bits.OnesCount(part)-1) * p.Kerf
			for i, w := range p.Items {
				if part&(1<<i) != 0 {
					length += w
				}
			}
			if length <= p.Capacity {
				best[set] = min(best[set], 1+best[set&^part])
			}
		}
	}
	return best[all]
}

func randomBars(r *rand.Rand, most int) BarProblem {
	p := BarProblem{Capacity: 10 + r.Int64N(90), Kerf: r.Int64N(3)}
	low := 1 + r.Int64N(p.Capacity/3)
	high := low + 1 + r.Int64N(p.Capacity-low)
	for range 1 + r.IntN(most) {
		p.Items = append(p.Items, low+r.Int64N(high-low))
	}
	return p
}

func TestBarsAgainstBruteForce(t *testing.T) {
	r := rand.New(rand.NewPCG(7, 1))
	for n := range 400 {
		p := randomBars(r, 10)
		got := mustBars(t, p)
		if want := bruteBars(p); got.Bars != want || got.Status != Optimal {
			t.Fatalf("case %d: %v, %s, brute force %d\n%+v", n, got.Status, got.Sentence(), want, p)
		}
	}
}

// Perfect packings cut at random from whole bars leave no waste: the optimum is known however large they are.
func TestBarsCutFromWholeOnes(t *testing.T) {
	r := rand.New(rand.NewPCG(7, 2))
	for n := range 12 {
		p := BarProblem{Capacity: 1000}
		bars := 8 + r.IntN(20)
		for range bars {
			a := 250 + r.Int64N(200)
			b := 251 + r.Int64N(740-a-250)
			p.Items = append(p.Items, a, b, p.Capacity-a-b)
		}
		got := mustBars(t, p)
		if got.Bound > bars || got.Bars < bars || got.Bars > bars+1 {
			t.Fatalf("case %d: %s, known %d", n, got.Sentence(), bars)
		}
		if got.Status == Optimal && got.Bars != bars {
			t.Fatalf("case %d: %d bars called optimal, %d are known", n, got.Bars, bars)
		}
	}
}

// A dual-feasible function may not give a set that fits more than the whole.
func TestDualFeasibleFunctions(t *testing.T) {
	r := rand.New(rand.NewPCG(7, 3))
	for range 3000 {
		capacity := 5 + r.Int64N(60)
		var set []int64
		for free := capacity; free > 0; {
			x := 1 + r.Int64N(free)
			set = append(set, x)
			free -= x
			if r.IntN(4) == 0 {
				break
			}
		}
		param := 1 + r.Int64N(capacity/2)
		for name, f := range map[string]func(x int64) int64{
			"threshold": func(x int64) int64 { return dualThreshold(x, capacity, param) },
			"multiple":  func(x int64) int64 { return dualMultiple(x, capacity, param) },
			"rounded":   func(x int64) int64 { return dualRounded(x, capacity, param) },
		} {
			var sum int64
			for _, x := range set {
				sum += f(x)
			}
			if sum > f(capacity) {
				t.Fatalf("%s with %d: %v in %d is worth %d of %d", name, param, set, capacity, sum, f(capacity))
			}
		}
	}
}

func TestBarsStopWithTheContext(t *testing.T) {
	r := rand.New(rand.NewPCG(7, 4))
	p := BarProblem{Capacity: 1000}
	for range 120 {
		p.Items = append(p.Items, 150+r.Int64N(500))
	}
	ctx, cancel := context.WithCancel(context.Background())
	cancel()
	got, err := SolveBars(ctx, p, Options{})
	if err != nil {
		t.Fatal(err)
	}
	if err := CheckBars(p, got); err != nil {
		t.Fatal(err)
	}
	again := mustBars(t, p)
	if got.Bound > again.Bars || again.Bound > got.Bars {
		t.Errorf("stopped: %s; in full: %s", got.Sentence(), again.Sentence())
	}
	if !reflect.DeepEqual(again, mustBars(t, p)) {
		t.Error("the same problem gave another plan")
	}
}

func FuzzBars(f *testing.F) {
	f.Add(uint64(1), uint8(5), int64(100), int64(2))
	f.Add(uint64(2), uint8(30), int64(997), int64(0))
	f.Add(uint64(3), uint8(60), int64(48_000_000), int64(24_000))
	f.Fuzz(func(t *testing.T, seed uint64, n uint8, capacity, kerf int64) {
		r := rand.New(rand.NewPCG(seed, 0))
		p := BarProblem{Capacity: 1 + abs64(capacity)%maxBar, Kerf: abs64(kerf) % 1000}
		for range n % 64 {
			p.Items = append(p.Items, 1+r.Int64N(p.Capacity))
		}
		got, err := SolveBars(context.Background(), p, Options{Steps: 2_000_000})
		if err != nil {
			t.Fatal(err)
		}
		if err := CheckBars(p, got); err != nil {
			t.Fatal(err)
		}
	})
}

func abs64(x int64) int64 {
	if x < 0 {
		return -(x + 1)
	}
	return x
}

func BenchmarkBars(b *testing.B) {
	r := rand.New(rand.NewPCG(7, 5))
	p := BarProblem{Capacity: 150}
	for range 250 {
		p.Items = append(p.Items, 20+r.Int64N(81))
	}
	for b.Loop() {
		if _, err := SolveBars(context.Background(), p, Options{}); err != nil {
			b.Fatal(err)
		}
	}
}

// No bar that can be cut is worth more than a set of worths says, nudged ones included: proofs rest on it.
func TestBarWorthsHoldForEveryBar(t *testing.T) {
	r := rand.New(rand.NewPCG(7, 6))
	for n := range 8 {
		p := BarProblem{Capacity: 100}
		for range 40 {
			p.Items = append(p.Items, 18+r.Int64N(60))
		}
		s := newBarSolver(t.Context(), p, Options{})
		s.bound = len(p.Items)
		all, ok := s.listBars(nil, s.demand, s.bound, 1_000_000)
		if !ok {
			t.Fatal("too many bars to list")
		}
		root := s.newMaster(s.demand)
		root.solve(math.MaxInt)
		s.bound = 0
		prices := s.prices(root)
		if len(prices) != 1+barPriceSets {
			t.Fatalf("case %d: %d sets of worths", n, len(prices))
		}
		for i, price := range prices {
			for _, bar := range all {
				var worth int64
				for _, k := range bar {
					worth += price.worth[k]
				}
				if worth > price.most {
					t.Fatalf("case %d, set %d: bar %v is worth %d, said to be at most %d", n, i, bar, worth, price.most)
				}
			}
		}
	}
}
