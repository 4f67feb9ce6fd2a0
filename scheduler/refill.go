package scheduler

import (
	"cmp"
	"context"
	"maps"
	"slices"

	"potlife/scheduler/rcpsp"
)

// Areas are divided evenly before there are dates, so what a shift has left when one
// ends is often too short for the next. A plan that has dates is divided anew by
// what its shifts have left, dated again, and taken if it is better.

// refillShare is the part of the search that a plan divided anew takes: it starts from
// dates that are known to fit.
const refillShare = 16

// refillRounds is how often a first plan is divided anew. One made from a plan in
// force has its areas, and is divided anew once, where work begins within refillDays
// or has more people or hours for it than before.
const (
	refillRounds = 3
	refillDays   = 4
	refillRooms  = 8     // are divided one by one where all together make it no better
	refillTasks  = 5_000 // of a plan of more once only: a round takes its time
	anewTasks    = 1_000 // of a plan of more what follows divided areas keeps its dates at first
)

// refill divides the areas of the chosen plan anew for as long as that makes it better.
func (m *maker) refill(ctx context.Context) error {
	defer func(was bool) { m.works.again = was }(m.works.again)
	m.works.again = true // why a plan tried has no schedule is no matter
	rounds := refillRounds
	if len(m.choice.net.tasks) > refillTasks {
		rounds = 1
	}
	if m.in.Prior == nil {
		near := nearby{until: m.works.horizon}
		any, err := m.divideAnew(ctx, rounds, near)
		if err == nil && !any && len(m.rooms) > 1 {
			err = m.roomByRoom(ctx, near)
		}
		if err == nil {
			err = m.longerAreas(ctx, rounds, near)
		}
		if err == nil {
			err = m.kinderStops(ctx, near)
		}
		return err
	}
	near := m.nearby()
	if _, err := m.divideAnew(ctx, 1, near); err != nil {
		return err
	}
	if near.more = m.grown(); len(near.more) == 0 {
		return nil
	}
	any, err := m.divideAnew(ctx, rounds, near)
	if err != nil || any {
		return err
	}
	return m.roomByRoom(ctx, near)
}

// roomByRoom divides areas of the first rooms one by one, where all together make the
// plan no better: of a large plan fewer, as each takes as long as dating it.
func (m *maker) roomByRoom(ctx context.Context, near nearby) error {
	for _, room := range near.rooms(m.choice, min(refillRooms, refillTasks/max(1, len(m.choice.net.tasks)))) {
		near.only = room
		if _, err := m.divideAnew(ctx, 1, near); err != nil {
			return err
		}
	}
	return nil
}

// divideAnew divides the areas of the runs that are looked at anew so many times, for as
// long as that makes the plan better, and reports whether it did.
func (m *maker) divideAnew(ctx context.Context, rounds int, near nearby) (any bool, err error) {
	to := &toEndSoon
	if m.in.Prior != nil {
		to = &toStopKindly // by which its areas end where they do
	}
	for range rounds {
		next, err := m.choice.refilled(ctx, near, to)
		if err != nil || next == nil {
			return any, err
		}
		m.choice, any = next, true
		if next = next.mannedAnew(ctx); next != nil {
			m.choice = next
		}
	}
	return any, nil
}

// mannedAnew is a plan of crews that are short of people for a time, its work done by
// those who are there at the dates that it has come to; nil where that is no better.
func (c *choice) mannedAnew(ctx context.Context) *choice {
	if c.manned == nil {
		return nil
	}
	d := c.projected()
	if d.sameManned(c.manned) {
		return nil
	}
	next := &choice{chooser: c.chooser, crew: c.crew}
	if next.manBy(d) && next.date(ctx, max(4, c.w.budget(len(next.net.tasks))/dayShare), nil) == nil && next.settle(ctx) == nil && next.betterThan(c) {
		return next
	}
	c.back()
	return nil
}

// setRun is a run of areas in a plan.
type setRun struct {
	*areaRun
	room  int
	tasks []*task
}

