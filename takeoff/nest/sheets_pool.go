package nest

import (
	"cmp"
	"math"
	"slices"
)

// sheetPool keeps the sheets that the search came through, once for each set of sizes, and now and then chooses among them:
// sheets found at different times may make a plan together that the search never had before it at once (set covering over
// found patterns, as Monaci & Toth 2006 do).
type sheetPool struct {
	s       *sheetSolver
	rows    []int32   // by item: its size
	sizes   [][]int32 // by size: the items
	keys    []uint64  // by size
	known   map[uint64]bool
	trees   []*cutTree
	cols    []coverColumn
	waste   int64    // of a sheet in a plan of the number sought, at most
	lp      *simplex // relaxation over the pool
	entered int      // sheets in it
	tries   int      // choices made, each with other costs
}

const (
	poolMost   = 20_000    // sheets kept
	poolDear   = 0.1       // what a sheet may lack of being worth one
	poolNodes  = 100       // branches of a choice
	poolSteps  = 4_000_000 // of a choice
	poolRounds = 4         // roundings after a choice
	poolTurns  = 600       // turns of the search for what a rounding leaves
	poolChoice = 2000      // sheets chosen from
	poolFills  = 60        // sheets that a round of pricing starts from
	poolClimb  = 12        // refills of each
)

func newSheetPool(s *sheetSolver) *sheetPool {
	p := &sheetPool{s: s, rows: make([]int32, len(s.items)), known: map[uint64]bool{}}
	of := map[SheetItem]int32{}
	for i, q := range s.items {
		if s.rotate && q.W < q.H {
			q.W, q.H = q.H, q.W
		}
		k, ok := of[q]
		if !ok {
			k = int32(len(p.sizes))
			of[q] = k
			p.sizes, p.keys = append(p.sizes, nil), append(p.keys, s.random.Uint64()|1)
		}
		p.rows[i] = k
		p.sizes[k] = append(p.sizes[k], int32(i))
	}
	return p
}

// seek starts anew for plans of so many sheets. Sheets that waste more than all of them may are of no use.
func (p *sheetPool) seek(sheets int) {
	p.waste = int64(sheets) * p.s.w * p.s.h
	for _, q := range p.s.items {
		p.waste -= q.W * q.H
	}
}

// keep takes up a sheet; false where it is known or of no use.
func (p *sheetPool) keep(t *cutTree) bool {
	if p.s.w*p.s.h-t.area > p.waste || len(p.trees) >= poolMost {
		return false
	}
	var key uint64
	for i := range t.nodes {
		if t.nodes[i].item >= 0 {
			key += p.keys[p.rows[t.nodes[i].item]]
		}
	}
	if p.known[key] {
		return false
	}
	if p.lp != nil && p.dear(t) {
		return false
	}
	p.known[key] = true
	var rows []int32
	for i := range t.nodes {
		if t.nodes[i].item >= 0 {
			rows = append(rows, p.rows[t.nodes[i].item])
		}
	}
	slices.Sort(rows)
	p.trees, p.cols = append(p.trees, t), append(p.cols, cutBar(rows).column())
	return true
}

// dear reports whether the relaxation is far from using a sheet.
func (p *sheetPool) dear(t *cutTree) bool {
	v := 0.0
	for i := range t.nodes {
		if t.nodes[i].item >= 0 {
			v += max(0, p.lp.y[p.rows[t.nodes[i].item]])
		}
	}
	return v < 1-poolDear
}

// choose looks for a plan of so many sheets of the pool, after the pool has grown by sheets that its relaxation asks for.
func (p *sheetPool) choose(most int) (packing, bool) {
	end := p.s.steps + poolSteps
	over := func() bool { return p.s.over() || p.s.steps > end }
	if p.lp == nil {
		p.lp = p.relaxation()
	}
	for p.settle(over); !over() && p.price() > 0; p.settle(over) {
	}
	if p.lp.objective() > float64(most)+1e-3 {
		return packing{}, false
	}
	list := p.promising()
	end = p.s.steps + poolSteps
	c := cover{steps: &p.s.steps, nodes: poolNodes, over: over}
	for _, j := range list {
		c.cols = append(c.cols, p.cols[j])
	}
	for _, items := range p.sizes {
		c.demand = append(c.demand, int64(len(items)))
	}
	plan, _ := c.search(most, p.tries)
	p.tries++
	if plan == nil {
		return packing{}, false
	}
	for i, j := range plan {
		plan[i] = list[j]
	}
	return p.assemble(plan, most)
}

