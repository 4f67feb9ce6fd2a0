package sheet

import (
	"strings"
	"testing"

	"potlife/cmd/potlife/internal/plandoc"
	"potlife/rooms"
)

// TestSidesAreNumbered: the drawing of an L gives each side the number that its
// job file uses and the name that findings use; a rectangle needs neither.
func TestSidesAreNumbered(t *testing.T) {
	l := plandoc.Surface{Key: "j/r/floor", Room: "j/r", Kind: "floor", Lie: "flat",
		Outline: plandoc.Polygon{Outer: []plandoc.Point{{0, 0}, {2200, 0}, {2200, 1700}, {900, 1700}, {900, 800}, {0, 800}}}}
	for _, name := range []string{"bottom edge", "right edge", "top edge (1)", "left edge (1)", "top edge (2)", "left edge (2)"} {
		l.Edges = append(l.Edges, plandoc.Edge{Name: name, Meets: "inside corner"})
	}
	rect := plandoc.Surface{Key: "j/r/wall", Room: "j/r", Kind: "wall", Lie: "vertical",
		Outline: plandoc.Polygon{Outer: []plandoc.Point{{0, 0}, {2200, 0}, {2200, 1700}, {0, 1700}}}, Edges: l.Edges[:4]}
	doc := &plandoc.Document{Rooms: []plandoc.Room{{Key: "j/r", Name: "Bathroom"}}, Surfaces: []plandoc.Surface{l, rect}}
	for _, s := range doc.Surfaces {
		svg, err := (Printer{}).Surface(doc, s.Key)
		if err != nil {
			t.Fatal(err)
		}
		for _, want := range []string{">0 bottom<", ">1 right<", ">2 top (1)<", ">3 left (1)<", ">4 top (2)<", ">5 left (2)<"} {
			if got := strings.Contains(string(svg), want); got != (len(s.Edges) == 6) {
				t.Errorf("%s: %q on the drawing: %v", s.Key, want, got)
			}
		}
	}
}

// TestArcsAndManySidesAreNumbered: an arc is one side, as in the job file, and the
// sides after it count on; of many sides those without room are named below.
func TestArcsAndManySidesAreNumbered(t *testing.T) {
	ring, ok := rooms.ArcTo([]rooms.Point{{}, {X: 2000 * rooms.Millimetre}, {X: 2000 * rooms.Millimetre, Y: 1000 * rooms.Millimetre}},
		rooms.Point{Y: 1000 * rooms.Millimetre}, 400*rooms.Millimetre, rooms.Millimetre/2)
	if !ok || len(ring) < 10 {
		t.Fatalf("%d points, %v", len(ring), ok)
	}
	var comb rooms.Ring // teeth of 8 mm in a side of 2 m, 4 mm deep
	comb = append(comb, rooms.Point{}, rooms.Point{X: 2000 * rooms.Millimetre}, rooms.Point{X: 2000 * rooms.Millimetre, Y: 1000 * rooms.Millimetre})
	for i := range 6 {
		x := rooms.Length(1000-16*i) * rooms.Millimetre
		comb = append(comb, rooms.Point{X: x, Y: 1000 * rooms.Millimetre}, rooms.Point{X: x, Y: 996 * rooms.Millimetre},
			rooms.Point{X: x - 8*rooms.Millimetre, Y: 996 * rooms.Millimetre}, rooms.Point{X: x - 8*rooms.Millimetre, Y: 1000 * rooms.Millimetre})
	}
	comb = append(comb, rooms.Point{Y: 1000 * rooms.Millimetre})
	for _, c := range []struct {
		ring      rooms.Ring
		want, not []string
	}{
		{ring, []string{">0 bottom<", ">1 right<", ">2 arc<", ">3 left<"}, []string{">4", "too short"}},
		{comb, []string{">0 bottom<", ">1 right (1)<", ">27 left (", "too short to number: side"}, []string{">28"}},
	} {
		s := plandoc.Surface{Key: "j/r/floor", Room: "j/r", Kind: "floor", Lie: "flat"}
		for i, name := range c.ring.EdgeNames() {
			p := c.ring[i]
			s.Outline.Outer = append(s.Outline.Outer, plandoc.Point{plandoc.MM(p.X.Millimetres()), plandoc.MM(p.Y.Millimetres())})
			s.Edges = append(s.Edges, plandoc.Edge{Name: name, Meets: "inside corner"})
		}
		svg, err := (Printer{}).Surface(&plandoc.Document{Rooms: []plandoc.Room{{Key: "j/r", Name: "Bathroom"}}, Surfaces: []plandoc.Surface{s}}, s.Key)
		if err != nil {
			t.Fatal(err)
		}
		for _, want := range c.want {
			if !strings.Contains(string(svg), want) {
				t.Errorf("%q is not on the drawing of %d sides", want, len(c.ring))
			}
		}
		for _, not := range c.not {
			if strings.Contains(string(svg), not) {
				t.Errorf("%q is on the drawing of %d sides", not, len(c.ring))
			}
		}
	}
}
