package scheduler

import (
	"testing"
	"time"
)

// Work that comes late to days on which some of those for whom it is planned are away is
// done by who is there where that ends sooner, and takes as much longer as the rates say;
// what two people lift waits for the second.
func TestLateWorkIsDoneByWhoIsThere(t *testing.T) {
	day := func(n, at int) int { return n*1440 + at }
	hours := []Interval{{day(0, 420), day(0, 960)}, {day(1, 420), day(1, 960)}, {day(2, 420), day(2, 960)}}
	for _, c := range []struct {
		name          string
		lifted        bool
		planned, from int // before which it cannot begin
		minutes       int
		start, by     int
	}{
		{"in time, it waits for both", false, day(2, 420), day(1, 420), 100, day(2, 420), 0},
		{"late, one does it", false, day(0, 420), day(1, 420), 100, day(1, 420), 1},
		{"late, and by one it ends later than with both", false, day(0, 420), day(1, 900), 300, day(2, 420), 0},
		{"late, and two lift it", true, day(0, 420), day(1, 420), 100, day(2, 420), 0},
	} {
		p := &Plan{Firm: Firm{Crews: []Crew{{Key: "birch", Setters: 2, Away: []Absence{{Who: "Ida"}}}}}}
		p.Epoch = time.Date(2026, 3, 2, 0, 0, 0, 0, time.UTC)
		s := &simulation{plan: p, clock: Clock{p.Epoch, p.Epoch.Location()}, pools: []simPool{newPool(2, true), newPool(0, true)}}
		s.pools[0].away = []simTurn{{day(1, 0), 1}, {day(2, 0), 0}} // one is missing on the second day
		h := &simHours{crews: map[string][]Interval{"birch": hours}, known: map[simHoursKey][]Interval{}}
		a := &Activity{Crew: "birch", Setters: 2}
		n := &simNode{planned: c.planned, site: -1, gangs: s.gangs(a, &p.Firm.Crews[0], 0, nil, h, c.lifted)}
		took := s.choose(n, c.from, c.minutes)
		want := c.minutes
		if c.by > 0 {
			want = 2 * c.minutes
		}
		if n.start != c.start || n.by != c.by || took != want {
			t.Errorf("%s: begun at %d by %d in %d min, want %d by %d in %d", c.name, n.start, n.by, took, c.start, c.by, want)
		}
	}
}
