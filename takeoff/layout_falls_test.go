package takeoff

import (
	"strings"
	"testing"

	"potlife/rooms"
)

// fallingFloor is a shower floor of 900 × 1200 mm in tiles of 197 mm.
func fallingFloor(falls *rooms.Falls) RoomToLay {
	in := wall(900*lmm, 1200*lmm, box("t", 197*lmm, 197*lmm), rooms.Zone{})
	in.Room.Surfaces[0].Kind, in.Room.Surfaces[0].Falls = rooms.ShowerFloor, falls
	return in
}

// TestFoldsAreJoints: cut along the folds, every plane is a zone of its own, no
// piece lies across a fold, and together they cover the floor but for gaps and
// the joints in the folds.
func TestFoldsAreJoints(t *testing.T) {
	for name, c := range map[string]struct {
		falls rooms.Falls
		zones int
		folds float64 // their length in mm
	}{
		"to a point": {rooms.Falls{Kind: rooms.ToPoint, A: rooms.Point{X: 450 * lmm, Y: 600 * lmm}}, 4, 4 * 750},
		"to a line":  {rooms.Falls{Kind: rooms.ToLine, A: rooms.Point{X: 450 * lmm, Y: 300 * lmm}, B: rooms.Point{X: 450 * lmm, Y: 900 * lmm}}, 4, 4*540.8 + 600},
		"two planes": {rooms.Falls{Kind: rooms.TwoFalls, A: rooms.Point{X: 450 * lmm}, B: rooms.Point{X: 450 * lmm, Y: 1200 * lmm}}, 2, 1200},
		"one plane":  {rooms.Falls{Kind: rooms.OneFall}, 1, 0},
	} {
		c.falls.Cut = true
		in := fallingFloor(&c.falls)
		l := lay(t, in)
		if err := CheckLayout(l, in.Tiles); err != nil {
			t.Errorf("%s: %v", name, err)
		}
		if len(l.Zones) != c.zones {
			t.Errorf("%s: %d zones, want %d", name, len(l.Zones), c.zones)
		}
		covered := 0.0
		for _, z := range l.Zones {
			for _, p := range z.Cover {
				covered += p.AreaMM2()
			}
		}
		// 5 mm of gap all round; a joint of 3 mm along every fold.
		if d := 890*1190 - covered - 3*c.folds; d > 120 || d < -120 {
			t.Errorf("%s: covered %.0f mm², %.0f mm² from what gaps and folds leave", name, covered, d)
		}
		for _, f := range l.Findings {
			if f.Rule == "tile on a fall" {
				t.Errorf("%s: %s", name, f.Message)
			}
		}
	}
}

// TestFallFindings: what of the falls is remarked on (FACTS.md 8.9 for slopes;
// about 100 mm for tile that turns a fold is common practice).
func TestFallFindings(t *testing.T) {
	point := rooms.Point{X: 450 * lmm, Y: 600 * lmm}
	for _, c := range []struct {
		name   string
		falls  *rooms.Falls
		tile   rooms.Length
		rule   string
		within string
	}{
		{"nothing said", nil, 197, "tile on a fall", "four-way"},
		{"nothing said, small tile", nil, 97, "", ""},
		{"to a point", &rooms.Falls{Kind: rooms.ToPoint, A: point}, 197, "tile on a fall", "four-way"},
		{"to a point, small tile", &rooms.Falls{Kind: rooms.ToPoint, A: point}, 97, "", ""},
		{"two planes", &rooms.Falls{Kind: rooms.TwoFalls, A: point, B: rooms.Point{X: 450 * lmm}}, 197, "tile on a fall", "fold of two"},
		{"one plane", &rooms.Falls{Kind: rooms.OneFall}, 197, "", ""},
		{"too flat", &rooms.Falls{Kind: rooms.OneFall, PerMille: 15}, 197, "slope", "1.5 %"},
		{"too steep", &rooms.Falls{Kind: rooms.OneFall, PerMille: 60}, 197, "slope", "6.0 %"},
		{"as it should", &rooms.Falls{Kind: rooms.OneFall, PerMille: 21}, 197, "", ""},
	} {
		in := fallingFloor(c.falls)
		in.Tiles["t"] = box("t", c.tile*lmm, c.tile*lmm)
		got := ""
		for _, f := range lay(t, in).Findings {
			if f.Rule == "tile on a fall" || f.Rule == "slope" {
				got += f.Rule
				if !strings.Contains(f.Message, c.within) {
					t.Errorf("%s: %s", c.name, f.Message)
				}
			}
		}
		if got != c.rule {
			t.Errorf("%s: found %q, want %q", c.name, got, c.rule)
		}
	}
}
