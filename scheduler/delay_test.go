package scheduler

import (
	"strings"
	"testing"

	"potlife/rooms"
)

// What a room waits for is what leads to its end: a stop by others, a day on which it
// is ready that was given for it, a cure; never the days that are left until the job
// begins while there is anything else, nor a wait beside which the rest goes on.
func TestBlockedNamesWhatLeads(t *testing.T) {
	for name, c := range map[string]struct {
		change      func(job *rooms.Job, room *rooms.Room)
		says, never string
	}{
		"the job begins in a month": {func(job *rooms.Job, room *rooms.Room) {
			job.Start = job.Start.AddDays(28)
		}, "waits until", "the room is ready"},
		"the room is ready late": {func(job *rooms.Job, room *rooms.Room) {
			room.Ready = job.Start.AddDays(28)
		}, "the room is ready on", "hold"},
		"a stop for three weeks": {func(job *rooms.Job, room *rooms.Room) {
			room.Holds = []rooms.Hold{{Key: "h", Why: "the plumber comes", Before: "set", Until: job.Start.AddDays(21)}}
		}, "the plumber comes", "the room is ready"},
		"a stop beside the work": {func(job *rooms.Job, room *rooms.Room) {
			room.Holds = []rooms.Hold{{Key: "h", Why: "the plumber comes", Before: "hand over", Until: job.Start.AddDays(1)}}
		}, "", "the plumber comes"},
	} {
		in := small(t, 3, 1)
		job := &in.Jobs[0]
		c.change(job, &job.Sites[0].Rooms[0])
		got := made(t, in).RoomDates[0].Blocked
		if !strings.Contains(got, c.says) || strings.Contains(got, c.never) {
			t.Errorf("%s: %q, want %q and not %q", name, got, c.says, c.never)
		}
	}
}
