package nest

import (
	"cmp"
	"slices"
)

// result spells the best plan out, piece by piece.
func (s *offcutSolver) result() OffcutResult {
	r := OffcutResult{
		Status: Feasible, Tiles: s.tiles + len(s.whole), Bound: s.bound + len(s.whole), Reach: s.o.Reach,
		Placements: make([]Placement, len(s.p.Pieces)), StockUsed: make([]bool, len(s.p.Stock)), Steps: s.f.steps,
	}
	if r.Bound == r.Tiles {
		r.Status = Optimal
	}
	tile := 0
	for _, share := range s.assign() {
		to := Placement{Tile: tile, Stock: -1}
		if share.stock >= 0 {
			to = Placement{Tile: -1, Stock: share.stock}
			r.StockUsed[share.stock] = true
		} else {
			tile++
		}
		s.place(&r, share, to)
	}
	for _, i := range s.whole {
		o := s.p.poses(s.p.Pieces[i])[0]
		q := Placement{Tile: tile, Stock: -1, W: o.w, H: o.h, Turn: o.turn, Opens: true}
		if o.sides.has(Right) {
			q.X = s.p.TileW - o.w
		}
		if o.sides.has(Top) {
			q.Y = s.p.TileH - o.h
		}
		r.Placements[i] = q
		tile++
	}
	return r
}

// share is one tile or stock offcut with the pieces cut from it, in the order of the group's members.
type share struct {
	stock  int
	group  *group
	pieces []int
}

// assign gives each place of a group an actual piece. Tiles that need kinds of early rank choose first, and each kind
// is handed out in rank order, so that pieces that share a tile are near in rank.
func (s *offcutSolver) assign() []share {
	var list []share
	for _, l := range s.best {
		for range l.count {
			list = append(list, share{stock: l.stock, group: l.group})
		}
	}
	next := make([]int, len(s.f.kinds))
	for i := range list {
		for _, k := range list[i].group.members {
			list[i].pieces = append(list[i].pieces, s.f.kinds[k].pieces[next[k]])
			next[k]++
		}
	}
	slices.SortStableFunc(list, func(a, b share) int { return cmp.Compare(s.opener(a), s.opener(b)) })
	return list
}

// opener is the piece a tile is first cut for: lowest in rank, then in number.
func (s *offcutSolver) opener(h share) int {
	return slices.MinFunc(h.pieces, func(a, b int) int {
		return cmp.Or(cmp.Compare(s.p.Pieces[a].Rank, s.p.Pieces[b].Rank), cmp.Compare(a, b))
	})
}

// place writes the pieces of one share and what is left beside them.
func (s *offcutSolver) place(r *OffcutResult, h share, to Placement) {
	in := s.holder(h.stock)
	sp, _ := s.f.spotIn(h.group, in)
	l := layer{f: s.f}
	l.lay(h.group, sp, place{rect{0, 0, in.w, in.h}, in.sides})
	byKind := map[int32][]int{}
	for i, k := range h.group.members {
		byKind[k] = append(byKind[k], h.pieces[i])
	}
	opener := s.opener(h)
	for _, q := range l.pieces {
		i := byKind[q.kind][0]
		byKind[q.kind] = byKind[q.kind][1:]
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
