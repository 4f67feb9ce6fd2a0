package nest

import (
	"cmp"
	"slices"
)

// barPricer finds the sets of greatest worth that fit one bar, by dynamic programming over lists of states none of which
// is both longer and worth less than another, thinned by a bound. Worths are integers, what it proves is exact.
type barPricer struct {
	s      *barSolver
	worth  []int64 // by size
	most   []int   // by size: at most so many
	order  []int32 // sizes, densest first
	sumW   []int64 // prefix sums of length and worth in that order
	sumV   []int64
	states []barState
	list   []int32 // states none of which dominates another, by length
	steps  int64
	limit  int64
}

// barState is a partial filling; from is the state it grew out of, by one more of a size.
type barState struct {
	w, v int64
	from int32
	size int32
}

// run gives sets worth more than floor, best first, at most n, and a number that no set's worth exceeds: the best
// worth, or floor, or less where nothing comes near. ok is false where the limit of steps was reached; then nothing is
// known from above.
func (q *barPricer) run(floor int64, n int) (sets []cutBar, upper int64, ok bool) {
	q.prepare()
	q.states = append(q.states[:0], barState{from: -1, size: -1})
	q.list = append(q.list[:0], 0)
	q.steps = 0
	best := floor
	if len(q.order) > 0 { // a first guess, so that little is kept that cannot beat it
		for _, bar := range q.quick(floor, 500) {
			v := int64(0)
			for _, k := range bar {
				v += q.worth[k]
			}
			best = max(best, v-1)
		}
	}
	for at, k := range q.order {
		best = q.extend(at, k, best, floor)
		if q.steps > q.limit || q.s.ctx.Err() != nil {
			return nil, 0, false
		}
	}
	q.s.steps += q.steps
	slices.SortStableFunc(q.list, func(a, b int32) int { return cmp.Compare(q.states[b].v, q.states[a].v) })
	for _, i := range q.list {
		if q.states[i].v <= floor || len(sets) == n {
			break
		}
		sets = append(sets, q.spell(i))
	}
	return sets, best, true
}

func (q *barPricer) prepare() {
	q.order = q.order[:0]
	for k, v := range q.worth {
		if v > 0 && q.most[k] > 0 {
			q.order = append(q.order, int32(k))
		}
	}
	size := q.s.size
	slices.SortStableFunc(q.order, func(a, b int32) int { // v_a/w_a > v_b/w_b, exactly
		return cmp.Compare(q.worth[b]*size[a], q.worth[a]*size[b])
	})
	q.sumW, q.sumV = append(q.sumW[:0], 0), append(q.sumV[:0], 0)
	for i, k := range q.order {
		n := min(int64(q.most[k]), q.s.capacity/size[k])
		q.sumW = append(q.sumW, q.sumW[i]+n*size[k])
		q.sumV = append(q.sumV, q.sumV[i]+n*q.worth[k])
	}
}

// above bounds what the sizes from place at on can add in a free length. hint is where the last answer was found.
func (q *barPricer) above(at int, free int64, hint *int) int64 {
	end := *hint
	for end < len(q.order) && q.sumW[end+1]-q.sumW[at] <= free {
		end++
	}
	for end > at && q.sumW[end]-q.sumW[at] > free {
		end--
	}
	*hint = end
	v := q.sumV[end] - q.sumV[at]
	if end < len(q.order) {
		k := q.order[end]
		v += ceilDiv((free-q.sumW[end]+q.sumW[at])*q.worth[k], q.s.size[k])
	}
	return v
}

// extend adds copies of size k to the states and drops what leads nowhere.
func (q *barPricer) extend(at int, k int32, best, floor int64) int64 {
	w, v := q.s.size[k], q.worth[k]
	fresh := q.list
	for range q.most[k] {
		var grown []int32
		for _, i := range fresh {
			st := q.states[i]
			if st.w+w > q.s.capacity {
				break
			}
			q.states = append(q.states, barState{st.w + w, st.v + v, i, k})
			grown = append(grown, int32(len(q.states)-1))
			best = max(best, st.v+v)
		}
		if len(grown) == 0 {
			break
		}
		q.list, fresh = q.merge(q.list, grown)
		q.steps += int64(len(q.list) + len(grown))
		if q.steps > q.limit || len(fresh) == 0 {
			break
		}
	}
	q.list = q.thin(at+1, best, floor)
	return best
}

// merge joins two lists by length and drops dominated states; fresh are the survivors of the second list.
func (q *barPricer) merge(a, b []int32) (list, fresh []int32) {
	list = make([]int32, 0, len(a)+len(b))
	top := int64(-1)
	for len(a) > 0 || len(b) > 0 {
		fromB := len(a) == 0
		if !fromB && len(b) > 0 {
			x, y := q.states[a[0]], q.states[b[0]]
			fromB = y.w < x.w || y.w == x.w && y.v > x.v
		}
		var i int32
		if fromB {
			i, b = b[0], b[1:]
		} else {
			i, a = a[0], a[1:]
		}
		if q.states[i].v <= top {
			continue
		}
		top = q.states[i].v
		list = append(list, i)
		if fromB {
			fresh = append(fresh, i)
		}
	}
	return list, fresh
}

// thin drops states that cannot lead above the middle between floor and best: sets in the upper half are wanted too, since
// several at a time improve a relaxation faster.
func (q *barPricer) thin(at int, best, floor int64) []int32 {
	kept := q.list[:0:len(q.list)]
	hint := len(q.order)
	enough := floor + (best-floor)/2
	for _, i := range q.list {
		st := q.states[i]
		if st.v+q.above(at, q.s.capacity-st.w, &hint) > enough {
			kept = append(kept, i)
		}
	}
	return kept
}

// spell gives the set of a state.
func (q *barPricer) spell(i int32) cutBar {
	var bar cutBar
	for ; i > 0; i = q.states[i].from {
		bar = append(bar, q.states[i].size)
	}
	slices.Sort(bar)
	return bar
}

// quick looks for sets worth more than floor along the densest first, and stops after so many nodes. What it finds is
// good enough to improve a relaxation; it proves nothing.
func (q *barPricer) quick(floor int64, nodes int) []cutBar {
	d := barDescent{q: q, best: floor, nodes: nodes, left: slices.Clone(q.most)}
	d.grow(0, q.s.capacity, 0)
	q.s.steps += int64(nodes - d.nodes)
	slices.Reverse(d.found)
	return d.found[:min(len(d.found), 8)]
}

// barDescent is one depth-first search for a set of great worth.
type barDescent struct {
	q     *barPricer
	best  int64
	nodes int
	left  []int
	stack cutBar
	found []cutBar // each better than the one before
}

func (d *barDescent) grow(at int, free, v int64) {
	if v > d.best {
		bar := slices.Clone(d.stack)
		slices.Sort(bar)
		d.best, d.found = v, append(d.found, bar)
	}
	for ; at < len(d.q.order); at++ {
		k := d.q.order[at]
		w := d.q.s.size[k]
		if w > free || d.left[k] == 0 {
			continue
		}
		if v+ceilDiv(free*d.q.worth[k], w) <= d.best || d.nodes <= 0 {
			return
		}
		d.nodes--
		d.left[k]--
		d.stack = append(d.stack, k)
		d.grow(at, free-w, v+d.q.worth[k])
		d.stack = d.stack[:len(d.stack)-1]
		d.left[k]++
	}
}
