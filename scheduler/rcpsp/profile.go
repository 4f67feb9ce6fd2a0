package rcpsp

import "math"

// blocked is the load of a time in which the resource is away.
const blocked = 1 << 28

type step struct{ at, load int32 }

// profile is the load of a resource over time: steps[k].load holds from steps[k].at to steps[k+1].at. Calendars are
// part of it as a load no demand fits beside. It grows with the number of activities, not with the length of time.
type profile struct {
	steps    []step
	capacity int
}

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
	return profile{append(steps, step{math.MaxInt32, blocked}), r.Capacity}
}

// find is the index of the step that holds at t.
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
	room := int32(p.capacity - q)
	steps := p.steps
	for k := p.find(int32(t)); k < len(steps) && int(steps[k].at) < t+d; k++ {
		if steps[k].load > room {
			for k++; k < len(steps) && steps[k].load > room; k++ {
			}
			if k == len(steps) {
				return 2 * never
			}
			t = int(steps[k].at)
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
