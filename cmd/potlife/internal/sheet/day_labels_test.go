package sheet

import (
	"fmt"
	"maps"
	"slices"
	"strings"
	"testing"

	"potlife/cmd/potlife/internal/plandoc"
)

// Over all days of a job each cut of each piece is printed once, with the edge that
// it makes, whatever other piece or day shares its stop setting; and each piece that
// is cut has a label: surface, course and position, an arrow up, its cut edges.
func TestEachCutIsPrintedOnceWithItsEdge(t *testing.T) {
	doc := demoDocument(t, "inches")
	x := doc.Index()
	due := map[string]int{}
	for id, p := range x.Pieces {
		for _, c := range p.Cuts {
			if p.OnSite {
				continue
			}
			what := c.Shape
			if c.Size != nil {
				what = fmt.Sprintf("%g off the %s edge", float64(*c.Size), c.Side)
			}
			due[id+" "+c.Tool+" "+what]++
		}
	}
	if len(due) == 0 {
		t.Fatal("nothing is cut: the test shows nothing")
	}
	days, labels := map[string]bool{}, map[string]string{}
	for i := range doc.Sheets {
		d, err := newDay(doc, i, plandoc.Mark{})
		if err != nil {
			t.Fatal(err)
		}
		for _, b := range d.Cuts {
			for _, s := range b.Settings {
				days[d.Date] = true
				for k, id := range s.Pieces {
					what := s.Shape
					if s.SizeMM != nil {
						what = fmt.Sprintf("%g off the %s edge", *s.SizeMM, s.Edges[k])
					}
					due[id+" "+b.Tool+" "+what]--
				}
			}
		}
		for _, l := range d.Labels {
			labels[l.Piece] = l.Text
		}
	}
	for _, k := range slices.Sorted(maps.Keys(due)) {
		if n := due[k]; n != 0 {
			t.Errorf("%s: %+d too few", k, n)
		}
	}
	if len(days) < 3 {
		t.Errorf("all is cut on %d days: the test shows little", len(days))
	}
	for id, p := range x.Pieces {
		if p.OnSite || len(p.Cuts) == 0 {
			continue
		}
		for _, want := range []string{x.SurfaceName(x.PieceAt[id].Key) + " ", fmt.Sprintf(" %d.%02d", p.Course, p.Position), " ↑ cut "} {
			if !strings.Contains(labels[id], want) {
				t.Errorf("%s: the label %q does not say %q", id, labels[id], want)
			}
		}
	}
}

// A corner piece that is cut to one size on two edges stands twice at that stop
// setting, once for each edge; a notch names no edge.
func TestTwoCutsOfOneSize(t *testing.T) {
	size, other := plandoc.MM(120), plandoc.MM(80)
	x := &plandoc.Index{Pieces: map[string]*plandoc.Piece{
		"a": {Cuts: []plandoc.Cut{{Side: "left", Size: &size, Tool: "wet saw"}, {Side: "shape", Shape: "notch", Tool: "wet saw"}, {Side: "top", Size: &size, Tool: "wet saw"}}},
		"b": {Cuts: []plandoc.Cut{{Side: "bottom", Size: &other, Tool: "wet saw"}, {Side: "right", Size: &size, Tool: "wet saw"}}},
	}}
	d := &Day{x: x}
	if got := d.edgesOf(&plandoc.CutGroup{Tool: "wet saw", Size: &size, Pieces: []string{"a", "b", "a"}}); !slices.Equal(got, []string{"left", "right", "top"}) {
		t.Errorf("edges %q", got)
	}
	if got := d.edgesOf(&plandoc.CutGroup{Tool: "wet saw", Shape: "notch", Pieces: []string{"a"}}); !slices.Equal(got, []string{""}) {
		t.Errorf("a notch has the edge %q", got)
	}
	if got := edgesCut(&plandoc.Piece{Cuts: []plandoc.Cut{{Side: "shape", Shape: "trim the left edge first, straight, by 9 mm or a little less"}, {Side: "right", Size: &size}}}); !slices.Equal(got, []string{"left", "right"}) {
		t.Errorf("trimmed: cut edges %q", got)
	}
	if got := edgesCut(x.Pieces["a"]); !slices.Equal(got, []string{"left", "shape", "top"}) {
		t.Errorf("cut edges %q", got)
	}
}
