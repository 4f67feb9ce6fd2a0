package takeoff

import (
	"cmp"
	"slices"
)

// lotSteps bounds the search for an assignment of groups to lots.
const lotSteps = 300_000

// lotChoice is an assignment of demands to lots: To[i] is the lot of demand i,
// -1 for none.
type lotChoice struct {
	To     []int
	Served int  // boxes given from lots
	Bound  int  // no assignment serves more
	Left   int  // boxes left over in the lots that were opened
	Proved bool // no assignment serves more, or as much with less left over
}

// assignLots gives each demand, unsplit, to one lot or to none so that most
// boxes are served and, among such assignments, least is left in the lots that
// were opened. After some good guesses it branches over demands, largest first, and cuts off by the
// most that each lot could still be filled to (subset sums); the search is exact
// unless it runs out of steps, and then Bound says how far it may be off.
func assignLots(demands, lots []int, steps int) lotChoice {
	s := &lotSearch{caps: slices.Clone(lots), lots: lots, steps: steps, best: lotChoice{Served: -1}}
	for i, d := range demands {
		if d > 0 {
			s.order = append(s.order, i)
		}
	}
	slices.SortStableFunc(s.order, func(a, b int) int { return cmp.Compare(demands[b], demands[a]) })
	s.demands = demands
	s.to = make([]int, len(demands))
	for i := range s.to {
		s.to[i] = -1
	}
	s.prepare()
	s.most = s.bound(0, 0)
	s.leastLeft = leastOver(lots, s.most)
	s.best.Bound = s.most
	s.fillFirst()
	if !s.settled() {
		s.walk(0, 0)
	}
	s.best.Proved = s.steps >= 0 || s.settled()
	if s.best.Proved {
		s.best.Bound = s.best.Served
	}
	return s.best
}

type lotSearch struct {
	demands, lots []int
	caps          []int // what is left in each lot
	order         []int // demands, largest first
	to            []int
	reach         [][]bool // reach[i][s]: some of the demands order[i:] add to s
	rest          []int    // sum of order[i:]
	most          int      // no assignment serves more
	leastLeft     int      // serving that many leaves no less
	steps         int
	best          lotChoice
}

// prepare tabulates the sums that the demands not yet decided can make.
func (s *lotSearch) prepare() {
	top, all := 0, 0
	for _, d := range s.demands {
		all += d
	}
	for _, c := range s.caps {
		top = max(top, min(c, all)) // no lot is filled with more than all
	}
	n := len(s.order)
	s.reach, s.rest = make([][]bool, n+1), make([]int, n+1)
	s.reach[n] = make([]bool, top+1)
	s.reach[n][0] = true
	for i := n - 1; i >= 0; i-- {
		d := s.demands[s.order[i]]
		s.rest[i] = s.rest[i+1] + d
		s.reach[i] = slices.Clone(s.reach[i+1])
		for x := top; x >= d; x-- {
			if s.reach[i+1][x-d] {
				s.reach[i][x] = true
			}
		}
	}
}

// bound is the most that can be served in all, given what is served so far.
func (s *lotSearch) bound(i, served int) int {
	fill := 0
	for _, c := range s.caps {
		for x := min(c, len(s.reach[i])-1); x > 0; x-- {
			if s.reach[i][x] {
				fill += x
				break
			}
		}
	}
	return served + min(fill, s.rest[i])
}

// left is what remains in the opened lots.
func (s *lotSearch) left() int {
	n := 0
	for i, c := range s.caps {
		if c < s.lots[i] {
			n += c
		}
	}
	return n
}

// walk decides demand order[i] and those after it.
func (s *lotSearch) walk(i, served int) {
	if s.steps--; s.steps < 0 || s.settled() {
		return
	}
	if i == len(s.order) {
		if left := s.left(); served > s.best.Served || served == s.best.Served && left < s.best.Left {
			s.best.To, s.best.Served, s.best.Left = slices.Clone(s.to), served, left
		}
		return
	}
	// What is left over can shrink only by what is still to be served.
	most := s.bound(i, served)
	if most < s.best.Served || most == s.best.Served && s.left()-(most-served) >= s.best.Left {
		return
	}
	d := s.demands[s.order[i]]
	for _, l := range s.tightest(d) {
		s.caps[l] -= d
		s.to[s.order[i]] = l
		s.walk(i+1, served+d)
		s.to[s.order[i]] = -1
		s.caps[l] += d
		if s.steps < 0 && s.best.Served >= 0 {
			return
		}
	}
	s.walk(i+1, served)
}

// tightest lists the lots that hold d, those with least room first, and only
// one of those that look alike.
func (s *lotSearch) tightest(d int) []int {
	var list []int
	for l, c := range s.caps {
		if c < d {
			continue
		}
		same := func(m int) bool { return s.caps[m] == c && s.lots[m] == s.lots[l] }
		if !slices.ContainsFunc(list, same) {
			list = append(list, l)
		}
	}
	slices.SortStableFunc(list, func(a, b int) int { return cmp.Compare(s.caps[a], s.caps[b]) })
	return list
}
