package rcpsp

import "slices"

// builder generates schedules in series: it places one block after another, each activity at the first time its lags,
// calendars, capacities and crews allow. Its memory is reused from schedule to schedule.
type builder struct {
	m        *model
	profiles []profile
	base     []profile // with calendars and fixed activities only
	visits   []visits
	baseV    []visits
	start    []int // notPlaced where it is not placed
	floor    []int // raised start of block members while a maximum lag is repaired
	spent    int64 // placements
}

const notPlaced = -never

func newBuilder(m *model) *builder {
	b := &builder{m: m, start: make([]int, m.n), floor: make([]int, m.n)}
	for r, res := range m.p.Resources {
		b.profiles = append(b.profiles, newProfile(res))
		b.visits = append(b.visits, newVisits(m, r))
	}
	for i, a := range m.p.Activities {
		if a.Fixed >= 0 {
			b.put(i, a.Fixed)
		}
	}
	b.base = make([]profile, len(b.profiles))
	b.baseV = make([]visits, len(b.visits))
	for r := range b.profiles {
		b.base[r].copyOf(&b.profiles[r])
		b.baseV[r].list = slices.Clone(b.visits[r].list)
	}
	b.reset()
	return b
}

// reset forgets all but the fixed activities.
func (b *builder) reset() {
	for r := range b.profiles {
		b.profiles[r].copyOf(&b.base[r])
		b.visits[r].list = append(b.visits[r].list[:0], b.baseV[r].list...)
	}
	for i := range b.start {
		b.start[i] = notPlaced
		b.floor[i] = 0
		if f := b.m.p.Activities[i].Fixed; f >= 0 {
			b.start[i] = f
		}
	}
}

func (b *builder) put(i, s int) {
	b.start[i] = s
	for _, u := range b.m.uses[i] {
		b.profiles[u.res].add(s, s+b.m.dur[i], u.q)
		b.visits[u.res].add(i, s, s+b.m.dur[i])
	}
}

func (b *builder) take(i int) {
	s := b.start[i]
	for _, u := range b.m.uses[i] {
		b.profiles[u.res].remove(s, s+b.m.dur[i], u.q)
		b.visits[u.res].remove(i, s)
	}
	b.start[i] = notPlaced
}

// fit returns the first start ≥ t at which activity i fits beside all that is placed.
func (b *builder) fit(i, t int) int {
	d, uses := b.m.dur[i], b.m.uses[i]
	if len(uses) == 1 && !b.visits[uses[0].res].moves {
		return b.profiles[uses[0].res].earliest(t, d, uses[0].q)
	}
	for {
		s := t
		for _, u := range uses {
			s = b.profiles[u.res].earliest(s, d, u.q)
			if s >= never {
				return s
			}
			s = b.visits[u.res].earliest(i, s, d)
		}
		if s == t {
			return t
		}
		t = s
	}
}

// window is the earliest and latest start of i with regard to what is placed; by names the successor that sets the
// latest, or -1.
func (b *builder) window(i int) (lo, hi, by int) {
	m := b.m
	lo, hi, by = max(m.head[i], b.floor[i]), m.hi[i], -1
	for _, a := range m.pred[i] {
		if s := b.start[a.to]; s != notPlaced {
			lo = max(lo, s+a.min)
		}
	}
	for _, a := range m.succ[i] {
		if s := b.start[a.to]; s != notPlaced && s-a.min < hi {
			hi, by = s-a.min, a.to
		}
	}
	return lo, hi, by
}

