package nest

import (
	"cmp"
	"slices"
)

// nearness exchanges pieces between the tiles of a plan, at the same number of tiles, so that pieces that share a tile are
// near in rank: an offcut then lies about for a short while only.
type nearness struct {
	s       *offcutSolver
	list    []share
	at      []slot // by piece; share -1 for those outside
	ordered []int  // pieces by rank
}

// slot is a piece's place: which share, which of its pieces.
type slot struct{ share, place int }

const (
	nearPasses  = 6
	nearPartner = 24 // pieces looked at on either side of the wanted rank
	nearLargest = 6  // larger groups only exchange like pieces: whether they fit takes long to tell
)

func (s *offcutSolver) bringNear(list []share) {
	n := nearness{s: s, list: list, at: make([]slot, len(s.p.Pieces))}
	for i := range n.at {
		n.at[i].share = -1
	}
	for h := range list {
		for k, i := range list[h].pieces {
			if i >= 0 {
				n.at[i] = slot{h, k}
				n.ordered = append(n.ordered, i)
			}
		}
	}
	slices.SortFunc(n.ordered, func(a, b int) int { return cmp.Or(cmp.Compare(n.rank(a), n.rank(b)), cmp.Compare(a, b)) })
	for range nearPasses {
		better := false
		for _, i := range n.ordered {
			better = n.improve(i) || better
		}
		if !better || s.ctx.Err() != nil {
			return
		}
	}
}

func (n *nearness) rank(i int) int { return n.s.p.Pieces[i].Rank }

// improve exchanges a piece with the one, of rank near its tile's other pieces, that helps most.
func (n *nearness) improve(i int) bool {
	h := &n.list[n.at[i].share]
	if h.stock >= 0 || len(h.pieces) < 2 {
		return false
	}
	want := n.mates(i)
	middle, _ := slices.BinarySearchFunc(n.ordered, want, func(k, r int) int { return cmp.Compare(n.rank(k), r) })
	best, with := 0, -1
	for k := max(0, middle-nearPartner); k < min(len(n.ordered), middle+nearPartner); k++ {
		j := n.ordered[k]
		if n.at[j].share == n.at[i].share || n.rank(i) == n.rank(j) {
			continue
		}
		n.s.f.steps += 5
		if gain := n.gain(i, j); gain > best && n.possible(i, j) {
			best, with = gain, j
		}
	}
	if with >= 0 {
		n.exchange(i, with)
	}
	return with >= 0
}

// mates is the middle rank of the other pieces of a piece's tile.
func (n *nearness) mates(i int) int {
	var ranks []int
	for _, j := range n.list[n.at[i].share].pieces {
		if j >= 0 && j != i {
			ranks = append(ranks, n.rank(j))
		}
	}
	if len(ranks) == 0 {
		return n.rank(i)
	}
	slices.Sort(ranks)
	return ranks[len(ranks)/2]
}

// gain is how much nearer the two tiles' pieces would be, summed, were i and j exchanged.
func (n *nearness) gain(i, j int) int {
	a, b := &n.list[n.at[i].share], &n.list[n.at[j].share]
	return n.spread(a, -1, 0) + n.spread(b, -1, 0) - n.spread(a, i, n.rank(j)) - n.spread(b, j, n.rank(i))
}

// spread is the distance of ranks in a new tile, a piece counted with another rank; stock has none.
func (n *nearness) spread(h *share, piece, rank int) int {
	if h.stock >= 0 {
		return 0
	}
	low, high, any := 0, 0, false
	for _, k := range h.pieces {
		if k < 0 {
			continue
		}
		r := n.rank(k)
		if k == piece {
			r = rank
		}
		if !any {
			low, high, any = r, r, true
		}
		low, high = min(low, r), max(high, r)
	}
	return high - low
}

// possible reports whether both tiles still hold their pieces after the exchange.
func (n *nearness) possible(i, j int) bool {
	a, b := n.list[n.at[i].share], n.list[n.at[j].share]
	ka, kb := a.group.members[n.at[i].place], b.group.members[n.at[j].place]
	if ka == kb {
		return true
	}
	if max(len(a.pieces), len(b.pieces)) > nearLargest {
		return false
	}
	return n.s.fitsIn(n.s.replaced(a.group, ka, kb), a.stock) && n.s.fitsIn(n.s.replaced(b.group, kb, ka), b.stock)
}

// replaced is the group with one piece of a kind in place of one of another.
func (s *offcutSolver) replaced(g *group, out, in int32) *group {
	at, _ := slices.BinarySearch(g.members, out)
	return s.f.exchanged(g, at, at, in)
}

// exchange swaps two pieces and orders both shares as their groups are.
func (n *nearness) exchange(i, j int) {
	si, sj := n.at[i], n.at[j]
	a, b := &n.list[si.share], &n.list[sj.share]
	ka, kb := a.group.members[si.place], b.group.members[sj.place]
	if ka == kb {
		a.pieces[si.place], b.pieces[sj.place] = j, i
		n.at[i], n.at[j] = sj, si
		return
	}
	n.regroup(si.share, n.s.replaced(a.group, ka, kb), si.place, j, kb)
	n.regroup(sj.share, n.s.replaced(b.group, kb, ka), sj.place, i, ka)
}

// regroup gives a share its new group: the piece at a place leaves, another of a kind comes.
func (n *nearness) regroup(h int, g *group, place, piece int, kind int32) {
	old := n.list[h]
	pieces := make([]int, len(g.members))
	for k := range pieces {
		pieces[k] = -1
	}
	put := func(i int, kind int32) {
		for k, m := range g.members {
			if m == kind && pieces[k] < 0 {
				pieces[k], n.at[i] = i, slot{h, k}
				return
			}
		}
	}
	for k, i := range old.pieces {
		if k != place && i >= 0 {
			put(i, old.group.members[k])
		}
	}
	put(piece, kind)
	n.list[h].group, n.list[h].pieces = g, pieces
}
