package takeoff

import (
	"context"
	"fmt"
	"slices"

	"potlife/rooms"
	"potlife/takeoff/nest"
)

// DefaultKerf is the width a wet saw or grinder takes: rims of usual blades are
// 1.4 to 1.6 mm thick, thin porcelain blades 1.2 mm (figures of blade makers and
// common practice). Score and snap takes nothing.
const DefaultKerf = 1600 * rooms.Micrometre

// nearTile is how far from a tile's border an edge still counts as lying on it:
// rounding of turned shapes, far below what can be cut.
const nearTile = 10 * rooms.Micrometre

// cutPiece is a piece as the nesting sees it.
type cutPiece struct {
	*takenPiece
	shape rooms.Polygon // at its printed size, in the tile's frame, where its own tile has it
	exact bool          // the piece is its bounding box
	wet   bool          // its cuts lose a kerf
	need  nest.Piece
}

// stockRow is the stock tiles of one tile in one group.
type stockRow struct {
	tiles     []StockTile
	keptTiles int // of tiles, the first ones
	laid      int // tiles with pieces
	bound     int // no plan needs fewer
	full      int // pieces that are whole tiles
	cuts      int // pieces that are cut
	cutTiles  int // tiles the cut pieces come from
	broken    int
	open      []cutPiece // cut pieces that are still to be cut
	openFull  int        // whole tiles still to be set
	caveat    string     // what the bound is worth
}

// cutStock says which stock tile every piece comes from, tile by tile and group
// by group.
func (t *taker) cutStock(ctx context.Context) error {
	pieces := map[rowKey][]*takenPiece{}
	var keys []rowKey
	for _, p := range t.pieces {
		k := rowKey{p.Tile, p.group}
		if pieces[k] == nil {
			keys = append(keys, k)
		}
		pieces[k] = append(pieces[k], p)
	}
	slices.SortFunc(keys, compareRowKeys)
	t.steps = t.in.NestSteps
	if t.steps == 0 {
		t.steps = min(max(20_000_000/int64(max(1, len(keys))), 100_000), 2_000_000)
	}
	kept := map[rowKey][]StockTile{}
	for _, s := range t.kept {
		k := rowKey{s.Tile, s.Group}
		kept[k] = append(kept[k], s)
	}
	for _, k := range keys {
		row, err := t.cutRow(ctx, k, pieces[k], kept[k])
		if err != nil {
			return err
		}
		t.out.Stock = append(t.out.Stock, row.tiles...)
		t.out.Rows = append(t.out.Rows, t.countRow(k, pieces[k], row))
	}
	return nil
}

// cutRow finds the stock tiles for the pieces of one tile and group.
func (t *taker) cutRow(ctx context.Context, k rowKey, pieces []*takenPiece, kept []StockTile) (*stockRow, error) {
	tile := t.tiles[k.tile]
	whole := rooms.Polygon{Outer: tile.Shape}
	row := &stockRow{tiles: slices.Clip(kept), keptTiles: len(kept)}
	for _, s := range kept {
		if s.Broken {
			row.broken++
		} else {
			row.laid++
		}
	}
	row.bound = row.laid
	for _, p := range pieces {
		for n := 1; n <= p.again; n++ {
			row.tiles = append(row.tiles, StockTile{ID: brokenID(p.ID, n), Tile: k.tile, Group: k.group, Broken: true})
			row.broken++
		}
		switch {
		case p.Full:
			row.full++
		default:
			row.cuts++
		}
		switch {
		case p.kept:
		case p.Full:
			t.add(row, k, againID(p), []StockPiece{{p.ID, whole}})
			row.bound++
			row.openFull++
		default:
			c := t.cutPiece(p, tile)
			row.open = append(row.open, c)
			if p.again > 0 { // cut anew from a spare, at once
				t.add(row, k, againID(p), []StockPiece{{p.ID, c.shape}})
				row.cutTiles++
			}
		}
	}
	return row, t.nestRow(ctx, k, tile, row)
}

// add puts one more stock tile into the row.
func (t *taker) add(r *stockRow, k rowKey, id string, pieces []StockPiece) {
	name := id
	for n := 2; t.named[name]; n++ { // a tile kept has the name: its first piece is cut again
		name = fmt.Sprintf("%s/%d", id, n)
	}
	t.named[name] = true
	r.tiles = append(r.tiles, StockTile{ID: name, Tile: k.tile, Group: k.group, Pieces: pieces})
	r.laid++
}

