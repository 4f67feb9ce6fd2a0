package nest

import "slices"

// enumeration collects the maximal patterns of a demand: groups that no further demanded piece fits into. Any plan can be
// rearranged, at no more tiles, so that each of its groups is part of one of them.
type enumeration struct {
	s        *offcutSolver
	demand   []int
	limit    int // patterns
	found    []pattern
	complete bool
	stock    int
	in       holder
	steps    int64 // where to stop, 0 for nowhere
}

const (
	maxChildren = 4_000 // patterns tried at one node of the search
	maxPool     = 4_000 // patterns listed beforehand

	maxListSteps = 1_000_000 // work on that list
)

// listAll fills the pool with every maximal pattern, or leaves it as it was where there are too many.
func (s *offcutSolver) listAll() {
	e := enumeration{s: s, demand: s.demand, complete: true, limit: maxPool, steps: s.f.steps + maxListSteps}
	for st := -1; st < len(s.p.Stock) && e.complete; st++ {
		for k := range s.f.kinds {
			e.listFrom(st, k)
		}
	}
	if e.complete {
		for _, p := range e.found {
			s.addPattern(p)
		}
		s.complete = true
	}
}

// list collects the patterns that hold kind k.
func (e *enumeration) list(stock, k int) { e.start(stock, k, 0) }

// listFrom collects the patterns in which k is the lowest kind.
func (e *enumeration) listFrom(stock, k int) { e.start(stock, k, k) }

func (e *enumeration) start(stock, k, from int) {
	e.stock, e.in = stock, e.s.holder(stock)
	g := e.s.f.group([]int32{int32(k)})
	if e.demand[k] == 0 || !e.s.f.holds(g, e.in) {
		return
	}
	left := slices.Clone(e.demand)
	left[k]--
	var mates []int32
	for m := range left {
		if left[m] > 0 && e.s.pairFits(int32(k), int32(m), e.in) {
			mates = append(mates, int32(m))
		}
	}
	e.grow(g, left, mates, int32(from))
}

// grow extends g by each of its mates from number from on; a group that no mate at all extends is maximal.
func (e *enumeration) grow(g *group, left []int, mates []int32, from int32) {
	if len(e.found) >= e.limit || e.steps > 0 && e.s.f.steps > e.steps || e.s.over() {
		e.complete = false
		return
	}
	maximal := true
	for _, k := range mates {
		if left[k] == 0 || k < from && !maximal {
			continue
		}
		e.s.f.steps++
		next := e.s.f.with(g, k)
		if !e.s.f.holds(next, e.in) {
			e.complete = e.complete && !next.partial
			continue
		}
		maximal = false
		if k >= from {
			left[k]--
			e.grow(next, left, e.matesOf(k, mates), k)
			left[k]++
		}
	}
	if maximal {
		e.found = append(e.found, pattern{e.stock, g})
	}
}

func (e *enumeration) matesOf(k int32, mates []int32) []int32 {
	kept := make([]int32, 0, len(mates))
	for _, m := range mates {
		if e.s.pairFits(k, m, e.in) {
			kept = append(kept, m)
		}
	}
	return kept
}
