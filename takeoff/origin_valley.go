package takeoff

import (
	"cmp"
	"slices"

	"potlife/rooms"
)

// The runners-up of a pattern whose axes are independent.
//
// Beside the best place along an axis lie places that are nearly as good because they
// are nearly the same: moved by a millimetre. What else there is to choose from are the
// other places that none within 5 mm betters, each by its rank: a tile in the middle, a
// joint in the middle, whole tiles from an end. Places of one rank are one result at
// several offsets (the courses of running bond change places), and are named once.
//
// Since ranks of pairs are sums, and sums compare as their terms do, a pair of places is
// better than all around it if both are. So the pairs of these places are all there are,
// and the next three of different ranks are found among the first four along each axis.
// Where there are fewer, places next to those named follow: the best that lie at least
// 5 mm from all of them.
//
// Between two neighbouring offsets of axis.offsets every criterion grows or falls
// steadily, so what both have at least bounds all between; halving what may hold
// something better finds the best of any stretch to the unit.

// mostOthers is how many places along an axis can be part of three runners-up.
const mostOthers = 3

// others lists what there is to choose from beside the best of a list of offsets: places
// of their own, and from near on those beside them.
func (a *axis) others(list []rankedOffset) (others []rankedOffset, near int) {
	if len(a.edges) == 0 {
		return nil, 0
	}
	marks := slices.Clone(list)
	slices.SortFunc(marks, func(x, y rankedOffset) int { return cmp.Compare(x.o, y.o) })
	named := []rankedOffset{list[0]}
	for _, v := range a.valleys(marks) {
		if len(named) <= mostOthers && !v.rank.ties(list[0].rank) {
			named = append(named, v)
		}
	}
	near = len(named) - 1
	return append(named, a.beside(marks, named, mostOthers)...)[1:], near
}

// leastIn is the best offset from … to, of equal ones one of them. The marks are the
// ranked offsets of a pitch in order.
func (a *axis) leastIn(marks []rankedOffset, from, to rooms.Length) rankedOffset {
	x := a.rankedAt(from)
	best := x
	a.eachMark(marks, from, to, func(y rankedOffset) {
		a.leastBetween(x, y, &best)
		x = y
	})
	a.leastBetween(x, a.rankedAt(to), &best)
	return best
}

// apart is how far two places are apart that are shown as two: distinct, but for tests
// whose grain is not a millimetre.
func (a *axis) apart() rooms.Length { return distinct / rooms.Millimetre * rooms.Length(a.grain()) }

func (a *axis) rankedAt(o rooms.Length) rankedOffset { return rankedOffset{o, a.rank(o)} }

// eachMark goes through the marks between from and to, in order.
func (a *axis) eachMark(marks []rankedOffset, from, to rooms.Length, note func(rankedOffset)) {
	p := a.size + a.joint
	turn := rooms.Length(floorDiv(int64(from), int64(p))) * p
	i, _ := slices.BinarySearchFunc(marks, from-turn, func(m rankedOffset, o rooms.Length) int { return cmp.Compare(m.o, o) })
	for {
		if i == len(marks) {
			i, turn = 0, turn+p
		}
		m := marks[i]
		if m.o += turn; m.o >= to {
			return
		}
		if m.o > from {
			note(m)
		}
		i++
	}
}

// leastBetween improves best by what lies between two neighbours, which it includes.
func (a *axis) leastBetween(x, y rankedOffset, best *rankedOffset) {
	for _, e := range [2]rankedOffset{x, y} {
		if e.rank.compare(best.rank) < 0 {
			*best = e
		}
	}
	if y.o-x.o < 2 || x.rank.ties(y.rank) { // what breaks ties is best at an end
		return
	}
	var floor axisRank
	for i := range floor {
		floor[i] = min(x.rank[i], y.rank[i])
	}
	if floor.compare(best.rank) >= 0 {
		return
	}
	m := a.rankedAt(x.o + (y.o-x.o)/2)
	a.leastBetween(x, m, best)
	a.leastBetween(m, y, best)
}

// valleys lists the places that none within a.apart betters, the best first, of each
// rank one.
func (a *axis) valleys(marks []rankedOffset) []rankedOffset {
	var list []rankedOffset
	for i := 0; i < len(marks); {
		k := i + 1
		for k < len(marks) && 8*int64(marks[k].o-marks[k-1].o) <= a.grain() {
			k++
		}
		if v, ok := a.valleyAt(marks, marks[i:k]); ok {
			list = append(list, v)
		}
		i = k
	}
	return a.ofEachRank(list)
}

// valleyAt is the place near a group of marks that none within a.apart betters. A
// criterion that changes between marks leads on within a millimetre, so there are no
// others.
func (a *axis) valleyAt(marks, group []rankedOffset) (rankedOffset, bool) {
	first, last, grain := group[0].o, group[len(group)-1].o, rooms.Length(a.grain())
	least := group[0].rank[0]
	for _, m := range group {
		least = min(least, m.rank[0])
	}
	out := false // pieces too narrow change at marks only
	a.eachMark(marks, last-a.apart()+2*grain, first+a.apart()-2*grain, func(m rankedOffset) { out = out || m.rank[0] < least })
	if out {
		return rankedOffset{}, false
	}
	v := a.leastIn(marks, first-grain, last+grain)
	a.eachMark(marks, v.o-a.apart(), v.o+a.apart(), func(m rankedOffset) { out = out || m.rank.compare(v.rank) < 0 })
	if out || a.leastIn(marks, v.o-a.apart(), v.o+a.apart()).rank.compare(v.rank) < 0 {
		return v, false
	}
	p := a.size + a.joint
	v.o -= rooms.Length(floorDiv(int64(v.o), int64(p))) * p
	return v, true
}

// ofEachRank sorts places by rank and keeps the first of each.
func (a *axis) ofEachRank(list []rankedOffset) []rankedOffset {
	slices.SortFunc(list, func(x, y rankedOffset) int { return cmp.Or(x.rank.compare(y.rank), cmp.Compare(x.o, y.o)) })
	return slices.CompactFunc(list, func(x, y rankedOffset) bool { return x.rank.ties(y.rank) })
}

// beside lists up to n places that lie apart from those named and from each other,
// the best first, none of a rank that is named.
func (a *axis) beside(marks, named []rankedOffset, n int) []rankedOffset {
	p := a.size + a.joint
	taken := slices.Clone(named)
	var list []rankedOffset
	for range 4 * (n + len(named)) {
		if len(list) == n {
			break
		}
		best, found := rankedOffset{}, false
		slices.SortFunc(taken, func(x, y rankedOffset) int { return cmp.Compare(x.o, y.o) })
		for i, x := range taken {
			next := taken[(i+1)%len(taken)].o
			if i+1 == len(taken) {
				next += p
			}
			if next-x.o < 2*a.apart() {
				continue
			}
			if v := a.leastIn(marks, x.o+a.apart(), next-a.apart()); !found || v.rank.compare(best.rank) < 0 {
				best, found = v, true
			}
		}
		if !found {
			break
		}
		best.o -= rooms.Length(floorDiv(int64(best.o), int64(p))) * p
		taken = append(taken, best)
		same := func(x rankedOffset) bool { return x.rank.ties(best.rank) }
		if !slices.ContainsFunc(named, same) && !slices.ContainsFunc(list, same) {
			list = append(list, best)
		}
	}
	return list
}
