package rcpsp

import "slices"

// A schedule in series starts each activity at the first time there is, so a crew drives to another site and back for
// twenty minutes as soon as they may be done, and neither lateness nor makespan mind. FewerTrips looks, stay by stay,
// whether its work can as well be done when the crew is there anyway, or on its way there or home.

// TripOptions of FewerTrips.
type TripOptions struct {
	// Rest is the time away, of its calendar, from which on a crew starts anew from home: what lies between two sites
	// then is no trip.
	Rest int
	// Short is the time at a site up to which a stay is moved; one that takes less than the way there and back is short
	// as well.
	Short int
	// Finish is the latest finish of each activity that costs nothing.
	Finish []int
}

// FewerTrips moves activities of crews that travel so that these are less on the road, and reports whether it could.
// Lateness does not grow where Finish allows no more than the due dates, nor does any activity finish after Finish or a
// crew change rooms more often. Fixed activities stay.
func FewerTrips(p Problem, start []int, o TripOptions) ([]int, bool) {
	m, bad := compile(p)
	if bad != nil || len(start) != m.n || len(o.Finish) != m.n {
		return start, false
	}
	t := &trips{m: m, b: newBuilder(m), o: o}
	for i, s := range start {
		if m.free(i) {
			t.b.put(i, s)
		}
	}
	t.road, t.room, t.rests = make([]int, len(p.Resources)), make([]int, len(p.Resources)), make([][]Interval, len(p.Resources))
	for r, res := range p.Resources {
		if res.Moves {
			t.rests[r] = slices.DeleteFunc(slices.Clone(res.Forbidden), func(f Interval) bool { return f.End-f.Start < o.Rest })
			t.road[r], t.room[r] = t.onRoad(r), t.b.visits[r].roomChanges()
		}
	}
	found := false
	for r := range p.Resources {
		for range tripPasses {
			if !p.Resources[r].Moves || !t.pass(r) {
				break
			}
			found = true
		}
	}
	if !found {
		return start, false
	}
	return slices.Clone(t.b.start), true
}

const (
	tripPasses = 4  // over the stays of a crew
	tripTries  = 4  // other stays at its site, before and after, and days that are looked at for each
	tripPushes = 64 // activities that one move pushes on at most
)

// trips is the work of FewerTrips.
type trips struct {
	m     *model
	b     *builder
	o     TripOptions
	was   []undo       // what has been moved since the last mark, in order
	road  []int        // travel by crew
	room  []int        // changes of room by crew
	rests [][]Interval // by crew
	of    []int        // see crews
}

type undo struct{ act, start int }

// stayAt is a run of a crew's visits to one site without a rest.
type stayAt struct {
	visits    []visit
	site, day int
}

func (s *stayAt) start() int { return s.visits[0].start }

func (s *stayAt) end() int {
	end := 0
	for _, v := range s.visits {
		end = max(end, v.end)
	}
	return end
}

// pass looks at each stay of a crew once, at short ones first, and reports whether one was moved.
func (t *trips) pass(r int) bool {
	moved, stays := false, t.stays(r)
	for _, long := range []bool{false, true} {
		for k := 0; k < len(stays); k++ {
			ways, s := t.ways(stays, k), &stays[k]
			if ways > 0 && s.end()-s.start() > max(t.o.Short, ways) == long && t.free(s) && t.elsewhere(r, stays, k, long) {
				moved, stays = true, t.stays(r)
			}
		}
	}
	return moved
}

// stays are the stays of a crew in order.
func (t *trips) stays(r int) (out []stayAt) {
	day, all := 0, make([]visit, 0, len(t.b.visits[r].list)) // parted among the stays
	t.eachVisit(r, func(_, v *visit, rest bool) {
		if rest {
			day++
		}
		if n := len(out); n == 0 || out[n-1].site != v.site || rest {
			out = append(out, stayAt{site: v.site, day: day})
		}
		all = append(all, *v)
		last := &out[len(out)-1]
		last.visits = all[len(all)-len(last.visits)-1:]
	})
	return out
}

// eachVisit goes through a crew's visits to sites in order, each with the one before, nil for the first, and whether
// there is a rest between.
func (t *trips) eachVisit(r int, do func(last, v *visit, rest bool)) {
	var last *visit
	end, rests := -never, t.rests[r]
	list := t.b.visits[r].list
	for k := range list {
		v := &list[k]
		if v.site < 0 {
			continue
		}
		for len(rests) > 0 && rests[0].Start < end {
			rests = rests[1:]
		}
		do(last, v, last != nil && len(rests) > 0 && rests[0].Start < v.start)
		last, end = v, max(end, v.end)
	}
}

