package nest

import (
	"cmp"
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
	nodes  int // branches left
}

// coverColumn holds how often each row is in a column; rows ascend.
type coverColumn struct {
	rows  []int32
	count []int64
}

// rowCut is a half cut (see halfCut) over rows and earlier cuts.
type rowCut struct {
	rows, cuts []int
	least      int64
}

// coverNode is a rest of the problem: what is still demanded, which columns may be used, how many at most.
type coverNode struct {
	demand []int64
	active []int
	most   int
}

// solve gives the columns of a plan of at most so many, or nil; proved says that nil means there is none.
func (c *cover) solve(most int) (plan []int, proved bool) {
	n := coverNode{demand: c.demand, most: most}
	for j := range c.cols {
		n.active = append(n.active, j)
	}
	return c.branch(n, 30)
}

// branch works on one node; rounds limits the cut rounds.
func (c *cover) branch(n coverNode, rounds int) (plan []int, proved bool) {
	if !slices.ContainsFunc(n.demand, func(d int64) bool { return d > 0 }) {
		return []int{}, false
	}
	if n.most <= 0 {
		return nil, true
	}
	if c.nodes--; c.nodes < 0 || c.over() {
		return nil, false
	}
	var cuts []rowCut
	var lp *coverLP
	for round := 0; ; round++ {
		lp = c.newLP(n, cuts)
		lp.solve()
		excluded := lp.strike(&n)
		if excluded {
			return nil, true
		}
		if plan := lp.whole(); plan != nil && len(plan) <= n.most {
			return plan, false
		}
		if c.over() {
			return nil, false
		}
		if round >= rounds {
			break
		}
		more := lp.separate()
		if len(more) == 0 {
			break
		}
		cuts = append(cuts, more...)
	}
	return c.children(n, lp)
}

// children tries every column that serves the scarcest row; those already tried are left out of the later ones.
func (c *cover) children(n coverNode, lp *coverLP) (plan []int, proved bool) {
	serving := c.scarcest(n)
	x := map[int]float64{}
	for place, j := range lp.s.basis {
		if col := lp.use[j]; col >= 0 {
			x[col] = lp.s.x[place]
		}
	}
	slices.SortStableFunc(serving, func(a, b int) int { return cmp.Compare(x[b], x[a]) })
	proved = true
	for _, col := range serving {
		child := coverNode{demand: slices.Clone(n.demand), active: n.active, most: n.most - 1}
		for t, r := range c.cols[col].rows {
			child.demand[r] = max(0, child.demand[r]-c.cols[col].count[t])
		}
		plan, sure := c.branch(child, 3)
		if plan != nil {
			return append(plan, col), false
		}
		proved = proved && sure
		n.active = slices.DeleteFunc(slices.Clone(n.active), func(j int) bool { return j == col })
	}
	return nil, proved
}

// scarcest gives the columns of the demanded row that has fewest.
func (c *cover) scarcest(n coverNode) []int {
	byRow := make([][]int, len(n.demand))
	for _, j := range n.active {
		for _, r := range c.cols[j].rows {
			byRow[r] = append(byRow[r], j)
		}
	}
	best := -1
	for r, d := range n.demand {
		if d > 0 && (best < 0 || len(byRow[r]) < len(byRow[best])) {
			best = r
		}
	}
	return byRow[best]
}
