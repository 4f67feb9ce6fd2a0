package takeoff

import (
	"cmp"
	"context"
	"fmt"
	"slices"
	"strings"

	"potlife/rooms"
)

// splitPart is a part of a row that could take a lot of its own.
type splitPart struct {
	name string
	ids  []*takenPiece
}

// splitWays are the ways to part what is seen together, those that hide the
// change of lot best first: a doorway hides it between rooms, a corner between
// floor and walls, and least well one wall from the next.
var splitWays = []struct {
	name string
	of   func(s *takenSurface) string
}{
	{rooms.SplitRooms, func(s *takenSurface) string { return s.room.Key }},
	{rooms.SplitFloor, func(s *takenSurface) string {
		if s.vertical() {
			return "walls"
		}
		return "floor"
	}},
	{rooms.SplitRoomFloor, func(s *takenSurface) string {
		if s.vertical() {
			return "walls of " + s.room.Key
		}
		return "floor of " + s.room.Key
	}},
	{rooms.SplitSurfaces, func(s *takenSurface) string { return s.room.Key + "/" + s.Key }},
}

// partIn names the part a surface belongs to by a way of splitting, empty for
// none.
func partIn(way string, s *takenSurface) string {
	for _, w := range splitWays {
		if w.name == way {
			return w.of(s)
		}
	}
	return ""
}

// acceptSplit notes the split a room accepts for what is seen together with it.
func (t *taker) acceptSplit(e *inputErrors, r *takenRoom) {
	if r.Split == "" {
		return
	}
	if was := t.splits[r.group]; was != "" && was != r.Split {
		e.add("room %s: split %q, and another room of %s has %q; what is seen together is split in one way", r.key, r.Split, r.group, was)
	}
	known := false
	for _, w := range splitWays {
		known = known || w.name == r.Split
	}
	if !known {
		e.add("room %s: split %q is not known; expected %q, %q, %q or %q", r.key, r.Split, rooms.SplitRooms, rooms.SplitFloor, rooms.SplitRoomFloor, rooms.SplitSurfaces)
	}
	t.splits[r.group] = r.Split
}

// sayAccepted marks the rows that an accepted split parts, and says what it mixes
// where two parts got different lots.
func (t *taker) sayAccepted() {
	base := map[string]string{} // lot group → what is seen together
	for i := range t.surfaces {
		s := &t.surfaces[i]
		if s.group != s.room.group {
			base[s.group] = s.room.group
		}
	}
	lots := map[rowKey][]string{}
	for i := range t.out.Rows {
		r := &t.out.Rows[i]
		whole := base[r.Group]
		if whole == "" {
			continue
		}
		why := "split " + t.splits[whole] + ", as accepted"
		if r.Split != "" {
			why += "; " + r.Split
		}
		r.Split = why
		if k := (rowKey{r.Tile, whole}); r.Lot != "" && !slices.Contains(lots[k], r.Lot) {
			lots[k] = append(lots[k], r.Lot)
		}
	}
	for i := range t.out.Rows {
		r := t.out.Rows[i]
		k := rowKey{r.Tile, base[r.Group]}
		if len(lots[k]) > 1 {
			r.Group = k.group
			t.warnMixedCalibres(&r, lots[k])
			delete(lots, k)
		}
	}
}

// proposeSplit finds the split of a row that no lot serves which hides best and
// which the lots left over can serve, and says what it costs: parts no longer
// share offcuts nor spares. It is a proposal; the row is ordered as one lot.
func (t *taker) proposeSplit(ctx context.Context, r *Row, have []supply) {
	total := 0
	var caps []int
	for _, s := range have {
		total += s.boxes
		caps = append(caps, s.boxes)
	}
	if total < r.Boxes {
		return
	}
	for _, way := range splitWays {
		parts := t.parts(r, way.of)
		if len(parts) < 2 {
			continue
		}
		var demands []int
		stock := 0
		for _, p := range parts {
			row, err := t.partRow(ctx, r, p)
			if err != nil {
				return
			}
			demands = append(demands, row.Boxes)
			stock += row.Stock
		}
		got := assignLots(demands, caps, lotSteps)
		if slices.Contains(got.To, -1) {
			continue
		}
		t.findSplit(r, way.name, parts, demands, got, have, stock)
		return
	}
}

// parts sorts a row's pieces by what a way of splitting puts together.
func (t *taker) parts(r *Row, of func(*takenSurface) string) []splitPart {
	name := map[string]string{}
	for i := range t.surfaces {
		s := &t.surfaces[i]
		if s.group != r.Group {
			continue
		}
		for z := range s.layout.Zones {
			for k := range s.layout.Zones[z].Pieces {
				name[s.layout.Zones[z].Pieces[k].ID] = of(s)
			}
		}
	}
	var parts []splitPart
	for _, p := range t.pieces {
		if p.Tile != r.Tile || p.group != r.Group {
			continue
		}
		i := slices.IndexFunc(parts, func(q splitPart) bool { return q.name == name[p.ID] })
		if i < 0 {
			i = len(parts)
			parts = append(parts, splitPart{name: name[p.ID]})
		}
		parts[i].ids = append(parts[i].ids, p)
	}
	slices.SortFunc(parts, func(a, b splitPart) int { return cmp.Compare(a.name, b.name) })
	return parts
}

// partRow counts a part as a row of its own, on a scratch copy.
func (t *taker) partRow(ctx context.Context, r *Row, p splitPart) (Row, error) {
	scratch := *t
	scratch.named = map[string]bool{}
	k := rowKey{r.Tile, r.Group}
	row, err := scratch.cutRow(ctx, k, p.ids, nil)
	if err != nil {
		return Row{}, err
	}
	return scratch.countRow(k, p.ids, row), nil
}

// findSplit words the proposal.
func (t *taker) findSplit(r *Row, way string, parts []splitPart, demands []int, got lotChoice, have []supply, stock int) {
	sum := 0
	var words, lots []string
	for i, p := range parts {
		sum += demands[i]
		lot := have[got.To[i]].lot
		words = append(words, fmt.Sprintf("%s from %s (%s)", p.name, lot, boxes(demands[i])))
		if !slices.Contains(lots, lot) {
			lots = append(lots, lot)
		}
	}
	t.find(Finding{
		Rule: "split", Severity: Info, Where: r.Group, Value: float64(sum), Limit: float64(r.Boxes),
		Message: fmt.Sprintf("%s for %s could be split %s, which hides the change of lot best: %s; %s instead of %d, %s more as offcuts and spares are not shared; to accept it give one of its rooms split: %s",
			t.in.Catalogue.called(r.Tile), t.out.roomsCalled(r.Rooms), way, strings.Join(words, ", "), boxes(sum), r.Boxes, count(stock-r.Stock, "tile"), way),
		Source: "common practice: a change of shade or calibre goes where a corner or a doorway hides it",
	})
	t.warnMixedCalibres(r, lots)
}
