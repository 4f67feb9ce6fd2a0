package takeoff

import (
	"fmt"
	"math"
	"slices"
)

// barKerf is what a cut through a profile takes, in mm: a metal blade's rim and
// the dressing of the end, common practice.
const barKerf = 2

// needTrims cuts the stretches of trim from bars, site by site, and returns the
// bars to buy by product. A stretch longer than a bar takes whole bars first.
func (t *taker) needTrims(list []barLength) map[string]int {
	bars := map[string]int{}
	slices.SortStableFunc(list, compareBars)
	for i := 0; i < len(list); {
		j := i
		for j < len(list) && compareBars(list[j], list[i]) == 0 {
			j++
		}
		p := t.products[list[i].product]
		bar := int(math.Round(p.PackageSize * 1000))
		var cuts []int
		for _, l := range list[i:j] {
			mm := int(math.Ceil(l.metres*1000 - 1e-6))
			t.need(p, l.surface, float64(mm)/1000, fmt.Sprintf("along edges, cut from bars of %s m", trimmed(p.PackageSize, 3)))
			for ; mm > bar; mm -= bar {
				bars[p.Key]++
			}
			if mm > 0 {
				cuts = append(cuts, mm)
			}
		}
		bars[p.Key] += barsFor(cuts, bar)
		i = j
	}
	return bars
}

// barsFor counts the bars that hold all cuts, largest first, each into the first
// bar with room.
func barsFor(cuts []int, bar int) int {
	slices.SortFunc(cuts, func(a, b int) int { return b - a })
	var room []int
	for _, c := range cuts {
		i := slices.IndexFunc(room, func(r int) bool { return r >= c })
		if i < 0 {
			room = append(room, bar)
			i = len(room) - 1
		}
		room[i] -= c + barKerf
	}
	return len(room)
}
