package web

import (
	"strings"

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
	out.Held = v.held(v.x.MostHeld(job, mostHeld))
	return out
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
		out = append(out, heldLine{Title: a.Title, Room: v.x.RoomName(a.Room), When: v.w.DayClock(a.Start), Share: plandoc.Percent(o.Share)})
	}
	return out
}
