package nest

import (
	"cmp"
	"math/rand/v2"
	"slices"
)

// barSwaps looks for a plan of a given number of bars where next to no length may be wasted: it fills that many bars, some
// beyond their length, and then moves items and swaps them between bars until none is too full. Where many plans exist it
// finds one in a fraction of the time that a relaxation takes, however tight they are: with the items of hundreds of bars
// there is nearly always a pair whose difference is the length by which a bar is too full.
type barSwaps struct {
	s      *barSolver
	bars   []cutBar
	load   []int64
	over   []int   // bars that are too full
	moved  []int64 // by bar and size: when such an item last left the bar
	turn   int64
	random *rand.Rand
}

const (
	swapTries = 6          // with as few bars as the bound says
	swapTurns = 20         // for each bar, at most
	swapSteps = 20_000_000 // pairs looked at, at most, a third of them in one try
	swapRest  = 4          // turns for which an item may not come back to the bar it left
	swapTable = 1 << 22    // bars times sizes, at most
)

// swaps tries a plan of as few bars as the bound says, a few times, and then plans with one bar fewer than the best.
func (s *barSolver) swaps() {
	end := s.steps + swapSteps
	random := rand.New(rand.NewPCG(s.seed, 23))
	attempt := func(bars int) bool {
		w := barSwaps{s: s, random: random}
		w.start(bars)
		if !w.run(min(end, s.steps+swapSteps/3)) {
			return false
		}
		s.take(w.bars)
		return true
	}
	if len(s.best)*len(s.size) > swapTable {
		return
	}
	for range swapTries {
		if s.closed() || s.steps > end || s.over() {
			return
		}
		attempt(s.bound)
	}
	for len(s.best)-1 > s.bound && attempt(len(s.best)-1) {
	}
}

// start keeps so many of the best plan's bars, the fullest, and puts the items of the others where most room is.
func (w *barSwaps) start(bars int) {
	size := w.s.size
	plan := slices.Clone(w.s.best)
	slices.SortStableFunc(plan, func(a, b cutBar) int { return cmp.Compare(b.length(size), a.length(size)) })
	for _, b := range plan[:bars] {
		w.bars = append(w.bars, slices.Clone(b))
		w.load = append(w.load, b.length(size))
	}
	rest := slices.Concat(plan[bars:]...)
	slices.Sort(rest)
	for _, k := range rest {
		at := slices.Index(w.load, slices.Min(w.load))
		w.bars[at] = append(w.bars[at], k)
		w.load[at] += size[k]
	}
	for i, l := range w.load {
		slices.Sort(w.bars[i])
		if l > w.s.capacity {
			w.over = append(w.over, i)
		}
	}
	w.moved = make([]int64, bars*len(size))
	for i := range w.moved {
		w.moved[i] = -swapRest
	}
}

// length is what the bar's items take, kerfs included.
func (b cutBar) length(size []int64) (sum int64) {
	for _, k := range b {
		sum += size[k]
	}
	return sum
}

// swap exchanges the item at place a of one bar for the one at place b of another; b is -1 where nothing comes back.
type swap struct{ from, a, to, b int }

// run reports whether no bar is too full any more.
func (w *barSwaps) run(end int64) bool {
	for turns := int64(swapTurns * len(w.bars)); len(w.over) > 0 && w.turn < turns; w.turn++ {
		if w.s.steps > end || w.s.over() {
			return false
		}
		from := w.over[w.random.IntN(len(w.over))]
		if m, ok := w.best(from); ok {
			w.carry(m)
		}
	}
	return len(w.over) == 0
}

// best finds the swap after which the bars exceed their length least, chance deciding among equals. Only swaps that make
// the bar shorter are looked at.
func (w *barSwaps) best(from int) (best swap, ok bool) {
	least, ties := int64(0), 0
	for to := range w.bars {
		if to == from {
			continue
		}
		w.s.steps += int64(len(w.bars[from]) * (len(w.bars[to]) + 1))
		for a, k := range w.bars[from] {
			if a > 0 && w.bars[from][a-1] == k {
				continue
			}
			for b := -1; b < len(w.bars[to]); b++ {
				m := swap{from, a, to, b}
				v, better := w.change(m)
				if !better || ties > 0 && v > least || w.resting(m) {
					continue
				}
				if ties == 0 || v < least {
					least, ties = v, 0
				}
				if ties++; w.random.IntN(ties) == 0 {
					best = m
				}
			}
		}
	}
	return best, ties > 0
}

// change is how much more the two bars exceed their length after a swap; ok is false where the first gets no shorter.
func (w *barSwaps) change(m swap) (v int64, ok bool) {
	e := w.s.size[w.bars[m.from][m.a]]
	if m.b >= 0 {
		e -= w.s.size[w.bars[m.to][m.b]]
	}
	from, to := w.load[m.from]-w.s.capacity, w.load[m.to]-w.s.capacity
	return max(0, from-e) - from + max(0, to+e) - max(0, to), e > 0
}

// resting reports whether a swap brings an item back too early.
func (w *barSwaps) resting(m swap) bool {
	if w.turn-w.moved[w.at(m.to, w.bars[m.from][m.a])] < swapRest {
		return true
	}
	return m.b >= 0 && w.turn-w.moved[w.at(m.from, w.bars[m.to][m.b])] < swapRest
}

// at is the place of a bar and a size in moved.
func (w *barSwaps) at(bar int, size int32) int { return bar*len(w.s.size) + int(size) }

// carry carries a swap out.
func (w *barSwaps) carry(m swap) {
	size := w.s.size
	k := w.bars[m.from][m.a]
	w.moved[w.at(m.from, k)] = w.turn
	w.load[m.from] -= size[k]
	w.load[m.to] += size[k]
	if m.b >= 0 {
		l := w.bars[m.to][m.b]
		w.moved[w.at(m.to, l)] = w.turn
		w.load[m.from] += size[l]
		w.load[m.to] -= size[l]
		w.bars[m.from][m.a], w.bars[m.to][m.b] = l, k
	} else {
		w.bars[m.from] = slices.Delete(w.bars[m.from], m.a, m.a+1)
		w.bars[m.to] = append(w.bars[m.to], k)
	}
	w.settle(m.from)
	w.settle(m.to)
}

// settle brings a changed bar's items into order and notes whether it is too full.
func (w *barSwaps) settle(bar int) {
	slices.Sort(w.bars[bar])
	at := slices.Index(w.over, bar)
	switch full := w.load[bar] > w.s.capacity; {
	case full && at < 0:
		w.over = append(w.over, bar)
	case !full && at >= 0:
		w.over = slices.Delete(w.over, at, at+1)
	}
}
