package rcpsp

import (
	"cmp"
	"fmt"
	"slices"
)

// never is later than every time of a search.
const never = 1 << 30

type arc struct{ to, min int }

type use struct{ res, q int }

// model is a Problem compiled for search: adjacency, earliest and latest starts, and blocks.
//
// A block is a strongly connected component of the lag graph: activities tied to each other by minimum and maximum
// lags. Outside a block all lags point one way, so blocks in topological order can be placed one after the other, and
// a maximum lag that fails concerns its own block only.
type model struct {
	p       Problem
	n       int
	dur     []int
	uses    [][]use // resources of positive demand; none where the duration is 0
	succ    [][]arc
	pred    [][]arc
	head    []int // proved earliest start
	hi      []int // proved latest start
	tail    []int // proved least time from the start to the project's end
	blockOf []int
	blocks  [][]int // members in the order in which they are placed; blocks in a topological order
	before  [][]int // blocks that must precede, per block
	after   [][]int
	horizon int // no schedule of interest runs past it
	general bool
}

// infeasibility is why a model cannot be built.
type infeasibility struct {
	conflict []int
	reason   string
}

func compile(p Problem) (*model, *infeasibility) {
	m := &model{p: p, n: len(p.Activities)}
	m.dur = make([]int, m.n)
	m.uses = make([][]use, m.n)
	for i, a := range p.Activities {
		m.dur[i] = a.Duration
		for r, q := range a.Demand {
			if q > 0 && a.Duration > 0 {
				m.uses[i] = append(m.uses[i], use{r, q})
			}
		}
	}
	m.buildArcs()
	m.horizon = m.horizonOf()
	m.general = m.isGeneral()
	if bad := m.demandsFit(); bad != nil {
		return nil, bad
	}
	if bad := m.heads(); bad != nil {
		return nil, bad
	}
	if bad := m.latests(); bad != nil {
		return nil, bad
	}
	m.tails()
	m.buildBlocks()
	return m, nil
}

// isGeneral reports whether the problem has anything beyond lags and capacities.
func (m *model) isGeneral() bool {
	for _, r := range m.p.Resources {
		if len(r.Forbidden)+len(r.Lent) > 0 || r.Moves {
			return true
		}
	}
	return m.p.Objective != Makespan
}

func (m *model) free(i int) bool { return m.p.Activities[i].Fixed < 0 }

func (m *model) buildArcs() {
	m.succ = make([][]arc, m.n)
	m.pred = make([][]arc, m.n)
	for _, l := range m.p.Lags {
		if l.From == l.To && l.Min <= 0 || !m.free(l.From) && !m.free(l.To) {
			continue
		}
		m.succ[l.From] = append(m.succ[l.From], arc{l.To, l.Min})
		m.pred[l.To] = append(m.pred[l.To], arc{l.From, l.Min})
	}
}

// horizonOf bounds every start the search may try: with everything done one after the other, each after its longest
// lag and travel, behind the last calendar entry.
func (m *model) horizonOf() int {
	if m.p.Horizon > 0 {
		h := m.p.Horizon
		for i, a := range m.p.Activities {
			if a.Fixed >= 0 {
				h = max(h, a.Fixed+m.dur[i])
			}
		}
		return h
	}
	last, travel, sum := 0, 0, 0
	for _, r := range m.p.Resources {
		if k := len(r.Forbidden); k > 0 {
			last = max(last, r.Forbidden[k-1].End)
		}
		if k := len(r.Lent); k > 0 {
			last = max(last, r.Lent[k-1].End)
		}
	}
	for _, row := range m.p.Travel {
		for _, d := range row {
			travel = max(travel, d)
		}
	}
	for i, a := range m.p.Activities {
		last = max(last, a.Release, a.Fixed+a.Duration)
		longest := a.Duration
		for _, s := range m.succ[i] {
			longest = max(longest, s.min)
		}
		sum += longest + travel
	}
	return min(last+sum, never-1)
}

// demandsFit finds an activity that no capacity or no free window of its resources can take.
func (m *model) demandsFit() *infeasibility {
	for i := range m.uses {
		if !m.free(i) {
			continue
		}
		for _, u := range m.uses[i] {
			if u.q > m.p.Resources[u.res].Capacity {
				return &infeasibility{[]int{i}, fmt.Sprintf("activity %d needs %d of resource %d, which has %d",
					i, u.q, u.res, m.p.Resources[u.res].Capacity)}
			}
		}
	}
	return nil
}

