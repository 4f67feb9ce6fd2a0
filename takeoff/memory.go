package takeoff

import (
	"crypto/sha256"
	"encoding/binary"
	"sync"

	"potlife/rooms"
)

// Memory keeps nests by what they were made from, so that a takeoff made again
// nests only what changed. A takeoff comes out the same with a Memory and
// without. It may be used by several takeoffs at once; the zero value is empty.
type Memory struct {
	mu   sync.Mutex
	age  int // takeoffs begun
	nest map[nestDigest]*remembered
	left map[nestDigest]*leftover
	text digester // scratch of freeBoxes
}

type nestDigest [sha256.Size]byte

// leftover is what is left beside the pieces of a tile.
type leftover struct {
	boxes []rooms.Box
	used  int
}

type remembered struct {
	nested
	used int
}

// memorySpan is how many takeoffs a nest is kept for that none of them used.
const memorySpan = 4

// begin starts a takeoff and forgets what the last few had no use for.
func (m *Memory) begin() {
	m.mu.Lock()
	defer m.mu.Unlock()
	m.age++
	for k, r := range m.nest {
		if r.used < m.age-memorySpan {
			delete(m.nest, k)
		}
	}
	for k, l := range m.left {
		if l.used < m.age-memorySpan {
			delete(m.left, k)
		}
	}
}

// freeBoxes are freeBoxes, looked up where the same was asked before.
func (m *Memory) freeBoxes(frame rooms.Box, pieces []rooms.Polygon, gap, least rooms.Length) []rooms.Box {
	m.mu.Lock()
	defer m.mu.Unlock()
	w := &m.text
	w.text = w.text[:0]
	w.numbers(int64(frame.Min.X), int64(frame.Min.Y), int64(frame.Max.X), int64(frame.Max.Y), int64(gap), int64(least), int64(len(pieces)))
	for _, p := range pieces {
		w.numbers(int64(len(p.Holes)))
		w.ring(p.Outer)
		for _, h := range p.Holes {
			w.ring(h)
		}
	}
	k := w.sum()
	l := m.left[k]
	if l == nil {
		if m.left == nil {
			m.left = map[nestDigest]*leftover{}
		}
		l = &leftover{boxes: freeBoxes(frame, pieces, gap, least)}
		m.left[k] = l
	}
	l.used = m.age
	return l.boxes
}

func (m *Memory) find(k nestDigest) (nested, bool) {
	m.mu.Lock()
	defer m.mu.Unlock()
	r := m.nest[k]
	if r == nil {
		return nested{}, false
	}
	r.used = m.age
	return r.nested, true
}

func (m *Memory) keep(k nestDigest, n nested) {
	m.mu.Lock()
	defer m.mu.Unlock()
	if m.nest == nil {
		m.nest = map[nestDigest]*remembered{}
	}
	m.nest[k] = &remembered{n, m.age}
}

// digest covers all that a job's nest depends on. The pieces' places in the
// setting order count from the first of them, as in nestProblem.
func (j *nestJob) digest() (d nestDigest) {
	w := digester{make([]byte, 0, 128*len(j.open)+256)} // about what a piece takes up
	t := j.plan.t
	w.numbers(t.steps, int64(t.kerf()), int64(t.in.SmallestOffcut), flag(j.plan.tile.Directional))
	w.ring(j.plan.tile.Shape)
	for _, o := range j.plan.left {
		w.numbers(o.W, o.H, int64(o.Factory), int64(o.Tile), int64(o.Stock), o.X, o.Y)
	}
	first := firstRank(j.open)
	w.numbers(int64(len(j.open)))
	for _, c := range j.open {
		w.numbers(int64(len(c.ID)))
		w.text = append(w.text, c.ID...)
		w.numbers(int64(c.again), flag(c.exact), flag(c.wet), int64(growth(c)), c.need.W, c.need.H, int64(c.need.Factory), flag(c.need.Whole),
			int64(c.need.Turns), int64(c.need.Rank-first), int64(len(c.shape.Holes)))
		w.ring(c.shape.Outer)
		for _, h := range c.shape.Holes {
			w.ring(h)
		}
	}
	return w.sum()
}

// firstRank is the lowest rank of the pieces.
func firstRank(pieces []cutPiece) int {
	first := 0
	for i, c := range pieces {
		if i == 0 || c.need.Rank < first {
			first = c.need.Rank
		}
	}
	return first
}

// digester gathers what a digest is made of.
type digester struct{ text []byte }

func (w *digester) sum() nestDigest { return sha256.Sum256(w.text) }

func (w *digester) numbers(list ...int64) {
	for _, n := range list {
		w.text = binary.AppendVarint(w.text, n)
	}
}

func (w *digester) ring(r rooms.Ring) {
	w.numbers(int64(len(r)))
	for _, p := range r {
		w.numbers(int64(p.X), int64(p.Y))
	}
}

func flag(b bool) int64 { return int64(btoi(b)) }
