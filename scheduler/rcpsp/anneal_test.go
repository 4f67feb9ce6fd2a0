package rcpsp

import (
	"context"
	"math"
	"math/rand/v2"
	"slices"
	"testing"
)

// TestBuildNearIsBuild: what is known of a schedule spares work and changes nothing, and giving up is a matter of the
// energy spared only.
func TestBuildNearIsBuild(t *testing.T) {
	rng := rand.New(rand.NewPCG(11, 1))
	gaveUp := 0
	for range 300 {
		p := plainProblem(rng, 5+rng.IntN(40))
		m, bad := compile(p)
		if bad != nil {
			t.Fatal(bad)
		}
		a := annealOf(m)
		known := a.disturb()
		want, got := make([]int32, m.n), make([]int32, m.n)
		span := a.net[a.side].build(a.order, want)
		near, ok := a.net[a.side].buildNear(a.order, known, a.start, got, a.weight, math.MaxInt64/2)
		if !ok || near != span || !slices.Equal(got, want) {
			t.Fatalf("from place %d on: %v ending %d, want %v ending %d", known, got, near, want, span)
		}
		if _, ok := a.net[a.side].buildNear(a.order, known, a.start, got, a.weight, 0); !ok {
			gaveUp++
		}
	}
	if gaveUp == 0 || gaveUp == 300 {
		t.Errorf("gave up %d times of 300", gaveUp)
	}
}

// annealOf is ready for a step.
func annealOf(m *model) *anneal {
	s := newSearch(context.Background(), m, Options{Schedules: 1000, Seed: 3})
	a := newAnneal(s, newPopulation(s, 2))
	a.begin()
	return a
}

// TestAnnealTurns: each schedule that is kept or offered stands in real time as the checker wants it, and a turn never
// makes one longer.
func TestAnnealTurns(t *testing.T) {
	p := plainProblem(rand.New(rand.NewPCG(5, 1)), 40)
	m, _ := compile(p)
	a := annealOf(m)
	for range 2000 {
		side, span := a.side, a.span
		a.step(2 * energyUnit)
		if err := Check(p, m.realTime(a.start, a.span, a.side)); err != nil {
			t.Fatal(err)
		}
		if a.span > span+30 {
			t.Fatalf("a step from %d on side %d led to %d", span, side, a.span)
		}
		before := a.span
		if a.turn(); a.span > before {
			t.Fatalf("a turn made %d of %d", a.span, before)
		}
	}
	if Check(p, a.s.best) != nil || a.s.score.Makespan != Evaluate(p, a.s.best, nil).Makespan {
		t.Errorf("the best, %d, does not stand", a.s.score.Makespan)
	}
}

// TestAnnealDoesNotAllocate holds the inner loop to what it was given.
func TestAnnealDoesNotAllocate(t *testing.T) {
	m, _ := compile(plainProblem(rand.New(rand.NewPCG(9, 1)), 60))
	a := annealOf(m)
	for range 3000 {
		a.step(energyUnit)
	}
	a.s.score.Makespan = 0 // nothing is offered
	if n := testing.AllocsPerRun(1000, func() { a.step(energyUnit) }); n > 0 {
		t.Errorf("%v allocations a step", n)
	}
}

func TestExponentialAndPower(t *testing.T) {
	rng := rand.New(rand.NewPCG(1, 1))
	sum, over := 0.0, 0
	const draws = 200_000
	for range draws {
		x := float64(exponential(rng.Uint64())) / (1 << 20)
		sum += x
		if x > 3 {
			over++
		}
	}
	if mean := sum / draws; math.Abs(mean-1) > 0.06 {
		t.Errorf("mean %v, want about 1", mean)
	}
	if share := float64(over) / draws; math.Abs(share-math.Exp(-3)) > 0.006 {
		t.Errorf("%v of the draws exceed 3, want about %v", share, math.Exp(-3))
	}
	for _, x := range []float64{0, 0.25, 1, 2.5, 5} {
		got := float64(exp2(int64(x*(1<<20)))) / (1 << 20)
		if want := math.Exp2(x); math.Abs(got/want-1) > 0.07 {
			t.Errorf("2^%v is %v, want about %v", x, got, want)
		}
	}
}
