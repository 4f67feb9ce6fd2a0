package takeoff

import (
	"fmt"
	"hash/fnv"
	"strings"
	"testing"

	"potlife/rooms"
)

// goldenSurface is an L with a wall out of square, a window and a pipe.
func goldenSurface() rooms.Surface {
	e := rooms.Edge{Meets: rooms.InsideCorner, Gap: 5 * lmm, GapMin: 3 * lmm, GapMax: 8 * lmm}
	s := rooms.Surface{Key: "s", Kind: rooms.Floor, Measured: true,
		Outline: rooms.Ring{{X: 0, Y: 0}, {X: 2611 * lmm, Y: 0}, {X: 2598 * lmm, Y: 1207 * lmm}, {X: 1303 * lmm, Y: 1207 * lmm}, {X: 1303 * lmm, Y: 1994 * lmm}, {X: 0, Y: 1994 * lmm}},
		Openings: []rooms.Opening{
			{Key: "window", Outline: rooms.Rect(300*lmm, 1100*lmm, 911*lmm, 1703*lmm), Gap: 3 * lmm, GapMax: 5 * lmm},
			{Key: "pipe", Outline: rooms.Circle(rooms.Point{X: 1900 * lmm, Y: 633 * lmm}, 55*lmm, lmm/10), Gap: 3 * lmm, GapMax: 5 * lmm},
		}}
	for range s.Outline {
		s.Edges = append(s.Edges, e)
	}
	return s
}

// digest sums up every number of a layout's pieces.
func digest(z ZoneLayout) string {
	h := fnv.New64a()
	for _, p := range z.Pieces {
		fmt.Fprintln(h, p.ID, p.Full, p.Turn, int64(p.Place.X), int64(p.Place.Y))
		for _, r := range p.Polygon.Rings() {
			for _, q := range r {
				fmt.Fprint(h, int64(q.X), ",", int64(q.Y), " ")
			}
		}
		for _, c := range p.Cuts {
			fmt.Fprintln(h, c.Side, int64(c.Drawn), int64(c.Size), int64(c.Least), int64(c.Most), c.Shape, c.Tool, c.At)
		}
	}
	return fmt.Sprintf("%016x", h.Sum64())
}

// TestGoldenPatterns keeps every pattern's layout of one surface to the last
// unit: pieces, whole ones, what sized cuts there are, and a digest of all
// numbers. It is the same on every processor; after a change that is meant to
// move pieces, the new lines are printed by the failure.
func TestGoldenPatterns(t *testing.T) {
	var got strings.Builder
	for _, p := range everyPattern() {
		in := roomWith(goldenSurface(), p)
		l := lay(t, in)
		if err := CheckLayout(l, in.Tiles); err != nil {
			t.Error(err)
		}
		full, sized := 0, 0
		for _, q := range l.Zones[0].Pieces {
			if q.Full {
				full++
			}
			for _, c := range q.Cuts {
				if c.Sized {
					sized++
				}
			}
		}
		fmt.Fprintf(&got, "%-22s %4d pieces %4d whole %4d sized cuts %s\n", p.name, len(l.Zones[0].Pieces), full, sized, digest(l.Zones[0]))
	}
	if got.String() != goldenPatterns {
		t.Errorf("laid\n%s", got.String())
	}
}

const goldenPatterns = `straight                106 pieces   56 whole   44 sized cuts 146aa7fa5fa58c02
straight 30             118 pieces   43 whole    0 sized cuts 04c9443fa61b277d
offset 1/2              104 pieces   50 whole   53 sized cuts ec3171475b9a1fc5
offset 1/3              104 pieces   50 whole   51 sized cuts 3eaa9bf3cb841c55
offset 0,1/3            101 pieces   48 whole   51 sized cuts 1e3a0b4a125466bd
offset 0,1/3,2/3         60 pieces   21 whole   39 sized cuts 3b0de55287a160f9
diagonal                122 pieces   56 whole    0 sized cuts 210ba30c4f518cf8
herringbone             109 pieces   49 whole   57 sized cuts 92f81d21a1d0a98a
herringbone 45          222 pieces   95 whole    0 sized cuts 4247636b594df972
double herringbone      207 pieces  124 whole   75 sized cuts 0e00b0c4dc2ae72d
double herringbone 45   118 pieces   42 whole    0 sized cuts d897cfd4db17043f
basket weave            113 pieces   53 whole   57 sized cuts da5d65af43cd13ee
pinwheel                162 pieces  112 whole   42 sized cuts 1b191b7c7fa7fd84
hexagon                 171 pieces  100 whole    0 sized cuts e52e514de0e1dd9c
mosaic sheets            50 pieces   12 whole   32 sized cuts 67baa9f48e3d352b
octagon and dot         219 pieces  146 whole   36 sized cuts ad7ed4271808b140
modular two sizes        97 pieces   60 whole   29 sized cuts cd2b75f73daa53a6
modular three sizes      80 pieces   44 whole   29 sized cuts ff31d4d7a8e18d1b
modular four sizes       93 pieces   41 whole   49 sized cuts c152ab3f39c64636
`
