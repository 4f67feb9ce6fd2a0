package rooms

import (
	"math"
	"testing"

	"github.com/peterstace/simplefeatures/geom"
	"pgregory.net/rapid"
)

// toGeom turns polygons into a multipolygon of the reference library, in mm.
// Rings that touch exactly are not put before its validation, which works in
// floating point and may take one touching point for two crossings; each ring
// by itself is.
func toGeom(t testing.TB, ps []Polygon) geom.Geometry {
	t.Helper()
	var all []geom.Polygon
	for _, p := range ps {
		var rings []geom.LineString
		for _, r := range p.Rings() {
			var xy []float64
			for i := range len(r) + 1 {
				q := r[i%len(r)]
				xy = append(xy, q.X.Millimetres(), q.Y.Millimetres())
			}
			rings = append(rings, geom.NewLineString(geom.NewSequence(xy, geom.DimXY)))
		}
		for i, r := range rings {
			g := geom.NewPolygon([]geom.LineString{r})
			if err := g.Validate(); err != nil {
				t.Fatalf("not valid: %v\n%s", err, g.AsText())
			}
			if s := p.Rings()[i].Area().Sign(); (s > 0) != (i == 0) {
				t.Fatalf("ring %d runs the wrong way round: %v", i, p)
			}
		}
		all = append(all, geom.NewPolygon(rings))
	}
	return geom.NewMultiPolygon(all).AsGeometry()
}

// starRing draws a random star-shaped ring about a centre, on a coarse grid so
// that coincident corners and edges are common.
func starRing(t *rapid.T, grid Length) Ring {
	for {
		n := rapid.IntRange(3, 14).Draw(t, "corners")
		cx := Length(rapid.IntRange(20, 60).Draw(t, "cx"))
		cy := Length(rapid.IntRange(20, 60).Draw(t, "cy"))
		var r Ring
		for i := range n {
			d := float64(rapid.IntRange(3, 25).Draw(t, "radius"))
			a := 2 * math.Pi * float64(i) / float64(n)
			r = append(r, Point{(cx + Length(math.Round(d*math.Cos(a)))) * grid, (cy + Length(math.Round(d*math.Sin(a)))) * grid})
		}
		if r.Validate() == nil {
			return r
		}
	}
}

func total(ps []Polygon) float64 {
	var sum Area
	for _, p := range ps {
		sum = sum.Add(p.Area())
	}
	return sum.MM2()
}

// TestBooleanAgainstSimplefeatures compares the areas of union, intersection
// and difference, and has every result validated by the same library.
func TestBooleanAgainstSimplefeatures(t *testing.T) {
	rapid.Check(t, func(rt *rapid.T) {
		grid := rapid.SampledFrom([]Length{Millimetre, 37 * Millimetre, 12345}).Draw(rt, "grid")
		a := []Polygon{{Outer: starRing(rt, grid)}}
		b := []Polygon{{Outer: starRing(rt, grid)}}
		ga, gb := toGeom(t, a), toGeom(t, b)
		for _, op := range []struct {
			name string
			ours func() ([]Polygon, error)
			ref  func(a, b geom.Geometry) (geom.Geometry, error)
		}{
			{"union", func() ([]Polygon, error) { return Union(a[0], b[0]) }, geom.Union},
			{"intersection", func() ([]Polygon, error) { return Intersect(a, b) }, geom.Intersection},
			{"difference", func() ([]Polygon, error) { return Subtract(a, b) }, geom.Difference},
		} {
			got, err := op.ours()
			if err != nil {
				rt.Fatal(err)
			}
			want, err := op.ref(ga, gb)
			if err != nil {
				continue // the reference gives up on some inputs
			}
			toGeom(t, got)
			if g, w := total(got), want.Area(); math.Abs(g-w) > 0.2 {
				rt.Fatalf("%s of %v and %v: area %.6f mm², reference %.6f", op.name, a, b, g, w)
			}
		}
	})
}

