package scheduler

import (
	"cmp"
	"context"
	"fmt"
	"slices"
	"strings"

	"potlife/scheduler/rcpsp"
	"potlife/takeoff"
)

// choice is a crew for each room, with the tasks that follow from it.
type choice struct {
	*chooser
	crew   []int    // per room, into works.teams
	manned *daily   // nil: all of the crews do it
	seqs   []*shape // per room, nil: as all of its crew do it
	result rcpsp.Result
	waits  []int // of the tasks, by which it is dated
	net    *network
}

// chooser tries assignments of crews to rooms.
type chooser struct {
	w     *works
	rooms []*roomWork
	alike []string            // per crew: what of it a room's tasks depend on
	shown map[shapeKey]*shape // a room's tasks by a crew like it
	built map[[2]int]*shape   // room, crew
	dated bool                // a schedule has gone into the tasks
	prior map[string]string   // crew by room in the plan before
	gone  map[string]int      // by crew, from when on it is away, see there
	// A plan in force says who does what of the work of crews whose people come and go by
	// hours of their own: the fewer of these are not asked besides.
	routine bool
}

func newChooser(w *works, rooms []*roomWork) *chooser {
	c := &chooser{w: w, rooms: rooms, shown: map[shapeKey]*shape{}, built: map[[2]int]*shape{}}
	for i := range w.teams {
		crew, pace := w.teams[i].Crew, w.paceWords(w.teams[i].Key)
		crew.Key, crew.Name, crew.Email, crew.Hours, crew.Off, crew.On = "", "", "", nil, nil, nil
		crew.Special, crew.Away = nil, nil
		own := ""
		if w.teams[i].roll != nil { // its shifts are those of who is there
			own = w.teams[i].Key
		}
		crew.People = nil
		c.alike = append(c.alike, fmt.Sprintf("%+v%s%q", crew, pace, w.teams[i].words())+own)
	}
	return c
}

// shapeKey is a room and what its tasks depend on of a crew: its people and its
// usual shift there, how quick it has shown to be, from when on it is free, and when
// it stops on days that end a hold. A firm of thirty crews has few kinds of crew, and
// a room's tasks are built once for each kind.
type shapeKey struct {
	room   int
	alike  string
	shift  shift
	opens  int
	closes string
}

// shape is the tasks of a room as a crew of some kind would do them.
type shape struct {
	crew   int // the one they were built for
	seq    []*task
	missed []missed
	held   bool // a latest time after work that is done bounds it, or did before it was only noted
	err    error
}

// build makes the shapes of all rooms for all kinds of crew that may do them, as
// many at once as there are processors.
func (c *chooser) build() {
	open := make([][]*shape, len(c.rooms))
	for room := range c.rooms {
		want := c.wanted(room)
		for crew := range c.w.teams {
			k := c.key(room, crew)
			if _, ok := c.shown[k]; ok || c.routine && c.fewer(crew) || want != "" && want != c.w.teams[crew].Key {
				continue
			}
			s := &shape{crew: crew}
			c.shown[k], open[room] = s, append(open[room], s)
		}
	}
	takeoff.Each(len(c.rooms), 1, func(room int) { // one after the other in a room: they share its blocks
		for _, s := range open[room] {
			s.fill(c.w, c.rooms[room])
		}
	})
}

func (s *shape) fill(w *works, r *roomWork) { s.from(w.builderOf(r, &w.teams[s.crew])) }

// fillBy is the same of work that fewer of the crew do in part.
func (s *shape) fillBy(w *works, r *roomWork, by manning) {
	b := w.builderOf(r, w.whole(w.teams[s.crew].Key))
	b.manned = by
	s.from(b)
}

func (s *shape) from(b *builder) {
	if s.err = b.tasks(); s.err == nil {
		s.seq, s.missed = b.seq, b.missed
	}
	s.held = b.held
}

// ease is the same choice once more, with latest times after work that is done noted
// only, if relax says so. The tasks of rooms that this changes nothing of stay as they
// were built.
func (c *chooser) ease(relax bool) {
	if relax == c.w.relax {
		return
	}
	c.w.relax, c.built = relax, map[[2]int]*shape{}
	for k, s := range c.shown {
		if s.held || s.err != nil {
			delete(c.shown, k)
		}
	}
}

