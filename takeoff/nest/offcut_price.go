package nest

import (
	"cmp"
	"slices"
)

// offcutPricer finds the group of greatest worth that fits one holder. Worths are integers, so what it proves is exact.
type offcutPricer struct {
	s      *offcutSolver
	worth  []int64 // by kind; kinds of no worth are left out
	demand []int   // at most so many of a kind
	in     holder
	best   int64   // worth of set
	set    []int32 // members of the best group, ascending
	upper  int64   // no group is worth more; equal to best where the search was complete
	nodes  int64   // nodes left to spend
	stack  []int32
}

// cand is a kind that may still be added, with how many of it.
type cand struct {
	kind int32
	left int
}

// run searches. What is worth no more than floor is not looked for.
func (q *offcutPricer) run(floor int64) {
	q.best, q.upper, q.set = floor, floor, nil
	var list []cand
	for k, v := range q.worth {
		if v > 0 && q.demand[k] > 0 {
			list = append(list, cand{int32(k), q.demand[k]})
		}
	}
	f := q.s.f
	slices.SortStableFunc(list, func(a, b cand) int { // densest first
		da := float64(q.worth[a.kind]) / float64(f.kinds[a.kind].area)
		db := float64(q.worth[b.kind]) / float64(f.kinds[b.kind].area)
		return cmp.Or(cmp.Compare(db, da), cmp.Compare(a.kind, b.kind))
	})
	q.grow(nil, 0, (q.in.w+f.kerf)*(q.in.h+f.kerf), list)
	q.upper = max(q.upper, q.best)
}

// grow adds each candidate in turn to the group g, worth v, with some area still free.
func (q *offcutPricer) grow(g *group, v, free int64, list []cand) {
	for i := range list {
		k := list[i].kind
		rest := list[i:]
		most := v + q.fill(rest, free)
		if most <= q.best {
			return // later candidates are less dense
		}
		if q.nodes <= 0 {
			q.upper = max(q.upper, most)
			return
		}
		q.nodes--
		q.s.f.steps++
		area := q.s.f.kinds[k].area
		if area > free {
			continue
		}
		next := q.s.with(g, k)
		if _, ok := q.s.f.spotIn(next, q.in); !ok {
			if next.partial {
				q.upper = max(q.upper, most)
			}
			continue
		}
		w := v + q.worth[k]
		if w > q.best {
			q.best, q.set = w, next.members
		}
		q.grow(next, w, free-area, q.matching(k, rest))
	}
}

// matching keeps the candidates that can share the holder with one more piece of kind k, and uses that piece up.
func (q *offcutPricer) matching(k int32, list []cand) []cand {
	kept := make([]cand, 0, len(list))
	for _, c := range list {
		if c.kind == k {
			c.left--
		}
		if c.left > 0 && q.s.pairFits(k, c.kind, q.in) {
			kept = append(kept, c)
		}
	}
	return kept
}

// fill is the most that candidates, densest first, can be worth in the free area, the last of them in part.
func (q *offcutPricer) fill(list []cand, free int64) int64 {
	var v int64
	for _, c := range list {
		area, n := q.s.f.kinds[c.kind].area, int64(c.left)
		if fit := free / area; fit < n {
			// The part of the next piece, rounded up by more than the float can be wrong.
			part := float64(q.worth[c.kind]) * (float64(free-fit*area) / float64(area))
			return v + fit*q.worth[c.kind] + int64(part*(1+1e-9)) + 1
		}
		v += n * q.worth[c.kind]
		free -= n * area
	}
	return v
}

// pairFits reports whether two kinds can share a holder at all, if only by the sizes of the tile.
func (s *offcutSolver) pairFits(a, b int32, in holder) bool {
	if a > b {
		a, b = b, a
	}
	at := &s.pairs[int(a)*len(s.f.kinds)+int(b)]
	if *at == 0 {
		*at = 1
		if _, ok := s.f.spotIn(s.f.group([]int32{a, b}), s.holder(-1)); ok {
			*at = 2
		}
	}
	return *at == 2 || in.reach != s.o.Reach
}
