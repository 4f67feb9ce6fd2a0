package rcpsp

import (
	"cmp"
	"slices"
)

// Later moves some activities of a schedule, the last of them first, each to the first time at which it fits on the
// latest day that leaves all else where it is, and reports whether one moved. Days are where they begin, ascending. What
// would be late by it, end last of all or take a crew to more rooms stays, and so do fixed activities.
func Later(p Problem, start, acts, days []int) ([]int, bool) {
	m, bad := compile(p)
	if bad != nil || len(start) != m.n {
		return start, false
	}
	b := newBuilder(m)
	for i, s := range start {
		if m.free(i) {
			b.put(i, s)
		}
	}
	acts = slices.DeleteFunc(slices.Clone(acts), func(i int) bool { return !m.free(i) })
	slices.SortFunc(acts, func(i, j int) int { return cmp.Or(cmp.Compare(start[j], start[i]), cmp.Compare(j, i)) })
	moved, was := false, Evaluate(p, start, nil)
	for _, i := range acts {
		until := was.Makespan
		if due := p.Activities[i].Due; due >= 0 {
			until = min(until, max(due, start[i]+m.dur[i]))
		}
		moved = b.putOff(i, until-m.dur[i], days) || moved
	}
	if !moved || Evaluate(p, b.start, nil).Moves > was.Moves { // of what begins together the builder takes either first
		return start, false
	}
	return slices.Clone(b.start), true
}

// putOff moves an activity to the latest day on which it can start by a time, and reports whether there was a later one.
func (b *builder) putOff(i, by int, days []int) bool {
	was, rooms := b.start[i], b.roomChanges(i)
	b.take(i)
	lo, hi, _ := b.window(i)
	hi = min(hi, by)
	last, _ := slices.BinarySearch(days, hi+1)
	for _, day := range slices.Backward(days[:last]) {
		if day <= was {
			break
		}
		at := b.fit(i, max(lo, day))
		if at > hi {
			continue
		}
		if b.put(i, at); b.roomChanges(i) <= rooms {
			return true
		}
		b.take(i)
	}
	b.put(i, was)
	return false
}

// roomChanges is how often the crews of an activity change rooms.
func (b *builder) roomChanges(i int) (sum int) {
	for _, u := range b.m.uses[i] {
		if b.visits[u.res].moves {
			sum += b.visits[u.res].roomChanges()
		}
	}
	return sum
}