func (c *chooser) key(room, crew int) shapeKey {
	name := c.w.teams[crew].Key
	return shapeKey{room, c.alike[crew], c.w.shift[[2]string{name, c.rooms[room].site}], c.w.opens(name), c.w.closings(c.rooms[room], name)}
}

// shape looks up a room's tasks by a crew of this kind; they name the crew they
// were built for.
func (c *chooser) shape(room, crew int) *shape {
	s := c.shown[c.key(room, crew)]
	if s == nil || s.err != nil && s.crew != crew { // an error names its crew
		s = &shape{crew: crew}
		s.fill(c.w, c.rooms[room])
		c.shown[c.key(room, crew)] = s
	}
	return s
}

// tasks are a room's tasks by a crew, and the latest times they miss.
func (c *chooser) tasks(room, crew int) ([]*task, []missed) {
	k := [2]int{room, crew}
	s, ok := c.built[k]
	if !ok {
		if s = c.shape(room, crew); s.crew != crew {
			s = s.lent(c.w.teams[s.crew].Key, c.w.teams[crew].Key)
		}
		c.built[k] = s
	}
	return s.seq, s.missed
}

// lent copies tasks for another crew. What is carried over keeps its own.
func (s *shape) lent(from, to string) *shape {
	all := make([]task, len(s.seq))
	out := &shape{seq: make([]*task, len(s.seq)), missed: slices.Clone(s.missed)}
	at := make(map[*task]*task, len(s.seq))
	for i, t := range s.seq {
		all[i] = *t
		out.seq[i] = &all[i]
		at[t] = out.seq[i]
		all[i].notes = slices.Clip(t.notes)
		if t.fixed == nil && t.crew == from {
			all[i].crew = to
		}
	}
	for _, t := range out.seq {
		t.after = slices.Clone(t.after)
		for i := range t.after {
			t.after[i].task = at[t.after[i].task]
		}
	}
	for i := range out.missed {
		m := &out.missed[i]
		m.from, m.to = at[m.from], at[m.to]
	}
	return out
}

// wanted is the crew that a room names or that is at work in it and not away; empty
// lets any do it.
func (c *chooser) wanted(room int) string {
	r := c.rooms[room]
	if r.room.Crew != "" || c.mayChange(room) {
		return r.room.Crew
	}
	return c.begun(room)
}

// allowed are the crews that may do a room: the one it names, the one at work
// in it, or all that can.
func (c *chooser) allowed(room int) ([]int, error) {
	if first := c.back(room); first != "" && !c.movable(room) {
		if out := c.either(room, c.begun(room), first); len(out) > 0 {
			return out, nil
		}
	}
	want := c.wanted(room)
	out, err := c.able(room, want)
	if err != nil && want != "" && c.rooms[room].room.Crew == "" { // who began it may not go on with it
		if others, none := c.able(room, ""); none == nil {
			return others, nil
		}
	}
	return out, err
}

// either are those of two crews that can do a room.
func (c *chooser) either(room int, one, other string) (out []int) {
	for _, want := range []string{one, other} {
		if list, err := c.able(room, want); err == nil && want != "" {
			out = append(out, list...)
		}
	}
	slices.Sort(out)
	return out
}

// fewer reports whether a team is what is left of a crew whose people come and go every
// day by hours of their own.
func (c *chooser) fewer(team int) bool {
	return team >= len(c.w.firm.Crews) && c.w.crews[c.w.teams[team].Key].roll != nil
}

// able are the crews that can do a room, of all or of the one wanted.
func (c *chooser) able(room int, want string) ([]int, error) {
	var out []int
	var reasons []string // each crew's own
	var first error
	for k, crew := range c.w.teams {
		if want != "" && crew.Key != want || c.routine && c.fewer(k) {
			continue
		}
		if err := c.shape(room, k).err; err != nil {
			if first == nil {
				first = err
			}
			if text := err.Error(); !slices.Contains(reasons, text) {
				reasons = append(reasons, text)
			}
			continue
		}
		out = append(out, k)
	}
	switch {
	case len(out) > 0:
		return out, nil
	case len(reasons) > 1:
		return nil, fmt.Errorf("%w; %s", first, strings.Join(reasons[1:], "; "))
	case first != nil:
		return nil, first
	case want != "":
		return nil, fmt.Errorf("%s: crew %q does not exist", c.w.called.room(c.rooms[room].key), want)
	}
	return nil, fmt.Errorf("%s: the firm has no crew", c.w.called.room(c.rooms[room].key))
}