// ways is the travel from the stay before to a stay and on to the next.
func (t *trips) ways(stays []stayAt, k int) (sum int) {
	if k > 0 {
		sum += t.way(&stays[k-1], &stays[k])
	}
	if k+1 < len(stays) {
		sum += t.way(&stays[k], &stays[k+1])
	}
	return sum
}

func (t *trips) way(a, b *stayAt) int {
	if a.day != b.day {
		return 0
	}
	return t.m.p.Travel[a.site][b.site]
}

func (t *trips) free(s *stayAt) bool {
	return !slices.ContainsFunc(s.visits, func(v visit) bool { return !t.m.free(v.act) })
}

// elsewhere moves the work of a stay to where it costs the least travel, to the earliest of such times. A long one
// moves only within its day, where all is done no later by it taken together.
func (t *trips) elsewhere(r int, stays []stayAt, k int, long bool) bool {
	tries := t.sameDay(stays, k)
	if !long {
		tries = append(tries, t.otherDays(stays, k)...)
	}
	best, spared, later := -1, 0, 0
	for n, x := range tries {
		if t.place(x) {
			less, ok := t.less()
			delay := t.delay()
			if ok && !(long && delay > 0) && (less > spared || less == spared && less > 0 && delay < later) {
				best, spared, later = n, less, delay
			}
		}
		t.back(0)
	}
	if best < 0 {
		return false
	}
	t.place(tries[best])
	t.note()
	from := stays[k].start()
	if k > 0 && stays[k-1].day == stays[k].day {
		from = stays[k-1].end()
	}
	t.close(r, from, stays[k].end())
	t.was = t.was[:0]
	return true
}

// turn is activities placed one after the other from a time on.
type turn struct {
	acts []int
	from int
}

// sameDay are the turns of a day in which a stay comes at its beginning or end, or beside another at its site.
func (t *trips) sameDay(stays []stayAt, k int) (out []turn) {
	first, last := k, k
	for first > 0 && stays[first-1].day == stays[k].day {
		first--
	}
	for last+1 < len(stays) && stays[last+1].day == stays[k].day {
		last++
	}
	for j := k + 1; j <= last; j++ {
		if j == last || stays[j].site == stays[k].site {
			order := slices.Concat(stays[k+1:j+1], stays[k:k+1], stays[j+1:last+1])
			from := stays[k].start()
			if k > first {
				from = stays[k-1].end()
			}
			out = append(out, turn{t.acts(order), from})
		}
	}
	for j := k - 1; j >= first; j-- {
		if j == first || stays[j].site == stays[k].site {
			order := slices.Concat(stays[k:k+1], stays[j:k], stays[k+1:last+1])
			out = append(out, turn{t.acts(order), stays[j].start()})
		}
	}
	return out
}

// otherDays are the turns in which a stay is put off to its crew's next ones at its site, before or after them, or to
// the end of a day, or done with its last ones there.
func (t *trips) otherDays(stays []stayAt, k int) (out []turn) {
	s, there, days := &stays[k], 0, 0
	own := t.acts(stays[k : k+1])
	for j := k + 1; j < len(stays) && (there < tripTries || days < tripTries); j++ {
		end := j + 1
		for end < len(stays) && stays[end].day == stays[j].day {
			end++
		}
		if stays[j].day == s.day {
			continue
		}
		if stays[j].site == s.site && there < tripTries {
			before := turn{append(slices.Clone(own), t.acts(stays[j:end])...), stays[j].start()}
			out, there = append(out, turn{own, stays[j].start() - (s.end() - s.start())}, before, turn{own, stays[j].end()}), there+1
		}
		if end == j+1 && days < tripTries {
			out, days = append(out, turn{own, stays[j].end()}), days+1
		}
	}
	for j := k - 1; j >= 0 && there < 2*tripTries; j-- {
		if stays[j].site == s.site && stays[j].day != s.day {
			out, there = append(out, turn{own, stays[j].end()}), there+1
		}
	}
	return out
}

// acts are the activities of stays that are not fixed.
func (t *trips) acts(stays []stayAt) (out []int) {
	for i := range stays {
		for _, v := range stays[i].visits {
			if t.m.free(v.act) {
				out = append(out, v.act)
			}
		}
	}
	return out
}

