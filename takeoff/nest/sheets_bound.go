package nest

// dualSide is a dual-feasible function along one side of the sheet, tabled for the sides that occur.
type dualSide struct {
	value map[int64]int64
	whole int64 // of the sheet's side
}

// bound is the best of bounds by products of two dual-feasible functions, one along each side (Fekete & Schepers 2004):
// what fits a sheet is worth at most the sheet. Where pieces may be turned, each counts with the lesser of its two worths,
// so that the bound holds whichever way they lie.
func (s *sheetSolver) dualBound() int {
	var sides []int64
	seen := map[int64]bool{}
	for _, q := range s.items {
		for _, x := range [2]int64{q.W, q.H} {
			if !seen[x] {
				seen[x] = true
				sides = append(sides, x)
			}
		}
	}
	along, across := dualSides(s.w, sides), dualSides(s.h, sides)
	best := 0
	for _, f := range along {
		for _, g := range across {
			best = max(best, s.boundBy(f, g))
		}
		if s.ctx.Err() != nil {
			break
		}
	}
	return best
}

// boundBy sums the items' worths, counting whole sheets apart so that the sum stays small.
func (s *sheetSolver) boundBy(f, g dualSide) int {
	sheet := f.whole * g.whole
	var sheets, rest int64
	for _, q := range s.items {
		v := int64(-1)
		if q.W <= s.w && q.H <= s.h {
			v = f.value[q.W] * g.value[q.H]
		}
		if s.rotate && q.H <= s.w && q.W <= s.h {
			if u := f.value[q.H] * g.value[q.W]; v < 0 || u < v {
				v = u
			}
		}
		if rest += v; rest >= sheet {
			sheets, rest = sheets+rest/sheet, rest%sheet
		}
	}
	return int(sheets + ceilDiv(rest, sheet))
}

// maxDualWorth keeps products of two functions, and sums of two products, inside int64.
const maxDualWorth = 1 << 30

// dualSides tables the functions of one side. Where many different sides occur only some thresholds are taken.
func dualSides(capacity int64, sides []int64) []dualSide {
	var list []dualSide
	add := func(f func(x int64) int64) {
		d := dualSide{value: map[int64]int64{}, whole: f(capacity)}
		if d.whole <= 0 || d.whole > maxDualWorth {
			return
		}
		for _, x := range sides {
			if x <= capacity {
				d.value[x] = f(x)
			}
		}
		list = append(list, d)
	}
	add(func(x int64) int64 { return x })
	for k := int64(1); k <= 12; k++ {
		add(func(x int64) int64 { return dualMultiple(x, capacity, k) })
	}
	every := len(sides)/40 + 1
	for i := 0; i < len(sides); i += every {
		for _, t := range [2]int64{sides[i], capacity - sides[i] + 1} {
			if t <= 0 || 2*t > capacity {
				continue
			}
			add(func(x int64) int64 { return dualThreshold(x, capacity, t) })
			add(func(x int64) int64 { return dualRounded(x, capacity, t) })
		}
	}
	return list
}
