package rcpsp

import (
	"cmp"
	"slices"
)

// reinsertion improves a schedule by taking a few rooms, or a stretch of a crew's work, out and placing it again in
// another order, while all else stays where it is. One round costs what it takes out, however large the problem is
// (large neighbourhood search, Shaw 1998).
type reinsertion struct {
	s       *search
	m       *model
	b       *builder
	cur     Score
	users   [][]int // activities per resource, by start when last refreshed
	at      [][]int // index of an activity in users, per resource
	rooms   [][]int // blocks per room
	out     []int   // blocks taken out
	was     []int   // their starts, member by member
	key     []int   // per block
	inside  []bool
	pending []int
	heap    orderer
	age     int
	late    []int
}

func newReinsertion(s *search, b *builder) *reinsertion {
	m := s.m
	x := &reinsertion{s: s, m: m, b: b, key: make([]int, len(m.blocks)), inside: make([]bool, len(m.blocks)),
		pending: make([]int, len(m.blocks)), users: make([][]int, len(m.p.Resources)), at: make([][]int, len(m.p.Resources))}
	for r := range x.at {
		x.at[r] = make([]int, m.n)
	}
	for i := range m.uses {
		for _, u := range m.uses[i] {
			if m.free(i) {
				x.users[u.res] = append(x.users[u.res], i)
			}
		}
	}
	for blk, members := range m.blocks {
		room := m.p.Activities[members[0]].Room
		if room < 0 || !m.free(members[0]) {
			continue
		}
		for room >= len(x.rooms) {
			x.rooms = append(x.rooms, nil)
		}
		x.rooms[room] = append(x.rooms[room], blk)
	}
	x.cur = x.score()
	x.refresh()
	return x
}

// refresh sorts each resource's activities by start and lists the late ones.
func (x *reinsertion) refresh() {
	start := x.b.start
	for r, users := range x.users {
		slices.SortFunc(users, func(i, j int) int {
			return cmp.Or(cmp.Compare(start[i], start[j]), cmp.Compare(i, j))
		})
		for k, i := range users {
			x.at[r][i] = k
		}
	}
	x.late = x.late[:0]
	for i := range start {
		if x.lateness(i) > 0 && x.m.free(i) {
			x.late = append(x.late, i)
		}
	}
	x.age = 0
}

func (x *reinsertion) lateness(i int) int {
	a := &x.m.p.Activities[i]
	if a.Due < 0 {
		return 0
	}
	return a.Weight * max(0, x.b.start[i]+a.Duration-a.Due)
}

// score is that of the builder's schedule; moves are counted along the crews' visits.
func (x *reinsertion) score() Score {
	var s Score
	for i := range x.b.start {
		if x.m.p.Objective != Makespan {
			s.Lateness += x.lateness(i)
			s.Change += x.change(i)
		}
		s.Makespan = max(s.Makespan, x.b.start[i]+x.m.dur[i])
	}
	if x.m.p.Objective != Makespan {
		s.Moves = x.b.moves()
	}
	return s
}

func (x *reinsertion) change(i int) int {
	warm := x.s.inForce()
	if len(warm) != x.m.n {
		return x.b.start[i]
	}
	if warm[i] < 0 {
		return 0
	}
	return max(x.b.start[i]-warm[i], warm[i]-x.b.start[i])
}

// run spends up to limit placements.
func (x *reinsertion) run(limit int64) {
	limit += x.s.spent
	for x.s.spent < limit && !x.s.over() && !x.s.done() {
		x.choose()
		x.b.spent++ // a round without a placement must not be free, or the search of a fixed plan would not end
		if len(x.out) > 0 {
			x.round()
		}
		if x.age++; x.age > 200 {
			x.refresh()
		}
		x.s.charge(x.b)
	}
}

// choose fills out with the blocks to take out and key with their new order.
func (x *reinsertion) choose() {
	x.out = x.out[:0]
	rng := x.s.rng
	seed := rng.IntN(x.m.n)
	if len(x.late) > 0 && rng.IntN(3) > 0 {
		seed = x.late[rng.IntN(len(x.late))]
	}
	room := x.m.p.Activities[seed].Room
	if room < 0 || rng.IntN(3) == 0 {
		x.chooseStretch(seed)
	} else {
		x.chooseRooms(seed)
	}
}

// neighbour is an activity near i in the order of one of its resources, i itself where it uses none.
func (x *reinsertion) neighbour(i, reach int) int {
	uses := x.m.uses[i]
	if len(uses) == 0 {
		return i
	}
	r := uses[x.s.rng.IntN(len(uses))].res
	users := x.users[r]
	if len(users) < 2 || !x.m.free(i) {
		return i
	}
	k := x.at[r][i] + x.s.rng.IntN(2*reach+1) - reach
	return users[min(max(k, 0), len(users)-1)]
}

