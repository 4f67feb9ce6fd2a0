package sheet

import (
	"strings"
	"testing"

	"potlife/cmd/potlife/internal/plandoc"
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
