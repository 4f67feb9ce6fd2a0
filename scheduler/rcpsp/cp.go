package rcpsp

// An exact engine: constraint propagation that can explain every conclusion, and a search that learns from conflicts
// (lazy clause generation, Ohrimenko, Stuckey & Codish 2009; for this problem Schutt, Feydy, Stuckey & Wallace 2011).
//
// Every variable x (a start, the makespan, the lateness) has two bound keys: key 2x holds its lower bound, key 2x+1
// its negated upper bound. An atom (k, v) says bound[k] ≥ v, so both sides of a variable are treated by the same code:
// x ≥ v is (2x, v), x ≤ v is (2x+1, −v), and the negation of (k, v) is (k^1, 1−v). No truth variables exist; clauses,
// explanations and decisions are made of atoms.

type atom struct{ k, v int32 }

func (a atom) not() atom { return atom{a.k ^ 1, 1 - a.v} }

// reasonKind says how an entry of the trail follows from earlier ones.
type reasonKind int32

const (
	byDecision reasonKind = iota
	byArc                 // a: key, b: lag; bound[a] ≥ v−b gives bound[k] ≥ v
	byClause              // a: clause
	byProfile             // a: resource, b: time at which the rest of the profile leaves no room
	byCalendar            // a: bound from which the next start possible is that of the entry
	byText                // a, b: range of atoms in the explanation arena
)

type reason struct {
	kind reasonKind
	a, b int32
}

// entry is one change of a bound.
type entry struct {
	k, val, old int32
	prev        int32 // earlier entry of the same key, -1 the initial bound
	level       int32
	why         reason
}

// cpArc says bound[k] ≥ bound of its owner + lag.
type cpArc struct{ k, lag int32 }

type cp struct {
	m      *model
	n      int   // starts are variables 0..n-1
	span   int32 // variable of the makespan
	late   int32 // variable of the weighted lateness, -1 without
	bound  []int32
	last   []int32 // latest trail entry per key
	trail  []entry
	head   int     // of the trail not yet propagated
	level  []int32 // length of the trail when each decision was made
	texts  []int32 // and of the arena
	arcs   [][]cpArc
	placed int64 // starts that became fixed, the measure of effort
	steps  int64 // changes of bounds

	clauses  []clause
	lits     []atom
	watches  [][]watcher // lists of all keys, see watchLists
	listsOf  []watchLists
	text     []atom // arena of explanations made at once
	conflict []atom // all true, cannot hold together

	cumulative []*cumulative
	ofKey      [][]int32 // resources to look at when a key changes
	energies   []*energy
	weighs     bool   // energies are looked at
	stirred    []bool // resources whose work has to be looked at again
	dirty      []bool
	queue      []int32
	shut       [][]Interval // starts at which a resource would be away, per activity; see shutAround
	looks      []int8
	pairs      [][]pair // per activity: those it cannot overlap because a crew travels
	lateOf     []int32  // activities with a due date
	lateDirty  bool

	need   []int32 // marks of the analysis, by trail entry
	marked []bool
	expl   []atom
	learnt []atom
	stack  []int32
	search cpSearch
}

// newCP returns false where the root propagation already fails.
func newCP(m *model, upper Score) (*cp, bool) {
	c := &cp{m: m, n: m.n, span: int32(m.n), late: -1, weighs: !m.general}
	vars := m.n + 1
	if m.p.Objective == LatenessFirst && upper.Lateness < never-1 {
		c.late = int32(vars)
		vars++
	}
	c.bound = make([]int32, 2*vars)
	c.last = make([]int32, 2*vars)
	c.arcs = make([][]cpArc, 2*vars)
	c.ofKey = make([][]int32, 2*vars)
	c.shut, c.looks = make([][]Interval, m.n), make([]int8, m.n)
	c.pairs = make([][]pair, m.n)
	for k := range c.last {
		c.last[k] = -1
	}
	c.search.init(c)
	c.domains(upper)
	for k := range c.bound {
		c.openLists(int32(k))
	}
	c.post()
	return c, c.wake() && c.propagate()
}

