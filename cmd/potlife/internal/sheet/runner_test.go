package sheet

import (
	"encoding/xml"
	"io"
	"strings"
	"testing"

	"potlife/cmd/potlife/internal/plandoc"
	"potlife/cmd/potlife/internal/plandoc/plandoctest"
)

// A start that lost is drawn from the lattice: 2390 × 2090 mm of cover from its
// lower left corner take four tiles of 600 mm across (three whole, the last cut
// at 581 mm) and seven of 300 up (the last cut).
func TestRunnerUpIsDrawn(t *testing.T) {
	doc := plandoctest.Sample("metric")
	s := &doc.Surfaces[0]
	z := &s.Zones[0]
	s.Openings = nil
	z.Lattice = plandoc.Lattice{U: plandoc.Point{603, 0}, V: plandoc.Point{0, 303},
		Tiles: []plandoc.LatticeTile{{Tile: "sand-60", Shape: []plandoc.Point{{0, 0}, {600, 0}, {600, 300}, {0, 300}}}}}
	z.RunnersUp = []plandoc.RunnerUp{{Origin: plandoc.Point{5 + 603*2, 5 - 303}, Why: "a full tile from the lower end", Full: 18, Cut: 10}}
	svg, err := Printer{}.RunnerUp(doc, s.Key, z.Key, 0)
	if err != nil {
		t.Fatal(err)
	}
	text := string(svg)
	for d := xml.NewDecoder(strings.NewReader(text)); ; {
		if _, err := d.Token(); err == io.EOF {
			break
		} else if err != nil {
			t.Fatalf("%v in %s", err, text)
		}
	}
	tiles := latticeOver(z, z.RunnersUp[0].Origin)
	cut := 0
	for _, q := range tiles {
		if cutsTile(z, q) {
			cut++
		}
	}
	if len(tiles) != 28 || cut != 10 {
		t.Errorf("%d tiles, %d cut; want 28 and 10", len(tiles), cut)
	}
	if !strings.Contains(text, "clip-path") || !strings.Contains(text, "18 whole and 10 cut") {
		t.Errorf("drawing: %s", text)
	}
	for _, i := range []int{-1, 1} {
		if _, err := (Printer{}).RunnerUp(doc, s.Key, z.Key, i); err == nil {
			t.Errorf("runner-up %d is drawn", i)
		}
	}
}