func (r *setRun) start() int { return r.tasks[0].start }

func (r *setRun) finish() int { t := r.tasks[len(r.tasks)-1]; return t.start + t.minutes }

// cost is that of the run's stops as they are.
func (r *setRun) cost(to *aim) int {
	sum, row, items := 0, 0, 0 // rows that are begun, and what is left of their pieces
	for _, t := range r.tasks {
		for items -= len(t.area.items); items < 0 && row < len(r.blocks); row++ {
			items += len(r.blocks[row].items)
		}
		harm := harmWithin
		if items <= 0 {
			harm = harmOf(r.blocks, row)
		}
		sum += r.costOf(t.minutes, harm, to)
	}
	return sum
}

// runs are the runs of areas that are still to be set, in order of their dates.
func (c *choice) runs() []*setRun {
	var out []*setRun
	for room := range c.rooms {
		seq, _ := c.tasksOf(room)
		for _, t := range seq {
			if t.area == nil {
				continue
			}
			if n := len(out); n == 0 || out[n-1].areaRun != t.area.run {
				out = append(out, &setRun{areaRun: t.area.run, room: room})
			}
			out[len(out)-1].tasks = append(out[len(out)-1].tasks, t)
		}
	}
	slices.SortStableFunc(out, func(a, b *setRun) int { return cmp.Compare(a.start(), b.start()) })
	return out
}

// refilled is the plan with areas that fill what its shifts have left, of runs that are
// looked at; nil where none is better.
func (c *choice) refilled(ctx context.Context, near nearby, to *aim) (*choice, error) {
	runs := c.runs()
	found := c.divisions(runs, near, to)
	if len(found) == 0 {
		return nil, nil
	}
	return c.divided(ctx, runs, found, func(next *choice) bool { return next.betterThan(c) })
}

// divided is the plan with runs divided as found, nil where that is none or is no better.
func (c *choice) divided(ctx context.Context, runs []*setRun, found map[*setRun]division, better func(*choice) bool) (*choice, error) {
	were, manned := map[int]map[string]int{}, map[int]manning{}
	for r := range found {
		if k := r.room; were[k] == nil {
			manned[k] = c.rooms[k].manned
			were[k] = c.rooms[k].parts
			if were[k] == nil {
				were[k] = map[string]int{}
			}
			c.rooms[k].parts = maps.Clone(were[k])
		}
	}
	for r, d := range found {
		r.part(c.rooms[r.room].parts, d)
	}
	next, err := c.redivided(ctx, were, runs, found, better)
	if err != nil || next != nil {
		return next, err
	}
	for k, parts := range were {
		c.rooms[k].parts, c.rooms[k].manned = parts, manned[k]
	}
	c.back() // the tasks of the other rooms are those of both
	return nil, nil
}

// part notes in which area each row of the run is to be.
func (r *areaRun) part(parts map[string]int, d division) {
	n := 0
	for i, k := range r.inParts() {
		if i == d.stops[n] {
			n++
		}
		for _, it := range k.items {
			parts[it.piece.ID] = n + 1
		}
	}
}

// divisions are those of runs that would end sooner.
func (c *choice) divisions(runs []*setRun, near nearby, to *aim) map[*setRun]division {
	out := map[*setRun]division{}
	book := c.booked()
	for _, r := range runs {
		if !near.has(r) {
			continue
		}
		ready, first := c.ready(r)
		if first+leastFilled > r.finish() {
			continue
		}
		t := r.tasks[0]
		free := book.free(t, r.areaRun, Interval{first, r.finish()}, near.over)
		hours := c.hours(t, free)
		d, ok := r.fill(hours, ready, to)
		if !ok || to.by(d.finish, hours)+d.cost+leastGain > to.by(r.finish(), hours)+r.cost(to) {
			continue
		}
		out[r] = d
		book.move(t.crew, r, d)
	}
	return out
}