// snapUp returns the first start ≥ t at which no resource of i is away during the activity.
func (m *model) snapUp(i, t int) int {
	for again := true; again; {
		again = false
		for _, u := range m.uses[i] {
			fs := m.p.Resources[u.res].Forbidden
			for k := firstEndingAfter(fs, t); k < len(fs) && fs[k].Start < t+m.dur[i]; k++ {
				if fs[k].Start < fs[k].End {
					t, again = fs[k].End, true
				}
			}
		}
	}
	return t
}

// snapDown returns the last start ≤ t at which no resource of i is away; it may be negative.
func (m *model) snapDown(i, t int) int {
	for again := true; again; {
		again = false
		for _, u := range m.uses[i] {
			fs := m.p.Resources[u.res].Forbidden
			for k := firstEndingAfter(fs, t); k < len(fs) && fs[k].Start < t+m.dur[i]; k++ {
				if fs[k].Start < fs[k].End {
					t, again = fs[k].Start-m.dur[i], true
					break
				}
			}
		}
	}
	return t
}

// firstEndingAfter is the index of the first interval with End > t.
func firstEndingAfter(fs []Interval, t int) int {
	lo, hi := 0, len(fs)
	for lo < hi {
		mid := int(uint(lo+hi) >> 1)
		if fs[mid].End > t {
			hi = mid
		} else {
			lo = mid + 1
		}
	}
	return lo
}

// heads computes the earliest starts from releases, lags and calendars, by label correction. More rounds than
// activities mean a cycle of lags that pushes itself forward.
func (m *model) heads() *infeasibility {
	m.head = make([]int, m.n)
	from := make([]int, m.n)
	w := newWorklist(m.n)
	for i, a := range m.p.Activities {
		from[i] = -1
		if a.Fixed >= 0 {
			m.head[i] = a.Fixed
		} else {
			m.head[i] = m.snapUp(i, max(0, a.Release))
		}
		w.push(i)
	}
	for !w.empty() {
		i := w.pop()
		for _, s := range m.succ[i] {
			t := m.head[i] + s.min
			if t <= m.head[s.to] {
				continue
			}
			from[s.to] = i
			if !m.free(s.to) {
				return m.chainOf(s.to, from, fmt.Sprintf("activity %d is fixed at %d, its predecessors allow %d at the earliest",
					s.to, m.p.Activities[s.to].Fixed, t))
			}
			m.head[s.to] = m.snapUp(s.to, t)
			if m.head[s.to] > m.horizon {
				return m.chainOf(s.to, from, fmt.Sprintf("activity %d finds no time before the horizon %d", s.to, m.horizon))
			}
			w.push(s.to)
		}
	}
	for i := range m.head {
		if m.free(i) && m.head[i] > m.horizon-m.dur[i] {
			return m.chainOf(i, from, fmt.Sprintf("activity %d of duration %d finds no window before the horizon %d", i, m.dur[i], m.horizon))
		}
	}
	return nil
}

// chainOf collects the activities whose lags lead to i; a cycle ends it.
func (m *model) chainOf(i int, from []int, reason string) *infeasibility {
	seen := make(map[int]bool)
	var chain []int
	for ; i >= 0 && !seen[i]; i = from[i] {
		seen[i] = true
		chain = append(chain, i)
	}
	slices.Sort(chain)
	return &infeasibility{chain, reason}
}

// latests computes the latest starts backwards from latest times, fixed starts and the horizon.
func (m *model) latests() *infeasibility {
	m.hi = make([]int, m.n)
	from := make([]int, m.n)
	w := newWorklist(m.n)
	for i, a := range m.p.Activities {
		from[i] = -1
		if a.Fixed >= 0 {
			m.hi[i] = a.Fixed
		} else {
			m.hi[i] = m.horizon - m.dur[i]
			if a.Latest >= 0 {
				m.hi[i] = min(m.hi[i], a.Latest)
			}
			m.hi[i] = m.snapDown(i, m.hi[i])
		}
		w.push(i)
	}
	for !w.empty() {
		j := w.pop()
		if m.hi[j] < m.head[j] {
			return m.chainOf(j, from, fmt.Sprintf("activity %d cannot start before %d and not after %d", j, m.head[j], m.hi[j]))
		}
		for _, a := range m.pred[j] {
			t := m.hi[j] - a.min
			if t >= m.hi[a.to] {
				continue
			}
			from[a.to] = j
			if !m.free(a.to) {
				return m.chainOf(a.to, from, fmt.Sprintf("activity %d is fixed at %d, later than its successors allow (%d)", a.to, m.hi[a.to], t))
			}
			m.hi[a.to] = m.snapDown(a.to, t)
			w.push(a.to)
		}
	}
	return nil
}