// A stock tile is named after the piece it is first cut for, so its name holds
// as long as that piece does; a piece that broke is cut from a tile of its own.
func againID(p *takenPiece) string {
	if p.again == 0 {
		return p.ID
	}
	return fmt.Sprintf("%s/again.%d", p.ID, p.again)
}

func brokenID(piece string, n int) string { return fmt.Sprintf("%s/broken.%d", piece, n) }

// cutPiece describes a piece to the nesting: its bounding box in the tile's
// frame, the sides on which it must keep the tile's own edge, and the turns that
// the tile's face allows. A piece to be measured on site keeps room for the
// largest size its gap allows.
func (t *taker) cutPiece(p *takenPiece, tile *Tile) cutPiece {
	shape := shapeOnTile(p.Piece, tile)
	b, frame := shape.Outer.Box(), tile.Shape.Box()
	c := cutPiece{takenPiece: p, shape: shape, exact: isBox(shape), need: nest.Piece{Rank: t.rank(p)}}
	if !tile.Directional {
		c.need.Turns = nest.AnyTurn
	}
	c.need.Factory = touched(b, frame) &^ cutSides(p.Piece)
	w, h := b.Width(), b.Height()
	quarter, square := quarterTurn(p.Piece)
	for _, cut := range p.Cuts {
		c.wet = c.wet || cut.Tool != Snap
		if p.OnSite && !p.kept && cut.Sized && square && cut.Most > cut.Size {
			if across := cut.Side == "left" || cut.Side == "right"; across == (quarter%2 == 0) {
				w += cut.Most - cut.Size
			} else {
				h += cut.Most - cut.Size
			}
		}
	}
	if c.need.Factory&(nest.Left|nest.Right) == nest.Left|nest.Right || w > frame.Width()-nearTile {
		w = frame.Width()
	}
	if c.need.Factory&(nest.Bottom|nest.Top) == nest.Bottom|nest.Top || h > frame.Height()-nearTile {
		h = frame.Height()
	}
	c.need.W, c.need.H = int64(w), int64(h)
	c.need.Whole = w == frame.Width() && h == frame.Height()
	return c
}

// shapeOnTile is the piece at its printed sizes in its tile's frame; as drawn
// where the sizes leave nothing of a splinter.
func shapeOnTile(p *Piece, tile *Tile) rooms.Polygon {
	if s := StockShape(*p, *tile); !vanishes(s) {
		return s
	}
	drawn := *p
	drawn.Cuts = nil
	return StockShape(drawn, *tile)
}

// vanishes reports whether a shape has no area to speak of.
func vanishes(p rooms.Polygon) bool { return len(p.Outer) < 3 || p.AreaMM2() < 1 }

// touched lists the sides of the tile's box that a shape's box reaches.
func touched(b, frame rooms.Box) nest.Sides {
	var s nest.Sides
	if b.Min.X-frame.Min.X <= nearTile {
		s |= nest.Left
	}
	if b.Min.Y-frame.Min.Y <= nearTile {
		s |= nest.Bottom
	}
	if frame.Max.X-b.Max.X <= nearTile {
		s |= nest.Right
	}
	if frame.Max.Y-b.Max.Y <= nearTile {
		s |= nest.Top
	}
	return s
}

// cutSides lists, in the tile's frame, the sides on which the piece is cut
// straight, and so needs no edge of the tile.
func cutSides(p *Piece) nest.Sides {
	quarter, ok := quarterTurn(p)
	if !ok {
		return 0
	}
	var s nest.Sides
	for _, c := range p.Cuts {
		if !c.Sized {
			continue
		}
		if i := slices.Index([]string{"left", "bottom", "right", "top"}, c.Side); i >= 0 {
			s |= 1 << ((i - quarter + 4) % 4)
		}
	}
	return s
}

// rank is the piece's place in the setting order.
func (t *taker) rank(p *takenPiece) int {
	if t.in.Rank != nil {
		return t.in.Rank[p.ID]
	}
	return 0
}

// isBox reports whether a polygon is an upright rectangle.
func isBox(p rooms.Polygon) bool {
	if len(p.Holes) > 0 {
		return false
	}
	b := p.Outer.Box()
	return 2*rooms.Rect(b.Min.X, b.Min.Y, b.Max.X, b.Max.Y).AreaMM2()-2*p.AreaMM2() < 0.1
}

