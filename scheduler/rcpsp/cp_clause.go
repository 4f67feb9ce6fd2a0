package rcpsp

import (
	"cmp"
	"slices"
)

// clause is a disjunction of atoms in the arena lits; the first two are watched.
type clause struct {
	off, len int32
	lbd      int32 // number of decision levels when it was learnt: few means useful
	activity float32
}

// addClause stores the atoms, at least two, of which the first is to become true and the second was falsified last.
func (c *cp) addClause(atoms []atom, lbd int32) int32 {
	ref := int32(len(c.clauses))
	c.clauses = append(c.clauses, clause{off: int32(len(c.lits)), len: int32(len(atoms)), lbd: lbd, activity: c.search.clauseStep})
	c.lits = append(c.lits, atoms...)
	c.watch(ref, atoms[0])
	c.watch(ref, atoms[1])
	return ref
}

// rewatch replaces the false second atom by one that is not false.
func (c *cp) rewatch(ref int32, lits []atom) bool {
	for j := 2; j < len(lits); j++ {
		if !c.fails(lits[j]) {
			lits[1], lits[j] = lits[j], lits[1]
			c.watch(ref, lits[1])
			return true
		}
	}
	return false
}

// reduce drops the less useful half of the clauses and what is true for ever. Only at depth 0.
func (c *cp) reduce(all bool) {
	order := make([]int32, 0, len(c.clauses))
	for i := range c.clauses {
		order = append(order, int32(i))
	}
	slices.SortStableFunc(order, func(x, y int32) int {
		a, b := &c.clauses[x], &c.clauses[y]
		if a.lbd <= 2 || b.lbd <= 2 {
			return cmp.Compare(min(a.lbd, 3), min(b.lbd, 3))
		}
		return cmp.Compare(b.activity, a.activity)
	})
	keep := len(order) / 2
	for keep < len(order) && c.clauses[order[keep]].lbd <= 2 && keep < len(order)*3/4 {
		keep++
	}
	if !all {
		keep = len(order)
	}
	order = order[:keep]
	slices.Sort(order)
	for at := range c.watches {
		c.watches[at] = c.watches[at][:0]
	}
	clauses, lits := c.clauses[:0:0], c.lits[:0:0]
	for _, ref := range order {
		old := c.clauses[ref]
		off := int32(len(lits))
		satisfied := false
		for _, a := range c.lits[old.off : old.off+old.len] {
			satisfied = satisfied || c.holds(a)
			if !c.fails(a) {
				lits = append(lits, a)
			}
		}
		if satisfied || int32(len(lits))-off < 2 {
			lits = lits[:off]
			continue
		}
		old.off, old.len = off, int32(len(lits))-off
		clauses = append(clauses, old)
		c.watch(int32(len(clauses)-1), lits[off])
		c.watch(int32(len(clauses)-1), lits[off+1])
	}
	c.clauses, c.lits = clauses, lits
}

func (c *cp) bumpClause(ref int32) {
	cl := &c.clauses[ref]
	cl.activity += c.search.clauseStep
	if cl.activity > 1e20 {
		for i := range c.clauses {
			c.clauses[i].activity *= 1e-20
		}
		c.search.clauseStep *= 1e-20
	}
}
