package rcpsp

// cpSearch decides: the atom that took part in most of the recent conflicts (VSIDS, Moskewicz et al. 2001), on the
// side of the best schedule so far; where no atom has a record, the activity that can start first, as early as it can.
type cpSearch struct {
	c          *cp
	ids        idTable
	score      []float64
	heap       []int32 // ids, greatest score first
	pos        []int32 // in the heap, -1 outside
	gone       []gone  // decided atoms taken off the heap, to be put back
	step       float64
	clauseStep float32
	levels     stamps
	guide      []int32 // best schedule so far, nil without
	greedy     bool    // decide by earliest start only
	limit      int     // clauses to keep
	conflicts  int64
	decisions  int64
}

type gone struct{ id, level int32 }

func (s *cpSearch) init(c *cp) {
	s.c, s.step, s.clauseStep, s.limit = c, 1, 1, 4000
}

// bump raises the score of the split of variable k/2 that the atom (k, v) makes.
func (s *cpSearch) bump(k, v int32) {
	x, split := k>>1, v-1 // x ≥ v splits between v−1 and v
	if k&1 == 1 {
		split = -v // x ≤ −v
	}
	id := s.ids.get(x, split)
	if int(id) == len(s.score) {
		s.score = append(s.score, 0)
		s.pos = append(s.pos, -1)
	}
	s.score[id] += s.step
	if s.score[id] > 1e100 {
		for i := range s.score {
			s.score[i] *= 1e-100
		}
		s.step *= 1e-100
	}
	if s.pos[id] < 0 {
		s.insert(id)
	} else {
		s.up(int(s.pos[id]))
	}
}

func (s *cpSearch) decay() {
	s.step /= 0.95
	s.clauseStep /= 0.999
}

func (s *cpSearch) insert(id int32) {
	s.pos[id] = int32(len(s.heap))
	s.heap = append(s.heap, id)
	s.up(len(s.heap) - 1)
}

func (s *cpSearch) up(k int) {
	id := s.heap[k]
	for k > 0 {
		p := (k - 1) / 2
		if s.score[s.heap[p]] >= s.score[id] {
			break
		}
		s.heap[k] = s.heap[p]
		s.pos[s.heap[k]] = int32(k)
		k = p
	}
	s.heap[k] = id
	s.pos[id] = int32(k)
}

func (s *cpSearch) popTop() int32 {
	top := s.heap[0]
	last := s.heap[len(s.heap)-1]
	s.heap = s.heap[:len(s.heap)-1]
	s.pos[top] = -1
	if len(s.heap) == 0 {
		return top
	}
	k := 0
	for {
		ch := 2*k + 1
		if ch >= len(s.heap) {
			break
		}
		if ch+1 < len(s.heap) && s.score[s.heap[ch+1]] > s.score[s.heap[ch]] {
			ch++
		}
		if s.score[s.heap[ch]] <= s.score[last] {
			break
		}
		s.heap[k] = s.heap[ch]
		s.pos[s.heap[k]] = int32(k)
		k = ch
	}
	s.heap[k] = last
	s.pos[last] = int32(k)
	return top
}

// undone puts back the atoms that were taken off the heap above depth.
func (s *cpSearch) undone(depth int32) {
	for k := len(s.gone); k > 0 && s.gone[k-1].level > depth; k-- {
		if id := s.gone[k-1].id; s.pos[id] < 0 {
			s.insert(id)
		}
		s.gone = s.gone[:k-1]
	}
}

// decide returns the next decision; false where every start is fixed.
func (s *cpSearch) decide() (atom, bool) {
	c := s.c
	for !s.greedy && len(s.heap) > 0 {
		id := s.heap[0]
		x, v := s.ids.x[id], s.ids.v[id]
		if c.lb(x) <= v && v < c.ub(x) {
			if int(x) < c.n && s.guide != nil && s.guide[x] > v {
				return atom{2 * x, v + 1}, true
			}
			return atom{2*x + 1, -v}, true
		}
		s.popTop()
		s.gone = append(s.gone, gone{id, c.depth()})
	}
	return s.earliest()
}

// earliest fixes the free activity of least earliest start, ties to the least latest start.
func (s *cpSearch) earliest() (atom, bool) {
	c := s.c
	best := int32(-1)
	for x := range int32(c.n) {
		lb, ub := c.lb(x), c.ub(x)
		if lb == ub {
			continue
		}
		if best < 0 || lb < c.lb(best) || lb == c.lb(best) && ub < c.ub(best) {
			best = x
		}
	}
	if best < 0 {
		return atom{}, false
	}
	if s.guide != nil {
		g := s.guide[best]
		if g >= c.ub(best) {
			return atom{2 * best, c.ub(best)}, true
		}
		if g > c.lb(best) {
			return atom{2*best + 1, -g}, true
		}
	}
	return atom{2*best + 1, -c.lb(best)}, true
}

