package takeoff

import (
	"cmp"
	"context"
	"slices"
)

// What lies in the yard of cut tiles is offered once all is counted without it, job
// after job: a job takes from it only where that saves a tile, and what one takes no
// other is offered. So nobody fetches an offcut for nothing.

// yardTries bounds how often a job is cut again to find fewer offcuts that save as
// many tiles.
const yardTries = 24

// nestYard cuts the jobs again from what lies in the yard of their tile and lot.
func (t *taker) nestYard(ctx context.Context, jobs []*nestJob) error {
	if t.rowLot == nil {
		return nil
	}
	given := map[string]bool{}
	for _, j := range jobs {
		all := t.yardFor(j)
		offer := slices.DeleteFunc(slices.Clone(all), func(o *YardOffcut) bool { return given[o.Key] })
		if len(j.share) == 0 || len(all) == 0 {
			continue
		}
		j.row.offered = max(j.row.offered, len(all))
		// An offcut stands for a tile at most, also one that another job has.
		bound := j.got.bound - len(all)
		if len(offer) > 0 {
			with, err := j.fromYard(ctx, offer)
			if err != nil {
				return err
			}
			bound = max(bound, with-(len(all)-len(offer)))
		}
		j.got.bound = max(0, bound)
		for _, o := range j.usedOffcuts() {
			given[o.Key] = true
		}
	}
	return nil
}

// yardFor lists the offcuts in hand that a job may be cut from: of its tile and the
// lot that its group gets, not on a tile of the plan already.
func (t *taker) yardFor(j *nestJob) (list []*YardOffcut) {
	lot := t.rowLot[j.key]
	if lot == "" || !j.plan.square {
		return nil
	}
	for i := range t.in.Catalogue.Offcuts {
		o := &t.in.Catalogue.Offcuts[i]
		if o.Lot == lot && GoodsKey(o.Tile) == GoodsKey(j.key.tile) && !t.onTile[o.Key] && o.Check(j.plan.tile) == nil {
			list = append(list, o)
		}
	}
	return list
}

// fromYard cuts a job with offcuts in hand offered to it, keeps what comes of it
// where that takes fewer tiles, from as few of the offcuts as it finds, and returns
// a number of tiles below which no plan with them comes.
func (j *nestJob) fromYard(ctx context.Context, offer []*YardOffcut) (bound int, err error) {
	first, err := j.with(ctx, offer)
	if err != nil {
		return 0, err
	}
	bound = first.got.bound
	if len(first.got.cut.tiles) >= len(j.got.cut.tiles) {
		return bound, nil
	}
	best := first
	used := best.usedOffcuts()
	slices.SortStableFunc(used, func(a, b *YardOffcut) int { return cmp.Compare(b.mm2(), a.mm2()) }) // the largest may serve another day
	for i := 0; i < min(len(used), yardTries) && len(used) > 1; {
		fewer, err := j.with(ctx, slices.Delete(slices.Clone(used), i, i+1))
		if err != nil {
			return 0, err
		}
		if len(fewer.got.cut.tiles) > len(best.got.cut.tiles) {
			i++
			continue
		}
		best = fewer
		used = slices.DeleteFunc(used, func(o *YardOffcut) bool { return !slices.Contains(best.usedOffcuts(), o) })
	}
	j.got, j.hand = best.got, best.hand
	return bound, nil
}

// with cuts the job anew, with offcuts in hand offered to it besides.
func (j *nestJob) with(ctx context.Context, offer []*YardOffcut) (*nestJob, error) {
	try := *j
	try.hand = offer
	try.plan.left = slices.Clip(j.plan.left)
	for i, o := range offer {
		number := -1 - (j.row.keptTiles + len(j.from) + i)
		try.plan.left = append(try.plan.left, j.plan.t.offcutsOf(j.plan.tile, &StockTile{Offcut: o}, number)...)
	}
	if try.run(ctx); try.err != nil {
		return nil, try.wrong()
	}
	return &try, nil
}

// usedOffcuts are the offcuts in hand from which something is cut.
func (j *nestJob) usedOffcuts() (list []*YardOffcut) {
	for i, o := range j.hand {
		if len(j.got.cut.kept[j.row.keptTiles+len(j.from)+i]) > 0 {
			list = append(list, o)
		}
	}
	return list
}

// enterYard puts the offcuts in hand that a job is cut from into its row.
func (t *taker) enterYard(j *nestJob) {
	for i, o := range j.hand {
		pieces := j.got.cut.kept[j.row.keptTiles+len(j.from)+i]
		if len(pieces) == 0 {
			continue
		}
		own := *o
		j.row.tiles = append(j.row.tiles, StockTile{ID: yardID(o), Tile: j.key.tile, Group: j.key.group, Lot: o.Lot, Offcut: &own, Pieces: pieces})
		j.row.inHand++
		t.donated[j.key] = o.Lot
	}
}

// yardID names the stock tile that an offcut in hand is.
func yardID(o *YardOffcut) string { return "offcut/" + o.Key }

// mm2 is the offcut's area.
func (o *YardOffcut) mm2() float64 { return o.Width.Millimetres() * o.Height.Millimetres() }

// donors counts the tiles and offcuts in hand from which something may be cut before
// a new tile is.
func (p *planner) donors() int {
	seen := map[int]bool{}
	for _, o := range p.left {
		seen[o.Tile] = true
	}
	return len(seen)
}