func TestDifferenceTable(t *testing.T) {
	mm := func(x0, y0, x1, y1 Length) Polygon {
		return Polygon{Outer: Rect(x0*Millimetre, y0*Millimetre, x1*Millimetre, y1*Millimetre)}
	}
	square := mm(0, 0, 100, 100)
	for _, c := range []struct {
		name  string
		less  []Polygon
		parts int
		holes int
		area  float64
	}{
		{"nothing", nil, 1, 0, 10000},
		{"hole", []Polygon{mm(20, 20, 40, 40)}, 1, 1, 9600},
		{"two holes that touch at a corner", []Polygon{mm(20, 20, 40, 40), mm(40, 40, 60, 60)}, 1, 2, 9200},
		{"hole that touches the edge at no width", []Polygon{mm(0, 20, 40, 40)}, 1, 0, 9200},
		{"cut in two", []Polygon{mm(-10, 40, 110, 60)}, 2, 0, 8000},
		{"overlapping bands", []Polygon{mm(0, 0, 100, 10), mm(0, 0, 10, 100), mm(0, 90, 100, 100)}, 1, 0, 90 * 80},
		{"all of it", []Polygon{mm(-1, -1, 200, 200)}, 0, 0, 0},
		{"itself", []Polygon{square}, 0, 0, 0},
		{"quarters that touch in the middle", []Polygon{mm(0, 0, 50, 50), mm(50, 50, 100, 100)}, 2, 0, 5000},
	} {
		got, err := Subtract([]Polygon{square}, c.less)
		if err != nil {
			t.Fatal(err)
		}
		holes := 0
		for _, p := range got {
			holes += len(p.Holes)
		}
		if len(got) != c.parts || holes != c.holes || total(got) != c.area {
			t.Errorf("%s: %d parts, %d holes, %.1f mm²; want %d, %d, %.1f", c.name, len(got), holes, total(got), c.parts, c.holes, c.area)
		}
		toGeom(t, got)
	}
}

func TestInset(t *testing.T) {
	mm := Millimetre
	l := Ring{{0, 0}, {3000 * mm, 0}, {3000 * mm, 1000 * mm}, {1000 * mm, 1000 * mm}, {1000 * mm, 2000 * mm}, {0, 2000 * mm}}
	for _, c := range []struct {
		name string
		p    Polygon
		gaps []Length
		hole Length
		want float64 // mm²
	}{
		{"rectangle, four gaps", Polygon{Outer: Rect(0, 0, 1000*mm, 500*mm)}, []Length{2 * mm, 3 * mm, 5 * mm, 10 * mm}, 0, (1000 - 13) * (500 - 7)},
		// The inner corner is mitred: the L is two rectangles less the gaps.
		{"L, 10 mm", Polygon{Outer: l}, []Length{10 * mm, 10 * mm, 10 * mm, 10 * mm, 10 * mm, 10 * mm}, 0, 980*1980 + 2000*980},
		{"L, inner corner only", Polygon{Outer: l}, []Length{0, 0, 10 * mm, 20 * mm, 0, 0}, 0, 1000*2000 + 2000*1000 - 2000*10 - 20*1000 - 20*10},
		{"swallowed", Polygon{Outer: Rect(0, 0, 1000*mm, 8*mm)}, []Length{5 * mm, 0, 5 * mm, 0}, 0, 0},
		{"hole", Polygon{Outer: Rect(0, 0, 100*mm, 100*mm), Holes: []Ring{Rect(40*mm, 40*mm, 60*mm, 60*mm).Reversed()}}, make([]Length, 4), 5 * mm, 10000 - 900},
	} {
		got, err := Inset(c.p, c.gaps, c.hole)
		if err != nil {
			t.Fatal(err)
		}
		if a := total(got); math.Abs(a-c.want) > 1e-6 {
			t.Errorf("%s: %.4f mm², want %.4f", c.name, a, c.want)
		}
	}
	if _, err := Inset(Polygon{Outer: l}, []Length{1}, 0); err == nil {
		t.Error("a gap missing for an edge is accepted")
	}
}

