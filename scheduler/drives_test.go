package scheduler

import (
	"slices"
	"testing"
)

// Crews of random jobs on two sites drive less, by a tenth at least, than where each step
// is done as soon as it may be, and a plan made again without news drives no more.
func TestFewerDrives(t *testing.T) {
	soonest, spared := 0, 0
	for _, seed := range []uint64{6, 14, 15} {
		in := small(t, seed, 1+int(seed%4))
		p := made(t, in)
		spared += driven(p)
		way := in.Firm.Travel[0]
		in.Firm.Travel = []Travel{{way.From, "job/elsewhere", way.Minutes}} // no way is known: nothing is to spare
		near := made(t, in)
		near.Firm.Travel = []Travel{way}
		soonest += driven(near)
		in.Firm.Travel, in.Prior, in.Placed = near.Firm.Travel, p, p.Orders
		if q := replanned(t, in); q.Finish == p.Finish && driven(q) > driven(p) {
			t.Errorf("seed %d: %d min are driven, made again %d", seed, driven(p), driven(q))
		}
	}
	if spared > soonest*9/10 {
		t.Errorf("%d min are driven, %d with every step as soon as it may be", spared, soonest)
	}
}

// driven are the minutes that crews are on the road from one site to another on a day.
func driven(p *Plan) (sum int) {
	w, clock := &works{firm: &p.Firm}, Clock{p.Epoch, p.Firm.Zone}
	last := map[string]*Activity{}
	for i := range p.Activities { // in order of time
		a := &p.Activities[i]
		if a.Crew == "" {
			continue
		}
		if b := last[a.Crew]; b != nil && clock.Day(b.Start) == clock.Day(a.Start) {
			sum += w.way(b.Site, a.Site)
		}
		last[a.Crew] = a
	}
	return sum
}

// Rooms are not handed over on a later day for a drive that is spared, nor later than
// they are due or than all is done.
func TestSparedDrivesCostNoDay(t *testing.T) {
	c := &choice{chooser: &chooser{}, net: &network{}}
	m := &maker{choice: c, clock: NewClock(day("2026-03-16"), zone(t, "Europe/Berlin"))}
	for _, r := range []struct {
		due, end int
		first    bool
		want     int
	}{
		{-1, 3000, false, 4320}, {3500, 3000, false, 3500}, {9000, 3000, false, 4320}, {2000, 3000, false, 3000},
		{9000, 3000, true, 3000}, {-1, 5700, false, 5700}, {-1, 5000, false, 5700},
	} {
		room := &roomWork{due: r.due, first: r.first}
		c.net.tasks = []*task{{room: room, start: r.end - 500, minutes: 60}, {room: room, start: r.end - 60, minutes: 60}}
		if got := m.latestEnds(3, 5700); !slices.Equal(got, []int{r.want, r.want, 5700}) {
			t.Errorf("due at %d and done at %d: by %v, want %d", r.due, r.end, got, r.want)
		}
	}
}
