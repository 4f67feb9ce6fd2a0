package takeoff

import (
	"context"
	"slices"

	"potlife/rooms"
)

// Offcuts of one lot may go to any group of the same tile and lot: those of kept
// tiles if the firm carries them that far, and those that lie in the yard. Which lot a group gets is known only once its tiles are
// counted; so all is counted once without such offcuts, and then with them. A group
// that takes an offcut keeps the lot it was given.

// donor is a kept tile of another row.
type donor struct {
	row *stockRow
	at  int // its index there
}

// sharesLots reports whether offcuts of kept tiles go to other groups of their lot.
func (t *taker) sharesLots() bool {
	return t.in.ReuseKept && t.in.Sharing == ShareLot && len(t.in.Kept) > 0
}

// knowLots finds the lots that groups get without offcuts of other groups.
func (t *taker) knowLots(ctx context.Context) error {
	if !t.sharesLots() && len(t.in.Catalogue.Offcuts) == 0 {
		return nil
	}
	first := &taker{in: t.in, out: &Taken{}}
	if err := first.index(); err != nil {
		return err
	}
	first.keepSizes()
	first.chooseStops()
	if err := first.cutStock(ctx); err != nil {
		return err
	}
	first.giveLots(ctx)
	t.rowLot, t.donated = map[rowKey]string{}, map[rowKey]string{}
	for _, r := range first.out.Rows {
		if r.Split == "" {
			t.rowLot[rowKey{r.Tile, r.Group}] = r.Lot
		}
	}
	return nil
}

// offerOfLot offers what is left of each kept tile to the first job of another
// group that takes the same tile of the same lot, once its own group has nothing more
// to cut. A tile is offered once, so that no two jobs cut it.
func (t *taker) offerOfLot(jobs []*nestJob, rows []*stockRow, keys []rowKey) {
	for i, k := range keys {
		tile := t.tiles[k.tile]
		own := slices.ContainsFunc(jobs, func(j *nestJob) bool { return j.row == rows[i] }) // cuts from them itself
		if t.rowLot == nil || !t.sharesLots() || own || !isBox(rooms.Polygon{Outer: tile.Shape}) {
			continue
		}
		for at := range rows[i].keptTiles {
			s := &rows[i].tiles[at]
			if s.Broken || s.Lot == "" {
				continue
			}
			n := slices.IndexFunc(jobs, func(j *nestJob) bool {
				return j.key.tile == k.tile && j.key.group != k.group && t.rowLot[j.key] == s.Lot &&
					slices.ContainsFunc(j.open, func(c cutPiece) bool { return c.again == 0 })
			})
			if n < 0 {
				continue
			}
			j := jobs[n]
			number := j.row.keptTiles + len(j.from)
			j.from = append(j.from, donor{rows[i], at})
			j.plan.left = append(j.plan.left, t.offcutsOf(tile, s, -1-number)...)
		}
	}
}

// enterOfLot puts the pieces that a job cuts from other groups' tiles there.
func (t *taker) enterOfLot(j *nestJob) {
	for n, d := range j.from {
		pieces := j.got.cut.kept[j.row.keptTiles+n]
		if len(pieces) == 0 {
			continue
		}
		s := &d.row.tiles[d.at]
		s.Pieces = append(slices.Clip(s.Pieces), pieces...)
		t.donated[j.key] = s.Lot
		for _, q := range pieces {
			t.byID[q.Piece].elsewhere = true
		}
	}
}
