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

const goldenPatterns = `straight                106 pieces   56 whole   44 sized cuts 17f2855c06c347e1
straight 30             118 pieces   46 whole    0 sized cuts 236c3698f15efe0b
offset 1/2              107 pieces   49 whole   57 sized cuts d5f2198ac0b92602
offset 1/3              104 pieces   50 whole   51 sized cuts 6b88d42798f09f31
offset 0,1/3            100 pieces   52 whole   47 sized cuts 882f65ef8dc02134
offset 0,1/3,2/3         60 pieces   19 whole   41 sized cuts 34ae74e7d6dc3721
diagonal                132 pieces   47 whole    0 sized cuts d368d6a260801d29
herringbone             102 pieces   52 whole   44 sized cuts 3339b1ae498a19bb
herringbone 45          221 pieces   97 whole    0 sized cuts fa9ebfcd9bd7945c
double herringbone      199 pieces  117 whole   74 sized cuts 37a3eeb39fb03b9d
double herringbone 45   118 pieces   41 whole    0 sized cuts d03b5b6f68eeac33
basket weave             95 pieces   51 whole   37 sized cuts 81dac6b2971a626a
pinwheel                163 pieces  111 whole   46 sized cuts 35ba792d5795fbb3
hexagon                 171 pieces  102 whole    0 sized cuts 4fd38d908089ca92
mosaic sheets            50 pieces   16 whole   29 sized cuts 32f496e40739428c
octagon and dot         219 pieces  146 whole   34 sized cuts 1d51e2a04e4fc6df
modular two sizes       102 pieces   51 whole   46 sized cuts af3c05f205073160
modular three sizes      80 pieces   34 whole   40 sized cuts 9023632bfe4e2711
modular four sizes       91 pieces   40 whole   49 sized cuts 0072f2230bc8f996
`
