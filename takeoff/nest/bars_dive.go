package nest

import (
	"cmp"
	"math"
	"math/rand/v2"
	"slices"
)

// relax solves the relaxation and closes what gap is left.
func (s *barSolver) relax() {
	for _, bar := range s.best {
		s.addPool(bar)
	}
	root := s.newMaster(s.demand)
	root.solve(len(s.best))
	s.bound = max(s.bound, root.bound)
	if s.closed() || s.over() {
		return
	}
	if root.worth == nil {
		return
	}
	prices := s.prices(root)
	s.exact(prices, 8_000, 300_000_000)
	if !s.closed() {
		s.diveAgain(root, 0, 1)
	}
	s.exact(prices, 30_000, math.MaxInt64/4)
	if !s.closed() {
		s.diveAgain(root, 1, 1000)
	}
}

// barPrices are the worths of sizes and what no bar of the whole problem's items is worth more than.
type barPrices struct {
	worth []int64
	most  int64
}

const (
	barPriceSets = 2    // beside the relaxation's own
	barNudge     = 1e-3 // most that a demand is raised by, in items
)

// prices gives the worths of the relaxation and a few more. Its best worths are seldom the only ones, and often leave many
// sizes worth nothing; demands raised by a little, the small ones' by more in every other set, lead to others that are as
// good but for the little. A bar that a plan can hold must be worth enough under each of them, which excludes far more
// bars than any one set does.
func (s *barSolver) prices(root *barMaster) []barPrices {
	list := []barPrices{{root.worth, root.most}}
	random := rand.New(rand.NewPCG(s.seed, 11))
	for n := range barPriceSets {
		m := s.newMaster(s.demand)
		m.nudge(func(k int) float64 {
			if n%2 == 0 {
				return barNudge * random.Float64()
			}
			return barNudge * random.Float64() * float64(s.size[len(s.size)-1]) / float64(s.size[k])
		})
		m.solve(math.MaxInt)
		if m.worth != nil {
			list = append(list, barPrices{m.worth, m.most})
		}
		s.bound = max(s.bound, m.bound)
		if s.closed() || s.over() {
			break
		}
	}
	return list
}

// diveAgain dives from the root, in rounds after the first with the order of choice shaken.
func (s *barSolver) diveAgain(root *barMaster, from, to int) {
	lp, demand := root.lp.save(), root.demand
	random := rand.New(rand.NewPCG(s.seed, 5))
	for round := from; round < to; round++ {
		d := barDive{s: s, m: root, tries: len(s.best) + 30}
		if round > 0 {
			d.random = random
		}
		if d.run(nil) || s.over() {
			break
		}
		root.lp.restore(lp)
		root.demand = demand
	}
	root.lp.restore(lp)
	root.demand = demand
}

// barDive follows a relaxation down to a plan: it fixes the bars used whole times, then the most used one after which the
// relaxation still promises a better plan than the best, and goes back where none does.
type barDive struct {
	s      *barSolver
	m      *barMaster
	tries  int        // fixings still to be tried
	random *rand.Rand // shakes the order, nil for none
	rested bool       // whether the rest below some fixed bars has been solved as a problem of its own
}

// run reports whether the best plan has been proved on the way.
func (d *barDive) run(plan []cutBar) bool {
	s, m := d.s, d.m
	plan = d.fixWhole(plan)
	if !slices.ContainsFunc(m.demand, func(d int) bool { return d > 0 }) {
		s.take(plan)
		return s.closed()
	}
	s.take(slices.Concat(plan, s.bestFit(m.demand)))
	if !s.closed() {
		s.take(slices.Concat(plan, s.fullest(m.demand)))
	}
	if s.closed() {
		return true
	}
	if d.rest(plan); s.closed() {
		return true
	}
	lp, demand := m.lp.save(), m.demand
	if many := d.wanted(); len(many) > 1 && len(plan)+len(many) < len(s.best) && d.random == nil {
		m.demand = slices.Clone(demand)
		grown := slices.Clone(plan)
		for _, j := range many {
			grown = append(grown, d.fix(j))
		}
		if d.tries--; m.lp.repair(float64(len(s.best) - len(grown) - 1)) {
			m.solve(len(s.best) - len(grown))
			if len(grown)+m.bound < len(s.best) && d.run(grown) {
				return true
			}
		}
		m.lp.restore(lp)
		m.demand = demand
	}
	for _, u := range d.choices(6) {
		if d.tries--; d.tries < 0 || s.over() || len(plan)+1 >= len(s.best) {
			return false
		}
		m.demand = slices.Clone(demand)
		bar := d.fix(u)
		if m.lp.repair(math.Inf(1)) {
			m.solve(len(s.best) - len(plan) - 1)
			if len(plan)+1+m.bound < len(s.best) && d.run(append(slices.Clone(plan), bar)) {
				return true
			}
		}
		m.lp.restore(lp)
		m.demand = demand
	}
	return false
}

