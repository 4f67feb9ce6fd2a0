package takeoff

import (
	"math"
	"testing"

	"potlife/rooms"
)

// TestNicheTrim: a niche of 600 × 800 edged by a profile takes four lengths, 0.6 +
// 0.8 + 0.6 + 0.8 = 2.8 m. From bars of 2.5 m with 2 mm lost at each cut two bars:
// 0.8 + 0.8 + 0.6 = 2.2 m of the first, 0.6 m of another. A face of the niche whose
// own edge has a trim along the same line adds nothing.
func TestNicheTrim(t *testing.T) {
	in := bathJob(0)
	s, l := takenWall("elm", "bath1", "north", 3000*mm, 2000*mm, in.Catalogue.Tiles[0])
	s.Openings = []rooms.Opening{{Key: "niche", Kind: "niche", Outline: rooms.Rect(1000*mm, 900*mm, 1600*mm, 1700*mm), Fill: rooms.FillTrim, Trim: "profile"}}
	sill, lower := takenWall("elm", "bath1", "sill", 600*mm, 100*mm, in.Catalogue.Tiles[0])
	sill.Edges[0].Fill, sill.Edges[0].Trim, sill.Edges[0].Shared = rooms.FillTrim, "profile", "bath1/north#niche"
	in.Jobs[0].Sites[0].Rooms = []rooms.Room{{Key: "bath1", Surfaces: []rooms.Surface{s, sill}}}
	in.Layouts = []Layout{l, lower}
	got := take(t, in)
	found := false
	for _, m := range got.Materials {
		if m.Kind == KindTrim {
			if found = true; math.Abs(m.Net-2.8) > 1e-9 || m.Packages != 2 {
				t.Errorf("%.3f m and %d bars, want 2.8 m and 2 (%s)", m.Net, m.Packages, m.How)
			}
		}
	}
	if !found {
		t.Error("no trim is bought")
	}
}