// place takes a turn's activities out and places each as soon as it fits, and pushes on what has to follow.
func (t *trips) place(x turn) bool {
	for _, i := range x.acts {
		t.lift(i)
	}
	pushes := 0
	for _, i := range x.acts {
		if t.b.start[i] == notPlaced && !t.push(i, max(0, x.from), &pushes) {
			return false
		}
	}
	return true
}

// delay is by how much what was moved starts later, taken together.
func (t *trips) delay() (sum int) {
	seen := map[int]bool{}
	for _, u := range t.was {
		if !seen[u.act] {
			seen[u.act] = true
			sum += t.b.start[u.act] - u.start
		}
	}
	return sum
}

// lift takes an activity out and notes where it was.
func (t *trips) lift(i int) {
	t.was = append(t.was, undo{i, t.b.start[i]})
	t.b.take(i)
}

// push places an activity that is out no earlier than a time, and moves later what its lags make wait.
func (t *trips) push(i, from int, pushes *int) bool {
	if *pushes++; *pushes > tripPushes {
		return false
	}
	lo, _, _ := t.b.window(i)
	at := t.b.fit(i, max(lo, from))
	if at > t.m.hi[i] || at+t.m.dur[i] > t.o.Finish[i] {
		return false
	}
	t.b.put(i, at)
	for _, a := range t.m.succ[i] {
		s := t.b.start[a.to]
		if s == notPlaced || s >= at+a.min {
			continue
		}
		if !t.m.free(a.to) {
			return false
		}
		t.lift(a.to)
		if !t.push(a.to, at+a.min, pushes) {
			return false
		}
	}
	return true
}

// back undoes what was moved since a mark.
func (t *trips) back(mark int) {
	for _, u := range t.was[mark:] {
		if t.b.start[u.act] != notPlaced {
			t.b.take(u.act)
		}
	}
	for _, u := range slices.Backward(t.was[mark:]) {
		if t.b.start[u.act] != notPlaced {
			t.b.take(u.act)
		}
		t.b.put(u.act, u.start)
	}
	t.was = t.was[:mark]
}

// crews are those of what was moved that travel.
func (t *trips) crews() []int {
	out := t.of[:0]
	for _, u := range t.was {
		for _, k := range t.m.uses[u.act] {
			if t.m.p.Resources[k.res].Moves && !slices.Contains(out, k.res) {
				out = append(out, k.res)
			}
		}
	}
	t.of = out
	return out
}

// less is by how much the crews of what was moved are less on the road than was noted, and whether they change rooms
// no more often.
func (t *trips) less() (road int, ok bool) {
	room := 0
	for _, r := range t.crews() {
		road += t.road[r] - t.onRoad(r)
		room += t.room[r] - t.b.visits[r].roomChanges()
	}
	return road, room >= 0
}

// note takes down the travel and the changes of room as they are now.
func (t *trips) note() {
	for _, r := range t.crews() {
		t.road[r], t.room[r] = t.onRoad(r), t.b.visits[r].roomChanges()
	}
}

// onRoad is a crew's travel; a day on which it works counts as twice the longest way, so that none is begun for a trip
// that is spared.
func (t *trips) onRoad(r int) (sum int) {
	longest, travel := t.b.visits[r].travel, t.m.p.Travel
	t.eachVisit(r, func(last, v *visit, rest bool) {
		if last == nil || rest {
			sum += 2 * longest
		} else {
			sum += travel[last.site][v.site]
		}
	})
	return sum
}

// close lets what the crew does after a stay that was moved away follow on sooner, on the same day.
func (t *trips) close(r, from, to int) {
	var next []int
	for _, v := range t.b.visits[r].list {
		if v.start >= to && t.m.free(v.act) && !t.restsBetween(r, from, v.start) {
			next = append(next, v.act)
		}
	}
	for _, i := range next {
		mark, was := len(t.was), t.b.start[i]
		t.lift(i)
		lo, _, _ := t.b.window(i)
		at := t.b.fit(i, max(lo, from))
		if at < was {
			t.b.put(i, at)
			if road, ok := t.less(); ok && road >= 0 {
				t.note()
				continue
			}
		}
		t.back(mark)
	}
}

// restsBetween reports whether a crew has a rest between two times.
func (t *trips) restsBetween(r, from, to int) bool {
	return slices.ContainsFunc(t.rests[r], func(f Interval) bool { return f.Start >= from && f.Start < to })
}
