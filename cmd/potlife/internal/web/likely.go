package web

import (
	"cmp"
	"math"
	"slices"
	"strconv"
	"strings"
	"time"

	"potlife/cmd/potlife/internal/plandoc"
)

// likelyDates is what the simulation of the plan says of the rooms shown.
type likelyDates struct {
	Runs         int
	Half, Eighty string
	Rooms        []likelyRoom
	Held         []heldLine
}

type likelyRoom struct {
	Room, Key, Due, Planned, Half, Eighty, Chance string
	Risky                                         bool // the due date is kept in fewer than four of five runs
}

// heldLine is an activity that held a finish, and in how many runs.
type heldLine struct{ Title, Room, When, Share string }

// mostHeld is how many activities a list of those that hold up a finish names: past
// the first dozen none is in many runs.
const mostHeld = 12

// likely gathers the rooms of a job, or of all with "", that are not handed over
// yet; nil without a simulation.
func (v *view) likely(job string) *likelyDates {
	d := v.Document
	if d.Likely.Runs == 0 {
		return nil
	}
	out := &likelyDates{Runs: d.Likely.Runs, Half: v.w.ShortDay(d.Likely.Half), Eighty: v.w.ShortDay(d.Likely.Eighty)}
	open := v.openRooms()
	for i := range d.Rooms {
		r := &d.Rooms[i]
		if (job == "" || r.Job == job) && open[r.Key] {
			out.Rooms = append(out.Rooms, v.likelyRoom(r))
		}
	}
	out.Held = v.held(v.mostHeld(job, mostHeld))
	return out
}

// mostHeld are the activities of a job, or of all with "", that held the finish of
// all in most runs, of equals the longest, n at most.
func (v *view) mostHeld(job string, n int) []plandoc.Often {
	var held []plandoc.Often
	for i := range v.Document.Activities {
		if a := &v.Document.Activities[i]; a.CriticalShare > 0 && (job == "" || v.jobOf(a) == job) {
			held = append(held, plandoc.Often{Activity: a.ID, Share: a.CriticalShare})
		}
	}
	long := func(o plandoc.Often) time.Duration {
		a := v.x.Activities[o.Activity]
		return v.w.Time(a.Finish).Sub(v.w.Time(a.Start))
	}
	slices.SortStableFunc(held, func(a, b plandoc.Often) int {
		return cmp.Or(cmp.Compare(b.Share, a.Share), cmp.Compare(long(b), long(a)))
	})
	return held[:min(n, len(held))]
}

func (v *view) jobOf(a *plandoc.Activity) string {
	if r := v.x.Rooms[a.Room]; r != nil {
		return r.Job
	}
	return ""
}

// openRooms are the rooms in which anything is still to be done.
func (v *view) openRooms() map[string]bool {
	open := map[string]bool{}
	for i := range v.Document.Activities {
		if a := &v.Document.Activities[i]; !strings.HasPrefix(a.State, "done") {
			open[a.Room] = true
		}
	}
	return open
}

func (v *view) likelyRoom(r *plandoc.Room) likelyRoom {
	l := likelyRoom{Room: v.x.RoomName(r.Key), Key: r.Key, Planned: v.w.ShortDay(r.Finish), Half: v.w.ShortDay(r.Half), Eighty: v.w.ShortDay(r.Eighty)}
	if r.Due != nil {
		l.Due, l.Chance, l.Risky = v.w.ShortDay(*r.Due), keptIn(r.Chance, v.Document.Likely.Runs), r.Chance < 0.8
	}
	return l
}

// held says of activities what they are, where and when.
func (v *view) held(list []plandoc.Often) []heldLine {
	var out []heldLine
	for _, o := range list {
		a := v.x.Activities[o.Activity]
		if a == nil {
			continue
		}
		out = append(out, heldLine{Title: a.Title, Room: v.x.RoomName(a.Room), When: v.w.DayClock(a.Start), Share: percent(o.Share)})
	}
	return out
}

// percent is a share in whole percent.
func percent(share float64) string {
	return strconv.Itoa(int(math.Round(share*100))) + " %"
}
