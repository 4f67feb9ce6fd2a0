package nest

import (
	"cmp"
	"math"
	"slices"
)

// less is the rest once a pattern has been cut n times, with the load that this makes. Pieces that the rest does not
// ask for are left out of the group where the smaller group is known to fit.
func (s *offcutSolver) less(r rest, p pattern, n int) (rest, load) {
	out := rest{slices.Clone(r.demand), slices.Clone(r.stock)}
	var wanted []int32
	for _, k := range p.group.members {
		if out.demand[k] > 0 {
			wanted = append(wanted, k)
			out.demand[k] -= min(n, out.demand[k])
		}
	}
	if p.stock >= 0 {
		out.stock[p.stock] = false
	}
	g := p.group
	if len(wanted) > 0 && len(wanted) < len(g.members) {
		if small := s.f.group(wanted); s.fitsIn(small, p.stock) {
			g = small
		}
	}
	return out, load{p.stock, g, n}
}

func (s *offcutSolver) fitsIn(g *group, stock int) bool {
	_, ok := s.f.spotIn(g, s.holder(stock))
	return ok
}

func (r rest) empty() bool {
	return !slices.ContainsFunc(r.demand, func(d int) bool { return d > 0 })
}

// dive follows the relaxation down: it fixes the whole parts of its pattern counts, or the largest broken one, and
// solves what is left, trying first fit on every rest.
func (s *offcutSolver) dive(x *relaxation) {
	var plan []load
	r := x.rest
	for {
		r, plan = s.fix(x, r, plan)
		if r.empty() {
			s.take(plan)
			return
		}
		s.take(slices.Concat(plan, s.firstFit(r)))
		fixed := newTiles(plan)
		if s.tiles <= s.bound || fixed >= s.tiles || s.over() {
			return
		}
		x = s.newRelaxation(r)
		x.solve(s.tiles - fixed)
		if fixed+x.bound >= s.tiles {
			return
		}
	}
}

// fix takes the whole parts of the pattern counts, or one pattern with the greatest count where all are below one.
func (s *offcutSolver) fix(x *relaxation, r rest, plan []load) (rest, []load) {
	largest, at, any := 0.0, -1, false
	for place, j := range x.lp.basis {
		p, v := x.use[j], x.lp.x[place]
		if p.group == nil || p.stock >= 0 && !r.stock[p.stock] {
			continue
		}
		if v > largest+1e-6 {
			largest, at = v, j
		}
		if n := int(math.Floor(v + 1e-5)); n > 0 && s.covers(r, p) >= n {
			var l load
			r, l = s.less(r, p, n)
			plan = append(plan, l)
			any = true
		}
	}
	if !any {
		p := pattern{-1, s.f.group([]int32{int32(x.kinds[0])})}
		if at >= 0 {
			p = x.use[at]
		}
		var l load
		r, l = s.less(r, p, 1)
		plan = append(plan, l)
	}
	return r, plan
}

// covers is how many times a pattern can be cut before the rest has none of some piece in it.
func (s *offcutSolver) covers(r rest, p pattern) int {
	n := math.MaxInt
	for i, j := 0, 0; i < len(p.group.members); i = j {
		k := p.group.members[i]
		for j = i; j < len(p.group.members) && p.group.members[j] == k; j++ {
		}
		n = min(n, r.demand[k]/(j-i))
	}
	return n
}

// branch looks for a plan of the rest that, with the tiles of the plan so far, beats the best. Some pattern must hold the
// hardest piece: each that does and cannot hold more is tried in turn. It reports whether all was looked at.
func (s *offcutSolver) branch(r rest, plan []load, fixed int, nodes int) bool {
	x := s.newRelaxation(r)
	x.solve(s.tiles - fixed)
	s.nodesLeft = nodes
	return s.branchFrom(x, r, plan, fixed)
}

func (s *offcutSolver) branchFrom(x *relaxation, r rest, plan []load, fixed int) bool {
	if fixed+x.bound >= s.tiles {
		return true
	}
	if s.nodesLeft--; s.nodesLeft < 0 || s.over() {
		return false
	}
	s.take(slices.Concat(plan, s.firstFit(r)))
	children, complete := s.patternsWith(x, s.hardest(x))
	for _, p := range children {
		next, l := s.less(r, p, 1)
		tiles := fixed
		if p.stock < 0 {
			tiles++
		}
		grown := append(slices.Clone(plan), l)
		if next.empty() {
			s.take(grown)
			continue
		}
		if tiles+1 > s.tiles { // even stock alone could not do better
			continue
		}
		y := s.newRelaxation(next)
		y.solve(s.tiles - tiles)
		complete = s.branchFrom(y, next, grown, tiles) && complete
		if s.tiles <= s.bound {
			return true
		}
	}
	return complete
}

// hardest is the kind whose piece is worth most in the relaxation, the larger of equals.
func (s *offcutSolver) hardest(x *relaxation) int {
	best := 0
	for i := range x.kinds {
		if x.lp.y[i] > x.lp.y[best]+1e-7 {
			best = i
		}
	}
	return x.kinds[best]
}

// patternsWith lists the patterns that hold a piece of kind k and take no further demanded piece, likeliest first, and
// whether they are all. Stock offcuts that are alike count once.
func (s *offcutSolver) patternsWith(x *relaxation, k int) ([]pattern, bool) {
	e := enumeration{s: s, rest: x.rest, complete: true}
	seen := map[holder]bool{}
	for st := range x.rest.stock {
		if h := s.holder(st); x.rest.stock[st] && !seen[h] {
			seen[h] = true
			e.list(st, k)
		}
	}
	e.list(-1, k)
	score := func(p pattern) float64 {
		v := 0.0
		for _, m := range p.group.members {
			v += x.lp.y[x.row[m]]
		}
		return v
	}
	slices.SortStableFunc(e.found, func(a, b pattern) int { return cmp.Compare(score(b), score(a)) })
	return e.found, e.complete
}

// enumeration collects maximal patterns.
type enumeration struct {
	s        *offcutSolver
	rest     rest
	found    []pattern
	complete bool
}

// maxPatterns bounds the children of one node; beyond it the search is no proof any more.
const maxPatterns = 4000

func (e *enumeration) list(stock, k int) {
	g := e.s.f.group([]int32{int32(k)})
	if !e.s.fitsIn(g, stock) {
		return
	}
	left := slices.Clone(e.rest.demand)
	left[k]--
	e.grow(g, stock, left, 0)
}

// grow extends g by kinds from number from on; a group that no kind at all extends is maximal.
func (e *enumeration) grow(g *group, stock int, left []int, from int) {
	if len(e.found) >= maxPatterns || e.s.over() {
		e.complete = false
		return
	}
	maximal := true
	for k := range left {
		if left[k] == 0 || k < from && !maximal {
			continue
		}
		e.s.f.steps++
		next := e.s.with(g, int32(k))
		if !e.s.fitsIn(next, stock) {
			e.complete = e.complete && !next.partial
			continue
		}
		maximal = false
		if k >= from {
			left[k]--
			e.grow(next, stock, left, k)
			left[k]++
		}
	}
	if maximal {
		e.found = append(e.found, pattern{stock, g})
	}
}
