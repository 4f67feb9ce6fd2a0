package rooms

import "testing"

// Only what was read on the last layer before setting may be cut ahead.
func TestReleased(t *testing.T) {
	square := Rect(0, 0, 8000, 8000)
	read := func(edge int, layer string) Reading { return Reading{Edge: edge, Layer: layer} }
	for _, c := range []struct {
		name string
		s    Surface
		last string
		want [4]bool
	}{
		{"read on the board it is set on", Surface{Layer: Board, Measured: true}, Board, [4]bool{true, true, true, true}},
		{"a membrane still comes", Surface{Layer: Board, Measured: true, Prepare: []string{"prime", "membrane"}}, Membrane, [4]bool{}},
		{"read on the membrane", Surface{Layer: Membrane, Measured: true, Prepare: []string{"prime", "membrane"}}, Membrane, [4]bool{true, true, true, true}},
		{"studs", Surface{Layer: Stud, Measured: true, Prepare: []string{"board"}}, Board, [4]bool{}},
		{"studs, one edge read again on the board", Surface{Layer: Stud, Measured: true, Prepare: []string{"board"}, Readings: []Reading{read(1, Stud), read(1, Board)}}, Board, [4]bool{1: true}},
		{"a reading without a layer is on the outline's", Surface{Layer: Stud, Measured: true, Prepare: []string{"board"}, Readings: []Reading{read(1, "")}}, Board, [4]bool{}},
		{"not measured, one edge read", Surface{Layer: Board, Readings: []Reading{read(2, Board)}}, Board, [4]bool{2: true}},
		{"an edge that waits", Surface{Layer: Board, Measured: true, Edges: []Edge{{}, {Unmeasured: true}, {}, {}}}, Board, [4]bool{true, false, true, true}},
		{"levelled", Surface{Layer: Board, Measured: true, Prepare: []string{"level", "prime"}}, Leveller, [4]bool{}},
	} {
		c.s.Outline = square
		if got := c.s.LastLayer(); got != c.last {
			t.Errorf("%s: set on the %s, want %s", c.name, got, c.last)
		}
		for i := range 4 {
			if got := c.s.Released(i); got != c.want[i] {
				t.Errorf("%s: edge %d released %v", c.name, i, got)
			}
		}
	}
}

// Readings on an outer layer take the place of those beneath it.
func TestReadingsOfTheOutermostLayer(t *testing.T) {
	s := Surface{Key: "w", Layer: Stud, Outline: Rect(0, 0, 1000*Millimetre, 1000*Millimetre), Readings: []Reading{
		{Edge: 1, Deviation: -30 * Millimetre, Layer: Stud}, {Edge: 1, At: 500 * Millimetre, Deviation: -4 * Millimetre, Layer: Board}, {Edge: 1, At: 900 * Millimetre, Deviation: -31 * Millimetre}}}
	c, err := s.Correct()
	if err != nil {
		t.Fatal(err)
	}
	if got := c.Outline.Box().Width(); got != 996*Millimetre {
		t.Errorf("%s wide, want what was read on the board, 996 mm", got)
	}
}

func TestEdgeNames(t *testing.T) {
	s := Surface{Outline: Ring{{0, 0}, {30, 0}, {30, 20}, {20, 20}, {20, 30}, {10, 40}, {0, 30}}}
	want := []string{"bottom edge", "right edge (1)", "top edge", "right edge (2)", "slanted edge (1)", "slanted edge (2)", "left edge"}
	for i, w := range want {
		if got := s.EdgeName(i); got != w || s.EdgeNames()[i] != w {
			t.Errorf("edge %d: %q, want %q", i, got, w)
		}
	}
	if got := s.EdgeName(-1); got != "step" {
		t.Error(got)
	}
}