// placeBlock places all members of a block. Where a maximum lag fails, the member that has to wait is raised and what
// was placed since is placed again. It reports false, with the block taken out, where a latest start cannot be kept.
func (b *builder) placeBlock(block int) bool {
	members := b.m.blocks[block]
	if len(members) == 1 {
		return b.placeOne(members[0])
	}
	tries := 64 * len(members)
	for k := 0; k < len(members); k++ {
		i := members[k]
		if !b.m.free(i) {
			continue
		}
		lo, hi, by := b.window(i)
		t := b.fit(i, lo)
		b.spent++
		if t <= hi {
			b.put(i, t)
			continue
		}
		tries--
		back := slices.Index(members[:k], by)
		if by < 0 || back < 0 || tries < 0 || t >= never || !b.m.free(by) {
			b.takeMembers(members[:k])
			return false
		}
		for _, a := range b.m.succ[i] {
			if a.to == by {
				b.floor[by] = max(b.floor[by], t+a.min)
			}
		}
		b.takeMembers(members[back:k])
		k = back - 1
	}
	return true
}

func (b *builder) takeMembers(members []int) {
	for _, i := range members {
		if b.m.free(i) && b.start[i] != notPlaced {
			b.take(i)
		}
	}
}

func (b *builder) placeOne(i int) bool {
	if !b.m.free(i) {
		return true
	}
	lo, hi, _ := b.window(i)
	t := b.fit(i, lo)
	b.spent++
	if t > hi {
		return false
	}
	b.put(i, t)
	return true
}

// build makes the schedule of a list of all blocks, which must be in topological order.
func (b *builder) build(list []int) bool {
	b.reset()
	for _, block := range list {
		if !b.placeBlock(block) {
			return false
		}
	}
	return true
}

// moves counts the changes of room of all travelling crews.
func (b *builder) moves() int {
	sum := 0
	for r := range b.visits {
		sum += b.visits[r].roomChanges()
	}
	return sum
}

// roomChanges counts one crew's.
func (v *visits) roomChanges() int {
	n, room := 0, -1
	for k := range v.list {
		at := v.list[k].room
		if at < 0 {
			continue
		}
		if room >= 0 && at != room {
			n++
		}
		room = at
	}
	return n
}

// visit is one stay of a moving crew.
type visit struct{ start, end, site, room, act int }

// visits are the stays of one crew, by start.
type visits struct {
	list   []visit
	moves  bool
	m      *model
	travel int // longest
	stay   int // longest
}

func newVisits(m *model, r int) visits {
	v := visits{m: m, moves: m.p.Resources[r].Moves}
	if !v.moves {
		return v
	}
	for _, row := range m.p.Travel {
		for _, d := range row {
			v.travel = max(v.travel, d)
		}
	}
	for i := range m.uses {
		for _, u := range m.uses[i] {
			if u.res == r {
				v.stay = max(v.stay, m.dur[i])
			}
		}
	}
	return v
}

// lower is the index of the first visit that starts at t or later.
func (v *visits) lower(t int) int {
	lo, hi := 0, len(v.list)
	for lo < hi {
		mid := int(uint(lo+hi) >> 1)
		if v.list[mid].start >= t {
			hi = mid
		} else {
			lo = mid + 1
		}
	}
	return lo
}

func (v *visits) add(i, s, e int) {
	if v.moves {
		a := &v.m.p.Activities[i]
		v.list = slices.Insert(v.list, v.lower(s), visit{s, e, a.Site, a.Room, i})
	}
}

func (v *visits) remove(i, s int) {
	if !v.moves {
		return
	}
	for k := v.lower(s); k < len(v.list); k++ {
		if v.list[k].act == i {
			v.list = slices.Delete(v.list, k, k+1)
			return
		}
	}
}

// earliest returns the first t' ≥ t at which the crew can be at i's site for d.
func (v *visits) earliest(i, t, d int) int {
	site := v.m.p.Activities[i].Site
	if !v.moves || site < 0 {
		return t
	}
	travel := v.m.p.Travel
	for k := v.lower(t - v.stay - v.travel); k < len(v.list); k++ {
		w := v.list[k]
		if w.start >= t+d+v.travel {
			break
		}
		if w.site < 0 || w.site == site {
			continue
		}
		if t < w.end+travel[w.site][site] && w.start < t+d+travel[site][w.site] {
			t = w.end + travel[w.site][site]
		}
	}
	return t
}
