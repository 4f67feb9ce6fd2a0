package scheduler

import "slices"

// due is how long what follows waits after some work: a number of minutes, and
// where the room's temperature changes from day to day, cures that take as long
// as the days after the work make them.
type due struct {
	fixed int
	cures []Cure
}

func fixed(minutes int) due { return due{fixed: minutes} }

// with is the longer of two waits, whatever the days bring.
func (d due) with(o due) due {
	out := due{fixed: max(d.fixed, o.fixed), cures: slices.Clone(d.cures)}
	for _, c := range o.cures {
		if !slices.Contains(out.cures, c) {
			out.cures = append(out.cures, c)
		}
	}
	return out
}

// after is how many minutes a wait takes that begins at a minute in the room.
func (r *roomWork) after(d due, from int) int {
	m := d.fixed
	for _, c := range d.cures {
		m = max(m, r.cureFrom(c, from))
	}
	return m
}

// begins is when a wait after a task can begin at the earliest that is known
// before the task has a date.
func (t *task) begins() int {
	if t.fixed != nil {
		return t.fixed.Finish
	}
	return max(t.release, t.room.ready)
}