// load is the crew minutes of a room with a crew.
func (c *chooser) load(room, crew int) int {
	n := 0
	for _, t := range c.shape(room, crew).seq {
		if t.fixed == nil && t.crew != "" {
			n += t.minutes * t.gang.setters
		}
	}
	return n
}

// balanced gives each room in turn to the crew that is done with it first,
// counting its load against its daily minutes.
func (c *chooser) balanced(order []int, allowed [][]int) []int {
	busy := map[string]int{}
	out := make([]int, len(c.rooms))
	for _, r := range order {
		best, least := -1, 0
		for _, k := range allowed[r] {
			daily := max(1, c.w.daily[k]*max(1, c.w.teams[k].Setters))
			if v := (busy[c.w.teams[k].Key] + c.load(r, k)) * 1000 / daily; best < 0 || v < least {
				best, least = k, v
			}
		}
		out[r] = best
		busy[c.w.teams[best].Key] += c.load(r, best)
	}
	return out
}

// network puts the tasks of an assignment together.
func (c *chooser) network(crew []int) *network {
	n := &network{works: c.w, rooms: c.rooms}
	for r, k := range crew {
		n.crew = append(n.crew, &c.w.teams[k])
		seq, missed := c.tasks(r, k)
		n.tasks, n.missed = append(n.tasks, seq...), append(n.missed, missed...)
	}
	return n
}

// prepare builds what is chosen from, after a plan in which crews had their rooms and
// people their days.
func (c *chooser) prepare(prior map[string]string, before *daily) {
	c.prior, c.routine = prior, before != nil && before.score != nil
	c.build()
}

// chooseOpen chooses where others are to be tried besides.
func (c *chooser) chooseOpen(ctx context.Context, warm map[string]int, before *daily) (*choice, error) {
	before = before.open()
	c.prepare(c.prior, before)
	return c.choose(ctx, warm, before)
}

// choose tries a few assignments where crews are open and solves the best one
// with the whole budget; prepare comes before it.
func (c *chooser) choose(ctx context.Context, warm map[string]int, before *daily) (*choice, error) {
	allowed := make([][]int, len(c.rooms))
	open, movable := 0, 0
	for r := range c.rooms {
		a, err := c.allowed(r)
		if err != nil && c.routine {
			return c.chooseOpen(ctx, warm, before)
		}
		if err != nil {
			return nil, err
		}
		if len(a) > 1 && c.mayChange(r) {
			movable++
		}
		if len(a) > 1 {
			open++
		}
		allowed[r] = a
	}
	tries := c.candidates(allowed, c.prior)
	if len(c.prior) > 0 { // stability: crews stay with their rooms while they are there
		for r, room := range c.rooms {
			if k := tries[0][r]; c.prior[room.key] == c.w.teams[k].Key && !c.mayChange(r) {
				allowed[r] = slices.DeleteFunc(slices.Clone(allowed[r]), func(o int) bool { return c.w.teams[o].Key != c.w.teams[k].Key })
			}
		}
	}
	best := &choice{crew: tries[0]}
	if open > 0 && len(tries) > 1 || movable > 0 {
		var err error
		if best, err = c.improve(ctx, tries, allowed, open, warm); err != nil {
			return nil, err
		}
	}
	got, err := c.settled(ctx, best.crew, warm, before)
	if err != nil && c.routine && c.comesAndGoes(best.crew) && ctx.Err() == nil {
		return c.chooseOpen(ctx, warm, before)
	}
	if n := c.changed(best.crew); n > 0 { // as good as it seemed, or all stay
		stay, not := c.settled(ctx, tries[0], warm, before)
		if not == nil && (err != nil || !worth(got.score(), stay.score(), n)) {
			return stay, nil
		}
		if err == nil {
			got.back()
		}
	}
	return got, err
}

// settled dates an assignment with the whole budget.
func (c *chooser) settled(ctx context.Context, crew []int, warm map[string]int, before *daily) (*choice, error) {
	best := &choice{chooser: c, crew: crew}
	best.net = c.network(best.crew)
	short := best.anyShort()
	if short {
		if err := best.byDay(ctx, warm, before); err != nil {
			return nil, err
		}
	}
	was := best.result
	if err := best.date(ctx, c.w.budget(len(best.net.tasks)), warm); err != nil {
		return nil, err
	}
	if short && scoreOf(was).Less(best.score()) {
		best.result = was
		best.net.take(was)
	}
	return best, best.settle(ctx)
}

