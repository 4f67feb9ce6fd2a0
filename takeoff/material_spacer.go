package takeoff

import (
	"math"
	"strings"
)

// spacersPerPiece is how many spacers a piece takes: crosses at the corners of a
// straight field come to one a piece, three-legged ones in running bond to two
// (derived: 1/(L·W) and 2/(L·W) per m² of field); other patterns as running
// bond.
func spacersPerPiece(pattern string) float64 {
	if family, _, _ := strings.Cut(pattern, " "); family == "straight" || family == "diagonal" {
		return 1
	}
	return 2
}

// needSpacers takes spacers by the pieces laid, and clips by their edges where
// the firm has them.
func (t *taker) needSpacers(s *takenSurface) {
	spacers, clips := 0.0, 0.0
	for i := range s.layout.Zones {
		z := &s.layout.Zones[i]
		n := float64(len(z.Pieces))
		spacers += float64(n * spacersPerPiece(z.Zone.Pattern))
		b := t.zoneTile(z).Shape.Box()
		clips += float64(n * float64(clipsOn(b.Width().Millimetres())+clipsOn(b.Height().Millimetres())))
	}
	if t.in.Catalogue.Of(KindSpacer) != nil {
		t.needKind(KindSpacer, s, func(*Product) (float64, string) { return math.Ceil(spacers), "by joint crossings" })
	}
	if t.in.Catalogue.Of(KindClip) != nil {
		t.needKind(KindClip, s, func(*Product) (float64, string) {
			return clips, "one every 300 mm of edge, at least two from 450 mm on"
		})
	}
}

// clipsOn is the number of levelling clips on one edge of the given mm.
func clipsOn(mm float64) int {
	n := max(1, int(math.Ceil(mm/300-1e-9)))
	if mm >= 450 {
		n = max(2, n)
	}
	return n
}