// tails computes the least time from a start to the end of all; lags only, so it holds at any time of any calendar.
func (m *model) tails() {
	m.tail = make([]int, m.n)
	copy(m.tail, m.dur)
	w := newWorklist(m.n)
	for i := range m.tail {
		w.push(i)
	}
	for !w.empty() {
		j := w.pop()
		for _, a := range m.pred[j] {
			if t := m.tail[j] + a.min; t > m.tail[a.to] && m.free(a.to) {
				m.tail[a.to] = t
				w.push(a.to)
			}
		}
	}
}

func (m *model) buildBlocks() {
	comps := components(m.n, m.succ) // reverse topological
	slices.Reverse(comps)
	m.blocks = comps
	m.blockOf = make([]int, m.n)
	for b, members := range comps {
		slices.SortFunc(members, func(x, y int) int {
			return cmp.Or(cmp.Compare(m.head[x], m.head[y]), cmp.Compare(x, y))
		})
		for _, i := range members {
			m.blockOf[i] = b
		}
	}
	m.before = make([][]int, len(comps))
	m.after = make([][]int, len(comps))
	for i := range m.succ {
		for _, s := range m.succ[i] {
			if a, b := m.blockOf[i], m.blockOf[s.to]; a != b {
				m.after[a] = append(m.after[a], b)
				m.before[b] = append(m.before[b], a)
			}
		}
	}
	for b := range comps {
		m.before[b] = compact(m.before[b])
		m.after[b] = compact(m.after[b])
	}
}

func compact(s []int) []int {
	slices.Sort(s)
	return slices.Compact(s)
}

// components returns the strongly connected components in reverse topological order (Tarjan 1972, iterative).
func components(n int, succ [][]arc) [][]int {
	var (
		index, low, next = make([]int, n), make([]int, n), make([]int, n)
		onStack          = make([]bool, n)
		stack, calls     []int
		out              [][]int
		count            int
	)
	for root := range n {
		if index[root] != 0 {
			continue
		}
		calls = append(calls[:0], root)
		for len(calls) > 0 {
			v := calls[len(calls)-1]
			if next[v] == 0 {
				count++
				index[v], low[v] = count, count
				stack = append(stack, v)
				onStack[v] = true
			}
			if next[v] < len(succ[v]) {
				w := succ[v][next[v]].to
				next[v]++
				if index[w] == 0 {
					calls = append(calls, w)
				} else if onStack[w] {
					low[v] = min(low[v], index[w])
				}
				continue
			}
			next[v]++
			calls = calls[:len(calls)-1]
			if len(calls) > 0 {
				u := calls[len(calls)-1]
				low[u] = min(low[u], low[v])
			}
			if low[v] == index[v] {
				k := slices.Index(stack, v)
				comp := slices.Clone(stack[k:])
				stack = stack[:k]
				for _, w := range comp {
					onStack[w] = false
				}
				out = append(out, comp)
			}
		}
	}
	return out
}

// worklist is a queue in which every activity waits at most once.
type worklist struct {
	queue  []int
	at     int
	inside []bool
}

func newWorklist(n int) *worklist { return &worklist{inside: make([]bool, n)} }

func (w *worklist) push(i int) {
	if !w.inside[i] {
		w.inside[i] = true
		w.queue = append(w.queue, i)
	}
}

func (w *worklist) empty() bool { return w.at == len(w.queue) }

func (w *worklist) pop() int {
	i := w.queue[w.at]
	w.at++
	if w.at > 1024 && 2*w.at > len(w.queue) {
		w.queue = append(w.queue[:0], w.queue[w.at:]...)
		w.at = 0
	}
	w.inside[i] = false
	return i
}
