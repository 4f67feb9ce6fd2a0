package rooms

import (
	"strings"
	"testing"
)

// TestSquareChecks: 3-4-5, 6-8-10 and 1.5-2.0-2.5 m (FACTS.md 4.9, common
// practice), and a corner 10 mm out over 2 m.
func TestSquareChecks(t *testing.T) {
	for _, c := range [][3]Length{
		{3 * Foot, 4 * Foot, 5 * Foot}, {6 * Foot, 8 * Foot, 10 * Foot}, {1500 * Millimetre, 2000 * Millimetre, 2500 * Millimetre},
	} {
		if d := SquareDiagonal(c[0], c[1]); d != c[2] {
			t.Errorf("%s and %s: diagonal %s, want %s", c[0], c[1], d, c[2])
		}
		if o := OutOfSquare(c[0], c[1], c[2]); o != 0 {
			t.Errorf("%v is out of square by %s", c, o)
		}
	}
	a, b := 1500*Millimetre, 2000*Millimetre
	d := Distance(Point{a, 0}, Point{-10 * Millimetre, b})
	if o := OutOfSquare(a, b, d); o < 9*Millimetre || o > 11*Millimetre {
		t.Errorf("out of square by %s, want about 10 mm", o)
	}
}

func TestContradictions(t *testing.T) {
	mm := Millimetre
	base := func() Surface { return Surface{Key: "s", Outline: Rect(0, 0, 2000*mm, 2400*mm)} }
	for _, c := range []struct {
		name  string
		spoil func(*Surface)
		says  string // "" for none
	}{
		{"sound", func(s *Surface) {
			s.Checks = []Check{{Kind: WidthAt, At: 1200 * mm, Value: 2001 * mm}, {Kind: Diagonal, Value: SquareDiagonal(2000*mm, 2400*mm)}}
		}, ""},
		{"one place read twice", func(s *Surface) {
			s.Readings = []Reading{{Edge: 1, At: 0, Deviation: 1 * mm}, {Edge: 1, At: 5 * mm, Deviation: -6 * mm}}
		}, "readings on the right edge near 5 mm"},
		{"width against readings", func(s *Surface) {
			s.Readings = []Reading{{Edge: 1, At: 0, Deviation: 0}, {Edge: 1, At: 2400 * mm, Deviation: -12 * mm}}
			s.Checks = []Check{{Kind: WidthAt, At: 100 * mm, Value: 2000 * mm}, {Kind: WidthAt, At: 2300 * mm, Value: 2000 * mm}}
		}, "width at height 2300 mm"},
		{"height", func(s *Surface) {
			s.Readings = []Reading{{Edge: 2}}
			s.Checks = []Check{{Kind: HeightAt, At: 10 * mm, Value: 2390 * mm}}
		}, "height at 10 mm"},
		{"diagonals", func(s *Surface) { s.Checks = []Check{{Kind: Diagonal2, At: 0, Value: 3100 * mm}} }, "diagonal 2-4"},
	} {
		s := base()
		c.spoil(&s)
		got, err := s.Contradictions(0)
		if err != nil {
			t.Errorf("%s: %v", c.name, err)
			continue
		}
		switch {
		case c.says == "" && len(got) > 0:
			t.Errorf("%s: %+v", c.name, got)
		case c.says != "" && (len(got) != 1 || !strings.Contains(got[0].What, c.says)):
			t.Errorf("%s: %+v, want one at %q", c.name, got, c.says)
		}
	}
	s := base()
	s.Checks = []Check{{Kind: "girth"}}
	if _, err := s.Contradictions(0); err == nil {
		t.Error("an unknown check is accepted")
	}
}

func TestCorrect(t *testing.T) {
	mm := Millimetre
	for _, c := range []struct {
		name  string
		spoil func(*Surface)
		want  Ring
		edges []int
	}{
		{"nothing read", func(*Surface) {}, Rect(0, 0, 2000*mm, 1000*mm), []int{0, 1, 2, 3}},
		{"one reading moves the edge", func(s *Surface) { s.Readings = []Reading{{Edge: 1, At: 500 * mm, Deviation: -4 * mm}} },
			Rect(0, 0, 1996*mm, 1000*mm), []int{0, 1, 2, 3}},
		{"the later reading at one place holds", func(s *Surface) {
			s.Readings = []Reading{{Edge: 1, At: 500 * mm, Deviation: -4 * mm}, {Edge: 1, At: 500 * mm, Deviation: 3 * mm}}
		}, Rect(0, 0, 2003*mm, 1000*mm), []int{0, 1, 2, 3}},
		{"two readings tilt it", func(s *Surface) {
			s.Readings = []Reading{{Edge: 1, At: 0}, {Edge: 1, At: 1000 * mm, Deviation: -10 * mm}}
		}, Ring{{0, 0}, {2000 * mm, 0}, {1990 * mm, 1000 * mm}, {0, 1000 * mm}}, []int{0, 1, 2, 3}},
		{"three readings bend it", func(s *Surface) {
			s.Readings = []Reading{{Edge: 1, At: 0}, {Edge: 1, At: 500 * mm, Deviation: 6 * mm}, {Edge: 1, At: 1000 * mm}}
		}, Ring{{0, 0}, {2000 * mm, 0}, {2006 * mm, 500 * mm}, {2000 * mm, 1000 * mm}, {0, 1000 * mm}}, []int{0, 1, 1, 2, 3}},
		{"build-up", func(s *Surface) { s.Build.Deduct = []Length{12 * mm, 0, 0, 10 * mm} }, Rect(10*mm, 12*mm, 2000*mm, 1000*mm), []int{0, 1, 2, 3}},
	} {
		s := Surface{Key: "s", Outline: Rect(0, 0, 2000*mm, 1000*mm)}
		c.spoil(&s)
		got, err := s.Correct()
		if err != nil {
			t.Errorf("%s: %v", c.name, err)
			continue
		}
		same := len(got.Outline) == len(c.want)
		for i := range c.want {
			same = same && Distance(got.Outline[i], c.want[i]) <= 1 && got.Edge[i] == c.edges[i]
		}
		if !same {
			t.Errorf("%s: %v %v, want %v %v", c.name, got.Outline, got.Edge, c.want, c.edges)
		}
	}
	s := Surface{Key: "s", Outline: Rect(0, 0, 20*mm, 1000*mm), Build: BuildUp{Deduct: []Length{0, 15 * mm, 0, 15 * mm}}}
	if _, err := s.Correct(); err == nil {
		t.Error("a wall that the build-up swallows is accepted")
	}
}
