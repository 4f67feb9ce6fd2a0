package rooms

import (
	"fmt"
	"math"
	"strings"
	"testing"
)

// TestFormsShareTheirEdges: every edge that names another is named by it, and
// the two are as long as each other.
func TestFormsShareTheirEdges(t *testing.T) {
	mm := Millimetre
	for _, c := range []struct {
		name  string
		build func() ([]Surface, error)
		n     int
	}{
		{"rectangle", RoomForm{Floor: RectangularFloor(2400*mm, 1800*mm), Height: 2400 * mm, Ceiling: true,
			Holes: []Hole{{Key: "d", Kind: "door", Wall: 1, X: 100 * mm, W: 800 * mm, H: 2000 * mm}}}.Surfaces, 6},
		{"L", RoomForm{Floor: LFloor(3000*mm, 2400*mm, 1000*mm, 900*mm), Height: 2100 * mm}.Surfaces, 7},
		{"tub", TubForm{Length: 1700 * mm, Depth: 750 * mm, Height: 1500 * mm}.Surfaces, 3},
		{"shower", ShowerForm{Width: 900 * mm, Depth: 1200 * mm, Height: 2100 * mm, Drain: 110 * mm, Right: true,
			Niche: &NicheForm{X: 200 * mm, Y: 1000 * mm, W: 300 * mm, H: 400 * mm, Depth: 90 * mm}}.Surfaces, 8},
	} {
		list, err := c.build()
		if err != nil || len(list) != c.n {
			t.Errorf("%s: %d surfaces, %v; want %d", c.name, len(list), err, c.n)
			continue
		}
		by, lined := map[string]Surface{}, 0
		for _, s := range list {
			by[s.Key] = s
			if err := s.Outline.Validate(); err != nil || len(s.Edges) != len(s.Outline) {
				t.Errorf("%s %s: %d edges for %d points, %v", c.name, s.Key, len(s.Edges), len(s.Outline), err)
			}
		}
		for _, s := range list {
			for i, e := range s.Edges {
				if e.Shared == "" {
					continue
				}
				if wall, hole, _ := strings.Cut(e.Shared, "#"); s.Kind == NicheFace && e.Meets == OutsideCorner {
					if w := by[wall]; len(w.Openings) != 1 || w.Openings[0].Key != hole {
						t.Errorf("%s: edge %d of %s lines %q, which is no opening", c.name, i, s.Key, e.Shared)
					}
					lined++
					continue
				}
				var k int
				other := Surface{}
				for key, o := range by {
					if n, err := fmt.Sscanf(e.Shared, key+"#%d", &k); n == 1 && err == nil {
						other = o
						break
					}
				}
				if other.Key == "" || other.Edges[k].Shared != fmt.Sprintf("%s#%d", s.Key, i) {
					t.Errorf("%s: edge %d of %s is shared with %q, which does not name it", c.name, i, s.Key, e.Shared)
					continue
				}
				a, b := edgeLength(s, i), edgeLength(other, k)
				short := s.Kind == Floor && a < b || other.Kind == Floor && b < a // a foot beside a doorway
				if a != b && !(short && len(by["floor"].Outline) > len(list)-2) {
					t.Errorf("%s: %s#%d is %s long, %s is %s", c.name, s.Key, i, a, e.Shared, b)
				}
				if upright(s) && upright(other) && e.Meets != other.Edges[k].Meets {
					t.Errorf("%s: %s#%d meets %s, from the other side %s", c.name, s.Key, i, e.Meets, other.Edges[k].Meets)
				}
			}
		}
		if want := map[string]int{"shower": 4}[c.name]; lined != want {
			t.Errorf("%s: %d edges line an opening, want %d", c.name, lined, want)
		}
	}
}

func upright(s Surface) bool { return !Flat(s.Kind) && s.Kind != Ceiling }

func edgeLength(s Surface, i int) Length {
	return Distance(s.Outline[i], s.Outline[(i+1)%len(s.Outline)])
}

func TestFormsRefuse(t *testing.T) {
	mm := Millimetre
	for name, f := range map[string]func() ([]Surface, error){
		"door beyond the wall": RoomForm{Floor: RectangularFloor(1000*mm, 1000*mm), Height: 2000 * mm, Holes: []Hole{{X: 500 * mm, W: 800 * mm, H: 100 * mm}}}.Surfaces,
		"no height":            RoomForm{Floor: RectangularFloor(1000*mm, 1000*mm)}.Surfaces,
		"corner too large":     RoomForm{Floor: LFloor(1000*mm, 1000*mm, 1200*mm, 500*mm), Height: mm}.Surfaces,
		"no tub":               TubForm{}.Surfaces,
		"niche beyond":         ShowerForm{Width: 900 * mm, Depth: 900 * mm, Height: 2000 * mm, Niche: &NicheForm{X: 800 * mm, W: 300 * mm, H: 300 * mm, Depth: mm}}.Surfaces,
	} {
		if _, err := f(); err == nil {
			t.Errorf("%s is accepted", name)
		}
	}
}

// TestCircleHoldsItsTolerance: every corner lies outside the circle by no more
// than the tolerance, every side touches it.
func TestCircleHoldsItsTolerance(t *testing.T) {
	for _, r := range []Length{5 * Millimetre, 55 * Millimetre, 400 * Millimetre} {
		ring := Circle(Point{1000, -500}, r, Millimetre/10)
		if err := ring.Validate(); err != nil {
			t.Fatal(err)
		}
		for i, p := range ring {
			q := ring[(i+1)%len(ring)]
			d := math.Hypot(float64(p.X-1000), float64(p.Y+500))
			if d < float64(r)-2 || d > float64(r+Millimetre/10)+2 {
				t.Errorf("radius %s: corner %d lies at %.0f", r, i, d)
			}
			m := math.Hypot(float64(p.X+q.X)/2-1000, float64(p.Y+q.Y)/2+500)
			if math.Abs(m-float64(r)) > 2 {
				t.Errorf("radius %s: side %d lies at %.1f", r, i, m)
			}
		}
	}
}

func TestArc(t *testing.T) {
	pts := Arc(Point{}, Point{1000 * Millimetre, 0}, math.Pi/2, Millimetre/2)
	last := pts[len(pts)-1]
	if last.X < -2 || last.X > 2 || last.Y < 1000*Millimetre-2 || last.Y > 1000*Millimetre+2 {
		t.Errorf("a quarter ends at %v", last)
	}
	for i := range len(pts) - 1 {
		m := math.Hypot(float64(pts[i].X+pts[i+1].X)/2, float64(pts[i].Y+pts[i+1].Y)/2)
		if d := float64(1000*Millimetre) - m; d > float64(Millimetre/2)+2 || d < -2 {
			t.Errorf("chord %d lies %.0f inside", i, d)
		}
	}
}