// wake draws the conclusions of the bounds as they are at the start: what never changes would never be followed.
func (c *cp) wake() bool {
	for k := range c.bound {
		b := c.bound[k]
		if !c.follow(entry{k: int32(k), val: b, old: b}) {
			return false
		}
	}
	return true
}

func (c *cp) domains(upper Score) {
	for i := range c.n {
		c.bound[2*i] = int32(c.m.head[i])
		c.bound[2*i+1] = -int32(min(c.m.hi[i], never-1))
	}
	c.bound[2*c.span+1] = -int32(min(upper.Makespan, never-1))
	if c.late >= 0 {
		c.bound[2*c.late+1] = -int32(min(upper.Lateness, never-1))
	}
}

func (c *cp) post() {
	for i := range c.n {
		for _, s := range c.m.succ[i] {
			c.addArc(int32(i), int32(s.to), int32(s.min))
		}
		c.addArc(int32(i), c.span, int32(c.m.dur[i]))
	}
	for r := range c.m.p.Resources {
		if cu := newCumulative(c, r); cu != nil {
			at := int32(len(c.cumulative))
			c.cumulative = append(c.cumulative, cu)
			for _, t := range cu.tasks {
				c.ofKey[2*t.x] = append(c.ofKey[2*t.x], at)
				c.ofKey[2*t.x+1] = append(c.ofKey[2*t.x+1], at)
			}
			c.dirty = append(c.dirty, true)
			c.stirred = append(c.stirred, true)
			c.energies = append(c.energies, newEnergy(cu))
			c.queue = append(c.queue, at)
		}
	}
	c.postPairs()
	c.postLateness()
}

// constant is a variable that stands at v.
func (c *cp) constant(v int32) int32 {
	x := int32(len(c.bound) / 2)
	c.bound = append(c.bound, v, -v)
	c.last = append(c.last, -1, -1)
	c.arcs = append(c.arcs, nil, nil)
	c.openLists(2 * x)
	c.openLists(2*x + 1)
	c.ofKey = append(c.ofKey, nil, nil)
	return x
}

func (c *cp) addArc(i, j, lag int32) {
	c.arcs[2*i] = append(c.arcs[2*i], cpArc{2 * j, lag})
	c.arcs[2*j+1] = append(c.arcs[2*j+1], cpArc{2*i + 1, lag})
}

func (c *cp) lb(x int32) int32 { return c.bound[2*x] }
func (c *cp) ub(x int32) int32 { return -c.bound[2*x+1] }

func (c *cp) holds(a atom) bool { return c.bound[a.k] >= a.v }
func (c *cp) fails(a atom) bool { return c.bound[a.k^1] >= 1-a.v }
func (c *cp) depth() int32      { return int32(len(c.level)) }

// set makes bound[k] ≥ v for a reason. It reports false, with the conflict filled in, where the other side forbids it.
func (c *cp) set(k, v int32, why reason) bool {
	if c.bound[k] >= v {
		return true
	}
	if c.bound[k^1] >= 1-v {
		c.conflict = append(c.conflict[:0], atom{k ^ 1, 1 - v})
		c.explain(k, v, why, int32(len(c.trail)))
		c.conflict = append(c.conflict, c.expl...)
		return false
	}
	c.trail = append(c.trail, entry{k: k, val: v, old: c.bound[k], prev: c.last[k], level: c.depth(), why: why})
	c.last[k] = int32(len(c.trail) - 1)
	c.bound[k] = v
	c.steps++
	if v == -c.bound[k^1] && k < int32(2*c.n) {
		c.placed++
	}
	return true
}

func (c *cp) newLevel() {
	c.level = append(c.level, int32(len(c.trail)))
	c.texts = append(c.texts, int32(len(c.text)))
}