// relaxation starts with a stand-in for each size.
func (p *sheetPool) relaxation() *simplex {
	var rhs []float64
	var start []column
	for k, items := range p.sizes {
		rhs = append(rhs, float64(len(items)))
		start = append(start, column{dear, []int32{int32(k)}, []float64{1}})
	}
	lp := newSimplex(rhs, start)
	for k := range p.sizes {
		lp.add(column{0, []int32{int32(k)}, []float64{-1}})
	}
	return lp
}

// settle brings the sheets that are new into the relaxation and solves it.
func (p *sheetPool) settle(over func() bool) {
	for ; p.entered < len(p.cols); p.entered++ {
		c := column{cost: 1}
		for t, r := range p.cols[p.entered].rows {
			c.rows, c.coef = append(c.rows, r), append(c.coef, float64(p.cols[p.entered].count[t]))
		}
		p.lp.add(c)
	}
	for range 10*p.lp.m + 1000 {
		list := p.lp.improving(30)
		p.s.steps += int64(len(p.lp.cols) * 4)
		moved := false
		for _, j := range list {
			if p.lp.reduced(j) < -priceTolerance && p.lp.enter(j) {
				moved = true
				p.s.steps += int64(p.lp.m * p.lp.m / 4)
			}
		}
		if !moved || over() {
			return
		}
	}
}

// promising lists the sheets whose reduced cost in the relaxation is least.
func (p *sheetPool) promising() []int {
	list := make([]int, len(p.cols))
	cost := make([]float64, len(p.cols))
	for j := range p.cols {
		list[j], cost[j] = j, p.lp.reduced(2*len(p.sizes)+j)
	}
	slices.SortStableFunc(list, func(a, b int) int { return cmp.Compare(cost[a], cost[b]) })
	return list[:min(len(list), poolChoice)]
}

// price fills single sheets with what the relaxation's duals make dear, and keeps those worth more than a sheet. It says how
// many.
func (p *sheetPool) price() int {
	s := p.s
	worth := make([]float64, len(s.items))
	for i, k := range p.rows {
		worth[i] = max(0, p.lp.y[k])
	}
	found := 0
	for range poolFills {
		t, v := newCutTree(s.w, s.h), 0.0
		if j := s.random.IntN(p.lp.m); s.random.IntN(3) > 0 && p.lp.basis[j] >= 2*len(p.sizes) {
			t = p.trees[p.lp.basis[j]-2*len(p.sizes)]
			for _, leaf := range t.leaves() {
				v += worth[t.nodes[leaf].item]
			}
		}
		for range poolClimb {
			if s.over() {
				return found
			}
			next, w := p.refill(t, worth)
			if w < v-1e-9 {
				continue
			}
			if t, v = next, w; v > 1+1e-6 && p.keep(t) {
				found++
			}
		}
	}
	return found
}

// refill takes some pieces out of a sheet and fills it with what is dear for its area, as chance has it.
func (p *sheetPool) refill(old *cutTree, worth []float64) (*cutTree, float64) {
	s := p.s
	t := old.clone()
	in := make([]bool, len(s.items))
	share := 0.1 + 0.5*s.random.Float64()
	for _, leaf := range t.leaves() {
		if s.random.Float64() < share {
			t.take(leaf)
		} else {
			in[t.nodes[leaf].item] = true
		}
	}
	now := packing{trees: []*cutTree{t}}
	r := recreation{s: s, rule: s.random.IntN(3), blink: true}
	for _, i := range p.wanted(in, worth) {
		if at, o, ok := r.place(&now, i); ok {
			now.trees[at].put(i, o)
			in[i] = true
		}
	}
	v := 0.0
	for i, b := range in {
		if b {
			v += worth[i]
		}
	}
	return t, v
}

