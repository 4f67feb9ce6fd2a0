package nest

import (
	"cmp"
	"slices"
)

// offcutPricer finds groups of great worth that fit one holder. Worths are integers, so what it proves is exact.
type offcutPricer struct {
	s      *offcutSolver
	worth  []int64 // by kind; kinds of no worth are left out
	demand []int   // at most so many of a kind
	in     holder
	nodes  int64 // nodes that may be spent

	best   int64    // greatest worth found, or the floor
	found  []*group // each better than the one before; with all, every group above the floor
	all    bool     // list all: best stays at the floor
	upper  int64    // no group is worth more; equal to best where the search was complete
	weight []int64  // by kind: area, and a share of the holder for each corner it needs
	full   int64    // the holder's weight
	arena  []cand   // one stack for the candidate lists of all levels

	better [][]int32 // by kind: smaller kinds that are worth no less, which are used up first
	taken  []int     // by kind: how many are in the group at hand
}

// cand is a kind that may still be added, with how many of it.
type cand struct {
	kind int32
	left int32
}

// run searches. What is worth no more than floor is not looked for.
func (q *offcutPricer) run(floor int64) {
	q.best, q.upper, q.found = floor, floor, q.found[:0]
	q.arena = q.arena[:0]
	for k, v := range q.worth {
		if v > 0 && q.demand[k] > 0 {
			q.arena = append(q.arena, cand{int32(k), int32(min(q.demand[k], q.s.f.copies(int32(k))))})
		}
	}
	list := q.arena
	q.compare(list)
	q.weigh(list)
	q.grow(nil, 0, q.full, list)
	q.upper = max(q.upper, q.best)
}

// compare finds for each kind the smaller ones that could be in its place and are worth no less. Of the groups of greatest
// worth some hold a piece only where all of those are used up; the others need not be looked at. A list of all needs
// them.
func (q *offcutPricer) compare(list []cand) {
	q.taken = make([]int, len(q.worth))
	if q.all {
		return
	}
	q.better = make([][]int32, len(q.worth))
	for _, c := range list {
		for _, k := range q.s.f.smaller(c.kind) {
			if q.demand[k] > 0 && q.worth[k] >= q.worth[c.kind] && (q.in.reach == 0 || q.s.f.kinds[k].piece.Rank == q.s.f.kinds[c.kind].piece.Rank) {
				q.better[c.kind] = append(q.better[c.kind], k)
			}
		}
	}
}

// wasteful reports whether a smaller piece that is worth no less than one of kind k is still there.
func (q *offcutPricer) wasteful(k int32) bool {
	if q.better == nil {
		return false
	}
	for _, b := range q.better[k] {
		if q.taken[b] < q.demand[b] {
			return true
		}
	}
	return false
}

// corners counts the corners among a set of sides.
func corners(s Sides) int64 {
	n := int64(0)
	for _, c := range [4]Sides{Left | Bottom, Bottom | Right, Right | Top, Top | Left} {
		if s.has(c) {
			n++
		}
	}
	return n
}

// weigh chooses how much a corner weighs against area, so that the bound at the start is least, and sorts the
// candidates by worth per weight. Area and corners are both limited, hence so is any sum of them.
func (q *offcutPricer) weigh(list []cand) {
	f := q.s.f
	area := (q.in.w + f.kerf) * (q.in.h + f.kerf)
	least, chosen := int64(-1), int64(0)
	for _, share := range [...]int64{0, area / 16, area / 8, area / 4, area / 2, area} {
		if b := q.setWeights(list, area, share); least < 0 || b < least {
			least, chosen = b, share
		}
	}
	q.setWeights(list, area, chosen)
}

func (q *offcutPricer) setWeights(list []cand, area, share int64) int64 {
	for _, c := range list {
		k := &q.s.f.kinds[c.kind]
		q.weight[c.kind] = k.area + share*k.corners
	}
	q.full = area + share*corners(q.in.sides)
	slices.SortFunc(list, func(a, b cand) int { // densest first
		da := float64(q.worth[a.kind]) / float64(q.weight[a.kind])
		db := float64(q.worth[b.kind]) / float64(q.weight[b.kind])
		return cmp.Or(cmp.Compare(db, da), cmp.Compare(a.kind, b.kind))
	})
	return q.fill(list, q.full)
}

// grow adds each candidate in turn to the group g, worth v, with some weight still free.
func (q *offcutPricer) grow(g *group, v, free int64, list []cand) {
	for i := range list {
		k := list[i].kind
		most := v + q.fill(list[i:], free)
		if most <= q.best {
			return // later candidates are less dense
		}
		if q.nodes <= 0 || q.s.f.steps > q.s.steps {
			q.upper = max(q.upper, most)
			return
		}
		q.nodes--
		q.s.f.steps += 10
		if q.weight[k] > free || q.wasteful(k) {
			continue
		}
		next := q.s.f.with(g, k)
		if !q.s.f.holds(next, q.in) {
			if next.partial {
				q.upper = max(q.upper, most)
			}
			continue
		}
		w := v + q.worth[k]
		if w > q.best {
			q.found = append(q.found, next)
			if !q.all {
				q.best = w
			} else if len(q.found) > maxWorthy {
				q.nodes = 0
			}
		}
		mark := len(q.arena)
		q.taken[k]++
		q.grow(next, w, free-q.weight[k], q.matching(k, list[i:]))
		q.taken[k]--
		q.arena = q.arena[:mark]
	}
}

// matching keeps the candidates that can share the holder with one more piece of kind k, and uses that piece up.
func (q *offcutPricer) matching(k int32, list []cand) []cand {
	mark := len(q.arena)
	q.s.f.steps += int64(len(list))
	for _, c := range list {
		if c.kind == k {
			c.left--
		}
		if c.left > 0 && q.s.pairFits(k, c.kind, q.in) {
			q.arena = append(q.arena, c)
		}
	}
	return q.arena[mark:]
}

// fill is the most that candidates, densest first, can be worth in the free weight, the last of them in part.
func (q *offcutPricer) fill(list []cand, free int64) int64 {
	var v int64
	for _, c := range list {
		weight, n := q.weight[c.kind], int64(c.left)
		if weight*n > free {
			fit := free / weight
			// The part of the next piece, rounded up by more than the float can be wrong.
			part := float64(q.worth[c.kind]) * (float64(free-fit*weight) / float64(weight))
			return v + fit*q.worth[c.kind] + int64(part*(1+1e-9)) + 1
		}
		v += n * q.worth[c.kind]
		free -= n * weight
	}
	return v
}

// pairFits reports whether two kinds can share a holder at all, if only by the sizes of the tile.
func (s *offcutSolver) pairFits(a, b int32, in holder) bool {
	return in.reach != s.o.Reach || s.f.holds(s.f.pair(a, b), s.holder(-1))
}
