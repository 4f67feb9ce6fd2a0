package rooms

import (
	"slices"
	"testing"
)

// TestDisputed: edges of a rectangle of 2400 × 2100 whose cuts wait because what
// was measured differs by more than 3 mm: 2 and 9 at one place of the left edge
// differ by 7. A third reading of 8 agrees with the 9 within 3 and settles it,
// one of 5.5 agrees with neither (3.5 from both).
func TestDisputed(t *testing.T) {
	mm := Millimetre
	left := func(offs ...Length) []Reading {
		var out []Reading
		for i, off := range offs {
			out = append(out, Reading{Edge: 3, At: 500*mm + Length(i)*mm, Deviation: off, Layer: Board})
		}
		return out
	}
	for _, c := range []struct {
		name  string
		spoil func(*Surface)
		want  []bool // bottom, right, top, left
		said  int    // contradictions
	}{
		{"sound", func(s *Surface) { s.Readings = left(2*mm, 4*mm) }, []bool{false, false, false, false}, 0},
		{"7 apart", func(s *Surface) { s.Readings = left(2*mm, 9*mm) }, []bool{false, false, false, true}, 1},
		{"taken again", func(s *Surface) { s.Readings = left(2*mm, 9*mm, 8*mm) }, []bool{false, false, false, false}, 0},
		{"taken again in vain", func(s *Surface) { s.Readings = left(2*mm, 9*mm, 5*mm+mm/2) }, []bool{false, false, false, true}, 1},
		{"on a layer since covered", func(s *Surface) {
			s.Readings = append(left(2*mm, 9*mm), Reading{Edge: 3, At: 500 * mm, Deviation: 3 * mm, Layer: Membrane})
		}, []bool{false, false, false, false}, 1},
		{"accepted", func(s *Surface) { s.Readings, s.Waivers = left(2*mm, 9*mm), []Waiver{{"readings", "cut back"}} }, []bool{false, false, false, false}, 1},
		{"widths", func(s *Surface) {
			s.Checks = []Check{{Kind: WidthAt, At: 1000 * mm, Value: 2400 * mm}, {Kind: WidthAt, At: 1003 * mm, Value: 2380 * mm}}
		}, []bool{false, true, false, true}, 1},
		{"widths, a third time", func(s *Surface) {
			s.Checks = []Check{{Kind: WidthAt, At: 1000 * mm, Value: 2400 * mm}, {Kind: WidthAt, At: 1003 * mm, Value: 2380 * mm}, {Kind: WidthAt, At: 1001 * mm, Value: 2381 * mm}}
		}, []bool{false, false, false, false}, 0},
		{"plumb", func(s *Surface) { s.Checks = []Check{{Kind: Plumb, Edge: 3, Value: 8 * mm}} }, []bool{false, false, false, true}, 1},
		{"one diagonal", func(s *Surface) { s.Checks = []Check{{Kind: Diagonal, Value: 3200 * mm}} }, []bool{true, true, true, true}, 1},
	} {
		s := Surface{Key: "s", Layer: Board, Measured: true, Outline: Rect(0, 0, 2400*mm, 2100*mm)}
		c.spoil(&s)
		if got := s.Disputed(0); !slices.Equal(got, c.want) {
			t.Errorf("%s: %v, want %v", c.name, got, c.want)
		}
		if got, err := s.Contradictions(0); err != nil || len(got) != c.said {
			t.Errorf("%s: %+v, %v; want %d", c.name, got, err, c.said)
		}
	}
}

