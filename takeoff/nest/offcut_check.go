package nest

import "fmt"

// CheckOffcuts holds a plan against its problem, sharing no code with the search: every piece once, inside its tile or
// stock offcut, in an allowed turn, needed sides on factory edges, kerf between pieces, cuts from edge to edge, whole
// pieces alone, counts, bound and offcuts as stated, and the reach where the result names one.
func CheckOffcuts(p OffcutProblem, r OffcutResult) error {
	if r.Status != Optimal && r.Status != Feasible {
		if len(r.Placements) != 0 {
			return fmt.Errorf("status %v with %d placements", r.Status, len(r.Placements))
		}
		return nil
	}
	if len(r.Placements) != len(p.Pieces) {
		return fmt.Errorf("%d placements for %d pieces", len(r.Placements), len(p.Pieces))
	}
	if r.Bound > r.Tiles || (r.Status == Optimal) != (r.Bound == r.Tiles) {
		return fmt.Errorf("status %v with %d tiles and bound %d", r.Status, r.Tiles, r.Bound)
	}
	byTile := make([][]int, r.Tiles)
	byStock := make([][]int, len(p.Stock))
	for i, q := range r.Placements {
		if err := checkPlacement(p, i, q, r.Tiles); err != nil {
			return fmt.Errorf("piece %d: %w", i, err)
		}
		if q.Tile >= 0 {
			byTile[q.Tile] = append(byTile[q.Tile], i)
		} else {
			byStock[q.Stock] = append(byStock[q.Stock], i)
		}
	}
	for t, members := range byTile {
		if err := checkHolder(p, r, members, t, -1); err != nil {
			return fmt.Errorf("tile %d: %w", t, err)
		}
	}
	for s, members := range byStock {
		if len(r.StockUsed) != len(p.Stock) || r.StockUsed[s] != (len(members) > 0) {
			return fmt.Errorf("stock %d: use not as stated", s)
		}
		if err := checkHolder(p, r, members, -1, s); err != nil {
			return fmt.Errorf("stock %d: %w", s, err)
		}
	}
	return nil
}

// checkPlacement looks at one piece alone.
func checkPlacement(p OffcutProblem, i int, q Placement, tiles int) error {
	piece := p.Pieces[i]
	w, h, edges := p.TileW, p.TileH, Left|Bottom|Right|Top
	switch {
	case q.Tile >= 0 && q.Stock == -1 && q.Tile < tiles:
	case q.Tile == -1 && q.Stock >= 0 && q.Stock < len(p.Stock):
		w, h, edges = p.Stock[q.Stock].W, p.Stock[q.Stock].H, p.Stock[q.Stock].Factory
	default:
		return fmt.Errorf("neither in one of %d tiles nor in stock: tile %d, stock %d", tiles, q.Tile, q.Stock)
	}
	allowed := piece.Turns
	if allowed == 0 {
		allowed = Turn0
	}
	need := piece.Factory
	switch {
	case q.Turn&allowed == 0:
		return fmt.Errorf("turn %d is not among %d", q.Turn, allowed)
	case q.Turn == Turn0 && q.W == piece.W && q.H == piece.H:
	case q.Turn == Turn180 && q.W == piece.W && q.H == piece.H:
		need = swapSides(swapSides(need, Left, Right), Bottom, Top)
	case q.Turn == Turn90 && q.W == piece.H && q.H == piece.W:
		need = cycleSides(need, Left, Bottom, Right, Top)
	case q.Turn == Turn270 && q.W == piece.H && q.H == piece.W:
		need = cycleSides(need, Top, Right, Bottom, Left)
	default:
		return fmt.Errorf("turn %d and size %d × %d do not agree", q.Turn, q.W, q.H)
	}
	if q.X < 0 || q.Y < 0 || q.X+q.W > w || q.Y+q.H > h {
		return fmt.Errorf("leaves its %d × %d", w, h)
	}
	on := touching(q.X, q.Y, q.W, q.H, w, h) & edges
	if need&^on != 0 {
		return fmt.Errorf("needs factory sides %04b, lies on %04b", need, on)
	}
	return nil
}

func swapSides(s, a, b Sides) Sides {
	out := s &^ (a | b)
	if s&a != 0 {
		out |= b
	}
	if s&b != 0 {
		out |= a
	}
	return out
}