// idTable numbers the splits that took part in conflicts.
type idTable struct {
	x, v  []int32
	slots []int32 // id+1, 0 empty
}

func (t *idTable) get(x, v int32) int32 {
	if 2*(len(t.x)+1) > len(t.slots) {
		t.grow()
	}
	mask := uint32(len(t.slots) - 1)
	for h := hash(x, v) & mask; ; h = (h + 1) & mask {
		id := t.slots[h] - 1
		if id < 0 {
			t.slots[h] = int32(len(t.x)) + 1
			t.x = append(t.x, x)
			t.v = append(t.v, v)
			return int32(len(t.x)) - 1
		}
		if t.x[id] == x && t.v[id] == v {
			return id
		}
	}
}

func (t *idTable) grow() {
	t.slots = make([]int32, max(1024, 2*len(t.slots)))
	mask := uint32(len(t.slots) - 1)
	for id := range t.x {
		h := hash(t.x[id], t.v[id]) & mask
		for t.slots[h] != 0 {
			h = (h + 1) & mask
		}
		t.slots[h] = int32(id) + 1
	}
}

func hash(x, v int32) uint32 {
	h := uint32(x)*0x9e3779b1 ^ uint32(v)*0x85ebca77
	return h ^ h>>15
}

// outcome of a run of the search.
type outcome int

const (
	gaveUp   outcome = iota // the effort is spent
	solution                // every start is fixed
	refuted                 // the assumptions cannot hold
	closed                  // nothing can: the root failed
)

// run searches under the assumptions until one of the outcomes, or until stop says so. It restarts after the Luby
// sequence times 128 conflicts. After solution the starts stand in the bounds; the caller goes back to the root.
func (c *cp) run(assume []atom, conflicts int64, stop func() bool) outcome {
	s := &c.search
	for round := 1; ; round++ {
		c.backTo(0)
		if !c.propagate() {
			return closed
		}
		c.forgetRoot()
		if len(c.clauses) > s.limit {
			c.reduce(true)
			s.limit += 200
		}
		allowed := min(conflicts, 128*luby(round))
		conflicts -= allowed
		switch got := c.descend(assume, allowed, stop); got {
		case gaveUp:
			if conflicts <= 0 || stop() {
				c.backTo(0)
				return gaveUp
			}
		default:
			return got
		}
	}
}

// forgetRoot drops the history of the root level: nothing asks for its reasons.
func (c *cp) forgetRoot() {
	for _, e := range c.trail {
		c.last[e.k] = -1
	}
	c.trail, c.text, c.head = c.trail[:0], c.text[:0], 0
}

func (c *cp) descend(assume []atom, conflicts int64, stop func() bool) outcome {
	s := &c.search
	for {
		if !c.propagate() {
			s.conflicts++
			conflicts--
			if !c.learn() {
				return closed
			}
			if conflicts <= 0 || s.conflicts&7 == 0 && stop() {
				return gaveUp
			}
			continue
		}
		next, ok := atom{}, false
		for _, a := range assume {
			if c.fails(a) {
				return refuted
			}
			if !c.holds(a) {
				next, ok = a, true
				break
			}
		}
		if !ok {
			if next, ok = s.decide(); !ok {
				return solution
			}
		}
		if s.decisions++; s.decisions&255 == 0 && stop() {
			return gaveUp
		}
		c.newLevel()
		c.set(next.k, next.v, reason{kind: byDecision})
	}
}

// learn adds the clause of the conflict and goes back; false where the root fails.
func (c *cp) learn() bool {
	back, lbd := c.analyze()
	if back < 0 {
		return false
	}
	c.backTo(back)
	c.search.decay()
	first := c.learnt[0]
	if len(c.learnt) == 1 {
		return c.set(first.k, first.v, reason{kind: byDecision})
	}
	return c.set(first.k, first.v, reason{byClause, c.addClause(c.learnt, lbd), 0})
}

// luby is 1 1 2 1 1 2 4 … (Luby, Sinclair & Zuckerman 1993), i from 1.
func luby(i int) int64 {
	for {
		k := 1
		for (1<<k)-1 < i {
			k++
		}
		if (1<<k)-1 == i {
			return 1 << (k - 1)
		}
		i -= (1 << (k - 1)) - 1
	}
}
