package nest

import (
	"slices"
)

// halfCut is a rounded half-sum of rows, valid for every whole number of patterns: half of what the patterns hold of
// these kinds, rounded up pattern by pattern, must reach half of what is demanded, rounded up. It excludes plans that
// use halves of patterns round an odd ring of pieces, which is what most often keeps the relaxation from the true
// count (Chvátal–Gomory cuts with multipliers of one half).
type halfCut struct {
	kinds []int // kinds in the sum
	cuts  []int // earlier cuts in the sum
	least int64 // right-hand side
}

// tighten lists all patterns, where they are not too many, and adds half cuts to the relaxation while they raise it.
func (s *offcutSolver) tighten(all rest) {
	if s.listAll(); !s.complete {
		return
	}
	var cuts []halfCut
	for range 40 {
		x := s.newRelaxation(all, cuts)
		x.solve(s.tiles)
		s.bound = max(s.bound, x.bound)
		if s.tiles <= s.bound || s.over() {
			return
		}
		s.dive(x)
		more := x.separate()
		if len(more) == 0 || s.tiles <= s.bound {
			return
		}
		cuts = append(cuts, more...)
	}
}

// cutCoefs gives the coefficient of each cut for a column's counts of kinds.
func (x *relaxation) cutCoefs(count func(kind int) int64) []int64 {
	out := make([]int64, len(x.cuts))
	for i, c := range x.cuts {
		var sum int64
		for _, k := range c.kinds {
			sum += count(k)
		}
		for _, e := range c.cuts {
			sum += out[e]
		}
		out[i] = (sum + 1) / 2
	}
	return out
}

// separate finds cuts that the present solution breaks by one half: sets of rows without surplus whose sum is even in
// every pattern in use and odd on the right, by elimination over the integers modulo 2.
func (x *relaxation) separate() []halfCut {
	rows := x.tightRows()
	used := x.usedColumns()
	var done []parity
	var found []halfCut
	for _, r := range rows {
		v := x.parityOf(r, used, len(rows))
		v.from[slices.Index(rows, r)/64] ^= 1 << (slices.Index(rows, r) % 64)
		for _, d := range done {
			if v.has(d.lead) {
				v.add(d)
			}
		}
		if v.lead = v.first(); v.lead >= 0 {
			done = append(done, v)
		} else if v.odd && len(found) < 20 {
			found = append(found, x.cutOf(v, rows))
		}
	}
	return found
}

// parity is a row, or a sum of rows, modulo 2.
type parity struct {
	bits []uint64 // by column in use
	from []uint64 // by tight row: which rows are in the sum
	odd  bool     // right-hand side
	lead int      // first column that is odd, -1 for none
}

func (v *parity) has(i int) bool { return v.bits[i/64]>>(i%64)&1 == 1 }

func (v *parity) add(d parity) {
	for i, w := range d.bits {
		v.bits[i] ^= w
	}
	for i, w := range d.from {
		v.from[i] ^= w
	}
	v.odd = v.odd != d.odd
}

func (v *parity) first() int {
	for i := range len(v.bits) * 64 {
		if v.has(i) {
			return i
		}
	}
	return -1
}

// tightRows lists the rows of kinds and cuts that have no surplus, in row order.
func (x *relaxation) tightRows() []int {
	loose := make([]bool, x.lp.m)
	for place, j := range x.lp.basis {
		if c := x.lp.cols[j]; x.use[j].group == nil && len(c.coef) == 1 && c.coef[0] < 0 && x.lp.x[place] > 1e-5 {
			loose[c.rows[0]] = true
		}
	}
	var rows []int
	for r := range x.lp.m {
		if stock := r >= len(x.kinds) && r < len(x.kinds)+len(x.stocks); !loose[r] && !stock {
			rows = append(rows, r)
		}
	}
	return rows
}

func (x *relaxation) usedColumns() []int {
	var used []int
	for place, j := range x.lp.basis {
		if x.use[j].group != nil && x.lp.x[place] > 1e-5 {
			used = append(used, j)
		}
	}
	return used
}

func (x *relaxation) parityOf(row int, used []int, rows int) parity {
	v := parity{bits: make([]uint64, len(used)/64+1), from: make([]uint64, rows/64+1)}
	for i, j := range used {
		c := x.lp.cols[j]
		for t, r := range c.rows {
			if int(r) == row && int64(c.coef[t])%2 == 1 {
				v.bits[i/64] |= 1 << (i % 64)
			}
		}
	}
	v.odd = x.least(row)%2 == 1
	return v
}

// least is the whole right-hand side of a row of a kind or a cut.
func (x *relaxation) least(row int) int64 {
	if row < len(x.kinds) {
		return int64(x.rest.demand[x.kinds[row]])
	}
	return x.cuts[row-len(x.kinds)-len(x.stocks)].least
}

func (x *relaxation) cutOf(v parity, rows []int) halfCut {
	var c halfCut
	for i, r := range rows {
		if v.from[i/64]>>(i%64)&1 == 0 {
			continue
		}
		c.least += x.least(r)
		if r < len(x.kinds) {
			c.kinds = append(c.kinds, x.kinds[r])
		} else {
			c.cuts = append(c.cuts, r-len(x.kinds)-len(x.stocks))
		}
	}
	c.least = (c.least + 1) / 2
	return c
}
