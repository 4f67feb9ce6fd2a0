package takeoff

import (
	"context"
	"fmt"
	"slices"

	"potlife/rooms"
)

// stockRow is the stock tiles of one tile in one group.
type stockRow struct {
	tiles     []StockTile
	keptTiles int // of tiles, the first ones

	settledTiles int // of those, the ones with pieces
	laid         int // tiles with pieces
	bound        int // no plan needs fewer, what is settled taken as still to be cut
	full         int // pieces that are whole tiles
	cuts         int // pieces that are cut
	cutTiles     int // tiles the cut pieces come from
	broken       int
	open         []cutPiece // cut pieces that are still to be cut
	openFull     int        // whole tiles still to be set
	settled      []cutPiece // cut pieces whose tile is settled and not cut yet
	caveat       string     // what the bound is worth
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
	row.settledTiles = row.laid
	for _, p := range pieces {
		for n := 1; n <= p.again; n++ {
			row.tiles = append(row.tiles, StockTile{ID: brokenID(p.ID, n), Tile: k.tile, Group: k.group, Broken: true})
			row.broken++
		}
		switch {
		case p.Full:
			row.full++
			row.bound++
		default:
			row.cuts++
		}
		switch {
		case p.kept && !p.uncut:
		case p.kept && p.Full:
			row.openFull++
		case p.kept:
			row.settled = append(row.settled, t.cutPiece(p, tile))
		case p.Full:
			t.add(row, k, againID(p), []StockPiece{{p.ID, whole}})
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
	if err := t.nestRow(ctx, k, tile, row); err != nil {
		return nil, err
	}
	if row.settledTiles > 0 {
		row.bound = max(row.bound, row.full+t.anewBound(tile, pieces))
	}
	return row, nil
}

// anewBound is a number of tiles below which no plan comes for the cut pieces
// of a row, those of tiles settled already among them, as if all were still to
// be cut: by area and by corners.
func (t *taker) anewBound(tile *Tile, pieces []*takenPiece) int {
	areas, corners := map[string][]float64{}, map[string][]float64{}
	var keys []string
	for _, p := range pieces {
		if p.Full {
			continue
		}
		at := t.sharesWith(p)
		if areas[at] == nil {
			keys = append(keys, at)
		}
		shape := shapeOnTile(p.Piece, tile)
		areas[at] = append(areas[at], shape.AreaMM2()-1)
		corners[at] = append(corners[at], float64(ownCorners(tile.Shape, shape.Outer)))
	}
	bound := 0
	for _, at := range keys {
		bound += max(fewestBins(areas[at], tile.Shape.AreaMM2()), fewestBins(corners[at], float64(len(tile.Shape))))
	}
	return bound
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