// boxAtOrigin reports whether a tile's box starts at 0, 0 and has an area.
func boxAtOrigin(b rooms.Box) bool {
	return b.Min == rooms.Point{} && b.Max.X > 0 && b.Max.Y > 0
}

// nestRow cuts the row's open pieces from as few tiles as it can, apart from each
// other where offcuts may not be carried from surface to surface or from room to
// room. A piece that broke has a tile of its own already.
func (t *taker) nestRow(ctx context.Context, k rowKey, tile *Tile, row *stockRow) error {
	parts := map[string][]cutPiece{}
	var keys []string
	for _, c := range row.open {
		at := t.sharesWith(c.takenPiece)
		if parts[at] == nil {
			keys = append(keys, at)
		}
		parts[at] = append(parts[at], c)
	}
	for _, at := range keys {
		if err := t.nestPart(ctx, k, tile, row, at, parts[at]); err != nil {
			return fmt.Errorf("takeoff: cutting %s for %s: %w", k.tile, k.group, err)
		}
	}
	return nil
}

// sharesWith names the pieces with which a piece may share a tile.
func (t *taker) sharesWith(p *takenPiece) string {
	switch t.in.Sharing {
	case ShareRoom:
		return p.room
	case ShareSurface:
		return p.surface
	}
	return p.group
}

// nestPart cuts pieces that may share tiles: rectangles by the solver, others
// where they lie in their own tile or by their bounding boxes, whichever takes
// fewer tiles.
func (t *taker) nestPart(ctx context.Context, k rowKey, tile *Tile, row *stockRow, at string, open []cutPiece) error {
	share := slices.DeleteFunc(slices.Clone(open), func(c cutPiece) bool { return c.again > 0 })
	p := &planner{t: t, tile: tile, square: isBox(rooms.Polygon{Outer: tile.Shape})}
	if t.in.ReuseKept && p.square {
		for i := range row.keptTiles {
			if s := &row.tiles[i]; !s.Broken && t.sharesWith(t.byID[s.Pieces[0].Piece]) == at {
				p.left = append(p.left, t.offcutsOf(tile, s, -1-i)...)
			}
		}
	}
	plan, bound, err := p.plan(ctx, share)
	if err != nil {
		return err
	}
	for i := range row.keptTiles {
		row.tiles[i].Pieces = append(slices.Clip(row.tiles[i].Pieces), plan.kept[i]...)
	}
	for _, s := range plan.tiles {
		t.add(row, k, s.ID, s.Pieces)
		row.cutTiles++
	}
	if bound < 0 || len(share) < len(open) { // not all of it was the solver's
		bound = 0
		if len(p.left) == 0 {
			bound = t.looseBound(ctx, tile, open)
		}
		row.caveat = "by area, by corners and by the rectangles among the pieces"
	}
	row.bound += bound
	return nil
}

// cutting is new tiles, and pieces cut from what is left of kept ones.
type cutting struct {
	tiles []StockTile
	kept  map[int][]StockPiece // by index of the row's tile
}

// planner cuts pieces of one tile.
type planner struct {
	t      *taker
	tile   *Tile
	square bool
	left   []nest.Offcut // of kept tiles, numbered -1 and down
}

// plan cuts the pieces from as few tiles as it finds; bound is the solver's
// where it proves one for them all, else -1. Pieces that are no rectangles lie
// as in their own tiles, and the rectangles come from what is left beside them
// before any new tile; or all lie as in their own; or all go by their boxes.
func (p *planner) plan(ctx context.Context, share []cutPiece) (best *cutting, bound int, err error) {
	var exact, loose []cutPiece
	mixed := [2]bool{}
	for _, c := range share {
		if c.exact && p.square {
			exact = append(exact, c)
		} else {
			loose = append(loose, c)
		}
		mixed[btoi(c.wet)] = true
	}
	if len(loose) == 0 {
		best, bound, err = p.nest(ctx, nil, exact)
		if mixed[0] && mixed[1] {
			bound = -1
		}
		return best, bound, err
	}
	for _, way := range [][2][]cutPiece{{loose, exact}, {share, nil}, {nil, share}} {
		if len(way[0]) == 0 && !p.square {
			continue
		}
		tiles, turns := p.t.packOwn(p.tile, way[0])
		got, _, err := p.nest(ctx, ownStock(tiles, turns, way[0]), way[1])
		if err != nil {
			return nil, 0, err
		}
		if best == nil || len(got.tiles) < len(best.tiles) {
			best = got
		}
	}
	return best, -1, nil
}

