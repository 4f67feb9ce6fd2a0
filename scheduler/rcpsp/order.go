package rcpsp

import "slices"

// orderer turns a key per block into a topological list: of the blocks whose predecessors are listed, the one with the
// least key comes next, ties by index.
type orderer struct {
	m       *model
	pending []int
	heap    []int
}

func newOrderer(m *model) *orderer {
	return &orderer{m: m, pending: make([]int, len(m.blocks))}
}

// list fills dst with the order of the keys.
func (o *orderer) order(dst []int, key []int) []int {
	o.heap = o.heap[:0]
	for b := range o.pending {
		o.pending[b] = len(o.m.before[b])
		if o.pending[b] == 0 {
			o.push(b, key)
		}
	}
	dst = dst[:0]
	for len(o.heap) > 0 {
		b := o.pop(key)
		dst = append(dst, b)
		for _, c := range o.m.after[b] {
			if o.pending[c]--; o.pending[c] == 0 {
				o.push(c, key)
			}
		}
	}
	return dst
}

func less(x, y int, key []int) bool {
	return key[x] < key[y] || key[x] == key[y] && x < y
}

func (o *orderer) push(b int, key []int) {
	o.heap = append(o.heap, b)
	for k := len(o.heap) - 1; k > 0; {
		up := (k - 1) / 2
		if !less(o.heap[k], o.heap[up], key) {
			return
		}
		o.heap[k], o.heap[up] = o.heap[up], o.heap[k]
		k = up
	}
}

func (o *orderer) pop(key []int) int {
	h := o.heap
	top, last := h[0], len(h)-1
	h[0] = h[last]
	h = h[:last]
	for k := 0; ; {
		c := 2*k + 1
		if c >= last {
			break
		}
		if c+1 < last && less(h[c+1], h[c], key) {
			c++
		}
		if !less(h[c], h[k], key) {
			break
		}
		h[c], h[k] = h[k], h[c]
		k = c
	}
	o.heap = h
	return top
}

// blockKeys gives each block the least value of its members.
func (m *model) blockKeys(value []int) []int {
	key := make([]int, len(m.blocks))
	for b, members := range m.blocks {
		key[b] = value[members[0]]
		for _, i := range members[1:] {
			key[b] = min(key[b], value[i])
		}
	}
	return key
}

// orderKeys follows the starts of another schedule; what it does not know comes when its lags and calendars allow.
func (m *model) orderKeys(start []int) []int {
	value := slices.Clone(m.head)
	for i, s := range start {
		if s >= 0 {
			value[i] = s
		}
	}
	return m.blockKeys(value)
}

// latestFinishKeys is the classic minimum latest start rule: the longer the way to the end, the earlier.
func (m *model) latestStartKeys() []int {
	value := make([]int, m.n)
	for i := range value {
		value[i] = -m.tail[i]
	}
	return m.blockKeys(value)
}

// dueKeys orders by the latest start that still meets the due dates of an activity and all that follow it. What has no
// due date behind it follows, by its tail.
func (m *model) dueKeys() []int {
	value := make([]int, m.n)
	w := newWorklist(m.n)
	end := slices.Max(append(m.head, 0))
	for i, a := range m.p.Activities {
		value[i] = m.horizon + end - m.tail[i]
		if a.Due >= 0 && a.Weight > 0 {
			value[i] = min(value[i], a.Due-a.Duration)
		}
		w.push(i)
	}
	for !w.empty() {
		j := w.pop()
		for _, a := range m.pred[j] {
			if t := value[j] - max(a.min, 0); a.min >= 0 && t < value[a.to] {
				value[a.to] = t
				w.push(a.to)
			}
		}
	}
	return m.blockKeys(value)
}
