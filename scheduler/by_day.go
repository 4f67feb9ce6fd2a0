package scheduler

import (
	"context"
	"errors"
	"maps"
	"slices"

	"potlife/scheduler/rcpsp"
	"potlife/takeoff"
)

// At most so many times the work of a plan is divided anew by who is there on its
// days, and fewer where only the order of the rooms is wanted: as a rule it is stable
// after two or three. Each is dated with a share of the plan's budget.
const (
	dayRounds      = 5
	quickDayRounds = 2
	dayShare       = 6
)

// byDay divides the work of crews that are short of people for a time by who is there
// on the day: it looks who would do what, divides the work so, dates it and looks
// again, until nothing changes or the rounds are over. It starts from a plan before,
// where there is one. The best plan met is kept.
func (c *choice) byDay(ctx context.Context, warm map[string]int, before *daily) error {
	budget, rounds := max(4, c.w.budget(len(c.net.tasks))/dayShare), dayRounds
	if c.w.quick {
		rounds = quickDayRounds
	}
	if c.routine && c.comesAndGoes(c.crew) {
		return c.takenUp(ctx, budget, warm, before)
	}
	if err := c.date(ctx, budget, warm); err != nil {
		return err
	}
	best, seen, next := *c, []*daily{c.daily()}, []*daily{c.projected()}
	if before != nil {
		next = append(next, before)
	}
	for _, try := range c.otherSizes(ctx, budget, warm) {
		seen, next, rounds = append(seen, try.daily()), append(next, try.projected()), rounds+dayRounds
		if try.score().Less(best.score()) {
			best = *try
		}
	}
	for ; len(next) > 0 && rounds > 0; rounds-- {
		d := next[len(next)-1]
		next = next[:len(next)-1]
		if slices.ContainsFunc(seen, d.sameManned) {
			continue
		}
		seen = append(seen, d)
		try := choice{chooser: c.chooser, crew: c.crew}
		if !try.manBy(d) {
			continue
		}
		if try.date(ctx, budget, warm) != nil {
			continue
		}
		if try.score().Less(best.score()) {
			best = try
		}
		next = append(next, try.projected())
	}
	*c = best
	c.net.take(c.result)
	c.net.like = c.daily().start
	return nil
}

// otherSizes are the plans of the other sizes of crews whose people come and go every day
// by hours of their own: areas that one sets alone fit into any part of a day, those of
// all into few.
func (c *choice) otherSizes(ctx context.Context, schedules int64, warm map[string]int) (out []*choice) {
	for _, fewer := range []bool{false, true} {
		try := &choice{chooser: c.chooser, crew: slices.Clone(c.crew)}
		for r, k := range c.crew {
			key := c.w.teams[k].Key
			if c.w.crews[key].roll == nil {
				continue
			}
			for o := range c.w.teams {
				if c.w.teams[o].Key == key && c.fewer(o) == fewer && c.shape(r, o).err == nil {
					try.crew[r] = o
				}
			}
		}
		if slices.Equal(try.crew, c.crew) {
			continue
		}
		if try.net = c.network(try.crew); try.date(ctx, schedules, warm) == nil {
			out = append(out, try)
		}
	}
	return out
}

func (d *daily) sameManned(o *daily) bool {
	return maps.EqualFunc(d.manned, o.manned, func(x, y manning) bool { return maps.Equal(x, y) })
}

// anyShort reports whether somebody of a crew that has work to come is away.
func (c *choice) anyShort() bool {
	return slices.ContainsFunc(c.crew, func(k int) bool { return c.w.short(c.w.teams[k].Key) })
}

// errNotAsBefore is why a plan in force is not taken up as it is.
var errNotAsBefore = errors.New("not as before")

// takenUp divides the work as the plan in force does. People who come and go every day by
// hours of their own are known to it: where what comes of it is no worse, nothing else is
// tried.
func (c *choice) takenUp(ctx context.Context, budget int64, warm map[string]int, before *daily) error {
	try := choice{chooser: c.chooser, crew: c.crew}
	if !try.manBy(before) || try.date(ctx, budget, warm) != nil || before.score.Less(try.score()) {
		return errNotAsBefore
	}
	*c = try
	c.net.like = c.daily().start
	return nil
}

// comesAndGoes reports whether a crew with work to come has people with hours of their
// own.
func (c *chooser) comesAndGoes(crew []int) bool {
	return slices.ContainsFunc(crew, func(k int) bool { return c.w.crews[c.w.teams[k].Key].roll != nil })
}

// short reports whether a crew is not always as strong.
func (w *works) short(crew string) bool {
	return slices.ContainsFunc(w.teams[len(w.firm.Crews):], func(t team) bool { return t.Key == crew })
}

// manBy builds the network of the choice with those who do the rooms' work by a plan;
// false where a room cannot be done so.
func (c *choice) manBy(d *daily) bool {
	c.net = &network{works: c.w, rooms: c.rooms, like: d.start}
	c.manned = d
	c.seqs = make([]*shape, len(c.rooms))
	takeoff.Each(len(c.rooms), 1, func(r int) {
		if m := d.manned[c.rooms[r].key]; len(m) > 0 && c.w.short(c.w.teams[c.crew[r]].Key) {
			c.seqs[r] = &shape{crew: c.crew[r]}
			c.seqs[r].fillBy(c.w, c.rooms[r], m)
		}
	})
	for r, k := range c.crew {
		if s := c.seqs[r]; s != nil && s.err != nil {
			return false
		}
		seq, missed := c.tasksOf(r)
		c.net.crew = append(c.net.crew, &c.w.teams[k])
		c.net.tasks, c.net.missed = append(c.net.tasks, seq...), append(c.net.missed, missed...)
	}
	return true
}

// tasksOf are the tasks of a room, and the latest times they miss.
func (c *choice) tasksOf(room int) ([]*task, []missed) {
	if room < len(c.seqs) && c.seqs[room] != nil {
		return c.seqs[room].seq, c.seqs[room].missed
	}
	return c.tasks(room, c.crew[room])
}

// date dates the choice's network.
func (c *choice) date(ctx context.Context, schedules int64, warm map[string]int) error {
	c.net.guess(warm)
	r, err := c.net.solve(ctx, schedules, warm)
	if err != nil {
		return err
	}
	c.result, c.dated = r, true
	c.net.take(r)
	return nil
}

func (c *choice) score() rcpsp.Score { return scoreOf(c.result) }

func scoreOf(r rcpsp.Result) rcpsp.Score {
	return rcpsp.Score{Lateness: r.Lateness, Makespan: r.Makespan, Moves: r.Moves}
}
