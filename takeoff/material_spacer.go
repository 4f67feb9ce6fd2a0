package takeoff

import (
	"math"
	"strings"

	"potlife/rooms"
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

// needSpacers takes spacers where joints cross and end, and clips by the pieces'
// edges, where the firm has them.
func (t *taker) needSpacers(s *takenSurface) {
	if t.in.Catalogue.Of(KindSpacer) != nil {
		spacers, how := 0.0, ""
		for i := range s.layout.Zones {
			n, words := crossings(&s.layout.Zones[i])
			spacers += n
			how = words
		}
		t.needKind(KindSpacer, s, func(*Product) (float64, string) { return math.Ceil(spacers), how })
	}
	if t.in.Catalogue.Of(KindClip) != nil {
		clips := 0.0
		for i := range s.layout.Zones {
			z := &s.layout.Zones[i]
			b := t.zoneTile(z).Shape.Box()
			clips += float64(float64(len(z.Pieces)) * float64(clipsOn(b.Width().Millimetres())+clipsOn(b.Height().Millimetres())))
		}
		t.needKind(KindClip, s, func(*Product) (float64, string) {
			return clips, "one every 300 mm of edge, at least two from 450 mm on (common practice)"
		})
	}
}

// crossings counts the places at which corners of two pieces or more meet, as laid:
// the crossings of joints and their ends at the edge. Pieces that lie askew have no
// such corners; theirs are counted by the pattern.
func crossings(z *ZoneLayout) (n float64, how string) {
	if askew(z) {
		return float64(len(z.Pieces)) * spacersPerPiece(z.Zone.Pattern), "by the piece, as the pattern has joints (derived: 1/(L·W) to 2/(L·W) per m²)"
	}
	// Twice the coordinates, so that half a joint is whole.
	meet := map[[2]rooms.Length]int{}
	for i := range z.Pieces {
		b, j := z.Pieces[i].Polygon.Outer.Box(), z.Zone.Joint
		for _, x := range [2]rooms.Length{2*b.Min.X - j, 2*b.Max.X + j} {
			for _, y := range [2]rooms.Length{2*b.Min.Y - j, 2*b.Max.Y + j} {
				if meet[[2]rooms.Length{x, y}]++; meet[[2]rooms.Length{x, y}] == 2 {
					n++
				}
			}
		}
	}
	return n, "one where corners of pieces meet, as laid"
}

// askew reports whether most whole pieces of a zone do not lie upright.
func askew(z *ZoneLayout) bool {
	upright, all := 0, 0
	for i := range z.Pieces {
		if p := &z.Pieces[i]; p.Full {
			all++
			if isBox(p.Polygon) {
				upright++
			}
		}
	}
	return 2*upright < all
}

// clipsOn is the number of levelling clips on one edge of the given mm.
func clipsOn(mm float64) int {
	n := max(1, int(math.Ceil(mm/300-1e-9)))
	if mm >= 450 {
		n = max(2, n)
	}
	return n
}