func btoi(b bool) int {
	if b {
		return 1
	}
	return 0
}

// nest cuts pieces, as their bounding boxes, from what is left of kept tiles and
// of the tiles begun, and from new ones by the solver.
func (p *planner) nest(ctx context.Context, begun []StockTile, share []cutPiece) (*cutting, int, error) {
	got := &cutting{tiles: begun, kept: map[int][]StockPiece{}}
	if len(share) == 0 {
		return got, 0, nil
	}
	problem := p.t.nestProblem(p.tile, share)
	problem.Stock = slices.Clone(p.left)
	if p.square {
		for i := range begun {
			problem.Stock = append(problem.Stock, p.t.offcutsOf(p.tile, &begun[i], i)...)
		}
	}
	r, err := nest.SolveOffcuts(ctx, problem, nest.Options{Steps: p.t.steps})
	if err == nil && r.Status != nest.Optimal && r.Status != nest.Feasible {
		err = fmt.Errorf("%s", r.Sentence())
	}
	if err != nil {
		return nil, 0, err
	}
	got.tiles = append(slices.Clone(begun), make([]StockTile, r.Tiles)...)
	frame := p.tile.Shape.Box()
	for i, q := range r.Placements {
		number := len(begun) + q.Tile
		if q.Stock >= 0 {
			from := problem.Stock[q.Stock]
			number, q.X, q.Y = from.Tile, q.X+from.X, q.Y+from.Y
		}
		piece := StockPiece{share[i].ID, placeShape(share[i], q, frame)}
		if number < 0 {
			got.kept[-1-number] = append(got.kept[-1-number], piece)
			continue
		}
		s := &got.tiles[number]
		if q.Opens {
			s.ID = share[i].ID
		}
		s.Pieces = append(slices.Clip(s.Pieces), piece)
	}
	return got, r.Bound, nil
}

// nestProblem states the pieces' packing. One kerf holds for the whole of it.
func (t *taker) nestProblem(tile *Tile, share []cutPiece) nest.OffcutProblem {
	b := tile.Shape.Box()
	p := nest.OffcutProblem{TileW: int64(b.Width()), TileH: int64(b.Height())}
	for _, c := range share {
		p.Pieces = append(p.Pieces, c.need)
		if c.wet {
			p.Kerf = int64(t.kerf())
		}
	}
	return p
}

// placeShape turns a piece's shape and moves it to its place, against the sides
// it needs where its place is larger than itself.
func placeShape(c cutPiece, q nest.Placement, frame rooms.Box) rooms.Polygon {
	turns := map[nest.Turn]int{nest.Turn0: 0, nest.Turn90: 1, nest.Turn180: 2, nest.Turn270: 3}[q.Turn]
	shape := turnPolygon(c.shape, turns)
	b := shape.Outer.Box()
	sides := c.need.Factory<<turns | c.need.Factory>>(4-turns)
	to := rooms.Point{X: rooms.Length(q.X), Y: rooms.Length(q.Y)}
	if sides&nest.Left == 0 && (sides&nest.Right != 0 || rooms.Length(q.X+q.W) == frame.Width()) {
		to.X = rooms.Length(q.X+q.W) - b.Width()
	}
	if sides&nest.Bottom == 0 && (sides&nest.Top != 0 || rooms.Length(q.Y+q.H) == frame.Height()) {
		to.Y = rooms.Length(q.Y+q.H) - b.Height()
	}
	return shape.Moved(rooms.Point{X: to.X - b.Min.X, Y: to.Y - b.Min.Y})
}

// turnPolygon turns a polygon by quarter turns about 0, 0, counter-clockwise.
func turnPolygon(p rooms.Polygon, quarters int) rooms.Polygon {
	out := rooms.Polygon{Outer: turnRing(p.Outer, quarters)}
	for _, h := range p.Holes {
		out.Holes = append(out.Holes, turnRing(h, quarters))
	}
	return out
}

func turnRing(r rooms.Ring, quarters int) rooms.Ring {
	out := make(rooms.Ring, len(r))
	for i, p := range r {
		for range quarters & 3 {
			p = rooms.Point{X: -p.Y, Y: p.X}
		}
		out[i] = p
	}
	return out
}