// chooseRooms takes two to four rooms that compete for a crew, from some time on, and gives them another order.
func (x *reinsertion) chooseRooms(seed int) {
	rng := x.s.rng
	from := 0
	if rng.IntN(2) == 0 {
		from = max(0, x.b.start[seed]-rng.IntN(x.cur.Makespan/4+1))
	}
	x.takeRoom(x.m.p.Activities[seed].Room, from, x.shift())
	at := seed
	for tries := 2 + rng.IntN(6); tries > 0; tries-- {
		room := x.m.p.Activities[at].Room
		if room >= 0 && room < len(x.rooms) && len(x.rooms[room]) > 0 {
			at = x.m.blocks[x.rooms[room][rng.IntN(len(x.rooms[room]))]][0]
		}
		at = x.neighbour(at, 12)
		if room := x.m.p.Activities[at].Room; room >= 0 {
			x.takeRoom(room, from, x.shift())
		}
		if len(x.out) > 150 {
			break
		}
	}
}

// shift is how much earlier or later a room's turn comes.
func (x *reinsertion) shift() int {
	return x.s.rng.IntN(x.cur.Makespan/2+2) - x.cur.Makespan/4
}

func (x *reinsertion) takeRoom(room, from, shift int) {
	if room >= len(x.rooms) {
		return
	}
	for _, blk := range x.rooms[room] {
		if s := x.b.start[x.m.blocks[blk][0]]; s >= from && !x.inside[blk] {
			x.add(blk, s+shift)
		}
	}
}

// chooseStretch takes a run of one resource's work and shuffles it a little.
func (x *reinsertion) chooseStretch(seed int) {
	uses := x.m.uses[seed]
	if len(uses) == 0 || !x.m.free(seed) {
		return
	}
	rng := x.s.rng
	r := uses[rng.IntN(len(uses))].res
	users := x.users[r]
	first := max(0, x.at[r][seed]-rng.IntN(8))
	last := min(len(users), first+3+rng.IntN(20))
	span := 1 + x.b.start[users[last-1]] - x.b.start[users[first]]
	for _, i := range users[first:last] {
		if blk := x.m.blockOf[i]; !x.inside[blk] {
			x.add(blk, x.b.start[i]+rng.IntN(max(1, span)))
		}
	}
}

func (x *reinsertion) add(blk, key int) {
	x.out = append(x.out, blk)
	x.inside[blk] = true
	x.key[blk] = key
}

// round takes the blocks out, places them in the new order and keeps the result where it is no worse.
func (x *reinsertion) round() {
	x.remove()
	ok := x.place()
	for _, blk := range x.out {
		x.inside[blk] = false
	}
	if ok {
		if got := x.score(); !x.cur.Less(got) {
			if got.Less(x.cur) {
				x.s.offerScored(x.b.start, got)
			}
			x.cur = got
			return
		}
	}
	x.restore()
}

func (x *reinsertion) remove() {
	x.was = x.was[:0]
	for _, blk := range x.out {
		for _, i := range x.m.blocks[blk] {
			x.was = append(x.was, x.b.start[i])
			if x.m.free(i) {
				x.b.take(i)
			}
			x.b.floor[i] = 0
		}
	}
}

// place puts all of out back in topological order, least key first; false where one finds no place.
func (x *reinsertion) place() bool {
	x.heap.heap = x.heap.heap[:0]
	for _, blk := range x.out {
		x.pending[blk] = 0
		for _, p := range x.m.before[blk] {
			if x.inside[p] {
				x.pending[blk]++
			}
		}
		if x.pending[blk] == 0 {
			x.heap.push(blk, x.key)
		}
	}
	for len(x.heap.heap) > 0 {
		blk := x.heap.pop(x.key)
		if !x.b.placeBlock(blk) {
			return false
		}
		for _, next := range x.m.after[blk] {
			if x.inside[next] {
				if x.pending[next]--; x.pending[next] == 0 {
					x.heap.push(next, x.key)
				}
			}
		}
	}
	return true
}

// restore puts the blocks back to where they were.
func (x *reinsertion) restore() {
	for _, blk := range x.out {
		x.b.takeMembers(x.m.blocks[blk])
	}
	k := 0
	for _, blk := range x.out {
		for _, i := range x.m.blocks[blk] {
			if x.m.free(i) {
				x.b.put(i, x.was[k])
			}
			k++
		}
	}
}
