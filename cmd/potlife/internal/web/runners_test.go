package web

import (
	"strings"
	"testing"

	"potlife/cmd/potlife/internal/plandoc"
)

// The page of a surface shows each start that lost, drawn, with its counts and
// why; a finding that was set aside says so with its reason.
func TestSurfacePageShowsRunnersUp(t *testing.T) {
	s := newSite(t, nil)
	doc := s.desks.plan.Document
	for i := range doc.Surfaces {
		if z := &doc.Surfaces[i].Zones[0]; strings.HasSuffix(doc.Surfaces[i].Key, "/north") {
			z.Lattice = plandoc.Lattice{U: plandoc.Point{603, 0}, V: plandoc.Point{0, 303},
				Tiles: []plandoc.LatticeTile{{Tile: "sand-60", Shape: []plandoc.Point{{0, 0}, {600, 0}, {600, 300}, {0, 300}}}}}
			for k, why := range []string{"a tile on the centre line", "a full tile from the left", "a full tile from the right"} {
				z.RunnersUp = append(z.RunnersUp, plandoc.RunnerUp{Origin: plandoc.Point{plandoc.MM(5 + 100*k), 5}, Why: why, Full: 18 - k, Cut: 10 + k})
			}
			doc.Findings = append(doc.Findings, plandoc.Finding{Rule: "small cut", Severity: "warn", Where: doc.Surfaces[i].Key, Message: "1 piece is narrow", Waived: "the client has seen it"})
		}
	}
	s.signIn("2")
	body := s.get(north).body
	for _, want := range []string{"Other starts that were tried, and why not: 3", "18 whole, 10 cut. a tile on the centre line", "16 whole, 12 cut. a full tile from the right", "Set aside: the client has seen it"} {
		if !strings.Contains(body, want) {
			t.Errorf("the page lacks %q", want)
		}
	}
	if n := strings.Count(body, "<clipPath"); n != 3 || strings.Count(body, "<figure") != 4 {
		t.Errorf("%d starts are drawn in %d figures, want 3 in 4 with the surface itself", n, strings.Count(body, "<figure"))
	}
}
