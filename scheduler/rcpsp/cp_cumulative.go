package rcpsp

import "slices"

// cumulative propagates one resource by time-tabling: where the parts of activities that are certain leave no room,
// nothing else can run. Explanations are pointwise (Schutt, Feydy, Stuckey & Wallace 2011).
type cumulative struct {
	r        int32
	capacity int32
	tasks    []cpTask
	byStart  []int32 // tasks by latest start, kept almost sorted between calls
	byEnd    []int32 // tasks by earliest end
	lst, ect []int32 // latest start and earliest end per task
	seg      []segment
	peak     int32
	chosen   []pick
}

type cpTask struct{ x, d, q int32 }

// segment is the certain load of [from, next segment's from).
type segment struct{ from, load int32 }

type pick struct {
	x, q, at int32
	a, b     atom
}

// newCumulative returns nil for a resource on which nothing can collide.
func newCumulative(c *cp, r int) *cumulative {
	cu := &cumulative{r: int32(len(c.cumulative)), capacity: int32(c.m.p.Resources[r].Capacity)}
	total := int32(0)
	issued := newProfile(Resource{Capacity: int(cu.capacity)})
	for _, l := range c.m.p.Resources[r].Lent {
		if l.Start < l.End && int32(l.Start) < -c.bound[2*c.span+1] { // later, nothing that is looked for goes on
			issued.add(l.Start, l.End, l.Count)
		}
	}
	for i := range c.m.uses {
		for _, u := range c.m.uses[i] {
			switch f := c.m.p.Activities[i].Fixed; {
			case u.res != r:
			case f >= 0:
				issued.add(f, f+c.m.dur[i], u.q)
			default:
				cu.tasks = append(cu.tasks, cpTask{int32(i), int32(c.m.dur[i]), int32(u.q)})
				total += int32(u.q)
			}
		}
	}
	total += cu.addIssued(c, issued.steps)
	if total <= cu.capacity {
		return nil
	}
	for k := range cu.tasks {
		cu.byStart = append(cu.byStart, int32(k))
		cu.byEnd = append(cu.byEnd, int32(k))
	}
	cu.lst, cu.ect = make([]int32, len(cu.tasks)), make([]int32, len(cu.tasks))
	return cu
}

// addIssued puts the load of fixed activities in as constants. Where they alone exceed the capacity that is no conflict:
// what happened, happened.
func (cu *cumulative) addIssued(c *cp, steps []step) (total int32) {
	for k, s := range steps[:len(steps)-1] {
		if q := min(s.load, cu.capacity); q > 0 {
			cu.tasks = append(cu.tasks, cpTask{c.constant(s.at), steps[k+1].at - s.at, q})
			total += q
		}
	}
	return total
}

func (cu *cumulative) propagate(c *cp) bool {
	if !cu.profile(c) {
		return false
	}
	if len(cu.seg) == 0 {
		return true
	}
	for _, t := range cu.tasks {
		if cu.peak+t.q <= cu.capacity || c.bound[2*t.x] == -c.bound[2*t.x+1] {
			continue
		}
		if !cu.raise(c, t) || !cu.lower(c, t) {
			return false
		}
	}
	return true
}

// profile sums the certain parts [latest start, earliest end); false with a conflict where they exceed the capacity.
func (cu *cumulative) profile(c *cp) bool {
	tasks := cu.tasks
	for k := range tasks {
		cu.lst[k] = -c.bound[2*tasks[k].x+1]
		cu.ect[k] = c.bound[2*tasks[k].x] + tasks[k].d
	}
	sortAlmost(cu.byStart, cu.lst)
	sortAlmost(cu.byEnd, cu.ect)
	cu.seg, cu.peak = cu.seg[:0], 0
	load, e := int32(0), 0
	for s := 0; s < len(cu.byStart); {
		k := cu.byStart[s]
		at := cu.lst[k]
		if at >= cu.ect[k] {
			s++ // no certain part
			continue
		}
		load, e = cu.close(at, load, e)
		for ; s < len(cu.byStart); s++ {
			k := cu.byStart[s]
			if cu.lst[k] > at {
				break
			}
			if cu.lst[k] < cu.ect[k] {
				load += tasks[k].q
			}
		}
		cu.put(at, load)
		if load > cu.capacity {
			cu.overload(c, at)
			return false
		}
	}
	cu.close(1<<30, load, e)
	return true
}

// close ends certain parts up to time at.
func (cu *cumulative) close(at, load int32, e int) (int32, int) {
	for ; e < len(cu.byEnd); e++ {
		k := cu.byEnd[e]
		end := cu.ect[k]
		if end > at {
			break
		}
		if cu.lst[k] < end {
			load -= cu.tasks[k].q
			cu.put(end, load)
		}
	}
	return load, e
}

