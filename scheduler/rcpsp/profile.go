package rcpsp

import "math"

// blocked is the load of a time in which the resource is away.
const blocked = 1 << 28

type step struct{ at, load int32 }

// profile is the load of a resource over time: steps[k].load holds from steps[k].at to steps[k+1].at. Calendars are
// part of it as a load no demand fits beside. It grows with the number of activities, not with the length of time.
// A calendar reaches much further than most schedules do: what of it nothing has come near yet waits in later, so that
// a step more or less does not move years of it about.
type profile struct {
	steps    []step
	later    []step // follow steps, never written to
	capacity int
}

// stretch is how many steps of the calendar are taken up at a time.
const stretch = 64

func newProfile(r Resource) profile {
	steps := []step{{-never, 0}}
	for _, f := range r.Forbidden {
		if f.Start >= f.End {
			continue
		}
		if last := &steps[len(steps)-1]; last.at == int32(f.Start) && last.load == 0 {
			last.load = blocked
		} else {
			steps = append(steps, step{int32(f.Start), blocked})
		}
		steps = append(steps, step{int32(f.End), 0})
	}
	steps = lend(steps, r.Lent)
	p := profile{later: append(steps, step{math.MaxInt32, blocked}), capacity: r.Capacity}
	p.extend()
	return p
}

// lend adds what is lent to the steps of a calendar.
func lend(calendar []step, lent []Loan) []step {
	if len(lent) == 0 {
		return calendar
	}
	out := make([]step, 0, len(calendar)+2*len(lent))
	k, load := 0, int32(0) // of the calendar, up to now
	put := func(at, load int32) {
		if n := len(out); n > 0 && out[n-1].at == at {
			out[n-1].load = load
		} else if n == 0 || out[n-1].load != load {
			out = append(out, step{at, load})
		}
	}
	upTo := func(at, lent int32) {
		for ; k < len(calendar) && calendar[k].at <= at; k++ {
			load = calendar[k].load
			put(calendar[k].at, load+lent)
		}
	}
	for _, l := range lent {
		if l.Start >= l.End || l.Count == 0 {
			continue
		}
		upTo(int32(l.Start), 0)
		put(int32(l.Start), load+int32(l.Count))
		upTo(int32(l.End)-1, int32(l.Count))
		put(int32(l.End), load)
	}
	upTo(math.MaxInt32, 0)
	return out
}

// copyOf makes p the same as another, in its own memory.
func (p *profile) copyOf(o *profile) {
	p.steps, p.later, p.capacity = append(p.steps[:0], o.steps...), o.later, o.capacity
}

// extend takes up some more of the calendar; false at its end.
func (p *profile) extend() bool {
	n := min(stretch, len(p.later))
	p.steps, p.later = append(p.steps, p.later[:n]...), p.later[n:]
	return n > 0
}

// reach takes up the calendar until a step begins after t, or to its end.
func (p *profile) reach(t int) {
	for int(p.steps[len(p.steps)-1].at) <= t && p.extend() {
	}
}

// find is the index of the step that holds at t, which has been reached.
func (p *profile) find(t int32) int {
	lo, hi := 0, len(p.steps)-1
	for lo < hi {
		mid := int(uint(lo+hi+1) >> 1)
		if p.steps[mid].at <= t {
			lo = mid
		} else {
			hi = mid - 1
		}
	}
	return lo
}

// earliest returns the first t' ≥ t such that q more fits throughout [t', t'+d), d > 0.
func (p *profile) earliest(t, d, q int) int {
	if t >= never {
		return 2 * never
	}
	p.reach(t)
	room := int32(p.capacity - q)
	for k := p.find(int32(t)); (k < len(p.steps) || p.extend()) && int(p.steps[k].at) < t+d; k++ {
		if p.steps[k].load > room {
			for k++; (k < len(p.steps) || p.extend()) && p.steps[k].load > room; k++ {
			}
			if k == len(p.steps) {
				return 2 * never
			}
			t = int(p.steps[k].at)
		}
	}
	return t
}

// add puts q on [from, to).
func (p *profile) add(from, to, q int) {
	p.addSteps(int32(from), int32(to), int32(q))
}

// addSteps returns the index of the step that begins at from.
func (p *profile) addSteps(from, to, q int32) int {
	p.reach(int(to))
	first := p.cut(from, p.find(from))
	for k := first; p.steps[k].at < to; k++ {
		if p.steps[k+1].at > to {
			p.cut(to, k)
		}
		p.steps[k].load += q
	}
	return first
}

// cut makes a step begin at t, which lies in step k, and returns its index.
func (p *profile) cut(t int32, k int) int {
	if p.steps[k].at == t {
		return k
	}
	p.steps = append(p.steps, step{})
	copy(p.steps[k+2:], p.steps[k+1:])
	p.steps[k+1] = step{t, p.steps[k].load}
	return k + 1
}

// remove takes q off [from, to) again and joins steps that became equal. A boundary at either end may have been joined
// away before, so both are cut anew.
func (p *profile) remove(from, to, q int) {
	k := p.addSteps(int32(from), int32(to), int32(-q))
	e := k + 1
	for p.steps[e].at < int32(to) {
		e++
	}
	p.join(e)
	p.join(k)
}

// join drops the boundary of step k where the step before it has the same load.
func (p *profile) join(k int) {
	if k > 0 && p.steps[k].load == p.steps[k-1].load {
		p.steps = append(p.steps[:k], p.steps[k+1:]...)
	}
}
