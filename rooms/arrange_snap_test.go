package rooms

import (
	"math"
	"math/rand/v2"
	"testing"
)

// TestSnapLeavesNoCrossing: bundles of spans that cross within a few units of each
// other come out meeting at their ends only, and as near to where they lay as rounding
// to the unit asks.
func TestSnapLeavesNoCrossing(t *testing.T) {
	rng := rand.New(rand.NewPCG(4, 4))
	for n := range 300 {
		var spans []span
		far := []int{6, 12, 40, 4000}[n%4]
		point := func() Point { return Point{Length(rng.IntN(far)), Length(rng.IntN(min(far, 12)))} }
		for range 3 + rng.IntN(25) {
			spans = appendRing(spans, Ring{point(), point(), point()}, rng.IntN(2))
		}
		before := merge(spans)
		after := snap(spans)
		for i, s := range after {
			for _, o := range after[:i] {
				if cross2(s, o) {
					t.Fatalf("case %d: %v and %v cross", n, s, o)
				}
			}
			for _, p := range [2]Point{s.a, s.b} {
				near := math.Inf(1)
				for _, o := range before {
					near = min(near, spanTo(o, p))
				}
				if near > math.Sqrt2/2+1e-9 {
					t.Fatalf("case %d: %v lies %.3f from every span", n, p, near)
				}
			}
		}
	}
}

// spanTo is the distance of a point from a span.
func spanTo(s span, p Point) float64 {
	dx, dy, px, py := float64(s.b.X-s.a.X), float64(s.b.Y-s.a.Y), float64(p.X-s.a.X), float64(p.Y-s.a.Y)
	at := min(1, max(0, (px*dx+py*dy)/(dx*dx+dy*dy)))
	return math.Hypot(px-at*dx, py-at*dy)
}

// TestRoundHolesDrawnInAndOut: what is drawn in round a circle of many sides and out
// again, a micrometre further, covers the circle's border. The bands cross in hundreds of places that
// lie within a unit; no such outline is refused.
func TestRoundHolesDrawnInAndOut(t *testing.T) {
	const by = 2500 * Micrometre
	for r := 12 * Millimetre; r < 140*Millimetre; r += 3 * Millimetre {
		for _, c := range []Point{{200 * Millimetre, 180 * Millimetre}, {150*Millimetre + 1, 190*Millimetre + 3333}, {r / 2, 150 * Millimetre}} {
			p, err := Subtract([]Polygon{{Outer: Rect(0, 0, 400*Millimetre, 380*Millimetre)}}, []Polygon{{Outer: Circle(c, r, Millimetre/10)}})
			if err != nil || len(p) != 1 {
				t.Fatalf("circle of %s: %v", r, err)
			}
			gaps := make([]Length, len(p[0].Outer))
			for i := range gaps {
				gaps[i] = by
			}
			core, err := Inset(p[0], gaps, by)
			if err != nil || len(core) != 1 {
				t.Fatalf("circle of %s drawn in: %d parts, %v", r, len(core), err)
			}
			back, err := Grow(core[0], by+8)
			if err != nil {
				t.Fatalf("circle of %s drawn in and out: %v", r, err)
			}
			off, err := Subtract(p, back)
			if err != nil {
				t.Fatalf("circle of %s: %v", r, err)
			}
			area := 0.0
			for _, q := range off {
				area += q.AreaMM2()
			}
			if area > 3 { // two halves of a narrow bridge at the most
				t.Errorf("circle of %s: %.2f mm² are lost", r, area)
			}
		}
	}
}
