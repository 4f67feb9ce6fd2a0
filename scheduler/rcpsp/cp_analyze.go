package rcpsp

// analyze turns the conflict into a clause (first unique implication point), which is left in learnt with the atom to
// assert first and one of the deepest of the others second. It returns the depth to go back to and the number of
// levels in the clause; depth −1 says the conflict holds at the root: there is no solution.
func (c *cp) analyze() (back, lbd int32) {
	for len(c.marked) < len(c.trail) {
		c.marked = append(c.marked, false)
		c.need = append(c.need, 0)
	}
	deepest := int32(0)
	for _, a := range c.conflict {
		if at := c.position(a); at >= 0 {
			deepest = max(deepest, c.trail[at].level)
		}
	}
	if deepest == 0 {
		return -1, 0
	}
	c.learnt = append(c.learnt[:0], atom{})
	c.stack = c.stack[:0]
	open := 0
	for _, a := range c.conflict {
		open += c.mark(a, deepest)
	}
	at := int32(len(c.trail))
	for {
		at--
		for !c.marked[at] || c.trail[at].level != deepest {
			at--
		}
		e := c.trail[at]
		c.search.bump(e.k, c.need[at])
		if open == 1 {
			c.learnt[0] = atom{e.k, c.need[at]}.not()
			c.marked[at] = false
			break
		}
		open--
		c.marked[at] = false
		if e.why.kind == byClause {
			c.bumpClause(e.why.a)
		}
		c.explain(e.k, c.need[at], e.why, at)
		for _, a := range c.expl {
			open += c.mark(a, deepest)
		}
	}
	c.collect()
	return c.backDepth()
}

// mark notes that the analysis needs the atom; it returns 1 where that is a new entry of the deepest level.
func (c *cp) mark(a atom, deepest int32) int {
	at := c.position(a)
	if at < 0 || c.trail[at].level == 0 {
		return 0
	}
	if c.marked[at] {
		c.need[at] = max(c.need[at], a.v)
		return 0
	}
	c.marked[at] = true
	c.need[at] = a.v
	if c.trail[at].level == deepest {
		return 1
	}
	c.stack = append(c.stack, at)
	return 0
}

// collect moves the marked entries of lower levels into the clause, without those the others imply.
func (c *cp) collect() {
	for _, at := range c.stack {
		e := &c.trail[at]
		if !c.implied(at) {
			c.learnt = append(c.learnt, atom{e.k, c.need[at]}.not())
			c.search.bump(e.k, c.need[at])
		}
	}
	for _, at := range c.stack {
		c.marked[at] = false
	}
	c.dropWeaker()
}

// implied reports whether the reason of a marked entry consists of marked entries only. What is implied stays marked:
// it follows from entries before it, so there is no circle.
func (c *cp) implied(at int32) bool {
	e := c.trail[at]
	if e.why.kind == byDecision {
		return false
	}
	c.explain(e.k, c.need[at], e.why, at)
	for _, a := range c.expl {
		p := c.position(a)
		if p >= 0 && c.trail[p].level > 0 && (!c.marked[p] || c.need[p] < a.v) {
			return false
		}
	}
	return true
}

// dropWeaker keeps one atom per key in the clause: of x ≥ 3 and x ≥ 5 needed, only x ≥ 5.
func (c *cp) dropWeaker() {
	kept := 1
	for _, a := range c.learnt[1:] {
		merged := false
		for j := range kept {
			if b := &c.learnt[j]; b.k == a.k {
				if j > 0 {
					b.v = min(b.v, a.v)
					merged = true
				} else if b.v <= a.v {
					merged = true
				}
				break
			}
		}
		if !merged {
			c.learnt[kept] = a
			kept++
		}
	}
	c.learnt = c.learnt[:kept]
}

// backDepth puts an atom of the deepest level second and counts the levels.
func (c *cp) backDepth() (back, lbd int32) {
	levels := &c.search.levels
	levels.next()
	lbd = 1
	for j := 1; j < len(c.learnt); j++ {
		at := c.position(c.learnt[j].not())
		level := c.trail[at].level
		if levels.add(level) {
			lbd++
		}
		if level > back {
			back = level
			c.learnt[1], c.learnt[j] = c.learnt[j], c.learnt[1]
		}
	}
	return back, lbd
}

// stamps is a set of small numbers that empties in constant time.
type stamps struct {
	seen []int32
	now  int32
}

func (s *stamps) next() { s.now++ }

func (s *stamps) add(i int32) bool {
	for int(i) >= len(s.seen) {
		s.seen = append(s.seen, 0)
	}
	if s.seen[i] == s.now {
		return false
	}
	s.seen[i] = s.now
	return true
}