// candidates are starting assignments: as before, the longest rooms first, and
// by due date.
func (c *chooser) candidates(allowed [][]int, prior map[string]string) [][]int {
	byLoad, byDue := make([]int, len(c.rooms)), make([]int, len(c.rooms))
	for r := range c.rooms {
		byLoad[r], byDue[r] = r, r
	}
	slices.SortStableFunc(byLoad, func(a, b int) int { return cmp.Compare(c.load(b, allowed[b][0]), c.load(a, allowed[a][0])) })
	slices.SortStableFunc(byDue, func(a, b int) int { return cmp.Compare(uint(c.rooms[a].due), uint(c.rooms[b].due)) })
	var out [][]int
	if len(prior) > 0 {
		return c.asBefore(c.balanced(byDue, allowed), allowed, prior)
	}
	for _, order := range [][]int{byLoad, byDue} {
		if a := c.balanced(order, allowed); !slices.ContainsFunc(out, func(o []int) bool { return slices.Equal(o, a) }) {
			out = append(out, a)
		}
	}
	for _, a := range slices.Clone(out) {
		if b := c.short(a, allowed); !slices.Equal(a, b) {
			out = append(out, b)
		}
	}
	return out
}

// short is an assignment with the fewer people of crews that are short of some.
func (c *chooser) short(was []int, allowed [][]int) []int {
	out := slices.Clone(was)
	for r, k := range was {
		for _, o := range allowed[r] {
			if o > k && c.w.teams[o].Key == c.w.teams[k].Key {
				out[r] = o
			}
		}
	}
	return out
}

// asBefore leaves rooms to their crews; where a crew is short of people for a
// time, with all of it and with the fewer.
func (c *chooser) asBefore(was []int, allowed [][]int, prior map[string]string) [][]int {
	for r, room := range c.rooms {
		for _, k := range slices.Backward(allowed[r]) { // the whole crew stands first
			if prior[room.key] == c.w.teams[k].Key {
				was[r] = k
			}
		}
	}
	if short := c.short(was, allowed); !slices.Equal(was, short) {
		return [][]int{was, short}
	}
	return [][]int{was}
}

// Placements of activities that a plan spends where Limits.Schedules is not
// given, so that large plans take little longer than small ones: a first plan,
// one that only orders the rooms, and a replan, which starts from the plan in
// force.
const (
	fullPlacements   = 60_000
	quickPlacements  = 10_000
	replanPlacements = 9_000
)

// budget is the number of schedules for so many tasks.
func (w *works) budget(tasks int) int64 {
	placements := fullPlacements
	switch {
	case w.quick:
		placements = quickPlacements
	case w.replan:
		placements = replanPlacements
	}
	bySize := max(4, int64(placements/max(1, tasks)))
	if w.limits.Schedules > 0 && !w.quick {
		return w.limits.Schedules
	}
	return bySize
}

// improve compares the candidates and then moves single rooms to another crew,
// each try on a small share of the budget.
func (c *chooser) improve(ctx context.Context, tries [][]int, allowed [][]int, open int, warm map[string]int) (*choice, error) {
	tasks := len(c.network(tries[0]).tasks)
	budget := max(2, c.w.budget(tasks)/20)
	var best *choice
	var score rcpsp.Score
	why := func() error { return nil } // the last one has no schedule
	try := func(crew []int) bool {
		n := c.network(crew)
		n.unexplained = true // who has one for all rooms with other crews need not know
		r, err := n.solve(ctx, budget, warm)
		if err != nil {
			why = func() error { return n.why(ctx, r, err) }
			return false
		}
		s := scoreOf(r)
		if best != nil && !worth(s, score, c.changed(crew)-c.changed(best.crew)) {
			return false
		}
		best, score = &choice{crew: slices.Clone(crew), net: n, result: r}, s
		return true
	}
	for _, t := range tries {
		try(t)
	}
	if best == nil {
		return nil, why()
	}
	for left := min(8, 2*open, 6_000/tasks); left > 0; {
		moved := false
		for r := range c.rooms {
			for _, k := range allowed[r] {
				if k == best.crew[r] || left == 0 {
					continue
				}
				left--
				next := slices.Clone(best.crew)
				next[r] = k
				moved = try(next) || moved
			}
		}
		if !moved {
			break
		}
	}
	return best, nil
}