// TestSkewed: a floor of 2000 × 1500 with diagonals of 2503.2 and 2496.8 leans by
// (2503.2² − 2496.8²) / (4 · 2000) = 6.4 · 5000 / 8000 = 4 mm to the right, and is
// √(1500² − 4²) = 1499.995 deep. With 3000 and 3008 over 2400 × 1800 the diagonals
// want (3000² + 3008²) / 2 = 9 024 032 for w² + h² where the sides have 9 000 000:
// each diagonal lies 4 mm off, over the 3 allowed, and every edge waits.
func TestSkewed(t *testing.T) {
	mm := Millimetre
	s := Surface{Key: "f", Kind: Floor, Outline: Rect(0, 0, 2000*mm, 1500*mm),
		Checks: []Check{{Kind: Diagonal, Value: 2503*mm + mm/5}, {Kind: Diagonal2, Value: 2496*mm + mm*4/5}}}
	c, err := s.Correct()
	if err != nil {
		t.Fatal(err)
	}
	want := Ring{{0, 0}, {2000 * mm, 0}, {2004 * mm, 1500 * mm}, {4 * mm, 1500 * mm}}
	for i, p := range c.Outline {
		if len(c.Outline) != 4 || !near(p.X, want[i].X, 10*Micrometre) || !near(p.Y, want[i].Y, 10*Micrometre) {
			t.Errorf("%v, want about %v", c.Outline, want)
			break
		}
	}
	if got, err := s.Contradictions(0); err != nil || len(got) != 0 || slices.Contains(s.Disputed(0), true) {
		t.Errorf("%v, %v", got, err)
	}
	s.Outline = Rect(0, 0, 2400*mm, 1800*mm)
	s.Checks[0].Value, s.Checks[1].Value = 3000*mm, 3008*mm
	if got := s.Disputed(0); slices.Contains(got, false) {
		t.Errorf("%v: cuts go ahead by sides that do not go with the diagonals", got)
	}
}

// TestWhatSettlesAContradiction: a message says which reading to take. Over sides of
// 2400 and 1800 a diagonal of 3010 asks for the other one, which reads
// √(2 · (2400² + 1800²) − 3010²) = √8 939 900 = 2989.967 if the surface leans; with that
// reading taken nothing contradicts any more, and with another the sides are in
// question.
func TestWhatSettlesAContradiction(t *testing.T) {
	mm := Millimetre
	for _, c := range []struct {
		checks []Check
		again  string
		leans  Length
	}{
		{[]Check{{Kind: Diagonal, Value: 3010 * mm}}, "take the other diagonal, from the second corner to the fourth", 2989967 * mm / 1000},
		{[]Check{{Kind: Diagonal2, Value: 3010 * mm}}, "take the other diagonal, from the first corner to the third", 2989967 * mm / 1000},
		{[]Check{{Kind: Diagonal, Value: 3010 * mm}, {Kind: Diagonal2, Value: 3010 * mm}}, "take the sides and both diagonals again", 0},
		{[]Check{{Kind: LengthOf, Edge: 1, Value: 1790 * mm}}, "take the length of the right edge and the readings at both its ends again", 0},
		{[]Check{{Kind: Plumb, Edge: 3, Value: 8 * mm}}, "take the plumb line and the readings on the left edge again", 0},
		{[]Check{{Kind: Square, Edge: 1, At: 600 * mm, Leg: 800 * mm, Value: 1010 * mm}}, "take the 3-4-5 at the right edge and the readings on both its sides again", 0},
	} {
		s := Surface{Key: "f", Kind: Floor, Layer: Board, Measured: true, Outline: Rect(0, 0, 2400*mm, 1800*mm), Checks: c.checks}
		got, err := s.Contradictions(0)
		if err != nil || len(got) == 0 {
			t.Errorf("%+v: %v, %v", c.checks, got, err)
			continue
		}
		if got[0].Again != c.again || !near(got[0].IfLeaning, c.leans, 10*Micrometre) {
			t.Errorf("%+v: %q, %s; want %q, %s", c.checks, got[0].Again, got[0].IfLeaning, c.again, c.leans)
		}
		if !slices.Contains(s.Disputes(0), c.again) {
			t.Errorf("%+v: edges say %q", c.checks, s.Disputes(0))
		}
		if c.leans > 0 { // taken as told
			other := Diagonal2
			if c.checks[0].Kind == Diagonal2 {
				other = Diagonal
			}
			s.Checks = append(s.Checks, Check{Kind: other, Value: got[0].IfLeaning})
			if got, err := s.Contradictions(0); err != nil || len(got) > 0 || slices.Contains(s.Disputed(0), true) {
				t.Errorf("%+v: %+v, %v", s.Checks, got, err)
			}
		}
	}
}
