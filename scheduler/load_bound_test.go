package scheduler

import (
	"context"
	"math"
	"math/rand/v2"
	"testing"

	"potlife/takeoff"
)

// By hand: two crews of 60 min a day share 300 min of work that both may do, and a
// third room of 150 min only the second may: 450 min need two days and a half of both
// (from minute 300 of each day), and the second alone its third day for its own room.
func TestLoadBoundByHand(t *testing.T) {
	var hours []Interval
	for d := range 10 {
		hours = append(hours, Interval{d*1440 + 300, d*1440 + 360})
	}
	crews := []supply{{1, 0, hours}, {1, 0, hours}}
	for _, c := range []struct {
		name  string
		loads []load
		want  int
	}{
		{"shared", []load{{3, 150, 0}, {3, 150, 0}}, 2*1440 + 330},
		{"one crew alone", []load{{2, 150, 0}, {1, 10, 0}}, 2*1440 + 330},
		{"later", []load{{3, 60, 1440}, {3, 60, 1500}}, 1440 + 360},
		{"nothing", nil, 0},
		{"more than is known", []load{{1, 10_000, 0}}, 0},
	} {
		if got := loadBound(c.loads, crews, 20_000); got != c.want {
			t.Errorf("%s: %d, want %d", c.name, got, c.want)
		}
	}
	crews[1].setters = 2
	if got := loadBound([]load{{3, 180, 0}}, crews, 20_000); got != 360 {
		t.Errorf("three setters: %d, want 360", got)
	}
}

// No way to give rooms to crews is done before the bound, even where work may be
// interrupted at will.
func TestLoadBoundAgainstBruteForce(t *testing.T) {
	r := rand.New(rand.NewPCG(8, 1))
	tight := 0
	for range 300 {
		crews := make([]supply, 1+r.IntN(3))
		for k := range crews {
			crews[k] = supply{setters: 1 + r.IntN(2), opens: r.IntN(100)}
			for at := r.IntN(50); at < 4000; at += 40 + r.IntN(60) {
				end := at + 20 + r.IntN(60)
				crews[k].hours = append(crews[k].hours, Interval{at, end})
				at = end
			}
		}
		loads := make([]load, 1+r.IntN(6))
		for i := range loads {
			loads[i] = load{crews: 1 + uint64(r.IntN(1<<len(crews)-1)), minutes: r.IntN(200), from: r.IntN(150)}
		}
		best := bruteLoads(loads, crews)
		got := loadBound(loads, crews, 4000)
		if got > best {
			t.Fatalf("bound %d over %d: %+v %+v", got, best, loads, crews)
		}
		if got == best {
			tight++
		}
	}
	if tight < 60 {
		t.Errorf("%d of 300 bounds are reached: the test shows little", tight)
	}
}

// bruteLoads is the least finish over all ways to give rooms to crews. A crew that may
// interrupt its work at will is done when, for each minute, what may not start before
// it fits behind it.
func bruteLoads(loads []load, crews []supply) int {
	best := math.MaxInt
	of := make([][]load, len(crews))
	var give func(i int)
	give = func(i int) {
		if i < len(loads) {
			for k := range crews {
				if loads[i].crews>>k&1 == 1 {
					of[k] = append(of[k], loads[i])
					give(i + 1)
					of[k] = of[k][:len(of[k])-1]
				}
			}
			return
		}
		end := 0
		for k, c := range crews {
			for _, l := range of[k] {
				work := 0
				for _, o := range of[k] {
					if o.from >= l.from {
						work += o.minutes
					}
				}
				for work > 0 && c.by(l.from, end) < work {
					end++
				}
			}
		}
		best = min(best, end)
	}
	give(0)
	return best
}

// Many rooms and two open crews: the plan's bound is beyond that of any room alone,
// and no crew's order of rooms finishes before it.
func TestPlanIsBoundedByAllItsWork(t *testing.T) {
	beyond := 0
	for seed := uint64(1); seed <= 2; seed++ {
		in := small(t, seed, 12)
		in.Firm.Crews[1].Setters, in.Firm.Limits.Schedules = 1, 20
		in.Firm.Catalogue.Stock = []takeoff.Stock{{Product: "bed", Packages: 90}, {Product: "joint", Packages: 60}}
		p, err := Make(context.Background(), in)
		if err != nil {
			t.Fatal(err)
		}
		room := 0
		for _, d := range p.RoomDates {
			room = max(room, d.Bound)
		}
		if p.Bound > p.Finish || p.Bound < room {
			t.Errorf("seed %d: bound %d, of a room %d, finish %d", seed, p.Bound, room, p.Finish)
		}
		if p.Bound > room {
			beyond++
		}
	}
	if beyond == 0 {
		t.Error("no plan is bounded by more than one room: the test shows nothing")
	}
}
