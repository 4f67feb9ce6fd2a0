package scheduler

import (
	"context"
	"maps"
)

// A plan is made to end soon, and a stop at a course then outweighs a movement joint that
// comes half an hour before the break. Once the days are known on which rooms are handed
// over, areas end where a stop does least harm as far as these days stay.

// overDays is how far behind a run's end is looked for hours in which it may end instead.
const overDays = 4

// kinderStops divides areas anew by where stops do least harm, but for rooms that would
// be handed over on a later day for it. In a large plan some room is for any change.
func (m *maker) kinderStops(ctx context.Context, near nearby) error {
	c := m.choice
	if len(c.net.tasks) > anewTasks {
		return nil
	}
	near.over = overDays * 1440
	runs := c.runs()
	found := c.divisions(runs, near, &toStopKindly)
	for range 2 {
		if len(found) == 0 {
			return nil
		}
		var later map[*roomWork]bool
		next, err := c.divided(ctx, runs, found, func(next *choice) bool {
			later = m.handedLater(next, c)
			return len(later) == 0 && next.result.Moves <= c.result.Moves && next.harm() < c.harm()
		})
		if err != nil {
			return err
		}
		if next != nil {
			m.choice = next
			return nil
		}
		n := len(found)
		maps.DeleteFunc(found, func(r *setRun, _ division) bool { return later[c.rooms[r.room]] })
		if len(found) == n {
			return nil
		}
	}
	return nil
}

// harm is what the stops of a plan's areas cost.
func (c *choice) harm() int {
	sum := 0
	for _, r := range c.runs() {
		sum += r.cost(&toStopKindly)
	}
	return sum
}

// handedLater are the rooms that a plan hands over on a later day than another, and
// those that are to be first and are not as soon.
func (m *maker) handedLater(next, was *choice) map[*roomWork]bool {
	out, before := map[*roomWork]bool{}, was.handOvers()
	for r, end := range next.handOvers() {
		if end > before[r] && (r.first || m.clock.Day(before[r]-1).Before(m.clock.Day(end-1))) {
			out[r] = true
		}
	}
	return out
}

// handOvers are the minutes at which rooms are handed over, by the choice's own dates.
func (c *choice) handOvers() map[*roomWork]int {
	last := map[*roomWork]int{}
	for i, t := range c.net.tasks {
		last[t.room] = max(last[t.room], c.result.Start[i]+t.minutes)
	}
	return last
}
