package nest

import (
	"cmp"
	"context"
	"math/rand/v2"
	"slices"
)

// sheetSolver looks for plans with one sheet fewer than the best, again and again: with the number of sheets fixed, it
// removes pieces from a few sheets and puts them back in another order or place, keeping what leaves no more area without
// a place than before a while ago (goal-driven ruin and recreate after Gardeyn & Wauters 2022; late acceptance after
// Burke & Bykov 2017).
type sheetSolver struct {
	ctx    context.Context
	p      SheetProblem
	w, h   int64       // of the sheet, with the kerf
	items  []SheetItem // with the kerf
	rotate bool
	steps  int64
	limit  int64
	random *rand.Rand
	bound  int
	best   []*cutTree
	pool   *sheetPool
	late   []sheetRating // of the last states
	least  int64         // the least seen
	since  int           // turns since then
}

// packing is a state of the search.
type packing struct {
	trees []*cutTree
	out   []int32 // items without a place
	area  int64   // their area
}

// sheetRating says how good a state is: less area without a place is better, and where it is as much, fewer and larger free
// strips, since a piece left out needs one that takes it whole.
type sheetRating struct {
	area int64
	room float64 // sum of the squares of the free strips' areas
}

// atLeast reports whether a state is as good as another.
func (a sheetRating) atLeast(b sheetRating) bool {
	return a.area < b.area || a.area == b.area && a.room >= b.room
}

func (s *sheetSolver) rate(p packing) sheetRating {
	r := sheetRating{area: p.area}
	for _, t := range p.trees {
		r.room += t.room()
	}
	return r
}

func newSheetSolver(ctx context.Context, p SheetProblem, o Options) *sheetSolver {
	s := &sheetSolver{ctx: ctx, p: p, w: p.W + p.Kerf, h: p.H + p.Kerf, rotate: p.Rotate, limit: o.Steps, random: rand.New(rand.NewPCG(o.Seed, 17))}
	if s.limit <= 0 {
		s.limit = defaultSheetSteps
	}
	for _, q := range p.Items {
		s.items = append(s.items, SheetItem{q.W + p.Kerf, q.H + p.Kerf})
	}
	return s
}

func (s *sheetSolver) over() bool { return s.steps > s.limit || s.ctx.Err() != nil }

func (s *sheetSolver) solve() {
	if len(s.items) == 0 {
		return
	}
	s.bound = s.dualBound()
	for order := range sheetOrders {
		for rule := range 3 {
			if p := s.construct(order, rule); s.best == nil || len(p.trees) < len(s.best) {
				s.best = p.trees
			}
			if len(s.best) <= s.bound {
				return
			}
		}
	}
	s.improve()
}

// sheetOrders counts the orders of sorted.
const sheetOrders = 4

// sorted puts items in one of four orders, largest first: by area, longer side, width, height.
func (s *sheetSolver) sorted(items []int32, order int) {
	key := func(i int32) int64 {
		q := s.items[i]
		switch order {
		case 0:
			return q.W * q.H
		case 1:
			return max(q.W, q.H)
		case 2:
			return q.W
		default:
			return q.H
		}
	}
	slices.SortFunc(items, func(a, b int32) int {
		return cmp.Or(cmp.Compare(key(b), key(a)), cmp.Compare(s.items[b].W*s.items[b].H, s.items[a].W*s.items[a].H), cmp.Compare(a, b))
	})
}

// construct places all items in an order, opening sheets as needed.
func (s *sheetSolver) construct(order, rule int) packing {
	items := make([]int32, len(s.items))
	for i := range items {
		items[i] = int32(i)
	}
	s.sorted(items, order)
	var p packing
	r := recreation{s: s, rule: rule}
	for _, i := range items {
		at, o, ok := r.place(&p, i)
		if !ok {
			p.trees = append(p.trees, newCutTree(s.w, s.h))
			at, o, _ = r.place(&p, i)
		}
		p.trees[at].put(i, o)
	}
	return p
}

// improve runs the search until the bound is reached or the budget is spent.
func (s *sheetSolver) improve() {
	s.pool = newSheetPool(s)
	for len(s.best) > s.bound && !s.over() {
		now := s.dropOne(s.best)
		if now = s.search(now); len(now.out) > 0 {
			return
		}
		s.best = now.trees
	}
}

// dropOne takes the sheet with least area out of a plan.
func (s *sheetSolver) dropOne(trees []*cutTree) packing {
	least := 0
	for k, t := range trees {
		if t.area < trees[least].area {
			least = k
		}
	}
	p := packing{trees: slices.Delete(slices.Clone(trees), least, least+1), area: trees[least].area}
	for _, leaf := range trees[least].leaves() {
		p.out = append(p.out, trees[least].nodes[leaf].item)
	}
	return p
}

const (
	lateSteps = 300
	stale     = 20 * lateSteps
	poolEvery = 2000 // turns of the search between two choices from its sheets
)