func (cu *cumulative) put(at, load int32) {
	cu.peak = max(cu.peak, load)
	if k := len(cu.seg); k > 0 && cu.seg[k-1].from == at {
		cu.seg[k-1].load = load
		return
	}
	cu.seg = append(cu.seg, segment{at, load})
}

// sortAlmost sorts s by key: insertion sort, linear on what was sorted before.
func sortAlmost(s, key []int32) {
	for i := 1; i < len(s); i++ {
		x := s[i]
		kx := key[x]
		j := i
		for ; j > 0 && key[s[j-1]] > kx; j-- {
			s[j] = s[j-1]
		}
		s[j] = x
	}
}

// after is the index of the first segment that ends later than t.
func (cu *cumulative) after(t int32) int {
	lo, hi := 0, len(cu.seg)-1
	for lo < hi {
		mid := (lo + hi) >> 1
		if cu.seg[mid+1].from > t {
			hi = mid
		} else {
			lo = mid + 1
		}
	}
	return lo
}

// raise moves the earliest start of t past segments that leave no room, in steps each of which one time explains.
func (cu *cumulative) raise(c *cp, t cpTask) bool {
	room := cu.capacity - t.q
	for k := cu.after(c.bound[2*t.x]); k+1 < len(cu.seg); k++ {
		s := cu.seg[k]
		est, lst := c.bound[2*t.x], -c.bound[2*t.x+1]
		if s.from >= est+t.d {
			break
		}
		end := cu.seg[k+1].from
		if s.load <= room || end <= est || lst <= s.from && s.from < est+t.d && lst < est+t.d {
			continue
		}
		for est < end {
			at := min(end, est+t.d) - 1
			if !c.set(2*t.x, at+1, reason{byProfile, cu.r, at}) {
				return false
			}
			est = at + 1
		}
	}
	return true
}

// lower is raise seen from the end of time.
func (cu *cumulative) lower(c *cp, t cpTask) bool {
	room := cu.capacity - t.q
	lst := -c.bound[2*t.x+1]
	for k := cu.after(lst + t.d - 1); k >= 0; k-- {
		if k+1 == len(cu.seg) {
			continue
		}
		s := cu.seg[k]
		est, lst := c.bound[2*t.x], -c.bound[2*t.x+1]
		end := cu.seg[k+1].from
		if end <= lst {
			break
		}
		if s.load <= room || s.from >= lst+t.d || lst <= s.from && s.from < est+t.d {
			continue
		}
		for lst+t.d > s.from {
			at := max(s.from, lst)
			if !c.set(2*t.x+1, t.d-at, reason{byProfile, cu.r, at}) {
				return false
			}
			lst = at - t.d
		}
	}
	return true
}

// overload explains that the certain load at time t exceeds the capacity.
func (cu *cumulative) overload(c *cp, t int32) {
	c.expl = c.expl[:0]
	cu.choose(c, -1, t, cu.capacity, int32(len(c.trail)))
	c.conflict = append(c.conflict[:0], c.expl...)
}

// explain says why bound[k] of activity k/2 is at least v: at time t the others leave no room.
func (cu *cumulative) explain(c *cp, k, v, t, at int32) {
	x := k >> 1
	var me cpTask
	for _, task := range cu.tasks {
		if task.x == x {
			me = task
		}
	}
	if k&1 == 0 {
		c.expl = append(c.expl, atom{k, t + 1 - me.d})
	} else {
		c.expl = append(c.expl, atom{k, -t})
	}
	cu.choose(c, x, t, cu.capacity-me.q, at)
}

// choose appends atoms of activities other than x that surely ran at time t before trail entry at and together need
// more than limit. Of those it can spare it drops the ones that became certain last.
func (cu *cumulative) choose(c *cp, x, t, limit, at int32) {
	cu.chosen = cu.chosen[:0]
	sum := int32(0)
	for _, task := range cu.tasks {
		if task.x == x {
			continue
		}
		a, b := atom{2 * task.x, t + 1 - task.d}, atom{2*task.x + 1, -t}
		if c.bound[a.k] < a.v || c.bound[b.k] < b.v {
			continue
		}
		since := max(c.position(a), c.position(b))
		if since >= at {
			continue
		}
		cu.chosen = append(cu.chosen, pick{task.x, task.q, since, a, b})
		sum += task.q
	}
	slices.SortFunc(cu.chosen, func(p, q pick) int { return int(q.at - p.at) })
	spare := sum - limit - 1
	for _, p := range cu.chosen {
		if p.q <= spare {
			spare -= p.q
			continue
		}
		c.expl = append(c.expl, p.a, p.b)
	}
}
