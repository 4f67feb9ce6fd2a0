package rcpsp

// lanes is a plain problem (lags in one direction, at most four resources, nothing else) for fast serial generation.
// The free capacities of one time stand in the four 16-bit lanes of a word, each below a guard bit, so that one
// subtraction tells whether a demand fits.
type lanes struct {
	n        int
	dur      []int32
	demand   []uint64
	predFrom []int32 // range of i in preds is predFrom[i] to predFrom[i+1]
	preds    []lanePred
	full     uint64
	free     []uint64 // per time; beyond used it is full
	used     int32
	stack    []int32
	placed   []int32 // in the order of placing
}

type lanePred struct{ i, lag int32 }

const guard = 0x8000_8000_8000_8000

// longestPlain is the horizon up to which a word per time is kept.
const longestPlain = 1 << 16

// isPlain reports whether lanes can express the problem.
func (m *model) isPlain() bool {
	if m.general || len(m.p.Resources) > 4 || m.horizon > longestPlain || len(m.blocks) != m.n || m.p.Horizon > 0 {
		return false
	}
	for _, r := range m.p.Resources {
		if r.Capacity >= 1<<15 {
			return false
		}
	}
	for _, a := range m.p.Activities {
		if a.Release > 0 || a.Latest >= 0 || a.Fixed >= 0 {
			return false
		}
	}
	return true
}

// newLanes compiles the problem, or its mirror image in time.
func newLanes(m *model, mirrored bool) *lanes {
	l := &lanes{n: m.n, full: guard, free: make([]uint64, m.horizon+2), placed: make([]int32, 0, m.n)}
	for r, res := range m.p.Resources {
		l.full |= uint64(res.Capacity) << (16 * r)
	}
	for t := range l.free {
		l.free[t] = l.full
	}
	for i := range m.n {
		l.dur = append(l.dur, int32(m.dur[i]))
		d := uint64(0)
		for _, u := range m.uses[i] {
			d |= uint64(u.q) << (16 * u.res)
		}
		l.demand = append(l.demand, d)
		l.predFrom = append(l.predFrom, int32(len(l.preds)))
		arcs := m.pred[i]
		if mirrored {
			arcs = m.succ[i]
		}
		for _, a := range arcs {
			lag := a.min
			if mirrored {
				lag += m.dur[a.to] - m.dur[i]
			}
			l.preds = append(l.preds, lanePred{int32(a.to), int32(lag)})
		}
	}
	l.predFrom = append(l.predFrom, int32(len(l.preds)))
	return l
}

// build places the activities in the given order, predecessors first where the order has them later, each at its
// earliest start, and returns the makespan.
func (l *lanes) build(order, start []int32) int32 {
	l.empty(start)
	for _, i := range order {
		if start[i] == unplaced {
			l.placeNext(i, start)
		}
	}
	return l.used
}

// buildNear is build where the first places of the order, known in number, are those of the schedule near. It gives up,
// and returns false, once the starts, weighted, are later than near's by more than spare.
func (l *lanes) buildNear(order []int32, known int, near, start []int32, weight []int64, spare int64) (int32, bool) {
	l.empty(start)
	for _, i := range order[:known] {
		start[i] = near[i]
		l.take(i, near[i])
	}
	for _, i := range order[known:] {
		if start[i] != unplaced {
			continue
		}
		l.placeNext(i, start)
		if spare -= int64(start[i]-near[i]) * weight[i]; spare < 0 {
			return 0, false
		}
	}
	return l.used, true
}

// empty takes everything away.
func (l *lanes) empty(start []int32) {
	for i := range start {
		start[i] = unplaced
	}
	for t := range l.free[:l.used] {
		l.free[t] = l.full
	}
	l.used, l.placed = 0, l.placed[:0]
}

// placeNext places i after what it has to wait for.
func (l *lanes) placeNext(i int32, start []int32) {
	if t := l.ready(i, start); t != unplaced {
		start[i] = l.place(i, t)
	} else {
		l.placeWithPreds(i, start)
	}
}

// unplaced is the start of what has none yet.
const unplaced = -1

// ready is the earliest start the lags allow, unplaced where a predecessor is.
func (l *lanes) ready(i int32, start []int32) int32 {
	t := int32(0)
	for _, p := range l.preds[l.predFrom[i]:l.predFrom[i+1]] {
		s := start[p.i]
		if s == unplaced {
			return unplaced
		}
		t = max(t, s+p.lag)
	}
	return t
}

// placeWithPreds places what i has to wait for, and i.
func (l *lanes) placeWithPreds(i int32, start []int32) {
	l.stack = append(l.stack[:0], i)
	for len(l.stack) > 0 {
		i := l.stack[len(l.stack)-1]
		if t := l.ready(i, start); t != unplaced {
			start[i] = l.place(i, t)
			l.stack = l.stack[:len(l.stack)-1]
			continue
		}
		for _, p := range l.preds[l.predFrom[i]:l.predFrom[i+1]] {
			if start[p.i] == unplaced {
				l.stack = append(l.stack, p.i)
				break
			}
		}
	}
}

// place puts i at its first start ≥ t.
func (l *lanes) place(i, t int32) int32 {
	l.placed = append(l.placed, i)
	if d, q := l.dur[i], l.demand[i]; q != 0 && d != 0 {
		t = l.fit(q, t, d)
	}
	l.take(i, t)
	return t
}

// take uses what i needs from t on.
func (l *lanes) take(i, t int32) {
	d, q := l.dur[i], l.demand[i]
	l.used = max(l.used, t+d)
	free := l.free[t : t+d]
	for at := range free {
		free[at] -= q
	}
}

// fit is the first start ≥ t at which demand q has room for d. It looks at a stretch from its end: what is full there
// rules out every start up to it, so most full times need no look.
func (l *lanes) fit(q uint64, t, d int32) int32 {
	free := l.free
	for seen := t; ; { // [t, seen) has room
		at := t + d - 1
		for at >= seen && (free[at]-q)&guard == guard {
			at--
		}
		if at < seen {
			return t
		}
		seen, t = t+d, at+1
	}
}
