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
	return s.f.holds(g, s.holder(stock))
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
		x = s.newRelaxation(r, nil)
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
	x := s.newRelaxation(r, nil)
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
		y := s.newRelaxation(next, nil)
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
	var found []pattern
	complete := true
	if s.complete {
		found = s.fromPool(x, k)
	} else {
		e := enumeration{s: s, demand: x.rest.demand, complete: true, limit: maxChildren}
		for _, st := range s.differentStock(x.rest.stock) {
			e.list(st, k)
		}
		e.list(-1, k)
		found, complete = e.found, e.complete
	}
	score := func(p pattern) float64 {
		v := 0.0
		for _, m := range p.group.members {
			if r := x.row[m]; r >= 0 {
				v += x.lp.y[r]
			}
		}
		return v
	}
	slices.SortStableFunc(found, func(a, b pattern) int { return cmp.Compare(score(b), score(a)) })
	return found, complete
}

// differentStock lists the stock that is there, of like offcuts the first.
func (s *offcutSolver) differentStock(there []bool) []int {
	var list []int
	seen := map[holder]bool{}
	for st := range there {
		if h := s.holder(st); there[st] && !seen[h] {
			seen[h] = true
			list = append(list, st)
		}
	}
	return list
}

// fromPool takes the patterns that hold kind k from a complete pool, cut down to what the rest demands.
func (s *offcutSolver) fromPool(x *relaxation, k int) []pattern {
	var found []pattern
	seen := map[pattern]bool{}
	like := s.differentStock(x.rest.stock)
	for _, p := range s.pool {
		if !slices.Contains(p.group.members, int32(k)) || p.stock >= 0 && !slices.Contains(like, p.stock) {
			continue
		}
		_, l := s.less(x.rest, p, 1)
		if cut := (pattern{p.stock, l.group}); !seen[cut] {
			seen[cut] = true
			found = append(found, cut)
		}
	}
	return found
}
