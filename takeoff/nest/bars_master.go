package nest

import "slices"

// barMaster is the linear relaxation of a rest of the problem, solved by column generation. A larger place may serve a
// smaller item: a column for each neighbouring pair of sizes says so, which keeps the duals in order of size and makes
// them settle much faster (Valério de Carvalho 2005's dual cuts).
type barMaster struct {
	s      *barSolver
	demand []int // by size: what is still wanted
	rows   []int // sizes with demand, largest first
	rowOf  []int // by size: the first row not larger, or -1
	lp     *simplex
	use    []cutBar // by column, nil where it is no bar
	worth  []int64  // by size: the integers of the last pricing
	most   int64    // what no bar's worth exceeds under them
	bound  int
	solved bool
	pricer *barPricer
}

func (s *barSolver) newMaster(demand []int) *barMaster {
	m := &barMaster{s: s, demand: demand, rowOf: make([]int, len(demand))}
	for k, d := range demand {
		m.rowOf[k] = len(m.rows)
		if d > 0 {
			m.rows = append(m.rows, k)
		}
	}
	for k := range m.rowOf {
		if m.rowOf[k] == len(m.rows) {
			m.rowOf[k] = -1
		}
	}
	var rhs []float64
	var start []column
	for r, k := range m.rows {
		n := min(s.capacity/s.size[k], int64(demand[k]))
		bar := make(cutBar, n)
		for i := range bar {
			bar[i] = int32(k)
		}
		rhs = append(rhs, float64(demand[k]))
		start = append(start, column{1, []int32{int32(r)}, []float64{float64(n)}})
		m.use = append(m.use, bar)
	}
	m.lp = newSimplex(rhs, start)
	for r := range m.rows {
		c := column{0, []int32{int32(r)}, []float64{-1}}
		if r+1 < len(m.rows) {
			c.rows, c.coef = append(c.rows, int32(r+1)), append(c.coef, 1)
		}
		m.lp.add(c)
		m.use = append(m.use, nil)
	}
	for _, bar := range s.pool {
		m.addBar(bar)
	}
	return m
}

// nudge raises the relaxation's demands, not those that bounds are computed from. It may be called before solve only.
func (m *barMaster) nudge(by func(size int) float64) {
	for r, k := range m.rows {
		more := by(k)
		m.lp.rhs[r] += more
		m.lp.x[r] += more / m.lp.cols[r].coef[0]
	}
}

// addBar gives a bar a column.
func (m *barMaster) addBar(bar cutBar) {
	c := column{cost: 1}
	for _, k := range bar {
		r := m.rowOf[k]
		if r < 0 {
			continue
		}
		if n := len(c.rows); n > 0 && int(c.rows[n-1]) == r {
			c.coef[n-1]++
		} else {
			c.rows, c.coef = append(c.rows, int32(r)), append(c.coef, 1)
		}
	}
	if len(c.rows) > 0 {
		m.lp.add(c)
		m.use = append(m.use, bar)
	}
}

// solve runs until no bar improves the relaxation or the bound reaches enough.
func (m *barMaster) solve(enough int) {
	if m.pricer == nil {
		m.pricer = &barPricer{s: m.s, worth: make([]int64, len(m.demand)), limit: 50_000_000}
	}
	q := m.pricer
	q.most = m.demand
	m.bound, m.solved = 0, false
	for !m.s.over() {
		m.enterKnown()
		if m.price(q); m.solved || m.bound >= enough {
			return
		}
	}
}

// enterKnown brings in the columns at hand while any improves.
func (m *barMaster) enterKnown() {
	for range 20*m.lp.m + 1000 {
		j, best := -1, -priceTolerance
		for c := range m.lp.cols {
			if m.lp.where[c] < 0 {
				if d := m.lp.reduced(c); d < best {
					j, best = c, d
				}
			}
		}
		m.s.steps += int64(len(m.lp.cols) + m.lp.m*m.lp.m/4)
		if j < 0 || !m.lp.enter(j) || m.s.over() {
			return
		}
	}
}

// price looks for bars worth more than they cost, and bounds: if no bar is worth more than M, all that is wanted needs
// at least its worth over M. Worths are made to fall with size, so that this holds also where bars already cut have
// places to spare for smaller items.
func (m *barMaster) price(q *barPricer) {
	clear(q.worth)
	var all, least int64
	for r := len(m.rows) - 1; r >= 0; r-- {
		k := m.rows[r]
		least = max(least, int64(max(0, min(m.lp.y[r], 1))*worthUnit))
		q.worth[k] = least
		all += least * int64(m.demand[k])
	}
	const floor = worthUnit + worthUnit>>28
	sets, upper, ok := m.search(q, floor)
	if !ok {
		m.solved = true
		return
	}
	if bound := int(ceilDiv(all, upper)); bound >= m.bound {
		m.bound, m.most, m.worth = bound, upper, slices.Clone(q.worth)
	}
	m.solved = !m.addBars(sets)
}

// search runs the pricer that suits the problem.
func (m *barMaster) search(q *barPricer, floor int64) (sets []cutBar, upper int64, ok bool) {
	if m.s.few != nil {
		sets, upper = m.s.few.run(q.worth, q.most, floor, 20)
		return sets, upper, true
	}
	return q.run(floor, 10)
}

// addBars gives the bars that are new a column, and reports whether any was.
func (m *barMaster) addBars(sets []cutBar) bool {
	any := false
	for _, bar := range sets {
		if m.s.addPool(bar) {
			m.addBar(bar)
			any = true
		}
	}
	return any
}

// addPool keeps a bar for later masters; false where it is known.
func (s *barSolver) addPool(bar cutBar) bool {
	key := string(barKey(bar))
	if s.inPool[key] {
		return false
	}
	s.inPool[key] = true
	s.pool = append(s.pool, bar)
	return true
}

func barKey(bar cutBar) []byte {
	key := make([]byte, 0, 2*len(bar))
	for _, k := range bar {
		key = append(key, byte(k), byte(k>>8), byte(k>>16))
	}
	return key
}
