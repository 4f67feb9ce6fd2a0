package scheduler

import (
	"testing"
	"time"

	"potlife/rooms"
	"potlife/scheduler/rcpsp"
)

// A run of forty rows of six minutes, set within shifts of four hours: its first area
// ends at the row that the break comes to, and at the movement joint that lies up to
// 40 min before that, not at one further off; a corner counts as a joint does.
func TestAnAreaEndsAtTheJointBeforeTheBreak(t *testing.T) {
	row := func() block {
		k := blocksOf(wall(1, 1, 0), &rooms.Surface{Key: "w", Kind: rooms.Wall}, plainItem)[0]
		k.items = []*item{{piece: k.items[0].piece, surface: "w", bed: bed{"bed", 1}, set: 6}}
		return k
	}
	stop := func(special int, corner bool, to *aim) int {
		var blocks []block
		for i := range 40 {
			k := row()
			k.first, k.joint = i == 0, false
			if i == special {
				k.first, k.joint = corner, !corner
			}
			blocks = append(blocks, k)
		}
		run := newAreaRun(blocks, spread{open: 20, bucket: 20, speed: 1, setUp: 10, end: 10}, caps{240, 240}, 240)
		hours := []Interval{{0, 240}, {270, 510}, {1440, 1680}}
		d, ok := run.fill(runHours{hours, hours}, map[string]int{}, to)
		if !ok {
			t.Fatal("the run is not divided")
		}
		return d.stops[0]
	}
	last := stop(0, true, &toStopKindly) // no joint: as much as the shift holds
	for _, c := range []struct {
		rows         int // before the last
		corner       bool
		to           *aim
		there, wants string
	}{
		{6, false, &toStopKindly, "joint", "joint"},
		{6, true, &toStopKindly, "corner", "corner"},
		{8, false, &toStopKindly, "joint", "course"},
		{6, false, &toEndSoon, "joint", "course"},
		{3, false, &toEndSoon, "joint", "joint"},
	} {
		got, want := stop(last-c.rows, c.corner, c.to), last-c.rows
		if c.wants == "course" {
			want = last
		}
		if got != want {
			t.Errorf("a %s %d min before the last row, %+v: the area ends before row %d, want %d (%s)", c.there, 6*c.rows, *c.to, got, want, c.wants)
		}
	}
}

// A room is handed over later by the day, unless it is to be first.
func TestHandedLaterGoesByDays(t *testing.T) {
	m := &maker{clock: NewClock(day("2026-03-16"), time.UTC)}
	r := &roomWork{key: "j/r"}
	at := func(start int) *choice {
		return &choice{net: &network{tasks: []*task{{room: r, minutes: 30}}}, result: rcpsp.Result{Start: []int{start}}}
	}
	for _, c := range []struct {
		was, now int
		first    bool
		later    bool
	}{{600, 640, false, false}, {600, 1400, false, false}, {600, 1420, false, true}, {600, 640, true, true}, {1800, 600, true, false}, {1410, 1411, false, true}} {
		if r.first = c.first; (len(m.handedLater(at(c.now), at(c.was))) > 0) != c.later {
			t.Errorf("%+v", c)
		}
	}
}
