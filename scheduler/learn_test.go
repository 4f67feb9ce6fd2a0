package scheduler

import (
	"math"
	"testing"
)

func TestLearningIsRobust(t *testing.T) {
	cases := []struct {
		name   string
		ratios []float64
		factor float64
	}{
		{"nothing", nil, 1},
		{"two days teach nothing", []float64{1.5, 1.5}, 1},
		{"as planned", []float64{1, 1, 1, 1}, 1},
		{"slower", []float64{1.25, 1.25, 1.25, 1.25}, 1.167}, // (4 × 1.25 + 2) ÷ 6
		{"one bad day changes nothing", []float64{1.25, 1.25, 1.25, 9}, 1.167},
		{"limits", []float64{9, 9, 9, 9, 9, 9, 9, 9}, 2},
	}
	for _, c := range cases {
		if got := learned("grout", c.ratios); math.Abs(got.Factor-c.factor) > 0.0006 {
			t.Errorf("%s: factor %g, want %g", c.name, got.Factor, c.factor)
		}
	}
}

// Crews that take half as long again make the rest of the plan longer.
func TestRecordedMinutesChangeThePlan(t *testing.T) {
	in := small(t, 6, 3)
	p := made(t, in)
	next, d := frozenAfter(in, p, 5)
	next.Placed = p.Orders
	plain := replanned(t, next)
	frozen := Clock{p.Epoch, in.Firm.Zone}.DayStart(d.AddDays(1))
	clock := Clock{p.Epoch, in.Firm.Zone}
	for _, a := range p.Activities {
		if a.Crew != "" && a.Start < frozen {
			next.Records = append(next.Records, Record{Kind: "activity done", Activity: a.ID, Crew: a.Crew, At: clock.At(a.Finish), Minutes: int(1.5 * a.BaseMinutes)})
		}
	}
	slow := replanned(t, next)
	if len(slow.Learned) == 0 {
		t.Fatal("nothing was learnt")
	}
	work := func(q *Plan) (n int) {
		for _, a := range q.Activities {
			if a.Start >= frozen && a.Crew != "" {
				n += (a.Finish - a.Start) * a.Setters
			}
		}
		return n
	}
	if a, b := work(plain), work(slow); b <= a {
		t.Errorf("%d min of work before, %d after learning %v", a, b, slow.Learned)
	}
}
