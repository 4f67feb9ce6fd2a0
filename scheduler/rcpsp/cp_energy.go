package rcpsp

import "slices"

// energy refutes by work: what certainly has to be done within [a, b), by activities that lie inside it and by the
// certain parts of the others, must fit the capacity; and an activity that would bring too much has to start later
// (time-table edge finding: Vilím 2011; explained after Schutt, Feydy & Stuckey 2013). It runs when nothing cheaper
// has anything to say.
type energy struct {
	cu       *cumulative
	byEst    []int32 // tasks by earliest start
	byLct    []int32 // tasks by latest end
	est, lct []int32
	sure     []int32 // length of the certain part
	area     []int64 // of the profile up to the start of each segment
	parts    []pick
}

func newEnergy(cu *cumulative) *energy {
	e := &energy{cu: cu}
	for k := range cu.tasks {
		e.byEst = append(e.byEst, int32(k))
		e.byLct = append(e.byLct, int32(k))
	}
	n := len(cu.tasks)
	e.est, e.lct, e.sure = make([]int32, n), make([]int32, n), make([]int32, n)
	return e
}

func (e *energy) propagate(c *cp) bool {
	cu := e.cu
	if !cu.profile(c) {
		return false
	}
	for k, t := range cu.tasks {
		e.est[k] = c.bound[2*t.x]
		e.lct[k] = -c.bound[2*t.x+1] + t.d
		e.sure[k] = max(0, cu.ect[k]-cu.lst[k])
	}
	sortAlmost(e.byEst, e.est)
	sortAlmost(e.byLct, e.lct)
	e.areas()
	last := int32(-1 << 30)
	for _, kb := range e.byLct {
		b := e.lct[kb]
		if b == last || e.sure[kb] == cu.tasks[kb].d {
			continue
		}
		last = b
		if !e.check(c, b) {
			return false
		}
	}
	return true
}

// areas sums the profile segment by segment.
func (e *energy) areas() {
	e.area = e.area[:0]
	sum, seg := int64(0), e.cu.seg
	for k := range seg {
		if k > 0 {
			sum += int64(seg[k-1].load) * int64(seg[k].from-seg[k-1].from)
		}
		e.area = append(e.area, sum)
	}
}

// areaTo is the certain work before t.
func (e *energy) areaTo(t int32) int64 {
	seg := e.cu.seg
	if len(seg) == 0 || t <= seg[0].from {
		return 0
	}
	k := e.cu.after(t)
	if seg[k].from > t {
		k--
	}
	return e.area[k] + int64(seg[k].load)*int64(t-seg[k].from)
}

// check looks at all intervals that end at b.
func (e *energy) check(c *cp, b int32) bool {
	cu := e.cu
	free := int64(0) // work inside beyond its certain parts
	toB := e.areaTo(b)
	for x := len(e.byEst) - 1; x >= 0; x-- {
		k := e.byEst[x]
		a := e.est[k]
		if a >= b {
			continue
		}
		if e.lct[k] <= b {
			t := cu.tasks[k]
			free += int64(t.q) * int64(t.d-e.sure[k])
		}
		if x > 0 && e.est[e.byEst[x-1]] == a || free == 0 {
			continue
		}
		spare := int64(cu.capacity)*int64(b-a) - free - (toB - e.areaTo(a))
		if spare < 0 {
			e.text(c, a, b, -1, -spare-1)
			c.conflict = append(c.conflict[:0], c.expl...)
			return false
		}
	}
	return true
}

// text fills expl with why the work in [a, b), but for task not, is what it is; spare of it need not be explained.
func (e *energy) text(c *cp, a, b, not int32, spare int64) {
	c.expl = c.expl[:0]
	e.parts = e.parts[:0]
	for k, t := range e.cu.tasks {
		if int32(k) == not {
			continue
		}
		p := pick{x: t.x}
		if e.est[k] >= a && e.lct[k] <= b {
			p.q = t.q * t.d
			p.a, p.b = atom{2 * t.x, a}, atom{2*t.x + 1, t.d - b}
		} else {
			from, to := max(e.cu.lst[k], a), min(e.cu.ect[k], b)
			if from >= to {
				continue
			}
			p.q = t.q * (to - from)
			p.a, p.b = atom{2 * t.x, to - t.d}, atom{2*t.x + 1, -from}
		}
		p.at = max(c.position(p.a), c.position(p.b))
		e.parts = append(e.parts, p)
	}
	slices.SortFunc(e.parts, func(p, q pick) int { return int(q.at - p.at) })
	for _, p := range e.parts {
		if int64(p.q) <= spare && p.at >= 0 {
			spare -= int64(p.q)
			continue
		}
		c.expl = append(c.expl, p.a, p.b)
	}
}