// hours are those in which a run's gang is free and its site open for it.
func (c *choice) hours(t *task, free []Interval) runHours {
	w, noise := c.w, c.w.noise[t.room.site]
	quiet := *t
	quiet.windows = slices.DeleteFunc(slices.Clone(t.windows), func(win *window) bool { return win == noise })
	h := runHours{quiet: Common(free, w.openFor(&quiet, t.crew))}
	h.loud = h.quiet
	if noise != nil && len(noise.open) > 0 {
		h.loud = Common(h.quiet, noise.open)
	}
	return h
}

// ready is from when on areas of a run may begin, by surface, and the first minute for
// any of them: what they wait for outside of the run, where it is on the same surface
// for those alone.
func (c *choice) ready(r *setRun) (by map[string]int, first int) {
	by = map[string]int{}
	before := 0
	for _, t := range r.tasks {
		soonest := -1
		for _, k := range t.surfaces {
			at := max(t.release, before)
			for i := range t.after {
				l := &t.after[i]
				if l.task.area != nil && l.task.area.run == r.areaRun || l.task.kind == kindCut || share(l.task, t) && !slices.Contains(l.task.surfaces, k) {
					continue
				}
				finish := l.task.start + l.task.minutes
				at = max(at, finish+l.from(finish))
			}
			if was, ok := by[k]; !ok || at < was {
				by[k] = at
			}
			if soonest < 0 || at < soonest {
				soonest = at
			}
		}
		before = max(before, soonest) // one area follows the other
	}
	first = -1
	for _, at := range by {
		if first < 0 || at < first {
			first = at
		}
	}
	return by, first
}

func (c *choice) booked() booking {
	out := newBooking(c.w)
	for _, t := range c.net.tasks {
		if t.crew == "" {
			continue
		}
		s := stay{Interval{t.start, t.start + t.minutes}, t.gang.hands(), t.room.site, nil}
		if t.area != nil {
			s.run = t.area.run
		}
		out.add(t.crew, s)
	}
	out.sort()
	return out
}

// move books the areas of a run at the dates of a division instead.
func (b booking) move(crew string, r *setRun, d division) {
	b.drop(crew, r.areaRun)
	t := r.tasks[0]
	for i, s := range d.starts {
		end := d.finish
		if i+1 < len(d.starts) {
			end = d.starts[i+1] // or before: nobody else fits between
		}
		b.put(crew, stay{Interval{s, end}, t.gang.hands(), t.room.site, r.areaRun})
	}
}

// free is when the gang of a run has its people: those of the crew who are not at
// work elsewhere, or on the way from there.
func (b booking) free(t *task, run *areaRun, within Interval, over int) []Interval {
	type turn struct{ at, setters, helpers int } // so many more are at work from then on
	var turns []turn
	crew := b.w.crews[t.crew]
	for c := range b.claims(t.crew, t.room.site, within, run) {
		if c.elsewhere { // the crew is at one site at a time
			c.people.setters = crew.Setters
		}
		if from, to := max(c.Start, within.Start), min(c.End, within.End+over); from < to {
			turns = append(turns, turn{from, c.people.setters, c.people.helpers}, turn{to, -c.people.setters, -c.people.helpers})
		}
	}
	slices.SortFunc(turns, func(x, y turn) int { return cmp.Compare(x.at, y.at) })
	setters, helpers, from := t.gang.setters, t.gang.helpers, within.Start
	var out []Interval
	for _, x := range append(turns, turn{at: within.End + over}) {
		if x.at > from && setters <= crew.Setters && helpers <= crew.Helpers {
			out = append(out, Interval{from, x.at})
		}
		from, setters, helpers = x.at, setters+x.setters, helpers+x.helpers
	}
	return normal(out)
}