// wanted orders the items that are not in by worth for a power of their area, shaken.
func (p *sheetPool) wanted(in []bool, worth []float64) []int32 {
	s := p.s
	root, shake := s.random.IntN(2) == 0, 0.8*s.random.Float64()
	var list []int32
	key := make([]float64, len(s.items))
	for i, v := range worth {
		if in[i] || v < 1e-7 {
			continue
		}
		area := float64(s.items[i].W * s.items[i].H)
		if root {
			area = math.Sqrt(area)
		}
		key[i] = v / area * (1 - shake*s.random.Float64())
		list = append(list, int32(i))
	}
	slices.SortStableFunc(list, func(a, b int32) int { return cmp.Compare(key[b], key[a]) })
	return list
}

// round takes sheets that the relaxation uses much, half of those sought or so, and searches for a plan of what is left, which
// is far easier to find than one of all. It gives the state with least area left out, nil where it does not try.
func (p *sheetPool) round(most int) *packing {
	if p.lp == nil || most < 3 || p.lp.objective() > float64(most)+0.05 {
		return nil
	}
	var best *packing
	for range poolRounds {
		fixed, _ := p.assemble(p.used(most/3+p.s.random.IntN(most/3+1)), most)
		rest := packing{out: fixed.out, area: fixed.area}
		for range most - len(fixed.trees) {
			rest.trees = append(rest.trees, newCutTree(p.s.w, p.s.h))
		}
		p.s.recreate(&rest, nil)
		p.s.startFrom(rest)
		rest = p.s.descend(rest, poolTurns)
		rest.trees = append(rest.trees, fixed.trees...)
		if best == nil || rest.area < best.area {
			best = &rest
		}
		if len(rest.out) == 0 || p.s.over() {
			break
		}
	}
	return best
}

// used lists so many sheets of the relaxation's, most used first but for chance, none of which asks for what others have
// taken.
func (p *sheetPool) used(most int) []int {
	var list []int
	x := map[int]float64{}
	for place, j := range p.lp.basis {
		if v := p.lp.x[place]; j >= 2*len(p.sizes) && v > 1e-3 {
			j -= 2 * len(p.sizes)
			list = append(list, j)
			x[j] = v * (0.3 + p.s.random.Float64())
		}
	}
	slices.SortStableFunc(list, func(a, b int) int { return cmp.Or(cmp.Compare(x[b], x[a]), cmp.Compare(a, b)) })
	left := make([]int64, len(p.sizes))
	for k, items := range p.sizes {
		left[k] = int64(len(items))
	}
	var plan []int
	for _, j := range list {
		c, fits := p.cols[j], true
		for t, r := range c.rows {
			fits = fits && left[r] >= c.count[t]
		}
		if !fits || len(plan) == most {
			continue
		}
		for t, r := range c.rows {
			left[r] -= c.count[t]
		}
		plan = append(plan, j)
	}
	return plan
}

// assemble hands the items out to the chosen sheets; what a sheet holds beyond the demand is left out. It says whether that
// is a plan of so many sheets.
func (p *sheetPool) assemble(plan []int, most int) (packing, bool) {
	var now packing
	next := make([]int, len(p.sizes))
	for _, j := range plan {
		t := p.trees[j].clone()
		for _, leaf := range t.leaves() {
			k := p.rows[t.nodes[leaf].item]
			if next[k] == len(p.sizes[k]) {
				t.take(leaf)
				continue
			}
			p.rename(t, leaf, p.sizes[k][next[k]])
			next[k]++
		}
		if t.area > 0 {
			now.trees = append(now.trees, t)
		}
	}
	for k, items := range p.sizes {
		for _, i := range items[next[k]:] {
			now.out = append(now.out, i)
			now.area += p.s.items[i].W * p.s.items[i].H
		}
	}
	return now, len(now.out) == 0 && len(now.trees) <= most
}

// rename puts another item of the same size at a leaf. Where one is the other's quarter turn, so is its place.
func (p *sheetPool) rename(t *cutTree, leaf, item int32) {
	n := &t.nodes[leaf]
	if p.s.items[n.item] != p.s.items[item] {
		n.turned = !n.turned
	}
	n.item = item
}
