package takeoff

import (
	"context"
	"fmt"
	"math"
	"slices"

	"potlife/takeoff/nest"
)

// barKerf is what a cut through a profile takes, in mm: a metal blade's rim and
// the dressing of the end, common practice.
const barKerf = 2

// barCount is the bars to buy of a product, and the number below which no plan
// comes.
type barCount struct{ bars, bound int }

// needTrims cuts the stretches of trim from bars, site by site, and returns the
// bars to buy by product and the place they are delivered to. A stretch longer than a bar takes whole bars first.
func (t *taker) needTrims(ctx context.Context, list []barLength) (map[Use]barCount, error) {
	out := map[Use]barCount{}
	slices.SortStableFunc(list, compareBars)
	for i := 0; i < len(list); {
		j := i
		for j < len(list) && compareBars(list[j], list[i]) == 0 {
			j++
		}
		p := t.products[list[i].product]
		bar := int64(math.Round(p.PackageSize * 1000))
		at := Use{p.Key, t.out.placeOf(list[i].surface.room.key)}
		n := out[at]
		problem := nest.BarProblem{Capacity: bar, Kerf: barKerf}
		for _, l := range list[i:j] {
			mm := int64(math.Ceil(float64(l.metres*1000) - 1e-6))
			t.need(p, l.surface, float64(mm)/1000, fmt.Sprintf("along edges, cut from bars of %s m", trimmed(p.PackageSize, 3)))
			for ; mm > bar; mm -= bar {
				n.bars++
				n.bound++
			}
			if mm > 0 {
				problem.Items = append(problem.Items, mm)
			}
		}
		r, err := nest.SolveBars(ctx, problem, nest.Options{})
		if err != nil {
			return nil, fmt.Errorf("takeoff: bars of %s: %w", p.Key, err)
		}
		out[at] = barCount{n.bars + r.Bars, n.bound + r.Bound}
		i = j
	}
	return out, nil
}