// redivided dates the plan with the rooms named divided anew, nil where that is no
// better.
func (c *choice) redivided(ctx context.Context, rooms map[int]map[string]int, runs []*setRun, found map[*setRun]division, better func(*choice) bool) (*choice, error) {
	next := &choice{chooser: c.besides(rooms), crew: c.crew}
	if !next.sameBy(c, rooms) {
		return nil, nil
	}
	warm := next.startsOf(runs, found, c)
	next.net.guess(warm)
	r, err := next.net.solve(ctx, max(2, c.w.budget(len(next.net.tasks))/refillShare), warm)
	if err != nil || r.Start == nil {
		return nil, ctx.Err()
	}
	next.result = r
	next.net.take(r)
	if err := next.settle(ctx); err != nil {
		return nil, ctx.Err()
	}
	if !better(next) {
		return nil, nil
	}
	return next, nil
}

// sameBy puts the network together with the rooms named divided anew and all done by
// those who do it in a plan; false where a room cannot be done so.
func (c *choice) sameBy(o *choice, rooms map[int]map[string]int) bool {
	if o.manned != nil {
		for k := range rooms {
			c.rooms[k].manned = o.manned.manned[c.rooms[k].key]
		}
		ok := c.manBy(o.manned)
		c.net.like = nil
		return ok
	}
	for k := range rooms {
		if c.shape(k, c.crew[k]).err != nil {
			return false
		}
	}
	c.net = c.network(c.crew)
	return true
}

// besides is the chooser without what it knows of some rooms with their crews.
func (c *choice) besides(rooms map[int]map[string]int) *chooser {
	out := *c.chooser
	out.shown, out.built = maps.Clone(c.shown), maps.Clone(c.built)
	for k := range rooms {
		delete(out.shown, c.key(k, c.crew[k]))
	}
	maps.DeleteFunc(out.built, func(k [2]int, _ *shape) bool { _, anew := rooms[k[0]]; return anew })
	return &out
}

// startsOf is a start for the solver: that of was, with the areas of divided runs where
// they were found to fit. What follows them in their rooms is placed anew, as soon as
// it may be now.
func (c *choice) startsOf(runs []*setRun, found map[*setRun]division, was *choice) map[string]int {
	warm, areas, from := map[string]int{}, map[string][]int{}, map[*roomWork]int{}
	for r := range found {
		if len(c.net.tasks) > anewTasks {
			break
		}
		room := c.rooms[r.room]
		if at, ok := from[room]; !ok || r.start() < at {
			from[room] = r.start()
		}
	}
	for _, t := range was.net.tasks {
		if at, ok := from[t.room]; t.area == nil && (!ok || t.start < at || t.fixed != nil) {
			warm[t.id] = t.start
		}
	}
	for _, r := range runs {
		if d, ok := found[r]; ok {
			areas[r.key()] = d.starts
			continue
		}
		if at, ok := from[c.rooms[r.room]]; ok && r.start() >= at {
			continue
		}
		for _, t := range r.tasks {
			areas[r.key()] = append(areas[r.key()], t.start)
		}
	}
	for _, t := range c.net.tasks {
		if t.area == nil {
			continue
		}
		if list := areas[t.area.run.key()]; len(list) > 0 {
			warm[t.id] = list[0]
			areas[t.area.run.key()] = list[1:]
		}
	}
	return warm
}

// betterThan compares lateness and finish, then how soon rooms are set and handed
// over.
func (c *choice) betterThan(o *choice) bool {
	a := rcpsp.Score{Lateness: c.result.Lateness, Makespan: c.result.Makespan, Moves: c.ends(), Change: c.result.Moves}
	b := rcpsp.Score{Lateness: o.result.Lateness, Makespan: o.result.Makespan, Moves: o.ends(), Change: o.result.Moves}
	return a.Less(b)
}

// ends adds up when the setting in each room ends and when it is handed over: by the
// choice's own dates, as tasks that two choices share hold those of the later one.
func (c *choice) ends() int {
	set, last := map[*roomWork]int{}, map[*roomWork]int{}
	for i, t := range c.net.tasks {
		end := c.result.Start[i] + t.minutes
		last[t.room] = max(last[t.room], end)
		if t.kind == kindSet {
			set[t.room] = max(set[t.room], end)
		}
	}
	sum := 0
	for r, end := range last {
		sum += end + set[r]
	}
	return sum
}