// rest solves what a third of the bars leaves as a problem of its own, once a dive: with fewer bars to choose from, all
// that a good plan can hold can often be listed.
func (d *barDive) rest(plan []cutBar) {
	s := d.s
	if d.rested || s.within || 3*len(plan) < s.bound {
		return
	}
	d.rested = true
	if len(plan)+d.m.bound >= len(s.best) {
		return
	}
	sub := &barSolver{ctx: s.ctx, capacity: s.capacity, size: s.size, demand: slices.Clone(d.m.demand), limit: min(restSteps, s.limit-s.steps), seed: s.seed,
		inPool: map[string]bool{}, within: true}
	sub.solve()
	s.steps += sub.steps
	s.take(slices.Concat(plan, sub.best))
}

// restSteps bounds the work on a rest.
const restSteps = 100_000_000

// wanted lists columns used more than half that can all be cut for their own sizes: an eighth of what is left to cut at
// most.
func (d *barDive) wanted() []int {
	left := slices.Clone(d.m.demand)
	var list []int
	for _, j := range d.m.usedBars(1 + d.m.lp.m/16) {
		if d.m.lp.x[d.m.lp.where[j]] < 0.55 {
			break
		}
		fits := true
		for _, k := range d.m.use[j] {
			left[k]--
			fits = fits && left[k] >= 0
		}
		if !fits {
			break
		}
		list = append(list, j)
	}
	return list
}

// choices lists the columns to fix, most used first, shaken where that is asked for.
func (d *barDive) choices(most int) []int {
	list := d.m.usedBars(3 * most)
	if d.random != nil {
		score := map[int]float64{}
		for _, j := range list {
			score[j] = d.m.lp.x[d.m.lp.where[j]] * (0.5 + d.random.Float64())
		}
		slices.SortStableFunc(list, func(a, b int) int { return cmp.Or(cmp.Compare(score[b], score[a]), cmp.Compare(a, b)) })
	}
	return list[:min(most, len(list))]
}

// fix cuts the bar of a basic column once, and makes the relaxation ask for what is then still wanted: other sizes may
// have been cut beside the column's own, or in their place.
func (d *barDive) fix(j int) cutBar {
	d.m.lp.fixOne(j)
	bar := d.s.cut(d.m.use[j], d.m.demand)
	change := map[int]float64{}
	for _, k := range bar {
		change[d.m.rowOf[k]]++
	}
	c := d.m.lp.cols[j]
	for t, r := range c.rows {
		change[int(r)] -= c.coef[t]
	}
	for r := range d.m.rows {
		if change[r] != 0 {
			d.m.lp.drop(r, change[r])
		}
	}
	return bar
}

// fixWhole cuts the bars that the relaxation uses once or more.
func (d *barDive) fixWhole(plan []cutBar) []cutBar {
	d.m.demand = slices.Clone(d.m.demand)
	for _, j := range d.m.usedBars(d.m.lp.m) {
		for d.m.lp.x[d.m.lp.where[j]] > 1-1e-5 {
			plan = append(plan, d.fix(j))
		}
	}
	return plan
}

// usedBars lists basic columns of bars, most used first.
func (m *barMaster) usedBars(most int) []int {
	var list []int
	for place, j := range m.lp.basis {
		if m.use[j] != nil && m.lp.x[place] > 1e-5 {
			list = append(list, j)
		}
	}
	x := func(j int) float64 { return m.lp.x[m.lp.where[j]] }
	slices.SortStableFunc(list, func(a, b int) int { return cmp.Or(cmp.Compare(x(b), x(a)), cmp.Compare(a, b)) })
	return list[:min(most, len(list))]
}

// cut takes a bar from what is left: each place for its own size or the largest smaller one left, then the space that
// remains is filled as well as it can be.
func (s *barSolver) cut(bar cutBar, left []int) cutBar {
	free := s.capacity
	var out cutBar
	for _, k := range bar {
		for int(k) < len(left) && left[k] == 0 {
			k++
		}
		if int(k) < len(left) {
			left[k]--
			free -= s.size[k]
			out = append(out, k)
		}
	}
	f := filler{s: s, left: left}
	out = f.fill(out, free)
	slices.Sort(out)
	return out
}
