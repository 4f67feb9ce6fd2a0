package nest

import "math"

// cut adds the half cuts that the present solution breaks and solves again; false where there are none.
func (l *coverLP) cut() bool {
	any := false
	rows, used := l.tight(), l.used()
	for _, from := range l.separate(rows, used) {
		coef := l.halved(from)
		var least int64
		for _, r := range from {
			least += l.demand[r]
		}
		least = (least + 1) / 2
		l.demand = append(l.demand, least)
		l.s.addRow(float64(least), func(j int) float64 {
			if l.use[j] < 0 {
				return 0
			}
			return float64(coef[l.use[j]])
		})
		l.use = append(l.use, -1)
		any = true
	}
	if any {
		l.settle(math.Inf(1))
	}
	return any
}

// halved gives half the sum of the rows in each of the cover's columns, rounded up.
func (l *coverLP) halved(from []int) []int64 {
	in := make([]bool, l.s.m)
	for _, r := range from {
		in[r] = true
	}
	out := make([]int64, len(l.c.cols))
	for j := range out {
		col := &l.s.cols[l.at[j]]
		for t, r := range col.rows {
			if in[r] {
				out[j] += int64(col.coef[t])
			}
		}
		out[j] = (out[j] + 1) / 2
	}
	return out
}

// separate finds sums of tight rows that are even in every column in use and odd on the right, by elimination modulo 2.
func (l *coverLP) separate(rows, used []int) [][]int {
	var done []parity
	var found [][]int
	for at, r := range rows {
		v := parity{bits: make([]uint64, len(used)/64+1), from: make([]uint64, len(rows)/64+1), odd: l.demand[r]&1 == 1}
		v.from[at/64] |= 1 << (at % 64)
		for i, j := range used {
			if l.s.cols[j].count(r)&1 == 1 {
				v.bits[i/64] |= 1 << (i % 64)
			}
		}
		for _, d := range done {
			if v.has(d.lead) {
				v.add(d)
			}
		}
		if v.lead = v.first(); v.lead >= 0 {
			done = append(done, v)
		} else if v.odd && len(found) < 20 {
			found = append(found, v.rows(rows))
		}
	}
	return found
}

// rows lists the rows in a sum.
func (v *parity) rows(rows []int) []int {
	var list []int
	for at, r := range rows {
		if v.from[at/64]>>(at%64)&1 == 1 {
			list = append(list, r)
		}
	}
	return list
}

// tight lists the rows without surplus.
func (l *coverLP) tight() []int {
	loose := make([]bool, l.s.m)
	for place, j := range l.s.basis {
		if c := l.s.cols[j]; l.use[j] < 0 && c.coef[0] < 0 && l.s.x[place] > 1e-5 {
			loose[c.rows[0]] = true
		}
	}
	var rows []int
	for r, b := range loose {
		if !b {
			rows = append(rows, r)
		}
	}
	return rows
}

func (l *coverLP) used() []int {
	var used []int
	for place, j := range l.s.basis {
		if l.use[j] >= 0 && l.s.x[place] > 1e-5 {
			used = append(used, j)
		}
	}
	return used
}
