package nest

import (
	"context"
	"fmt"
	"math/rand/v2"
	"testing"
)

// strips is a bathroom with much that is narrow: sills, jambs and reveals of niches
// and windows, cut on both long sides, of which a tile yields many, beside the cuts
// of its walls.
func strips(seed uint64, narrow, cuts int) OffcutProblem {
	r := rand.New(rand.NewPCG(seed, 12))
	const mm = 8000
	p := OffcutProblem{TileW: 597 * mm, TileH: 297 * mm, Kerf: 1.6 * mm, SmallestKept: 30 * mm}
	for range narrow {
		q := Piece{W: int64(40+r.IntN(70)) * mm, H: int64(120+r.IntN(170)) * mm, Turns: AnyTurn}
		if r.IntN(3) == 0 {
			q.Factory, q.H = Bottom|Top, 297*mm
		}
		for range 1 + r.IntN(3) {
			p.Pieces = append(p.Pieces, q)
		}
	}
	for range cuts {
		q := Piece{W: int64(60+r.IntN(500)) * mm, H: 297 * mm, Factory: Left | Bottom | Top, Turns: AnyTurn}
		if r.IntN(3) == 0 {
			q.H, q.Factory = int64(40+r.IntN(240))*mm, Left|Bottom
		}
		for range 1 + r.IntN(6) {
			p.Pieces = append(p.Pieces, q)
		}
	}
	return p
}

// BenchmarkStrips plans bathrooms with many narrow strips.
func BenchmarkStrips(b *testing.B) {
	for _, n := range [][2]int{{8, 8}, {16, 8}, {30, 10}} {
		b.Run(fmt.Sprintf("%d strips %d cuts", n[0], n[1]), func(b *testing.B) {
			proved, plans, steps := 0, 0, int64(0)
			for b.Loop() {
				for seed := range uint64(8) {
					r, err := SolveOffcuts(context.Background(), strips(seed, n[0], n[1]), Options{})
					if err != nil {
						b.Fatal(err)
					}
					plans++
					steps += r.Steps
					if r.Status == Optimal {
						proved++
					}
				}
			}
			b.ReportMetric(float64(proved)/float64(plans), "proved")
			b.ReportMetric(float64(steps)/float64(plans), "steps/plan")
		})
	}
}