// search tries to place all items in the sheets there are.
func (s *sheetSolver) search(now packing) packing {
	s.pool.seek(len(now.trees))
	s.startFrom(now)
	for len(now.out) > 0 && !s.over() {
		if now = s.descend(now, poolEvery); len(now.out) == 0 {
			return now
		}
		if found, ok := s.pool.choose(len(now.trees)); ok {
			return found
		}
		late, least, since := s.late, s.least, s.since
		rounded := s.pool.round(len(now.trees))
		s.late, s.least, s.since = late, least, since
		if rounded != nil && rounded.area <= now.area {
			now = *rounded
		}
	}
	return now
}

// descend takes so many turns of the search.
func (s *sheetSolver) descend(now packing, turns int) packing {
	rating := s.rate(now)
	for n := 0; n < turns && len(now.out) > 0 && !s.over(); n++ {
		if s.since++; s.since > stale { // nothing better for long: let worse states in again
			s.since = 0
			for i := range s.late {
				s.late[i] = sheetRating{area: now.area + now.area/2}
			}
		}
		next := s.ruin(now)
		s.recreate(&next, now.trees)
		for k, t := range next.trees {
			if t != now.trees[k] {
				s.pool.keep(t)
			}
		}
		late := &s.late[n%lateSteps]
		if r := s.rate(next); r.atLeast(rating) || r.atLeast(*late) {
			now, rating = next, r
		}
		if rating.atLeast(*late) {
			*late = rating
		}
		if now.area < s.least {
			s.least, s.since = now.area, 0
		}
	}
	return now
}

// startFrom makes the search compare with a state.
func (s *sheetSolver) startFrom(now packing) {
	s.late = slices.Repeat([]sheetRating{s.rate(now)}, lateSteps)
	s.least, s.since = now.area, 0
}

// recreate puts the items without a place back, in a random one of a few orders, as far as they fit. Sheets that are those
// of before are kept for others and copied first.
func (s *sheetSolver) recreate(p *packing, before []*cutTree) {
	items := p.out
	switch k := s.random.IntN(10); {
	case k < 5:
		s.sorted(items, 0)
	case k < 9:
		s.sorted(items, 1+k%3)
	default:
		s.random.Shuffle(len(items), func(a, b int) { items[a], items[b] = items[b], items[a] })
	}
	r := recreation{s: s, rule: s.random.IntN(3), blink: true}
	p.out = nil
	for _, i := range items {
		at, o, ok := r.place(p, i)
		if !ok {
			p.out = append(p.out, i)
			continue
		}
		if at < len(before) && p.trees[at] == before[at] {
			p.trees[at] = p.trees[at].clone()
		}
		p.trees[at].put(i, o)
		p.area -= s.items[i].W * s.items[i].H
	}
}

// recreation chooses places by one rule.
type recreation struct {
	s     *sheetSolver
	rule  int
	blink bool // overlook a place now and then
}

// place finds the place of least score for an item, over all sheets.
func (r *recreation) place(p *packing, item int32) (tree int, best spotOption, ok bool) {
	q := r.s.items[item]
	least := int64(-1)
	for k, t := range p.trees {
		if t.area+q.W*q.H > r.s.w*r.s.h {
			continue
		}
		r.s.steps += int64(len(t.nodes))
		for i := range t.nodes {
			n := &t.nodes[i]
			if n.slack <= 0 {
				continue
			}
			w, h := q.W, q.H
			if n.upright {
				w, h = h, w
			}
			for turn := range 2 {
				if turn == 1 {
					if !r.s.rotate || w == h {
						break
					}
					w, h = h, w
				}
				if w > n.slack || h > n.cross || r.blink && r.s.random.Uint32()&63 == 0 {
					continue
				}
				if v := r.score(n.slack-w, n.cross-h, n.slack, n.cross, w*h); least < 0 || v < least {
					least, tree, ok = v, k, true
					best = spotOption{int32(i), w, h, turn == 1, (n.slack-w)*n.cross >= n.slack*(n.cross-h)}
				}
			}
		}
	}
	if ok && r.blink && r.s.random.IntN(8) == 0 {
		best.first = !best.first
	}
	return tree, best, ok
}

// score rates what is left along and across beside an item in a strip.
func (r *recreation) score(along, across, slack, cross, area int64) int64 {
	switch r.rule {
	case 0:
		return min(along, across)
	case 1:
		return slack*cross - area
	default:
		return max(along, across)
	}
}

// result writes the best plan out.
func (s *sheetSolver) result() SheetResult {
	r := SheetResult{Status: Feasible, Sheets: len(s.best), Bound: s.bound, Places: make([]SheetPlace, len(s.items)), Steps: s.steps}
	for k, t := range s.best {
		t.walk(t.root, 0, 0, func(leaf int32, x, y int64) {
			n := t.nodes[leaf]
			q := s.p.Items[n.item]
			w, h := q.W, q.H
			if n.turned {
				w, h = h, w
			}
			r.Places[n.item] = SheetPlace{k, x, y, w, h}
		})
	}
	if r.Sheets == r.Bound {
		r.Status = Optimal
	}
	return r
}
