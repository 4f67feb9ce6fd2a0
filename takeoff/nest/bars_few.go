package nest

import (
	"cmp"
	"slices"
)

// fewPricer finds the sets of greatest worth where at most four items fit a bar: any such set is a pair and at most
// another pair. One pass over the pairs in order of length, and the best pair that fits beside each, bounds them all;
// the few whose bound is good enough are searched in full. It needs worths that fall with size.
type fewPricer struct {
	s     *barSolver
	pairs []barPair // by length; second -1 for a single item
	top   []int64   // greatest worth among the pairs up to here
}

type barPair struct {
	w             int64
	first, second int32
}

// fewInBar reports whether at most four items fit a bar, and listing pairs is cheaper than a table of lengths.
func (s *barSolver) fewInBar() bool {
	n := int64(len(s.size))
	return s.size[n-1]*5 > s.capacity && n*n < 4*s.capacity
}

func newFewPricer(s *barSolver) *fewPricer {
	f := &fewPricer{s: s}
	for i, w := range s.size {
		f.pairs = append(f.pairs, barPair{w, int32(i), -1})
		for j := i; j < len(s.size); j++ {
			if w+s.size[j] <= s.capacity && (j > i || s.demand[i] > 1) {
				f.pairs = append(f.pairs, barPair{w + s.size[j], int32(i), int32(j)})
			}
		}
	}
	slices.SortFunc(f.pairs, func(a, b barPair) int {
		return cmp.Or(cmp.Compare(a.w, b.w), cmp.Compare(a.first, b.first), cmp.Compare(a.second, b.second))
	})
	return f
}

// run is barPricer.run for few items.
func (f *fewPricer) run(worth []int64, most []int, floor int64, n int) (sets []cutBar, upper int64) {
	f.top = f.top[:0]
	best := int64(0)
	for _, p := range f.pairs {
		best = max(best, f.value(p, worth, most))
		f.top = append(f.top, best)
	}
	type rated struct {
		v   int64
		bar cutBar
	}
	var found []rated
	upper = floor
	beside := len(f.pairs) - 1
	for _, p := range f.pairs {
		v := f.value(p, worth, most)
		free := f.s.capacity - p.w
		for beside >= 0 && f.pairs[beside].w > free {
			beside--
		}
		if beside >= 0 {
			v += f.top[beside]
		}
		if v <= floor+(upper-floor)/2 {
			continue
		}
		if v, bar := f.extend(p, worth, most); v > floor {
			upper = max(upper, v)
			found = append(found, rated{v, bar})
		}
	}
	f.s.steps += int64(2 * len(f.pairs))
	slices.SortStableFunc(found, func(a, b rated) int { return cmp.Compare(b.v, a.v) })
	for _, r := range found[:min(n, len(found))] {
		sets = append(sets, r.bar)
	}
	return sets, upper
}

// value is the worth of a pair, or less than nothing where it is not to be had.
func (f *fewPricer) value(p barPair, worth []int64, most []int) int64 {
	switch {
	case most[p.first] == 0 || p.second >= 0 && most[p.second] == 0 || p.first == p.second && most[p.first] < 2:
		return -1 << 40
	case p.second < 0:
		return worth[p.first]
	default:
		return worth[p.first] + worth[p.second]
	}
}

// extend adds the best two further items, none larger than those of the pair.
func (f *fewPricer) extend(p barPair, worth []int64, most []int) (int64, cutBar) {
	bar := cutBar{p.first}
	from := p.first
	if p.second >= 0 {
		bar, from = append(bar, p.second), p.second
	}
	v := f.value(p, worth, most)
	free := f.s.capacity - p.w
	best, third, fourth := v, int32(-1), int32(-1)
	size := f.s.size
	last := int32(len(size) - 1)
	used := func(k int32) int {
		n := 0
		for _, b := range bar {
			if b == k {
				n++
			}
		}
		return n
	}
	for k := from; k <= last; k++ {
		f.s.steps++
		if size[k] > free || most[k] <= used(k) {
			continue
		}
		w := v + worth[k]
		if w > best {
			best, third, fourth = w, k, -1
		}
		// The largest that still fits beside k is worth most.
		at, _ := slices.BinarySearchFunc(size, free-size[k], func(x, t int64) int { return cmp.Compare(t, x) })
		for l := max(k, int32(at)); l <= last; l++ {
			have := used(l)
			if l == k {
				have++
			}
			if most[l] > have {
				if w+worth[l] > best {
					best, third, fourth = w+worth[l], k, l
				}
				break
			}
		}
	}
	if third >= 0 {
		bar = append(bar, third)
	}
	if fourth >= 0 {
		bar = append(bar, fourth)
	}
	return best, bar
}
