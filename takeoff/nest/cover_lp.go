package nest

// coverLP is the linear relaxation of a cover with its cuts. It goes down the search and back up with it.
type coverLP struct {
	c      *cover
	s      *simplex
	use    []int   // by simplex column: the cover's column, -1 for none
	at     []int   // by the cover's column: its simplex column
	demand []int64 // by row and cut, whole
}

func newCoverLP(c *cover, try int) *coverLP {
	l := &coverLP{c: c, demand: append([]int64(nil), c.demand...), at: make([]int, len(c.cols))}
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
	for j, col := range c.cols {
		k := column{cost: shaken(j * try)}
		for t, r := range col.rows {
			k.rows, k.coef = append(k.rows, r), append(k.coef, float64(min(col.count[t], c.demand[r])))
		}
		l.at[j] = l.s.add(k)
		l.use = append(l.use, j)
	}
	return l
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
			moved = true
		}
		if !moved || l.c.over() {
			return
		}
	}
}

// worths gives the rows' dual values in whole units, what the demand is worth under them, and the worth of each column
// of the list.
func (l *coverLP) worths(demand []int64, active []int) (all, most int64, values []int64) {
	worth := make([]int64, l.s.m)
	for i := range worth {
		worth[i] = int64(max(0, min(l.s.y[i], 2*dear)) * worthUnit)
		all += worth[i] * demand[i]
	}
	values = make([]int64, len(active))
	for i, j := range active {
		col := &l.s.cols[l.at[j]]
		for t, r := range col.rows {
			values[i] += worth[r] * int64(col.coef[t])
		}
		most = max(most, values[i])
	}
	return all, most, values
}

// strike removes columns that no plan of the node's size can use. It reports whether there is no such plan.
func (l *coverLP) strike(n *coverNode) (excluded bool) {
	all, most, values := l.worths(n.demand, n.active)
	*l.c.steps += int64(4 * len(n.active))
	if all <= 0 {
		return false
	}
	if most == 0 || ceilDiv(all, most) > int64(n.most) {
		return true
	}
	least := all - int64(n.most-1)*most
	var kept []int
	for i, j := range n.active {
		if values[i] >= least {
			kept = append(kept, j)
		}
	}
	n.active = kept
	return false
}

// uses gives how often each of the cover's columns is used.
func (l *coverLP) uses() []float64 {
	x := make([]float64, len(l.c.cols))
	for place, j := range l.s.basis {
		if col := l.use[j]; col >= 0 {
			x[col] = l.s.x[place]
		}
	}
	return x
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
		case l.use[j] >= 0 && x-float64(n) < 1e-4 && float64(n)-x < 1e-4:
			for range n {
				plan = append(plan, l.use[j])
			}
		case l.use[j] >= 0 || l.s.cols[j].cost > 0:
			return nil
		}
	}
	return plan
}

// less is the demand after one use of a column.
func (l *coverLP) less(demand []int64, col int) []int64 {
	out := append([]int64(nil), demand...)
	c := &l.s.cols[l.at[col]]
	for t, r := range c.rows {
		out[r] -= int64(c.coef[t])
	}
	return out
}

// fix uses a column once and solves what is left, for which so many columns remain.
func (l *coverLP) fix(col int, demand []int64, most int) {
	j := l.at[col]
	if l.s.where[j] >= 0 {
		l.s.fixOne(j)
	} else {
		c := l.s.cols[j]
		for t, r := range c.rows {
			l.s.drop(int(r), c.coef[t])
		}
	}
	l.demand = demand
	l.settle(float64(most))
}

// settle solves again after the right-hand sides have changed, and stops where the cost rises above enough.
func (l *coverLP) settle(enough float64) {
	before := l.s.pivots
	if l.s.repair(enough) {
		l.solve()
	}
	*l.c.steps += (l.s.pivots - before) * int64(l.s.m*l.s.m/4+len(l.s.cols))
}

func (l *coverLP) save() snapshot { return l.s.save() }

// restore comes back to a saved basis and its demand.
func (l *coverLP) restore(k snapshot, demand []int64) {
	l.s.restore(k)
	l.demand = demand
}