// TestInsetKeepsItsDistance: what is left lies at least the gap away from each
// edge, as far as the edge reaches.
func TestInsetKeepsItsDistance(t *testing.T) {
	rapid.Check(t, func(rt *rapid.T) {
		r := starRing(rt, 50*Millimetre)
		gaps := make([]Length, len(r))
		gap := Length(rapid.IntRange(0, 60).Draw(rt, "gap")) * Millimetre
		for i := range gaps {
			gaps[i] = gap
		}
		got, err := Inset(Polygon{Outer: r}, gaps, 0)
		if err != nil {
			rt.Fatal(err)
		}
		toGeom(t, got)
		for _, p := range got {
			for _, ring := range p.Rings() {
				for _, q := range ring {
					for i, a := range r {
						if d := segmentDistance(q, a, r[(i+1)%len(r)]); d >= 0 && d < float64(gaps[i])-3 {
							rt.Fatalf("%v lies %.0f from edge %d, gap %d", q, d, i, gaps[i])
						}
					}
				}
			}
		}
	})
}

// segmentDistance is the distance of p from a–b, -1 when it lies beyond an end.
func segmentDistance(p, a, b Point) float64 {
	dx, dy := float64(b.X-a.X), float64(b.Y-a.Y)
	px, py := float64(p.X-a.X), float64(p.Y-a.Y)
	t := (px*dx + py*dy) / (dx*dx + dy*dy)
	if margin := 100 / math.Hypot(dx, dy); t <= margin || t >= 1-margin {
		return -1
	}
	return math.Hypot(px-t*dx, py-t*dy)
}

func TestValidateNamesRuleAndPlace(t *testing.T) {
	mm := Millimetre
	for _, c := range []struct {
		ring Ring
		rule string
		edge int
	}{
		{Ring{{0, 0}, {1, 1}}, RuleThree, 0},
		{Ring{{0, 0}, {300 * Metre, 0}, {0, mm}}, RuleSide, 0},
		{Ring{{0, 0}, {mm, 0}, {mm, 0}, {0, mm}}, RuleRepeat, 1},
		{Ring{{0, 0}, {4 * mm, 0}, {2 * mm, 0}, {0, mm}}, RuleFold, 1},
		{Ring{{0, 0}, {4 * mm, 4 * mm}, {4 * mm, 0}, {0, 4 * mm}}, RuleCross, 0},
		{Ring{{0, 0}, {4 * mm, 0}, {4 * mm, 4 * mm}, {2 * mm, 0}, {0, 4 * mm}}, RuleCross, 0}, // touches
		{Ring{{0, 0}, {0, mm}, {mm, mm}, {mm, 0}}, RuleTurning, 0},
		{Rect(0, 0, mm, mm), "", 0},
	} {
		err := c.ring.Validate()
		if c.rule == "" {
			if err != nil {
				t.Errorf("%v: %v", c.ring, err)
			}
			continue
		}
		se, ok := err.(*ShapeError)
		if !ok || se.Rule != c.rule || se.Edge != c.edge {
			t.Errorf("%v: %v; want %q at %d", c.ring, err, c.rule, c.edge)
		}
	}
}

func TestPlace(t *testing.T) {
	p := Polygon{Outer: Rect(0, 0, 10, 10), Holes: []Ring{Rect(4, 4, 6, 6).Reversed()}}
	for _, c := range []struct {
		q    Point
		want int
	}{
		{Point{1, 1}, Inside}, {Point{0, 5}, OnBorder}, {Point{10, 10}, OnBorder}, {Point{5, 5}, Outside},
		{Point{4, 5}, OnBorder}, {Point{-1, 0}, Outside}, {Point{3, 4}, Inside}, {Point{8, 10}, OnBorder}, {Point{11, 10}, Outside},
	} {
		if got := p.Place(c.q); got != c.want {
			t.Errorf("Place(%v) = %d, want %d", c.q, got, c.want)
		}
	}
}
