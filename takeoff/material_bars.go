package takeoff

import (
	"context"
	"fmt"
	"math"
	"slices"

	"potlife/rooms"
	"potlife/takeoff/nest"
)

// barKerf is what a cut through a profile takes, in mm: a metal blade's rim and
// the dressing of the end, common practice. Rod is cut with a knife and loses none.
const barKerf = 2

// bar is the length in which a product comes that is cut to the piece, 0 where it
// comes otherwise: a trim's package is one bar unless its own length is given, a
// backer rod comes on a roll unless it is.
func (p *Product) bar() rooms.Length {
	switch {
	case p.Kind != KindTrim && p.Kind != KindBacker:
		return 0
	case p.StockLength > 0:
		return p.StockLength
	case p.Kind == KindTrim:
		return rooms.Length(math.Round(p.PackageSize*1000)) * rooms.Millimetre
	}
	return 0
}

// bars is how many bars a package holds.
func (p *Product) bars() int {
	return max(1, int(math.Round(p.PackageSize/p.bar().Metres())))
}

// toThePiece says that packages are counted by what is cut from them, without a
// margin: bars, boards, rolls of sheet membrane.
func (p *Product) toThePiece() bool { return p.bar() > 0 || p.panels() > 0 }

// barCount is the packages of bars or panels to buy of a product, and the number
// below which no plan comes.
type barCount struct{ bars, bound int }

// needBars chooses the sizes of stretches so that the fewest stop settings serve
// them, cuts them from bars, place by place, and returns the packages to buy by
// product and the place they are delivered to. A stretch longer than a bar takes
// whole bars first.
func (t *taker) needBars(ctx context.Context, list []barLength) (map[Use]barCount, error) {
	out := map[Use]barCount{}
	slices.SortStableFunc(list, compareBars)
	t.barSizes(list)
	for i := 0; i < len(list); {
		j := i
		for j < len(list) && compareBars(list[j], list[i]) == 0 {
			j++
		}
		p := t.products[list[i].product]
		problem := nest.BarProblem{Capacity: int64(p.bar() / rooms.Millimetre), Kerf: list[i].kerf}
		whole := 0
		for k := range list[i:j] {
			l := &list[i+k]
			whole += l.whole
			if l.size > 0 {
				problem.Items = append(problem.Items, wholeMM(l.size))
			}
			t.needBar(p, l)
		}
		r, err := nest.SolveBars(ctx, problem, nest.Options{})
		if err != nil {
			return nil, fmt.Errorf("takeoff: bars of %s: %w", p.Key, err)
		}
		at := Use{p.Key, t.out.placeOf(list[i].surface.room.key)}
		n := out[at]
		out[at] = barCount{n.bars + whole + r.Bars, n.bound + whole + r.Bound}
		i = j
	}
	for at, n := range out {
		each := t.products[at.Product].bars()
		out[at] = barCount{(n.bars + each - 1) / each, (n.bound + each - 1) / each}
	}
	return out, nil
}

// needBar notes a stretch as it is cut.
func (t *taker) needBar(p *Product, l *barLength) {
	bar := p.bar() / rooms.Millimetre
	mm := int64(l.whole)*int64(bar) + wholeMM(l.size)
	n := len(t.out.Needs)
	if t.need(p, l.surface, float64(mm)/1000, l.how); len(t.out.Needs) > n && p.Kind == KindTrim {
		d := &t.out.Needs[n]
		d.Piece, d.Whole, d.Cut, d.Measure = l.surface.key+"/"+l.name, l.whole, l.size, !l.stop
	}
}

// barSizes parts each stretch into whole bars and a rest, and gives the rests that
// can be cut ahead the fewest stop settings that serve them, over all rooms. The
// list is sorted by product.
func (t *taker) barSizes(list []barLength) {
	scale := metricStops
	if t.in.Imperial {
		scale = imperialStops
	}
	for i := 0; i < len(list); {
		p := t.products[list[i].product]
		var cuts []stopCut
		at := map[*takenPiece]*barLength{}
		for ; i < len(list) && list[i].product == p.Key; i++ {
			l := &list[i]
			least, most, drawn := l.part(p.bar())
			l.size = drawn
			if least = ceilTo(least, scale.fine); !l.stop || l.size == 0 {
				continue
			} else if most = floorTo(most, scale.fine); least > most {
				l.stop = false
				continue
			}
			q := &takenPiece{Piece: &Piece{ID: l.surface.key + "/" + l.name, Tile: p.Key, Cuts: []Cut{{Sized: true, Drawn: drawn, Tool: BarSaw}}}}
			at[q] = l
			cuts = append(cuts, stopCut{q, 0, least, most})
		}
		if len(cuts) == 0 {
			continue
		}
		groups := stab(cuts, scale)
		for _, g := range groups {
			s := StopGroup{Tile: p.Key, Tool: BarSaw, Size: g.size, Least: g.least, Most: g.most}
			for _, c := range g.cuts {
				at[c.piece].size = g.size
				s.Pieces = append(s.Pieces, c.piece.ID)
			}
			t.out.Stops = append(t.out.Stops, s)
		}
		t.out.Savings = append(t.out.Savings, StopSaving{p.Key, BarSaw, len(cuts), len(groups)})
	}
}

// part takes whole bars off a stretch and returns what the rest may be and how it
// is drawn, 0 where the whole bars serve.
func (l *barLength) part(bar rooms.Length) (least, most, drawn rooms.Length) {
	l.whole = int((l.most - 1) / bar)
	off := rooms.Length(l.whole) * bar
	if l.whole > 0 && l.least <= off {
		return 0, 0, 0
	}
	least, most = max(1, l.least-off), l.most-off
	return least, most, min(max(l.drawn-off, least), most)
}