// cycleSides moves a to b, b to c, c to d, d to a.
func cycleSides(s, a, b, c, d Sides) Sides {
	out := NoSides
	for _, m := range [4][2]Sides{{a, b}, {b, c}, {c, d}, {d, a}} {
		if s&m[0] != 0 {
			out |= m[1]
		}
	}
	return out
}

func touching(x, y, w, h, inW, inH int64) Sides {
	s := NoSides
	for _, e := range []struct {
		on   bool
		side Sides
	}{{x == 0, Left}, {y == 0, Bottom}, {x+w == inW, Right}, {y+h == inH, Top}} {
		if e.on {
			s |= e.side
		}
	}
	return s
}

// checkHolder looks at all that is cut from one new tile (stock -1) or one stock offcut (tile -1).
func checkHolder(p OffcutProblem, r OffcutResult, members []int, tile, stock int) error {
	if tile >= 0 && len(members) == 0 {
		return fmt.Errorf("nothing is cut from it")
	}
	whole, opens, first, last := false, 0, 0, 0
	var cuts [][4]int64
	for n, i := range members {
		q, rank := r.Placements[i], p.Pieces[i].Rank
		whole = whole || p.Pieces[i].Whole
		if q.Opens {
			opens = i + 1
		}
		if n == 0 || rank < first {
			first = rank
		}
		if n == 0 || rank > last {
			last = rank
		}
		cuts = append(cuts, [4]int64{q.X, q.Y, q.W, q.H})
	}
	if whole && (len(members) > 1 || stock >= 0) {
		return fmt.Errorf("a whole piece shares it or comes from stock: pieces %v", members)
	}
	if r.Reach > 0 && tile >= 0 && last-first > r.Reach {
		return fmt.Errorf("ranks %d to %d, the reach is %d", first, last, r.Reach)
	}
	if tile >= 0 && (opens == 0 || p.Pieces[opens-1].Rank != first) {
		return fmt.Errorf("not opened by its first piece")
	}
	for _, q := range r.Left {
		if q.Tile != tile || q.Stock != stock {
			continue
		}
		if err := checkLeft(p, q, stock); err != nil {
			return err
		}
		if whole {
			return fmt.Errorf("offcut left of a whole piece")
		}
		cuts = append(cuts, [4]int64{q.X, q.Y, q.W, q.H})
	}
	if !edgeToEdge(cuts, p.Kerf) {
		return fmt.Errorf("pieces %v overlap, lie closer than the kerf, or cannot be cut from edge to edge", members)
	}
	return nil
}

// checkLeft looks at one offcut that stays.
func checkLeft(p OffcutProblem, q Offcut, stock int) error {
	w, h, edges := p.TileW, p.TileH, Left|Bottom|Right|Top
	if stock >= 0 {
		w, h, edges = p.Stock[stock].W, p.Stock[stock].H, p.Stock[stock].Factory
	}
	if min(q.W, q.H) < max(1, p.SmallestKept) || q.X < 0 || q.Y < 0 || q.X+q.W > w || q.Y+q.H > h {
		return fmt.Errorf("offcut %d × %d at %d, %d is too small or leaves its place", q.W, q.H, q.X, q.Y)
	}
	if q.Factory != touching(q.X, q.Y, q.W, q.H, w, h)&edges {
		return fmt.Errorf("offcut at %d, %d states factory sides %04b", q.X, q.Y, q.Factory)
	}
	return nil
}

// edgeToEdge reports whether rectangles (x, y, w, h) can be parted by cuts of the kerf's width, each from edge to edge.
func edgeToEdge(list [][4]int64, kerf int64) bool {
	if len(list) < 2 {
		return true
	}
	for axis := range 2 {
		for _, at := range list {
			cut := at[axis] + at[axis+2]
			var low, high [][4]int64
			for _, r := range list {
				switch {
				case r[axis]+r[axis+2] <= cut:
					low = append(low, r)
				case r[axis] >= cut+kerf:
					high = append(high, r)
				}
			}
			if len(low) > 0 && len(high) > 0 && len(low)+len(high) == len(list) {
				return edgeToEdge(low, kerf) && edgeToEdge(high, kerf)
			}
		}
	}
	return false
}
