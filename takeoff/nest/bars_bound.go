package nest

// volumeBound is the total size over the capacity, rounded up.
func (s *barSolver) volumeBound() int {
	var bars, rest int64
	for i, d := range s.demand {
		for range d {
			rest += s.size[i]
			bars, rest = bars+rest/s.capacity, rest%s.capacity
		}
	}
	return int(bars + ceilDiv(rest, s.capacity))
}

// dualBound is the best of bounds by dual-feasible functions: f with Σf(x) ≤ f(capacity) for every set of sizes that fits a
// bar. Then Σ over all items of f(x)/f(capacity), rounded up, is a bound. Used are the classic ones: drop the items below
// a threshold and count those above its complement as whole bars (Martello & Toth 1990, L2), rounding to multiples (Fekete &
// Schepers 2001, u^(k)) and rounding by a divisor (the third of Clautiaux, Alves & Valério de Carvalho 2010's survey, f_CCM).
func (s *barSolver) dualBound() int {
	best := 0
	try := func(f func(x int64) int64) {
		var sum int64
		for i, d := range s.demand {
			sum += f(s.size[i]) * int64(d)
		}
		if whole := f(s.capacity); whole > 0 {
			best = max(best, int(ceilDiv(sum, whole)))
		}
	}
	for k := int64(1); k <= 100; k++ {
		try(func(x int64) int64 { return dualMultiple(x, s.capacity, k) })
	}
	for _, t := range s.size {
		if 2*t <= s.capacity {
			try(func(x int64) int64 { return dualThreshold(x, s.capacity, t) })
		}
		for _, q := range [2]int64{t, s.capacity - t + 1} {
			if q > 0 && 2*q <= s.capacity {
				try(func(x int64) int64 { return dualRounded(x, s.capacity, q) })
			}
		}
	}
	s.steps += int64(len(s.size) * (len(s.size) + 100))
	return best
}

// dualThreshold drops what is below t and counts what is over capacity−t as all of it; 0 < t ≤ capacity/2.
func dualThreshold(x, capacity, t int64) int64 {
	switch {
	case x > capacity-t:
		return capacity
	case x < t:
		return 0
	default:
		return x
	}
}

// dualMultiple is u^(k) scaled by k: x stays where (k+1)·x/capacity is whole, else it is rounded down to a multiple of 1/k.
func dualMultiple(x, capacity, k int64) int64 {
	if (k+1)*x%capacity == 0 {
		return x * k
	}
	return (k + 1) * x / capacity * capacity
}

// dualRounded counts how often q goes into x; over the half it counts from above, so that what fits beside x keeps its count.
func dualRounded(x, capacity, q int64) int64 {
	whole := capacity / q
	switch {
	case 2*x > capacity:
		return 2 * (whole - (capacity-x)/q)
	case 2*x == capacity:
		return whole
	default:
		return 2 * (x / q)
	}
}
