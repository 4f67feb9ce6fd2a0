package nest

import (
	"cmp"
	"math"
	"slices"
)

// cover decides whether a few columns, each used any whole number of times, reach the demand of every row: the last
// step of an exact plan, once every column that such a plan could use has been listed. It works on the linear
// relaxation with half cuts, strikes columns that the bound excludes, and branches on the row that fewest columns serve.
//
// All proofs are in integers: if no column is worth more than M and the demand is worth D, fewer than D/M columns do not
// do; and in a plan of K columns each is worth at least D − (K−1)·M.
type cover struct {
	demand []int64
	cols   []coverColumn
	over   func() bool
	steps  *int64
	work   int64 // of the relaxations searched before this one
	nodes  int   // branches left
	shake  int   // starts with other costs, for another plan
	lp     *coverLP
}

// coverColumn holds how often each row is in a column; rows ascend.
type coverColumn struct {
	rows  []int32
	count []int64
}

// coverNode is a rest of the problem: what is still demanded of each row and cut, which columns may be used, and how
// many at most. Demand that earlier columns have more than met is negative.
type coverNode struct {
	demand []int64
	active []int
	most   int
}

// maxCutRounds bounds the cut rounds at the root; the nodes below inherit its cuts.
const maxCutRounds = 60

// Short searches come first, each with other costs and so another way down; the last search is long.
const coverTries = 3

// solve gives the columns of a plan of at most so many, or nil; proved says that nil means there is none.
func (c *cover) solve(most int) (plan []int, proved bool) {
	nodes := c.nodes
	for try := range coverTries {
		if c.nodes = min(nodes, most+40); try == coverTries-1 {
			c.nodes = nodes
		}
		if plan, proved = c.search(most, try); plan != nil || proved || c.over() {
			break
		}
	}
	return plan, proved
}

// spareNodes is how many nodes are still looked at, without going on below them, once the limit is reached.
const spareNodes = 40

// search is one search from the root, whose cuts the nodes below inherit.
func (c *cover) search(most, try int) (plan []int, proved bool) {
	n := coverNode{demand: slices.Clone(c.demand), most: most}
	for j := range c.cols {
		n.active = append(n.active, j)
	}
	if c.lp != nil {
		c.work += c.lp.s.work
	}
	c.lp = newCoverLP(c, try+c.shake)
	c.lp.solve()
	*c.steps += c.lp.s.pivots * int64(c.lp.s.m*c.lp.s.m/4)
	for range maxCutRounds {
		n.demand = c.lp.demand
		if c.lp.strike(&n) {
			return nil, true
		}
		if plan := c.lp.whole(); plan != nil || c.over() || !c.lp.cut() {
			break
		}
	}
	n.demand = c.lp.demand
	return c.branch(n)
}

// branch works on one node, whose relaxation is solved.
func (c *cover) branch(n coverNode) (plan []int, proved bool) {
	if !slices.ContainsFunc(n.demand[:len(c.demand)], func(d int64) bool { return d > 0 }) {
		return []int{}, false
	}
	if n.most <= 0 || c.lp.strike(&n) {
		return nil, true
	}
	if plan := c.lp.whole(); plan != nil && len(plan) <= n.most {
		return plan, false
	}
	if c.nodes--; c.nodes < 0 || c.over() {
		return nil, false
	}
	return c.children(n)
}

// children tries every column that serves the scarcest row. Those already tried are not listed for the later ones; the
// relaxation may still use them, which costs a little of the bound and saves most of the work.
func (c *cover) children(n coverNode) (plan []int, proved bool) {
	x := c.lp.uses()
	serving := c.scarcest(n, x)
	slices.SortStableFunc(serving, func(a, b int) int { return cmp.Compare(x[b], x[a]) })
	before := c.lp.save()
	proved = true
	for i, col := range serving {
		if c.over() || c.nodes < -spareNodes {
			return nil, false
		}
		child := coverNode{demand: c.lp.less(n.demand, col), active: n.active, most: n.most - 1}
		c.lp.fix(col, child.demand, child.most)
		plan, sure := c.branch(child)
		if plan != nil {
			return append(plan, col), false
		}
		proved = proved && sure
		c.lp.restore(before, n.demand)
		if i+1 < len(serving) {
			n.active = slices.DeleteFunc(slices.Clone(n.active), func(j int) bool { return j == col })
		}
	}
	return nil, proved
}

// scarcest gives the columns of the demanded row that has fewest, among the rows that the relaxation serves by parts of
// columns where there are any.
func (c *cover) scarcest(n coverNode, x []float64) []int {
	byRow := make([][]int, len(c.demand))
	broken := make([]bool, len(c.demand))
	for _, j := range n.active {
		part := x[j]-math.Floor(x[j]+1e-4) > 1e-4
		for _, r := range c.cols[j].rows {
			byRow[r] = append(byRow[r], j)
			broken[r] = broken[r] || part
		}
	}
	best := -1
	for r := range byRow {
		if n.demand[r] <= 0 {
			continue
		}
		if best < 0 || broken[r] && !broken[best] || broken[r] == broken[best] && len(byRow[r]) < len(byRow[best]) {
			best = r
		}
	}
	return byRow[best]
}
