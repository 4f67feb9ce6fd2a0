package takeoff

import (
	"context"
	"fmt"
	"slices"
	"strings"
)

// LotAnswer says how the groups of one tile were given to lots.
type LotAnswer struct {
	Tile string
	// Served boxes come from lots, no assignment serves more than Bound, Left
	// boxes remain in the lots that were opened; Proved where no assignment is
	// better.
	Served, Bound, Left int
	Proved              bool
}

// supply is a lot that groups can be given.
type supply struct {
	lot     string
	boxes   int // left to give
	yard    int // of these, what is on hand and not on an order placed
	offered bool
}

// take gives n boxes, those on hand first, and returns how many of them are on
// hand.
func (s *supply) take(n int) (yard int) {
	yard = min(n, s.yard)
	s.boxes -= n
	s.yard -= yard
	return yard
}

// giveLots gives each row one lot: the one its kept tiles are of, else lots on
// hand (and bought by orders placed) so that most is served from them and least
// is left over, else a lot on offer. What no lot serves is ordered, in one lot.
func (t *taker) giveLots(ctx context.Context) {
	t.out.hasRow = map[rowKey]bool{}
	for _, r := range t.out.Rows {
		t.out.hasRow[rowKey{GoodsKey(r.Tile), r.Group}] = true
	}
	of := map[string][]int{} // rows by what is bought for them
	var goods []string
	for i := range t.out.Rows {
		k := GoodsKey(t.out.Rows[i].Tile)
		if of[k] == nil {
			goods = append(goods, k)
		}
		of[k] = append(of[k], i)
	}
	for _, k := range goods {
		rows := make([]Row, len(of[k]))
		for n, i := range of[k] {
			rows[n] = t.out.Rows[i]
		}
		t.giveTile(ctx, k, rows)
		for n, i := range of[k] {
			t.out.Rows[i] = rows[n]
		}
	}
	t.sayAccepted()
	lot := map[rowKey]string{}
	for i := range t.out.Rows {
		r := &t.out.Rows[i]
		r.How += "; " + t.lotHow(r)
		lot[rowKey{r.Tile, r.Group}] = r.Lot
	}
	for i := range t.out.Stock {
		s := &t.out.Stock[i]
		if s.Lot == "" {
			s.Lot = lot[rowKey{s.Tile, s.Group}]
		}
	}
	t.warnCalibres()
}

// lotHow says where a row's boxes come from.
func (t *taker) lotHow(r *Row) string {
	switch {
	case r.FromStock == r.Boxes:
		return fmt.Sprintf("all of lot %s on hand", r.Lot)
	case r.FromStock > 0:
		return fmt.Sprintf("%d of lot %s on hand, the rest of the same lot to be had", r.FromStock, r.Lot)
	case r.Lot != "":
		return "bought of lot " + r.Lot
	}
	return "bought in one lot and calibre"
}

// giveTile gives lots to the rows of one tile and of its lots as measured.
func (t *taker) giveTile(ctx context.Context, tile string, rows []Row) {
	have, offer := t.supplies(tile)
	answer := LotAnswer{Tile: tile, Proved: true}
	open := t.pinLots(rows, have, &answer)
	t.takeOffered(rows, offer)
	open = answer.assign(rows, open, have)
	open = answer.assign(rows, open, offer)
	if len(have)+len(offer) > 0 {
		t.out.Lots = append(t.out.Lots, answer)
		if !answer.Proved {
			t.find(Finding{Rule: "lots", Severity: Info, Where: tile, Value: float64(answer.Served), Limit: float64(answer.Bound),
				Message: fmt.Sprintf("lots serve %s of %s; no assignment serves more than %d", boxes(answer.Served), t.in.Catalogue.called(tile), answer.Bound), Source: "search stopped at its limit of steps"})
		}
	}
	for _, i := range open {
		t.findShort(&rows[i], have)
		t.proposeSplit(ctx, &rows[i], have)
	}
}

// assign gives the open rows to lots and returns those that none serves.
func (a *LotAnswer) assign(rows []Row, open []int, from []supply) (still []int) {
	var demands, caps []int
	for _, i := range open {
		demands = append(demands, rows[i].Boxes)
	}
	for _, s := range from {
		caps = append(caps, s.boxes)
	}
	got := assignLots(demands, caps, lotSteps)
	for n, i := range open {
		l := got.To[n]
		if l < 0 {
			still = append(still, i)
			continue
		}
		rows[i].Lot = from[l].lot
		rows[i].FromStock = from[l].take(rows[i].Boxes)
	}
	a.Served += got.Served
	a.Bound += got.Bound
	a.Left += got.Left
	a.Proved = a.Proved && got.Proved
	return still
}

// supplies lists the lots of a tile, on hand and on offer, in the order of the
// catalogue and then of the orders placed.
func (t *taker) supplies(tile string) (have, offer []supply) {
	for _, l := range t.in.Catalogue.Lots {
		if l.Tile != tile || l.Boxes == 0 {
			continue
		}
		s := supply{lot: l.Lot, boxes: l.Boxes, offered: l.Offered}
		if l.Offered {
			offer = append(offer, s)
		} else {
			s.yard = l.Boxes
			have = append(have, s)
		}
	}
	for _, o := range t.in.Placed {
		for _, l := range o.Lines {
			if l.Product != tile || l.Lot == "" {
				continue
			}
			if i := slices.IndexFunc(have, func(s supply) bool { return s.lot == l.Lot }); i >= 0 {
				have[i].boxes += int(l.Quantity)
			} else {
				have = append(have, supply{lot: l.Lot, boxes: int(l.Quantity)})
			}
		}
	}
	return have, offer
}

