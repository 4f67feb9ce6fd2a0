package rcpsp

import (
	"math/rand/v2"
	"slices"
	"testing"
)

// at is an activity of the one crew of a test, at a site.
func at(site, minutes int) Activity {
	a := one(minutes, 1)
	a.Site, a.Room = site, site
	return a
}

// from is an activity that may not begin before a minute.
func from(minute int, a Activity) Activity {
	a.Release = minute
	return a
}

// A step of twenty minutes at another site is done beside the crew's next work there, at the end of a day, or where it
// stands if it may be done no later.
func TestFewerTripsTable(t *testing.T) {
	nights := []Interval{{480, 1440}, {1920, 2880}}
	crew := []Resource{{Capacity: 1, Moves: true, Forbidden: nights}}
	travel := [][]int{{0, 25}, {25, 0}}
	for _, x := range []struct {
		name   string
		acts   []Activity
		lags   []Lag
		start  []int
		finish []int // 0: any time
		want   []int
	}{
		{"with the next work there, and the rest of the day closes up", []Activity{at(0, 100), from(125, at(1, 20)), at(0, 200), at(1, 300)}, nil,
			[]int{0, 125, 170, 1440}, nil, []int{0, 1440, 100, 1460}},
		{"at the end of the day", []Activity{at(0, 100), from(125, at(1, 20)), at(0, 200)}, nil, []int{0, 125, 170}, []int{0, 480, 0}, []int{0, 325, 100}},
		{"where it stands", []Activity{at(0, 100), from(125, at(1, 20)), at(0, 200)}, nil, []int{0, 125, 170}, []int{100, 145, 0}, []int{0, 125, 170}},
		{"with what waits for it", []Activity{at(0, 100), from(125, at(1, 20)), at(0, 200), at(1, 300)}, []Lag{{1, 3, 20}},
			[]int{0, 125, 170, 1440}, nil, []int{0, 1440, 100, 1460}},
		{"not long after what it must follow", []Activity{at(0, 100), from(125, at(1, 20)), at(0, 200), at(1, 300)}, []Lag{{0, 1, 100}, {1, 0, -200}},
			[]int{0, 125, 170, 1440}, nil, []int{0, 125, 170, 1440}},
		{"a morning there stays before an afternoon here", []Activity{at(1, 200), at(0, 200), at(1, 300)}, nil, []int{0, 225, 1440}, nil, []int{0, 225, 1440}},
		{"two halves of a day there come together", []Activity{at(1, 120), from(145, at(0, 120)), at(1, 120)}, nil, []int{0, 145, 290}, nil, []int{0, 265, 120}},
	} {
		p := Problem{Activities: x.acts, Resources: crew, Lags: x.lags, Travel: travel, Objective: LatenessFirst}
		finish := make([]int, len(x.acts))
		for i := range finish {
			finish[i] = 5000
			if x.finish != nil && x.finish[i] > 0 {
				finish[i] = x.finish[i]
			}
		}
		if err := Check(p, x.start); err != nil {
			t.Fatalf("%s: %v", x.name, err)
		}
		got, found := FewerTrips(p, x.start, TripOptions{Rest: 240, Short: 60, Finish: finish})
		if !slices.Equal(got, x.want) || found == slices.Equal(x.want, x.start) {
			t.Errorf("%s: starts at %v (%v), want %v", x.name, got, found, x.want)
		}
	}
}

// Whatever a problem has, the schedule that comes out keeps its rules and the times given, is not later, and has its
// crews less on the road.
func TestFewerTripsKeepRandomProblems(t *testing.T) {
	rng := rand.New(rand.NewPCG(8, 3))
	fewer := 0
	for range 5_000 {
		p := randomProblem(rng, 3+rng.IntN(8))
		p.Objective, p.Horizon = LatenessFirst, 0
		p.Resources[0].Moves = true
		m, bad := compile(p)
		if bad != nil {
			continue
		}
		b, key := newBuilder(m), make([]int, len(m.blocks))
		for k := range key {
			key[k] = rng.IntN(9)
		}
		if !b.build(newOrderer(m).order(nil, key)) {
			continue
		}
		start := slices.Clone(b.start)
		was := Evaluate(p, start, nil)
		o := TripOptions{Rest: 3, Short: rng.IntN(4), Finish: make([]int, len(p.Activities))}
		for i, a := range p.Activities {
			o.Finish[i] = max(was.Makespan, start[i]+a.Duration)
			if a.Due >= 0 {
				o.Finish[i] = max(start[i]+a.Duration, a.Due)
			}
		}
		got, found := FewerTrips(p, start, o)
		if !found {
			if !slices.Equal(got, start) {
				t.Fatalf("no trip is spared, and %v has become %v", start, got)
			}
			continue
		}
		fewer++
		if err := Check(p, got); err != nil {
			t.Fatal(err)
		}
		now := Evaluate(p, got, nil)
		if now.Lateness > was.Lateness || now.Makespan > was.Makespan || roadOf(p, got, o.Rest) >= roadOf(p, start, o.Rest) {
			t.Fatalf("%+v with %d on the road has become %+v with %d", was, roadOf(p, start, o.Rest), now, roadOf(p, got, o.Rest))
		}
	}
	if fewer < 50 {
		t.Errorf("%d schedules have fewer trips: the test shows little", fewer)
	}
}

// roadOf is the travel of all crews between activities without a rest from one to the next; a day with work counts as
// twice the longest way.
func roadOf(p Problem, start []int, rest int) (sum int) {
	longest := max(p.Travel[0][1], p.Travel[1][0])
	for r, res := range p.Resources {
		if !res.Moves {
			continue
		}
		users := slices.DeleteFunc(usersOf(p, r), func(i int) bool { return p.Activities[i].Site < 0 })
		slices.SortStableFunc(users, func(i, j int) int { return start[i] - start[j] })
		end := 0
		for k, i := range users {
			between := slices.ContainsFunc(res.Forbidden, func(f Interval) bool {
				return f.Start >= end && f.Start < start[i] && f.End-f.Start >= rest
			})
			if k == 0 || between {
				sum += 2 * longest
			} else {
				sum += p.Travel[p.Activities[users[k-1]].Site][p.Activities[i].Site]
			}
			end = max(end, start[i]+p.Activities[i].Duration)
		}
	}
	return sum
}
