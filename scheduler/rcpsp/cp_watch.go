package rcpsp

// watcher waits for bound ≥ need on the opposite key, which makes the watched atom false.
type watcher struct{ c, need int32 }

// watchLists are the lists of the watchers of a key, each for so many values of need one after the other: a bound
// that moves by a little looks at few of them.
type watchLists struct{ first, count, base, width int32 }

// mostLists is into how many the watchers of a key are parted at most.
const mostLists = 64

// openLists makes the lists of key k, the next one. With calendars bounds move in long steps: one list has all.
func (c *cp) openLists(k int32) {
	l := watchLists{first: int32(len(c.watches)), count: 1, base: c.bound[k] + 1, width: 1}
	if span := -c.bound[k^1] - c.bound[k] + 1; !c.m.general && span > 1 {
		l.width = (span + mostLists - 1) / mostLists
		l.count = (span + l.width - 1) / l.width
	}
	c.listsOf = append(c.listsOf, l)
	c.watches = append(c.watches, make([][]watcher, l.count)...)
}

// of is the list for a need.
func (l *watchLists) of(need int32) int32 {
	return l.first + min(max(0, (need-l.base)/l.width), l.count-1)
}

func (c *cp) watch(ref int32, a atom) {
	k, need := a.k^1, 1-a.v
	at := c.listsOf[k].of(need)
	c.watches[at] = append(c.watches[at], watcher{ref, need})
}

// visit serves the clauses that watch an atom falsified by bound[k] going from old to val.
func (c *cp) visit(k, old, val int32) bool {
	l := &c.listsOf[k]
	for at, last := l.of(old+1), l.of(val); at <= last; at++ {
		if !c.visitList(at, k, old, val) {
			return false
		}
	}
	return true
}

func (c *cp) visitList(at, k, old, val int32) bool {
	ws := c.watches[at]
	i := 0
	for i < len(ws) && (ws[i].need > val || ws[i].need <= old) {
		i++
	}
	kept := i
	for ; i < len(ws); i++ {
		w := ws[i]
		if w.need > val || w.need <= old {
			ws[kept] = w
			kept++
			continue
		}
		cl := &c.clauses[w.c]
		lits := c.lits[cl.off : cl.off+cl.len]
		if lits[0].k == k^1 && 1-lits[0].v == w.need {
			lits[0], lits[1] = lits[1], lits[0]
		}
		if c.holds(lits[0]) || c.rewatch(w.c, lits) {
			if c.holds(lits[0]) {
				ws[kept] = w
				kept++
			}
			continue
		}
		ws[kept] = w
		kept++
		if !c.set(lits[0].k, lits[0].v, reason{byClause, w.c, 0}) {
			kept += copy(ws[kept:], ws[i+1:])
			c.watches[at] = ws[:kept]
			return false
		}
	}
	c.watches[at] = ws[:kept]
	return true
}
