package nest

// pattern is a group cut from a tile (stock -1) or from a stock offcut: one column of the master problem.
type pattern struct {
	stock int
	group *group
}

// rest is a problem still to be solved: the demand of each kind and which stock is still there.
type rest struct {
	demand []int
	stock  []bool
}

// relaxation is the linear relaxation of a rest, solved by column generation.
type relaxation struct {
	s      *offcutSolver
	rest   rest
	row    []int // by kind, -1 where nothing is demanded
	kinds  []int // by row
	stocks []int // stock offcuts, their rows follow those of the kinds
	lp     *simplex
	use    []pattern // by column of lp; group nil for slacks
	tried  int       // patterns of the pool that have a column
	bound  int       // no plan for the rest uses fewer new tiles
	solved bool      // no column improves it any more
}

// worthUnit is one tile's worth in the integers the bound is computed with.
const worthUnit = 1 << 30

func (s *offcutSolver) newRelaxation(r rest) *relaxation {
	x := &relaxation{s: s, rest: r, row: make([]int, len(r.demand))}
	var rhs []float64
	var start []column
	for k, d := range r.demand {
		x.row[k] = -1
		if d > 0 {
			x.row[k] = len(x.kinds)
			x.kinds = append(x.kinds, k)
			rhs = append(rhs, float64(d))
			start = append(start, column{1, []int32{int32(x.row[k])}, []float64{1}})
			x.use = append(x.use, pattern{-1, s.f.group([]int32{int32(k)})})
		}
	}
	for i, there := range r.stock {
		if there {
			start = append(start, column{0, []int32{int32(len(rhs))}, []float64{1}})
			x.stocks = append(x.stocks, i)
			rhs = append(rhs, 1)
			x.use = append(x.use, pattern{-1, nil})
		}
	}
	x.lp = newSimplex(rhs, start)
	for i := range x.kinds {
		x.lp.add(column{0, []int32{int32(i)}, []float64{-1}})
		x.use = append(x.use, pattern{-1, nil})
	}
	return x
}

// column spells a pattern out for the rest: no more of a kind than is demanded.
func (x *relaxation) column(p pattern) (column, bool) {
	c := column{cost: 1}
	last := -1
	for _, k := range p.group.members {
		r := x.row[k]
		switch {
		case r < 0:
		case r == last:
			n := len(c.coef) - 1
			c.coef[n] = min(c.coef[n]+1, float64(x.rest.demand[k]))
		default:
			c.rows, c.coef = append(c.rows, int32(r)), append(c.coef, 1)
			last = r
		}
	}
	if p.stock >= 0 {
		c.cost = 0
		at := -1
		for i, st := range x.stocks {
			if st == p.stock {
				at = len(x.kinds) + i
			}
		}
		if at < 0 {
			return c, false
		}
		c.rows, c.coef = append(c.rows, int32(at)), append(c.coef, 1)
	}
	return c, last >= 0
}

// takePool gives every pattern found so far a column.
func (x *relaxation) takePool() {
	for ; x.tried < len(x.s.pool); x.tried++ {
		p := x.s.pool[x.tried]
		if c, ok := x.column(p); ok {
			x.lp.add(c)
			x.use = append(x.use, p)
		}
	}
}

// solve runs until no pattern improves the relaxation, the bound reaches enough, or the budget is spent.
func (x *relaxation) solve(enough int) {
	for {
		x.takePool()
		x.enterKnown()
		if x.s.over() {
			return
		}
		if x.price(); x.solved || x.bound >= enough {
			return
		}
	}
}

// enterKnown brings in columns that are already spelled out while any improves.
func (x *relaxation) enterKnown() {
	for range 50*x.lp.m + 1000 {
		j, best := -1, -priceTolerance
		for c := range x.lp.cols {
			if x.lp.where[c] < 0 {
				if d := x.lp.reduced(c); d < best {
					j, best = c, d
				}
			}
		}
		x.s.f.steps += int64(len(x.lp.cols))
		if j < 0 || !x.lp.enter(j) {
			return
		}
	}
}

// price looks for new patterns under the present duals and draws a bound from the same search: were a tile never worth
// more than M, and stock never more than V, the worth of all that is demanded less V needs at least so many M.
func (x *relaxation) price() {
	worth := make([]int64, len(x.rest.demand))
	var all int64
	for r, k := range x.kinds {
		worth[k] = int64(max(0, min(x.lp.y[r], 1)) * worthUnit)
		all += worth[k] * int64(x.rest.demand[k])
	}
	before := len(x.s.pool)
	most := x.search(worth, -1, worthUnit)
	for i, st := range x.stocks {
		cost := -x.lp.y[len(x.kinds)+i] // what using this stock must bring at least
		all -= x.search(worth, st, int64(max(0, cost)*worthUnit))
	}
	if most > 0 && all > 0 {
		x.bound = max(x.bound, int(ceilDiv(all, most)))
	}
	x.solved = len(x.s.pool) == before
}

// search adds the most valuable pattern of a holder to the pool where it is worth more than its price, and gives a
// number that no pattern's worth exceeds.
func (x *relaxation) search(worth []int64, stock int, price int64) int64 {
	q := offcutPricer{s: x.s, worth: worth, demand: x.rest.demand, in: x.s.holder(stock), nodes: x.s.pricingNodes}
	q.run(price + price>>28)
	if q.set != nil {
		x.s.addPattern(pattern{stock, x.s.f.group(q.set)})
	}
	return q.upper
}

// addPattern puts a pattern in the pool unless it is there.
func (s *offcutSolver) addPattern(p pattern) {
	if !s.inPool[p] {
		s.inPool[p] = true
		s.pool = append(s.pool, p)
	}
}
