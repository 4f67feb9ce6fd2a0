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

const goldenPatterns = `straight                106 pieces   56 whole   44 sized cuts 4988c22228e4a02b
straight 30             118 pieces   46 whole    0 sized cuts f97e757791ea68ac
offset 1/2              105 pieces   49 whole   56 sized cuts 6e01adccd29423ac
offset 1/3              104 pieces   50 whole   51 sized cuts 0845cafd408a7037
offset 0,1/3            100 pieces   51 whole   47 sized cuts 39255e790081404e
offset 0,1/3,2/3         60 pieces   21 whole   39 sized cuts 6b76017a5241aa26
diagonal                132 pieces   47 whole    0 sized cuts 92ef9e00ca62b605
herringbone             102 pieces   52 whole   44 sized cuts df3a1310d2071122
herringbone 45          221 pieces   97 whole    0 sized cuts c534f1d307d13e65
double herringbone      199 pieces  117 whole   74 sized cuts 33835926fdd0ef64
double herringbone 45   118 pieces   41 whole    0 sized cuts 882540a44904370b
basket weave             95 pieces   51 whole   37 sized cuts 9d91119ace1c80f3
pinwheel                163 pieces  111 whole   46 sized cuts 1298ff61e0a6286b
hexagon                 171 pieces  102 whole    0 sized cuts d233eae800c53d4d
mosaic sheets            54 pieces   14 whole   33 sized cuts a16671adb7ddb9f1
octagon and dot         219 pieces  142 whole   34 sized cuts ab721feaba4c9a4c
modular two sizes       102 pieces   51 whole   46 sized cuts a1d798c5975e313c
modular three sizes      80 pieces   34 whole   40 sized cuts 4b9ed33cec8b5fe0
modular four sizes       91 pieces   40 whole   49 sized cuts 3a3c401d9be6da5c
`