// backTo undoes all levels above depth.
func (c *cp) backTo(depth int32) {
	if c.depth() <= depth {
		return
	}
	from := int(c.level[depth])
	for at := len(c.trail) - 1; at >= from; at-- {
		e := &c.trail[at]
		c.bound[e.k] = e.old
		c.last[e.k] = e.prev
	}
	c.text = c.text[:c.texts[depth]]
	c.texts = c.texts[:depth]
	c.trail = c.trail[:from]
	c.level = c.level[:depth]
	c.head = from
	for _, r := range c.queue {
		c.dirty[r] = false
	}
	c.queue = c.queue[:0]
	clear(c.stirred)
	c.lateDirty = false
	c.search.undone(depth)
}

// propagate draws all conclusions; false leaves a conflict.
func (c *cp) propagate() bool {
	for {
		for c.head < len(c.trail) {
			e := c.trail[c.head]
			c.head++
			if !c.follow(e) {
				return false
			}
		}
		if c.lateDirty {
			c.lateDirty = false
			if !c.propagateLateness() {
				return false
			}
			continue
		}
		if len(c.queue) == 0 {
			r := c.nextEnergy()
			if r < 0 {
				return true
			}
			if !c.energies[r].propagate(c) {
				return false
			}
			continue
		}
		r := c.queue[0]
		copy(c.queue, c.queue[1:])
		c.queue = c.queue[:len(c.queue)-1]
		c.dirty[r] = false
		c.stirred[r] = true
		if !c.cumulative[r].propagate(c) {
			return false
		}
	}
}

// nextEnergy is a resource whose work has to be looked at, -1 without one.
func (c *cp) nextEnergy() int {
	if !c.weighs {
		return -1
	}
	for r, s := range c.stirred {
		if s {
			c.stirred[r] = false
			return r
		}
	}
	return -1
}

// follow draws the cheap conclusions of one change: lags, calendars, travel, clauses; it wakes what costs more.
func (c *cp) follow(e entry) bool {
	b := c.bound[e.k]
	if b > e.val {
		// A later entry of the same key covers arcs and calendars; clauses watch each step.
		return c.visit(e.k, e.old, e.val)
	}
	for _, a := range c.arcs[e.k] {
		if c.bound[a.k] < b+a.lag && !c.set(a.k, b+a.lag, reason{byArc, e.k, a.lag}) {
			return false
		}
	}
	if x := e.k >> 1; int(x) < c.n {
		if !c.openStart(x, e.k) || !c.travel(x, e.k) {
			return false
		}
	}
	for _, r := range c.ofKey[e.k] {
		if !c.dirty[r] {
			c.dirty[r] = true
			c.queue = append(c.queue, r)
		}
	}
	if c.late >= 0 {
		c.lateDirty = true
	}
	return c.visit(e.k, e.old, e.val)
}

// position is the earliest trail entry since which the atom holds, -1 for ever. The atom must hold now.
func (c *cp) position(a atom) int32 {
	at := c.last[a.k]
	for at >= 0 && c.trail[at].old >= a.v {
		at = c.trail[at].prev
	}
	return at
}

// explain fills expl with atoms that held before entry at and imply bound[k] ≥ v for the reason.
func (c *cp) explain(k, v int32, why reason, at int32) {
	c.expl = c.expl[:0]
	switch why.kind {
	case byArc:
		c.expl = append(c.expl, atom{why.a, v - why.b})
	case byClause:
		cl := &c.clauses[why.a]
		for _, a := range c.lits[cl.off : cl.off+cl.len] {
			if a.k != k {
				c.expl = append(c.expl, a.not())
			}
		}
	case byProfile:
		c.cumulative[why.a].explain(c, k, v, why.b, at)
	case byCalendar:
		c.expl = append(c.expl, atom{k, why.a})
	case byText:
		c.expl = append(c.expl, c.text[why.a:why.b]...)
	}
}
