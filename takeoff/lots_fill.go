package takeoff

import (
	"cmp"
	"math/rand/v2"
	"slices"
)

// lotTries is how many orders of lots are filled before the search.
const lotTries = 120

// fillFirst looks for a good assignment before the search: lots are filled one
// after another, each as full as the demands left allow, in many orders; and
// where the demands are fewer than the boxes, sets of lots are tried in the
// order of what they would leave over. The generator's seed is fixed.
func (s *lotSearch) fillFirst() {
	rng := rand.New(rand.NewPCG(1, uint64(len(s.order))))
	all := make([]int, len(s.lots))
	for i := range all {
		all[i] = i
	}
	slices.SortStableFunc(all, func(a, b int) int { return cmp.Compare(s.lots[a], s.lots[b]) })
	s.keep(s.fill(all))
	for n := 0; n < lotTries && !s.settled(); n++ {
		rng.Shuffle(len(all), func(a, b int) { all[a], all[b] = all[b], all[a] })
		s.keep(s.fill(all))
	}
	for n, set := range s.lotSets() {
		if n >= lotTries || s.settled() {
			return
		}
		for range 8 {
			s.keep(s.fill(set))
			rng.Shuffle(len(set), func(a, b int) { set[a], set[b] = set[b], set[a] })
		}
	}
}

// keep takes an assignment where it is better than the best.
func (s *lotSearch) keep(to []int) {
	served, used := 0, make([]int, len(s.lots))
	for i, l := range to {
		if l >= 0 {
			served += s.demands[i]
			used[l] += s.demands[i]
		}
	}
	left := 0
	for l, n := range used {
		if n > 0 {
			left += s.lots[l] - n
		}
	}
	if served > s.best.Served || served == s.best.Served && left < s.best.Left {
		s.best.To, s.best.Served, s.best.Left = to, served, left
	}
}

// settled reports whether no assignment can be better than the best: it serves
// as much as the bound allows and leaves no more than lots of that many boxes
// must.
func (s *lotSearch) settled() bool {
	return s.best.Served == s.most && s.best.Left <= s.leastLeft
}

// fill fills the lots in the order given, each by the demands that add to most,
// largest first where there is a choice.
func (s *lotSearch) fill(lots []int) []int {
	to := make([]int, len(s.demands))
	for i := range to {
		to[i] = -1
	}
	open := slices.Clone(s.order)
	for _, l := range lots {
		taken := fullest(s.demands, open, s.lots[l])
		var still []int
		for n, i := range open {
			if taken[n] {
				to[i] = l
			} else {
				still = append(still, i)
			}
		}
		open = still
	}
	return to
}

// fullest marks the open demands that fill a lot most. fits[n][x] says that some
// of open[n:] add to x.
func fullest(demands, open []int, room int) []bool {
	all := 0
	for _, i := range open {
		all += demands[i]
	}
	room = min(room, all)
	fits := make([][]bool, len(open)+1)
	fits[len(open)] = make([]bool, room+1)
	fits[len(open)][0] = true
	for n := len(open) - 1; n >= 0; n-- {
		fits[n] = slices.Clone(fits[n+1])
		for x := demands[open[n]]; x <= room; x++ {
			if fits[n+1][x-demands[open[n]]] {
				fits[n][x] = true
			}
		}
	}
	x := room
	for !fits[0][x] {
		x--
	}
	taken := make([]bool, len(open))
	for n, i := range open {
		if d := demands[i]; d <= x && fits[n+1][x-d] {
			taken[n] = true
			x -= d
		}
	}
	return taken
}

// lotSets lists the sets of lots that hold as many boxes as may be served, those
// with fewest boxes first; none for more than 14 lots.
func (s *lotSearch) lotSets() [][]int {
	if len(s.lots) > 14 {
		return nil
	}
	type set struct {
		lots  []int
		boxes int
	}
	var sets []set
	for mask := 1; mask < 1<<len(s.lots); mask++ {
		var q set
		for l, c := range s.lots {
			if mask>>l&1 == 1 {
				q.lots = append(q.lots, l)
				q.boxes += c
			}
		}
		if q.boxes >= s.most {
			sets = append(sets, q)
		}
	}
	slices.SortStableFunc(sets, func(a, b set) int { return cmp.Compare(a.boxes, b.boxes) })
	var list [][]int
	for _, q := range sets {
		list = append(list, q.lots)
	}
	return list
}

// leastOver is the least that lots of at least the given boxes have over; 0, a
// safe answer, where there are too many boxes to tabulate.
func leastOver(lots []int, boxes int) int {
	sum := 0
	for _, c := range lots {
		sum += c
	}
	if boxes > sum || sum > 1<<20 {
		return 0
	}
	can := make([]bool, sum+1)
	can[0] = true
	for _, c := range lots {
		for x := sum; x >= c; x-- {
			can[x] = can[x] || can[x-c]
		}
	}
	for x := boxes; x <= sum; x++ {
		if can[x] {
			return x - boxes
		}
	}
	return 0
}
