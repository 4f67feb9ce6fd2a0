package nest

import "math"

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
	s       *offcutSolver
	rest    rest
	row     []int // by kind, -1 where nothing is demanded
	kinds   []int // by row
	stocks  []int // stock offcuts, their rows follow those of the kinds
	lp      *simplex
	use     []pattern // by column of lp; group nil for slacks
	tried   int       // patterns of the pool that have a column
	bound   int       // no plan for the rest uses fewer new tiles
	worth   []int64   // by kind: the duals that gave the bound, in whole units
	most    int64     // what no tile is worth more than under them
	centre  []float64 // by row of a kind: the best duals so far, under which no tile is worth more than one
	begun   int64     // steps before it was solved
	central float64   // what they bound
	solved  bool      // no column improves it any more
	cuts    []halfCut // rows after those of the stock
	charged int64     // of the simplex's work, as steps
}

// worthUnit is one tile's worth in the integers the bound is computed with.
const worthUnit = 1 << 30

// newRelaxation starts from a tile for each piece. With cuts, which need a complete pool, it starts from dear columns that
// stand for nothing and leave the basis.
func (s *offcutSolver) newRelaxation(r rest, cuts []halfCut) *relaxation {
	x := &relaxation{s: s, rest: r, row: make([]int, len(r.demand)), cuts: cuts}
	var rhs []float64
	var start []column
	for k, d := range r.demand {
		x.row[k] = -1
		if d > 0 {
			x.row[k] = len(x.kinds)
			x.kinds = append(x.kinds, k)
			rhs = append(rhs, float64(d))
			first := column{1, []int32{int32(x.row[k])}, []float64{1}}
			use := pattern{-1, s.f.group([]int32{int32(k)})}
			if len(cuts) > 0 {
				first.cost, use.group = dear, nil
			}
			start, x.use = append(start, first), append(x.use, use)
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
	for _, c := range cuts {
		start = append(start, column{dear, []int32{int32(len(rhs))}, []float64{1}})
		rhs = append(rhs, float64(c.least))
		x.use = append(x.use, pattern{-1, nil})
	}
	x.lp = newSimplex(rhs, start)
	for i := range rhs {
		if i < len(x.kinds) || i >= len(x.kinds)+len(x.stocks) {
			x.lp.add(column{0, []int32{int32(i)}, []float64{-1}})
			x.use = append(x.use, pattern{-1, nil})
		}
	}
	return x
}

// dear is the cost of a column that stands for nothing: more than any piece or cut is worth.
const dear = 8

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
	for i, n := range x.cutCoefs(func(k int) int64 { return c.count(x.row[k]) }) {
		if n > 0 {
			c.rows = append(c.rows, int32(len(x.kinds)+len(x.stocks)+i))
			c.coef = append(c.coef, float64(n))
		}
	}
	return c, last >= 0
}

// count is the column's coefficient in a row.
func (c *column) count(row int) int64 {
	for t, r := range c.rows {
		if int(r) == row {
			return int64(c.coef[t])
		}
	}
	return 0
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
	x.begun = x.s.f.steps
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

// solveWithin is solve with so many steps of the budget.
func (x *relaxation) solveWithin(enough int, steps int64) {
	all := x.s.steps
	x.s.steps = min(all, x.s.f.steps+steps)
	x.solve(enough)
	x.s.steps = all
}

// tight reports whether the bound is the relaxation's own: its duals were proved, not only found.
func (x *relaxation) tight() bool {
	return x.solved && x.bound >= int(math.Ceil(x.lp.objective()-1e-4))
}

// enterKnown brings in columns that are already spelled out while any improves. One look over all of them serves
// several pivots.
func (x *relaxation) enterKnown() {
	for range 10*x.lp.m + 1000 {
		list := x.lp.improving(40)
		if len(list) == 0 {
			return
		}
		moved := false
		for range 2 * len(list) {
			j, best := -1, -priceTolerance
			for _, c := range list {
				if d := x.lp.reduced(c); x.lp.where[c] < 0 && d < best {
					j, best = c, d
				}
			}
			if j < 0 || !x.lp.enter(j) {
				break
			}
			moved = true
		}
		x.charge()
		if !moved || x.s.over() {
			return
		}
	}
}

// workPerStep is how much of a simplex's work counts as a step of a search, so that a step takes much the same time
// whatever is done in it.
const workPerStep = 12

// charge counts the simplex's work since the last time.
func (x *relaxation) charge() {
	x.s.f.steps += (x.lp.work - x.charged) / workPerStep
	x.charged = x.lp.work
}

// price looks for new patterns and draws a bound from the same search. It prices a mix of the present duals and the best
// known ones, the centre: the present ones swing from one round to the next and bound little (Wentges 1997). Where what
// that finds does not improve the relaxation, less and less of the centre is mixed in.
func (x *relaxation) price() {
	if !x.smooths() {
		x.priceAt(x.lp.y)
		return
	}
	for share := centreShare; ; share -= 1 - centreShare {
		y := x.lp.y
		if share > 0.01 {
			y = x.mixed(share)
		}
		before := len(x.s.pool)
		x.priceAt(y)
		if share <= 0.01 {
			return
		}
		x.solved = false
		if x.s.over() || x.improves(x.s.pool[before:]) {
			return
		}
	}
}

const (
	centreShare = 0.75      // how much of the centre is in the duals first priced
	fewKinds    = 150       // problems with fewer are sooner solved without
	hardSteps   = 3_000_000 // unless they have taken so long already
)

// smooths reports whether there are duals to mix in: for stock, cuts and patterns listed beforehand there are none.
func (x *relaxation) smooths() bool {
	if len(x.kinds) < fewKinds && x.s.f.steps < x.begun+hardSteps || len(x.stocks) > 0 || len(x.cuts) > 0 || x.s.complete {
		return false
	}
	if x.centre == nil { // by area, no tile is worth more than one
		for _, k := range x.kinds {
			x.centre = append(x.centre, float64(x.s.f.kinds[k].area)/float64(x.s.f.area))
		}
	}
	return true
}

func (x *relaxation) mixed(share float64) []float64 {
	y := make([]float64, len(x.lp.y))
	for i, v := range x.lp.y {
		y[i] = float64(share*x.centre[i]) + float64((1-share)*max(0, v))
	}
	return y
}

// improves reports whether a pattern is worth more than a tile under the present duals.
func (x *relaxation) improves(list []pattern) bool {
	for _, p := range list {
		c, ok := x.column(p)
		v := c.cost
		for t, r := range c.rows {
			v -= float64(c.coef[t] * x.lp.y[r])
		}
		if ok && v < -priceTolerance {
			return true
		}
	}
	return false
}

// priceAt looks for patterns under the duals y. Were a tile never worth more than M, and stock never more than V, the worth
// of all that is demanded less V needs at least so many M.
func (x *relaxation) priceAt(y []float64) {
	worth := make([]int64, len(x.rest.demand))
	var all int64
	for r, k := range x.kinds {
		worth[k] = worthOf(y[r])
		all += worth[k] * int64(x.rest.demand[k])
	}
	for i, c := range x.cuts {
		all += worthOf(y[len(x.kinds)+len(x.stocks)+i]) * c.least
	}
	before := len(x.s.pool)
	most := x.search(worth, -1, worthUnit)
	for i, st := range x.stocks {
		cost := -y[len(x.kinds)+i] // what using this stock must bring at least
		all -= x.search(worth, st, int64(max(0, cost)*worthUnit))
	}
	if most > 0 && all > 0 {
		if b := int(ceilDiv(all, most)); b >= x.bound {
			x.bound, x.worth, x.most = b, worth, most
		}
		if v := float64(all) / float64(most); x.centre != nil && v > x.central {
			x.central = v
			for i := range x.centre {
				x.centre[i] = float64(worth[x.kinds[i]]) / float64(most)
			}
		}
	}
	x.solved = len(x.s.pool) == before
}

// worthOf is a dual value in whole units.
func worthOf(y float64) int64 { return int64(max(0, min(y, 2*dear)) * worthUnit) }

// search gives a number that no pattern's worth exceeds. Where the pool holds every pattern it reads them; otherwise it
// adds patterns that are worth more than their price to the pool. A short search comes first: the long one is needed
// only where that finds nothing.
func (x *relaxation) search(worth []int64, stock int, price int64) int64 {
	if x.s.complete {
		return x.mostInPool(worth, stock)
	}
	q := offcutPricer{s: x.s, worth: worth, demand: x.rest.demand, in: x.s.holder(stock), weight: make([]int64, len(worth))}
	for _, nodes := range [2]int64{200, x.s.pricingNodes} {
		q.nodes = nodes
		q.run(price + price>>28)
		if len(q.found) > 0 || q.upper == q.best {
			break
		}
	}
	for _, g := range q.found {
		x.s.addPattern(pattern{stock, g})
	}
	return q.upper
}

// mostInPool is the greatest worth of a pattern of the pool, no more of a kind than is demanded.
func (x *relaxation) mostInPool(worth []int64, stock int) int64 {
	var most int64
	for _, p := range x.s.pool {
		if p.stock == stock {
			most = max(most, x.worthOfPattern(worth, p))
		}
	}
	return most
}

func (x *relaxation) worthOfPattern(worth []int64, p pattern) int64 {
	var v int64
	same, last := 0, int32(-1)
	for _, k := range p.group.members {
		if k != last {
			same, last = 0, k
		}
		if same++; same <= x.rest.demand[k] {
			v += worth[k]
		}
	}
	if len(x.cuts) == 0 {
		return v
	}
	count := func(k int) int64 {
		n := 0
		for _, m := range p.group.members {
			if int(m) == k {
				n++
			}
		}
		return int64(min(n, x.rest.demand[k]))
	}
	for i, n := range x.cutCoefs(count) {
		v += n * worthOf(x.lp.y[len(x.kinds)+len(x.stocks)+i])
	}
	return v
}

// addPattern puts a pattern in the pool unless it is there.
func (s *offcutSolver) addPattern(p pattern) {
	if !s.inPool[p] {
		s.inPool[p] = true
		s.pool = append(s.pool, p)
	}
}
