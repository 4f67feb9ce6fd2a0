package nest

import (
	"cmp"
	"slices"
)

// result spells the best plan out, piece by piece.
func (s *offcutSolver) result() OffcutResult {
	r := OffcutResult{
		Status: Feasible, Bound: s.bound + len(s.whole), Reach: s.o.Reach,
		Placements: make([]Placement, len(s.p.Pieces)), StockUsed: make([]bool, len(s.p.Stock)),
	}
	for _, share := range s.assign() {
		to := Placement{Tile: r.Tiles, Stock: -1}
		if share.stock >= 0 {
			to = Placement{Tile: -1, Stock: share.stock}
			r.StockUsed[share.stock] = true
		} else {
			r.Tiles++
		}
		s.place(&r, share, to)
	}
	for _, i := range s.whole {
		r.Placements[i] = s.placeWhole(i, r.Tiles)
		r.Tiles++
	}
	if r.Bound == r.Tiles {
		r.Status = Optimal
	}
	r.Steps = s.f.steps
	return r
}

// count is how many new tiles result cuts: those of the best plan, whole pieces with
// them, less those from which it holds only more of a kind than is wanted.
func (s *offcutSolver) count() int {
	left := slices.Clone(s.demand)
	tiles := len(s.whole)
	for _, l := range s.best {
		for range l.count {
			cut := false
			for _, k := range l.group.members {
				if left[k] > 0 {
					left[k]--
					cut = true
				}
			}
			if cut && l.stock < 0 {
				tiles++
			}
		}
	}
	return tiles
}

// placeWhole puts a piece that shares with none against the sides it needs.
func (s *offcutSolver) placeWhole(i, tile int) Placement {
	o := s.p.poses(s.p.Pieces[i])[0]
	q := Placement{Tile: tile, Stock: -1, W: o.w, H: o.h, Turn: o.turn, Opens: true}
	if o.sides.has(Right) {
		q.X = s.p.TileW - o.w
	}
	if o.sides.has(Top) {
		q.Y = s.p.TileH - o.h
	}
	return q
}

// share is one tile or stock offcut with the pieces cut from it, in the order of the group's members; -1 where a plan
// holds more pieces than are wanted.
type share struct {
	stock  int
	group  *group
	pieces []int
}

// assign gives each place of a group an actual piece, each kind handed out in rank order, then brings pieces that share
// a tile near in rank. The tiles come in the order in which they are opened.
func (s *offcutSolver) assign() []share {
	holders := 0
	for _, l := range s.best {
		holders += l.count
	}
	list := make([]share, 0, holders)
	for _, l := range s.best {
		for range l.count {
			list = append(list, share{stock: l.stock, group: l.group})
		}
	}
	next := make([]int, len(s.f.kinds))
	for i := range list {
		list[i].pieces = make([]int, 0, len(list[i].group.members))
		for _, k := range list[i].group.members {
			piece := -1
			if next[k] < len(s.f.kinds[k].pieces) {
				piece = s.f.kinds[k].pieces[next[k]]
				next[k]++
			}
			list[i].pieces = append(list[i].pieces, piece)
		}
	}
	list = slices.DeleteFunc(list, func(h share) bool { return !slices.ContainsFunc(h.pieces, func(i int) bool { return i >= 0 }) })
	s.bringNear(list)
	slices.SortStableFunc(list, func(a, b share) int {
		i, j := s.opener(a), s.opener(b)
		return cmp.Or(cmp.Compare(s.p.Pieces[i].Rank, s.p.Pieces[j].Rank), cmp.Compare(i, j))
	})
	return list
}

// opener is the piece a tile is first cut for: lowest in rank, then in number.
func (s *offcutSolver) opener(h share) int {
	first := -1
	for _, i := range h.pieces {
		if i >= 0 && (first < 0 || cmp.Or(cmp.Compare(s.p.Pieces[i].Rank, s.p.Pieces[first].Rank), cmp.Compare(i, first)) < 0) {
			first = i
		}
	}
	return first
}

// place writes the pieces of one share and what is left beside them.
func (s *offcutSolver) place(r *OffcutResult, h share, to Placement) {
	in := s.holder(h.stock)
	sp, _ := s.f.spotIn(h.group, in)
	l := layer{f: s.f}
	l.lay(h.group, sp, place{rect{0, 0, in.w, in.h}, in.sides})
	opener := s.opener(h)
	given := make([]bool, len(h.pieces))
	for _, q := range l.pieces {
		n := slices.Index(h.group.members, q.kind)
		for given[n] { // of like pieces, the next
			n++
		}
		given[n] = true
		i := h.pieces[n]
		if i < 0 {
			continue
		}
		at := to
		at.X, at.Y, at.W, at.H = q.x, q.y, q.w, q.h
		at.Turn = s.f.kinds[q.kind].poses[q.pose].turn
		at.Opens = i == opener && to.Tile >= 0
		r.Placements[i] = at
	}
	for _, q := range l.left {
		if min(q.w, q.h) >= max(1, s.p.SmallestKept) {
			r.Left = append(r.Left, Offcut{W: q.w, H: q.h, Factory: q.sides, Tile: to.Tile, Stock: to.Stock, X: q.x, Y: q.y})
		}
	}
}
