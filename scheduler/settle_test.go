package scheduler

import (
	"slices"
	"testing"

	"potlife/scheduler/rcpsp"
)

// Choices of which one is tried after the other share the tasks of rooms that are the
// same in both: each is judged by its own dates, and the first has its dates and waits
// again when the second is dropped.
func TestChoicesThatShareTasks(t *testing.T) {
	hall, bath := &roomWork{key: "j/hall"}, &roomWork{key: "j/bath"}
	coat := &task{id: "coat", room: hall, minutes: 30}
	shared := &task{id: "set", kind: kindSet, room: hall, minutes: 60, after: []lag{{task: coat, least: 240}}}
	own, other := &task{id: "floor", kind: kindSet, room: bath, minutes: 90}, &task{id: "floor", kind: kindSet, room: bath, minutes: 90}
	choiceOf := func(last *task, starts ...int) *choice {
		c := &choice{net: &network{works: &works{}, tasks: []*task{coat, shared, last}}, result: rcpsp.Result{Start: starts, Makespan: 2000}}
		c.net.take(c.result)
		if err := c.settle(t.Context()); err != nil {
			t.Fatal(err)
		}
		return c
	}
	first := choiceOf(own, 0, 300, 400)
	ends := first.ends()
	second := choiceOf(other, 0, 900, 400)
	shared.after[0].least = 800
	if got := first.ends(); got != ends || ends != 2*360+2*490 {
		t.Errorf("its rooms end at %d together, when another has been dated at %d", ends, got)
	}
	if second.betterThan(first) || !first.betterThan(second) {
		t.Error("the hall that is set later counts as no worse")
	}
	first.back()
	if got := []int{coat.start, shared.start, own.start, shared.after[0].least}; !slices.Equal(got, []int{0, 300, 400, 240}) {
		t.Errorf("dates and wait are %v after the other was dropped", got)
	}
}
