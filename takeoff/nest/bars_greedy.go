package nest

import "slices"

// bestFit puts items, largest first, each into the fullest bar that still takes it.
func (s *barSolver) bestFit(demand []int) []cutBar {
	type open struct {
		free int64
		bar  cutBar
	}
	var bars []open // ascending by free length
	for k, d := range demand {
		for range d {
			s.steps += 4
			at, _ := slices.BinarySearchFunc(bars, s.size[k], func(o open, w int64) int {
				if o.free < w {
					return -1
				}
				return 1
			})
			o := open{free: s.capacity}
			if at < len(bars) {
				o = bars[at]
				bars = slices.Delete(bars, at, at+1)
			}
			o.free -= s.size[k]
			o.bar = append(o.bar, int32(k))
			to, _ := slices.BinarySearchFunc(bars, o.free, func(e open, w int64) int {
				if e.free < w {
					return -1
				}
				return 1
			})
			bars = slices.Insert(bars, to, o)
		}
	}
	plan := make([]cutBar, len(bars))
	for i, o := range bars {
		plan[i] = o.bar
	}
	return plan
}

// fullest fills bar after bar: the largest item left and the set of others that leaves least (Gupta & Ho 1999's minimum
// bin slack, with the largest item fixed).
func (s *barSolver) fullest(demand []int) []cutBar {
	left := slices.Clone(demand)
	var plan []cutBar
	f := filler{s: s, left: left}
	for k := range left {
		for left[k] > 0 {
			left[k]--
			bar := f.fill(cutBar{int32(k)}, s.capacity-s.size[k])
			slices.Sort(bar)
			plan = append(plan, bar)
			if s.over() {
				return append(plan, s.bestFit(left)...)
			}
		}
	}
	return plan
}

// filler looks for the set of items left that fills a length best.
type filler struct {
	s     *barSolver
	left  []int
	best  int64 // least length still free
	set   cutBar
	stack cutBar
	nodes int
}

// fill adds to the bar, whose free length is given, and takes what it adds from what is left.
func (f *filler) fill(bar cutBar, free int64) cutBar {
	f.best, f.set, f.stack, f.nodes = free, nil, f.stack[:0], 0
	smallest := int64(0)
	for k := len(f.left) - 1; k >= 0; k-- {
		if f.left[k] > 0 {
			smallest = f.s.size[k]
			break
		}
	}
	if smallest > 0 {
		f.grow(0, free, smallest)
	}
	f.s.steps += int64(f.nodes)
	for _, k := range f.set {
		f.left[k]--
	}
	return append(bar, f.set...)
}

func (f *filler) grow(from int, free, smallest int64) {
	if free < f.best {
		f.best, f.set = free, slices.Clone(f.stack)
	}
	for k := from; k < len(f.left) && f.best > 0 && free >= smallest; k++ {
		if f.nodes++; f.nodes > 20_000 {
			return
		}
		if f.left[k] == 0 || f.s.size[k] > free {
			continue
		}
		f.left[k]--
		f.stack = append(f.stack, int32(k))
		f.grow(k, free-f.s.size[k], smallest)
		f.stack = f.stack[:len(f.stack)-1]
		f.left[k]++
	}
}
