package scheduler

import (
	"fmt"

	"potlife/scheduler/rcpsp"
)

// status puts the solver's status into words. What is proved is proved of the areas
// and crews that were chosen: where rooms could be done by others, or by more or fewer
// of a crew, it says how much better a plan with these could be at most.
func (m *maker) status(p *Plan) string {
	r := m.choice.result
	s := r.Status.String()
	if r.Status == rcpsp.Optimal {
		s += " for these areas and crews" + m.others(p)
	}
	if r.Stopped {
		s += ", stopped early"
	}
	return s
}

// others says by how much another choice of crews, or of how many of them, could be
// better at most; "" where there is none, or none can be better.
func (m *maker) others(p *Plan) string {
	if !m.choosable() {
		return ""
	}
	late := 0
	for i, r := range m.rooms {
		d := p.RoomDates[i]
		if r.due >= 0 {
			late += max(0, d.Finish-r.due) - max(0, d.Bound-r.due)
		}
	}
	text := ""
	if late > 0 {
		text = fmt.Sprintf("up to %s less late, all rooms together", daysUp(late))
	}
	if soon := p.Finish - p.Bound; soon > 0 {
		if text != "" {
			text += ", or "
		}
		text += fmt.Sprintf("done up to %s sooner", daysUp(soon))
	}
	if text == "" {
		return ", and no others do better"
	}
	return "; another choice of crews could be " + text
}

// daysUp is minutes in words, rounded up: to whole hours, from two days on to days.
func daysUp(minutes int) string {
	if minutes > 48*60 {
		return dayCount((minutes + 24*60 - 1) / (24 * 60))
	}
	return several((minutes+59)/60, "hour")
}

// choosable reports whether work that is still to be done could be done by another
// crew, or by more or fewer of its own.
func (m *maker) choosable() bool {
	for i := range m.rooms {
		if allowed, err := m.choice.allowed(i); err != nil || len(allowed) < 2 {
			continue
		}
		seq, _ := m.choice.tasksOf(i)
		for _, t := range seq {
			if t.fixed == nil && t.crew != "" {
				return true
			}
		}
	}
	return false
}
