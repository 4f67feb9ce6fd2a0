package scheduler

import (
	"math"
	"testing"
)

// A sheet carries a box in on the day its first tile is cut, though it is set
// on a later day, and no box a second time: over all days a site gets as many
// boxes as the tiles taken from them fill.
func TestBoxesComeWithTheFirstCut(t *testing.T) {
	early := 0
	for seed := uint64(1); seed <= 6; seed++ {
		in := small(t, seed, 3)
		in.Jobs[0].Sites[0].Rooms = append(in.Jobs[0].Sites[0].Rooms, in.Jobs[0].Sites[1].Rooms...)
		in.Jobs[0].Sites = in.Jobs[0].Sites[:1]
		p := made(t, in) // holds each day to what is opened by then
		type lot struct{ tile, lot string }
		boxes, tiles, perBox := map[lot]float64{}, map[lot]float64{}, map[string]float64{}
		for _, k := range in.Firm.Catalogue.Tiles {
			perBox[k.Key] = float64(k.PerBox)
		}
		for _, s := range p.Stock {
			if len(s.Pieces) > 0 {
				tiles[lot{s.Tile, s.Lot}]++
			}
		}
		for _, s := range p.Sheets {
			for _, c := range s.Carry {
				if perBox[c.Product] > 0 {
					boxes[lot{c.Product, c.Lot}] += c.Quantity
				}
			}
			for _, g := range s.Cuts {
				if g.Ahead {
					early += len(g.Pieces)
				}
			}
		}
		for k, n := range tiles {
			if due := math.Ceil(n / perBox[k.tile]); boxes[k] != due {
				t.Errorf("seed %d: %g boxes of %v are carried, %g tiles fill %g", seed, boxes[k], k, n, due)
			}
		}
	}
	if early == 0 {
		t.Error("nothing is cut ahead in these plans: the test shows nothing")
	}
}
