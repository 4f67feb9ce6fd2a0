package nest

import "slices"

// firstFit puts the pieces, largest first, each into the first stock offcut or open tile that can still hold it.
func (s *offcutSolver) firstFit(r rest) []load {
	var open []load
	for stock, there := range r.stock {
		if there {
			open = append(open, load{stock: stock, count: 1})
		}
	}
	for k := range s.f.kinds {
		for left := r.demand[k]; left > 0; {
			open, left = s.putFirst(open, int32(k), left)
		}
	}
	return slices.DeleteFunc(open, func(l load) bool { return l.group == nil })
}

// putFirst puts as many of the left pieces of a kind as share one open load, and gives the number still left.
func (s *offcutSolver) putFirst(open []load, k int32, left int) ([]load, int) {
	for i, l := range open {
		g := s.f.with(l.group, k)
		if !s.f.holds(g, s.holder(l.stock)) {
			continue
		}
		n := min(left, l.count)
		if n == l.count {
			open[i].group = g
			return open, left - n
		}
		open[i].count -= n
		return slices.Insert(open, i, load{l.stock, g, n}), left - n
	}
	return append(open, load{-1, s.f.group([]int32{k}), left}), 0
}
