package scheduler

import (
	"context"
	"fmt"
	"slices"
	"strings"

	"potlife/scheduler/rcpsp"
)

// Infeasible is the error of a plan that cannot be: what cannot hold together,
// in the words of the trade.
type Infeasible struct {
	Rooms, Crews []string
	Text         string
}

func (e *Infeasible) Error() string { return e.Text }

// explain puts into words why a network has no schedule: of the rooms that cannot all
// be done, the fewest times, waits, hours, dates and pieces of work that exclude each
// other.
func (n *network) explain(ctx context.Context, r rcpsp.Result) error {
	e := &Infeasible{}
	x := &trials{ctx: ctx, left: explainEffort}
	q := n.smallest(x, r)
	switch {
	case q == nil && r.Status != rcpsp.Infeasible:
		e.Text = "no schedule was found within the search limit, and none is excluded: allow more schedules, or loosen the latest times of membranes and primers"
		return e
	case q == nil:
		return n.unproved(r)
	}
	e.Rooms, e.Crews = q.named()
	long := n.longCover(e.Rooms)
	e.Text = "these cannot hold together: " + strings.Join(q.words(), "; ") + x.words() + q.remedy(long != "") + long
	return e
}

// unproved says what of the solver's answer is known where no part of it was shown to
// exclude itself within the effort.
func (n *network) unproved(r rcpsp.Result) error {
	e := &Infeasible{}
	var parts []string
	for _, i := range r.Conflict {
		if i < 0 || i >= len(n.tasks) {
			continue
		}
		t := n.tasks[i]
		if !slices.Contains(e.Rooms, t.room.key) {
			e.Rooms = append(e.Rooms, t.room.key)
		}
		if len(parts) < 8 {
			parts = append(parts, n.bounds(t))
		}
	}
	if len(parts) == 0 {
		e.Text = "no schedule exists: " + r.Reason
		return e
	}
	e.Text = "these cannot hold together: " + strings.Join(parts, "; ") + (&trials{loose: true}).words() + n.longCover(e.Rooms)
	return e
}

func (n *network) inRooms(keys []string) []*task {
	var out []*task
	for _, t := range n.tasks {
		if slices.Contains(keys, t.room.key) {
			out = append(out, t)
		}
	}
	return out
}

// bounds says what limits a task, with dates.
func (n *network) bounds(t *task) string {
	s := fmt.Sprintf("%s in %s", t.title, n.works.called.room(t.room.key))
	if t.crew != "" {
		s += fmt.Sprintf(" by %s (%s without a stop)", n.works.called.crew(t.crew), words(t.minutes))
	}
	if t.release > 0 {
		s += fmt.Sprintf(", not before %s", n.works.clock.DayWords(t.release))
	}
	said := 0
	for _, l := range t.after {
		if l.most < 0 {
			continue
		}
		switch said++; {
		case said == 1:
			s += fmt.Sprintf(", at least %s and at most %s after %s (%s)", words(l.least), words(l.most), l.task.title, l.why)
		case said == 2:
			s += ", and as much after others"
		}
	}
	return s
}
