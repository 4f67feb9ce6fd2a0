package rcpsp

import "slices"

// listSearch improves the order in which blocks are placed: it starts from priority rules and the warm schedule, then
// moves groups of blocks forward or back and keeps what is not worse.
type listSearch struct {
	s    *search
	m    *model
	b    *builder
	o    *orderer
	key  []int // of the current order
	list []int
	cur  Score
	have bool
}

func newListSearch(s *search) *listSearch {
	return &listSearch{s: s, m: s.m, b: newBuilder(s.m), o: newOrderer(s.m)}
}

func (l *listSearch) run(limit int64) {
	var keys [][]int
	if len(l.s.o.Warm) > 0 {
		value := slices.Clone(l.s.o.Warm)
		for i := range value {
			if value[i] < 0 {
				value[i] = l.m.head[i]
			}
		}
		keys = append(keys, l.m.blockKeys(value))
	}
	keys = append(keys, l.m.dueKeys(), l.m.latestStartKeys(), l.m.blockKeys(l.m.head))
	for _, key := range keys {
		l.try(key, true)
	}
	for !l.over() && l.b.spent < limit {
		l.try(l.mutate(), false)
	}
}

func (l *listSearch) over() bool {
	l.s.spent = l.b.spent
	if l.s.over() {
		return true
	}
	return l.s.atBound()
}

// try builds the schedule of a key; the current order changes where the result is no worse.
func (l *listSearch) try(key []int, first bool) {
	if first && l.over() && l.have {
		return
	}
	l.list = l.o.order(l.list, key)
	l.b.spent++
	if !l.b.build(l.list) {
		return
	}
	score := l.m.score(l.b.start, l.s.o.Warm)
	if l.have && l.cur.Less(score) {
		return
	}
	l.cur, l.have = score, true
	l.s.offer(l.b.start)
	l.key = l.rank(l.b.start)
}

// rank makes keys of starts that leave room between neighbours.
func (l *listSearch) rank(start []int) []int { return l.m.blockKeys(start) }

// mutate moves a few blocks to other times of the current order.
func (l *listSearch) mutate() []int {
	if !l.have {
		key := slices.Clone(l.m.dueKeys())
		for b := range key {
			key[b] += l.s.rng.IntN(1 + l.m.horizon/4)
		}
		return key
	}
	key := slices.Clone(l.key)
	span := max(1, l.cur.Makespan)
	for range 1 + l.s.rng.IntN(4) {
		b := l.s.rng.IntN(len(key))
		key[b] += l.s.rng.IntN(span/4+2) - span/8
	}
	return key
}