// pinLots gives the rows with tiles kept from a lot, and with boxes of a lot
// ordered for their rooms, that lot, leaves the rows for which boxes of no named
// lot are ordered, or of such boxes tiles are issued, as they are, and returns the
// indices of the other rows.
func (t *taker) pinLots(rows []Row, have []supply, answer *LotAnswer) (open []int) {
	used, unnamed := t.lotsUsed()
	for i := range rows {
		r := &rows[i]
		lots, coming := t.lotsOf(r, used[rowKey{r.Tile, r.Group}])
		if len(lots) == 0 {
			if !coming && !unnamed[rowKey{r.Tile, r.Group}] {
				open = append(open, i)
			}
			continue
		}
		r.Lot = lots[0]
		if len(lots) > 1 {
			r.Split = "tiles of lots " + strings.Join(lots, " and ") + " are laid, cut or ordered already"
			t.warnMixedCalibres(r, lots)
		}
		got := 0
		for _, l := range lots {
			if j := slices.IndexFunc(have, func(s supply) bool { return s.lot == l }); j >= 0 {
				n := min(have[j].boxes, r.Boxes-got)
				got += n
				r.FromStock += have[j].take(n)
			}
		}
		answer.Served += got
		answer.Bound += got
		if short := r.Boxes - got; short > 0 && got > 0 {
			t.find(Finding{Rule: "lot short", Severity: Warn, Where: r.Group, Value: float64(got), Limit: float64(r.Boxes),
				Message: fmt.Sprintf("%s for %s: lot %s, of which tiles are cut or laid, is short by %s; ask for the same lot and calibre", t.in.Catalogue.called(r.Tile), t.out.roomsCalled(r.Rooms), r.Lot, boxes(short)),
				Source:  lotSource})
		}
	}
	return open
}

// lotsUsed are the lots of which tiles are kept or given, by row, and the rows that have
// tiles of boxes without a lot yet.
func (t *taker) lotsUsed() (used map[rowKey][]string, unnamed map[rowKey]bool) {
	used, unnamed = map[rowKey][]string{}, map[rowKey]bool{}
	for _, s := range t.kept {
		k := rowKey{s.Tile, s.Group}
		if s.Lot == "" {
			unnamed[k] = unnamed[k] || s.Coming
		} else if !slices.Contains(used[k], s.Lot) {
			used[k] = append(used[k], s.Lot)
		}
	}
	for k, lot := range t.donated {
		if !slices.Contains(used[k], lot) {
			used[k] = append(used[k], lot)
		}
	}
	return used, unnamed
}

// lotsOf are all lots that a row is held to: the one it is laid out for, those used and
// those ordered; coming tells that boxes of no named lot are ordered for it.
func (t *taker) lotsOf(r *Row, used []string) (lots []string, coming bool) {
	ordered, coming := t.orderedFor(r)
	if of := t.tiles[r.Tile].OfLot; of != "" && !slices.Contains(used, of) {
		used = append([]string{of}, used...)
	}
	for _, l := range ordered {
		if !slices.Contains(used, l) {
			used = append(slices.Clip(used), l)
		}
	}
	return used, coming
}

// takeOffered takes off the lots on offer what rows will buy of them that are held to
// their lot by offcuts of it.
func (t *taker) takeOffered(rows []Row, offer []supply) {
	for i := range rows {
		r := &rows[i]
		if t.donated[rowKey{r.Tile, r.Group}] != r.Lot || r.Lot == "" {
			continue
		}
		if l := slices.IndexFunc(offer, func(s supply) bool { return s.lot == r.Lot }); l >= 0 {
			offer[l].take(min(offer[l].boxes, r.Boxes-r.FromStock))
		}
	}
}

// orderedFor lists the lots named on lines of orders placed for a row's rooms,
// and says whether boxes of no named lot are coming for them.
func (t *taker) orderedFor(r *Row) (lots []string, coming bool) {
	for _, o := range t.in.Placed {
		for _, l := range o.Lines {
			if l.Product != GoodsKey(r.Tile) || !t.out.isFor(&l, r) {
				continue
			}
			if l.Lot == "" {
				coming = true
			} else if !slices.Contains(lots, l.Lot) {
				lots = append(lots, l.Lot)
			}
		}
	}
	return lots, coming
}

// lotSource is why what is seen together takes one lot.
const lotSource = "one shade and calibre in what is seen together (terms of ANSI A137.1, as reported in trade articles)"

// findShort says by how much the largest lot left falls short of a row that has
// to be ordered.
func (t *taker) findShort(r *Row, have []supply) {
	best := -1
	for i, s := range have {
		if s.boxes > 0 && (best < 0 || s.boxes > have[best].boxes) {
			best = i
		}
	}
	if best < 0 {
		return
	}
	l := have[best]
	t.find(Finding{Rule: "lot short", Severity: Warn, Where: r.Group, Value: float64(l.boxes), Limit: float64(r.Boxes),
		Message: fmt.Sprintf("%s takes %s of %s; the largest lot left, %s, has %d: short by %s, so it is ordered as one lot",
			t.out.roomsCalled(r.Rooms), boxes(r.Boxes), t.in.Catalogue.called(r.Tile), l.lot, l.boxes, boxes(r.Boxes-l.boxes)), Source: lotSource})
}
