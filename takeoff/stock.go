package takeoff

import (
	"context"
	"fmt"
	"slices"
	"strings"

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
	inHand       int        // tiles with pieces that are offcuts in hand; laid leaves them out
	offered      int        // offcuts in hand that were offered to the row
	open         []cutPiece // cut pieces that are still to be cut
	openFull     int        // whole tiles still to be set
	settled      []cutPiece // cut pieces whose tile is settled and not cut yet
	caveat       string     // what the bound is worth
	loss         loss       // what of it breaks, once it is counted
}

// cutStock says which stock tile every piece comes from, tile by tile and group
// by group.
func (t *taker) cutStock(ctx context.Context) error {
	t.shapeAll()
	keys, pieces := t.piecesByRow()
	t.steps = t.in.NestSteps
	if t.steps == 0 {
		t.steps = min(max(60_000_000/int64(max(1, len(keys))), 300_000), 6_000_000)
	}
	kept := map[rowKey][]StockTile{}
	for _, s := range t.kept {
		k := rowKey{s.Tile, s.Group}
		kept[k] = append(kept[k], s)
	}
	rows, parts := make([]*stockRow, len(keys)), make([][]*nestJob, len(keys))
	Each(len(keys), 1, func(i int) {
		rows[i] = t.openRow(keys[i], pieces[keys[i]], kept[keys[i]])
		parts[i] = t.nestJobs(keys[i], rows[i])
	})
	jobs := slices.Concat(parts...)
	t.offerOfLot(jobs, rows, keys)
	if err := t.nestAll(ctx, jobs); err != nil {
		return err
	}
	if err := t.nestYard(ctx, jobs); err != nil {
		return err
	}
	for _, j := range jobs {
		t.enter(j)
	}
	n := 0
	for _, row := range rows {
		n += len(row.tiles)
	}
	t.out.Stock = slices.Grow(t.out.Stock, n)
	counted := make([]Row, len(keys))
	Each(len(keys), 1, func(i int) {
		t.settledBound(t.tiles[keys[i].tile], rows[i], pieces[keys[i]])
		counted[i] = t.countRow(keys[i], pieces[keys[i]], rows[i])
	})
	for i, k := range keys {
		t.out.Stock = append(t.out.Stock, rows[i].tiles...)
		t.out.losses[k] = rows[i].loss
	}
	t.out.Rows = append(t.out.Rows, counted...)
	return nil
}

// piecesByRow are the pieces by tile and group, and these in order.
func (t *taker) piecesByRow() (keys []rowKey, pieces map[rowKey][]*takenPiece) {
	pieces = map[rowKey][]*takenPiece{}
	for from, to := 0, 0; from < len(t.pieces); from = to { // neighbours as a rule are of one row
		k := rowKey{t.pieces[from].Tile, t.pieces[from].group}
		for to = from + 1; to < len(t.pieces) && t.pieces[to].Tile == k.tile && t.pieces[to].group == k.group; to++ {
		}
		if pieces[k] == nil {
			keys = append(keys, k)
		}
		pieces[k] = append(pieces[k], t.pieces[from:to]...)
	}
	slices.SortFunc(keys, compareRowKeys)
	return keys, pieces
}

// cutRow finds the stock tiles for the pieces of one tile and group.
func (t *taker) cutRow(ctx context.Context, k rowKey, pieces []*takenPiece, kept []StockTile) (*stockRow, error) {
	row := t.openRow(k, pieces, kept)
	jobs := t.nestJobs(k, row)
	if err := t.nestAll(ctx, jobs); err != nil {
		return nil, err
	}
	for _, j := range jobs {
		t.enter(j)
	}
	t.settledBound(t.tiles[k.tile], row, pieces)
	return row, nil
}

// openRow sets out what needs no nesting: tiles kept and broken, and whole ones.
func (t *taker) openRow(k rowKey, pieces []*takenPiece, kept []StockTile) *stockRow {
	tile := t.tiles[k.tile]
	whole := rooms.Polygon{Outer: tile.Shape}
	tiles, open := 0, 0
	for _, p := range pieces {
		tiles += p.again + btoi(!p.kept && (p.Full || p.again > 0))
		open += btoi(!p.kept && !p.Full)
	}
	// Every piece to be cut may want a tile of its own.
	row := &stockRow{tiles: append(make([]StockTile, 0, len(kept)+tiles+open), kept...), keptTiles: len(kept), open: make([]cutPiece, 0, open)}
	row.countKept(kept)
	for _, p := range pieces {
		t.addBroken(row, k, p)
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
	return row
}

// countKept counts the tiles that are cut or laid.
func (row *stockRow) countKept(kept []StockTile) {
	for _, s := range kept {
		switch {
		case s.Broken && s.InHand():
		case s.Broken:
			row.broken++
		case s.InHand():
			row.inHand++
		default:
			row.laid++
		}
	}
	row.settledTiles = row.laid
}

// addBroken adds the tiles of which a piece broke.
func (t *taker) addBroken(row *stockRow, k rowKey, p *takenPiece) {
	for n := 1; n <= p.again; n++ {
		s := StockTile{ID: brokenID(p.ID, n), Tile: k.tile, Group: k.group, Broken: true, Offcut: t.brokenOffcut[brokenID(p.ID, n)]}
		row.tiles = append(row.tiles, s)
		row.broken += btoi(!s.InHand())
	}
}

// settledBound raises the bound by what holds whatever is settled already.
func (t *taker) settledBound(tile *Tile, row *stockRow, pieces []*takenPiece) {
	if row.settledTiles > 0 { // an offcut in hand saves a tile at most
		row.bound = max(row.bound, row.full+t.anewBound(tile, pieces)-row.inHand-row.offered)
	}
}

// anewBound is a number of tiles below which no plan comes for the cut pieces
// of a row, those of tiles settled already among them, as if all were still to
// be cut: by area and by corners.
func (t *taker) anewBound(tile *Tile, pieces []*takenPiece) int {
	areas, corners := map[string][]float64{}, map[string][]float64{}
	var keys []string
	for _, p := range pieces {
		if p.Full || p.elsewhere {
			continue
		}
		at := t.sharesWith(p)
		if areas[at] == nil {
			keys = append(keys, at)
		}
		shape := t.shapeOf(p)
		areas[at] = append(areas[at], shape.AreaMM2()-1)
		corners[at] = append(corners[at], float64(ownCorners(tile.Shape, shape.Outer)))
	}
	bound := 0
	for _, at := range keys {
		bound += max(fewestBins(areas[at], tile.Shape.AreaMM2()), fewestBins(corners[at], float64(len(tile.Shape))))
	}
	return bound
}

// add puts one more stock tile into the row. Only tiles kept can have its name before
// it: no two others are named after one piece.
func (t *taker) add(r *stockRow, k rowKey, id string, pieces []StockPiece) {
	name := id
	for n := 2; t.named[name]; n++ { // a tile kept has the name: its first piece is cut again
		name = fmt.Sprintf("%s/%d", id, n)
	}
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

// BrokenPiece is the piece after which a broken tile is named.
func BrokenPiece(id string) string {
	if i := strings.LastIndex(id, "/broken."); i >= 0 {
		return id[:i]
	}
	return ""
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
