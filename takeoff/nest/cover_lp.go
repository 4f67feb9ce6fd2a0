package nest

import (
	"cmp"
	"slices"
)

// coverLP is the linear relaxation of a node with its cuts.
type coverLP struct {
	c      *cover
	node   coverNode
	rows   []int // rows with demand, in order
	rowOf  []int
	cuts   []rowCut // over the places in rows
	coefs  []column // by active column
	s      *simplex
	use    []int // by simplex column: the cover's column, -1 for none
	demand []int64
}

func (c *cover) newLP(n coverNode, cuts []rowCut) *coverLP {
	l := &coverLP{c: c, node: n, cuts: cuts, rowOf: make([]int, len(n.demand))}
	for r, d := range n.demand {
		l.rowOf[r] = -1
		if d > 0 {
			l.rowOf[r] = len(l.rows)
			l.rows = append(l.rows, r)
			l.demand = append(l.demand, d)
		}
	}
	for _, k := range cuts {
		l.demand = append(l.demand, k.least)
	}
	var rhs []float64
	var start []column
	for i, d := range l.demand {
		rhs = append(rhs, float64(d))
		start = append(start, column{dear, []int32{int32(i)}, []float64{1}})
		l.use = append(l.use, -1)
	}
	l.s = newSimplex(rhs, start)
	for i := range l.demand {
		l.s.add(column{0, []int32{int32(i)}, []float64{-1}})
		l.use = append(l.use, -1)
	}
	for _, j := range n.active {
		col := l.column(j)
		l.coefs = append(l.coefs, col)
		if len(col.rows) > 0 {
			l.s.add(col)
			l.use = append(l.use, j)
		}
	}
	return l
}

// column gives a column's coefficients in the node's rows, never more than is demanded, and in the cuts.
func (l *coverLP) column(j int) column {
	col := column{cost: 1}
	counts := make([]int64, len(l.rows))
	for t, r := range l.c.cols[j].rows {
		if i := l.rowOf[r]; i >= 0 {
			counts[i] = min(l.c.cols[j].count[t], l.node.demand[r])
			col.rows, col.coef = append(col.rows, int32(i)), append(col.coef, float64(counts[i]))
		}
	}
	above := make([]int64, len(l.cuts))
	for e, k := range l.cuts {
		var sum int64
		for _, i := range k.rows {
			sum += counts[i]
		}
		for _, f := range k.cuts {
			sum += above[f]
		}
		if above[e] = (sum + 1) / 2; above[e] > 0 {
			col.rows, col.coef = append(col.rows, int32(len(l.rows)+e)), append(col.coef, float64(above[e]))
		}
	}
	return col
}

// solve brings columns in until none improves.
func (l *coverLP) solve() {
	for range 10*l.s.m + 1000 {
		list := l.s.improving(40)
		*l.c.steps += int64(len(l.s.cols) * 4)
		moved := false
		for range 2 * len(list) {
			j, best := -1, -priceTolerance
			for _, k := range list {
				if d := l.s.reduced(k); l.s.where[k] < 0 && d < best {
					j, best = k, d
				}
			}
			if j < 0 || !l.s.enter(j) {
				break
			}
			*l.c.steps += int64(l.s.m * l.s.m / 4)
			moved = true
		}
		if !moved || l.c.over() {
			return
		}
	}
}

// improving lists the columns outside the basis, at most so many, that would improve it most.
func (s *simplex) improving(most int) []int {
	type rated struct {
		column int
		cost   float64
	}
	var list []rated
	for c := range s.cols {
		if s.where[c] >= 0 {
			continue
		}
		if d := s.reduced(c); d < -priceTolerance {
			list = append(list, rated{c, d})
		}
	}
	slices.SortFunc(list, func(a, b rated) int { return cmp.Or(cmp.Compare(a.cost, b.cost), cmp.Compare(a.column, b.column)) })
	out := make([]int, 0, most)
	for _, r := range list[:min(most, len(list))] {
		out = append(out, r.column)
	}
	return out
}

// strike removes columns that no plan of the node's size can use. It reports whether there is no such plan.
func (l *coverLP) strike(n *coverNode) (excluded bool) {
	worth := make([]int64, l.s.m)
	var all int64
	for i := range worth {
		worth[i] = int64(max(0, min(l.s.y[i], 2*dear)) * worthUnit)
		all += worth[i] * l.demand[i]
	}
	values := make([]int64, len(l.coefs))
	var most int64
	for i, col := range l.coefs {
		for t, r := range col.rows {
			values[i] += worth[r] * int64(col.coef[t])
		}
		most = max(most, values[i])
	}
	if most == 0 || ceilDiv(all, most) > int64(n.most) {
		return true
	}
	least := all - int64(n.most-1)*most
	var kept []int
	for i, j := range n.active {
		if values[i] >= least && len(l.coefs[i].rows) > 0 {
			kept = append(kept, j)
		}
	}
	n.active = kept
	return false
}

// whole gives the plan where every column in use is used a whole number of times and nothing stands in, else nil.
func (l *coverLP) whole() []int {
	plan := []int{}
	for place, j := range l.s.basis {
		x := l.s.x[place]
		if x < 1e-4 {
			continue
		}
		n := int(x + 0.5)
		switch {
		case l.use[j] >= 0 && abs(x-float64(n)) < 1e-4:
			for range n {
				plan = append(plan, l.use[j])
			}
		case l.use[j] >= 0 || l.s.cols[j].cost > 0:
			return nil
		}
	}
	return plan
}

func abs(x float64) float64 {
	if x < 0 {
		return -x
	}
	return x
}

// separate finds cuts that the solution breaks by one half: sums of rows without surplus that are even in every column in
// use and odd on the right, by elimination modulo 2.
func (l *coverLP) separate() []rowCut {
	rows, used := l.tight(), l.used()
	var done []parity
	var found []rowCut
	for at, r := range rows {
		v := parity{bits: make([]uint64, len(used)/64+1), from: make([]uint64, len(rows)/64+1), odd: l.demand[r]%2 == 1}
		v.from[at/64] |= 1 << (at % 64)
		for i, j := range used {
			if l.s.cols[j].count(r)%2 == 1 {
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
			found = append(found, l.cutOf(v, rows))
		}
	}
	return found
}

func (l *coverLP) cutOf(v parity, rows []int) rowCut {
	var k rowCut
	for at, r := range rows {
		if v.from[at/64]>>(at%64)&1 == 0 {
			continue
		}
		k.least += l.demand[r]
		if r < len(l.rows) {
			k.rows = append(k.rows, r)
		} else {
			k.cuts = append(k.cuts, r-len(l.rows))
		}
	}
	k.least = (k.least + 1) / 2
	return k
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
