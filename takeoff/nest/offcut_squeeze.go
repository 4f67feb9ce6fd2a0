package nest

import "slices"

// squeeze finds places for pieces that a plan leaves over, at no more tiles: a piece goes where it fits, or where it
// fits once one or two others are taken out, which are then left over in its stead. What was hard to place is taken out
// last (guided ejection search; Nagata and Bräysy 2009, for the fewest vehicles).
type squeeze struct {
	s    *offcutSolver
	open []load
	left []int32 // kinds of the pieces left over, the next one last
	hard []int   // by kind: one more than how often no place was found
	end  int64   // steps at which to stop
}

const (
	squeezeTries   = 300 // pieces put in place of others before a tile is kept after all
	squeezeLargest = 8   // whether a piece fits a larger group in place of others takes long to tell
	lookSteps      = 10  // steps that looking a group up counts
	squeezePart    = 10  // part of the budget that goes into squeezing, at most
)

// shrink takes a tile of the best plan apart and squeezes its pieces into the others, again and again while that
// succeeds, the bound is not reached, and the steps last.
func (s *offcutSolver) shrink(tries int, steps int64) {
	end := min(s.steps, s.f.steps+steps)
	for s.tiles > s.bound && s.f.steps < end && !s.over() {
		q := squeeze{s: s, open: slices.Clone(s.best), end: end}
		if !q.dissolve() || !q.run(tries) {
			return
		}
		s.take(q.open)
	}
}

// dissolve takes the new tile apart that holds least, by area.
func (q *squeeze) dissolve() bool {
	weakest, least := -1, int64(0)
	for i, l := range q.open {
		var area int64
		for _, k := range l.group.members {
			area += q.s.f.kinds[k].area
		}
		if l.stock < 0 && (weakest < 0 || area < least) {
			weakest, least = i, area
		}
	}
	if weakest < 0 {
		return false
	}
	q.left = append(q.left, q.open[weakest].group.members...)
	if q.open[weakest].count--; q.open[weakest].count == 0 {
		q.open = slices.Delete(q.open, weakest, weakest+1)
	}
	return true
}

// run reports whether all that is left over found a place, putting so many pieces at most in the place of others.
func (q *squeeze) run(tries int) bool {
	q.hard = make([]int, len(q.s.f.kinds))
	for i := range q.hard {
		q.hard[i] = 1
	}
	for len(q.left) > 0 {
		k := q.left[len(q.left)-1]
		q.left = q.left[:len(q.left)-1]
		if q.insert(k) {
			continue
		}
		q.hard[k]++
		if tries--; tries < 0 || q.s.f.steps > q.end || q.s.over() || !q.exchange(k) {
			return false
		}
	}
	return true
}

// insert puts a piece where it fits.
func (q *squeeze) insert(k int32) bool {
	q.s.f.steps += int64(2 * len(q.open))
	for i, l := range q.open {
		if n, _, _ := q.apart(l.group, k); n > 0 {
			continue
		}
		q.s.f.steps += lookSteps
		if next := q.s.f.with(l.group, k); q.s.fitsIn(next, l.stock) {
			q.replace(i, next)
			return true
		}
	}
	return false
}

// replace gives one tile of load i another group. Like tiles stay together.
func (q *squeeze) replace(i int, g *group) {
	l := q.open[i]
	if l.stock >= 0 {
		q.open[i].group = g
		return
	}
	like := slices.IndexFunc(q.open, func(e load) bool { return e.stock < 0 && e.group == g })
	switch {
	case like < 0 && l.count == 1:
		q.open[i].group = g
		return
	case like < 0:
		q.open = append(q.open, load{-1, g, 1})
	default:
		q.open[like].count++
	}
	if q.open[i].count--; q.open[i].count == 0 {
		q.open = slices.Delete(q.open, i, i+1)
	}
}

// ejection is a piece put in the place of members a and b of a load; a and b are the same where it is one.
type ejection struct {
	load, a, b int
	group      *group // what comes of it
	cost       int    // how hard those are to place
	area       int64  // how large they are
}

// exchange puts a piece in the place of those that are easiest to place; among equals, of the smallest.
func (q *squeeze) exchange(k int32) bool {
	var best ejection
	q.s.f.steps += int64(2 * len(q.open))
	for i, l := range q.open {
		apart, first, last := q.apart(l.group, k)
		if len(l.group.members) > squeezeLargest || apart > 2 {
			continue
		}
		for a := range l.group.members {
			if apart > 0 && a > first {
				break
			}
			for b := a; b < len(l.group.members); b++ {
				if apart > 0 && a != first && b != first || apart > 1 && b != last {
					continue
				}
				e := ejection{load: i, a: a, b: b}
				if !q.weigh(&e, l.group.members, k) || best.group != nil && (e.cost > best.cost || e.cost == best.cost && e.area >= best.area) {
					continue
				}
				q.s.f.steps += lookSteps
				if e.group = q.s.f.exchanged(l.group, a, b, k); q.s.fitsIn(e.group, l.stock) {
					best = e
				}
			}
		}
	}
	if best.group == nil {
		return false
	}
	out := q.open[best.load].group.members
	q.left = append(q.left, out[best.a])
	if best.b > best.a {
		q.left = append(q.left, out[best.b])
	}
	q.replace(best.load, best.group)
	return true
}

// apart counts the members of a group that can share no tile with a piece of kind k, and gives the first and the last.
func (q *squeeze) apart(g *group, k int32) (n, first, last int) {
	tile := q.s.holder(-1)
	tile.reach = 0 // the whole group is asked for that
	for i, m := range g.members {
		if !q.s.f.holds(q.s.f.pair(m, k), tile) {
			if n++; n == 1 {
				first = i
			}
			last = i
		}
	}
	return n, first, last
}

// weigh sums up what an ejection takes out; false where that is a piece like the one to be placed, or where the same
// pieces have been weighed already.
func (q *squeeze) weigh(e *ejection, members []int32, k int32) bool {
	for n, j := range [2]int{e.a, e.b} {
		switch {
		case n == 1 && e.b == e.a:
			return true
		case members[j] == k || j > 0 && members[j] == members[j-1] && (n == 0 || j-1 > e.a):
			return false
		}
		e.cost += q.hard[members[j]]
		e.area += q.s.f.kinds[members[j]].area
	}
	return true
}
