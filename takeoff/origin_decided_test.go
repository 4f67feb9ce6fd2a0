package takeoff

import (
	"strings"
	"testing"

	"potlife/rooms"
)

// TestWhyNamesTheOpening: where a niche or a window decides the place, the reason says
// which; where the walls decide, or an opening to which the eye does not go leaves the
// same place ahead, it names none.
func TestWhyNamesTheOpening(t *testing.T) {
	for _, c := range []struct {
		pattern  string
		tile     Tile
		openings []rooms.Opening
		turn     int
		want     string
	}{
		{"straight", box("t", 297*lmm, 197*lmm), nil, 0, ""},
		{"straight", box("t", 297*lmm, 197*lmm), []rooms.Opening{{Key: "niche", Outline: rooms.Rect(770*lmm, 700*lmm, 1370*lmm, 1000*lmm), Gap: 3 * lmm, Seen: true}}, 0, "; without opening niche"},
		{"straight", box("t", 297*lmm, 197*lmm), []rooms.Opening{{Key: "valve", Outline: rooms.Rect(1000*lmm, 700*lmm, 1060*lmm, 760*lmm), Gap: 3 * lmm}}, 0, "; without opening valve"},
		{"straight", box("t", 297*lmm, 197*lmm), []rooms.Opening{{Key: "valve", Outline: rooms.Rect(251*lmm+lmm/2, 151*lmm+lmm/2, 548*lmm+lmm/2, 348*lmm+lmm/2), Gap: 3 * lmm}}, 0, ""},
		{"straight", box("t", 297*lmm, 197*lmm), []rooms.Opening{
			{Key: "valve", Outline: rooms.Rect(1700*lmm, 300*lmm, 1760*lmm, 360*lmm), Gap: 3 * lmm},
			{Key: "window", Outline: rooms.Rect(770*lmm, 900*lmm, 1370*lmm, 1500*lmm), Gap: 3 * lmm, Seen: true}}, 0, "; without opening window"},
		{"offset 1/2", box("t", 297*lmm, 197*lmm), []rooms.Opening{{Key: "niche", Outline: rooms.Rect(770*lmm, 700*lmm, 1370*lmm, 1000*lmm), Gap: 3 * lmm, Seen: true}}, 0, "; without opening niche"},
		{"herringbone", box("t", 297*lmm, 147*lmm), []rooms.Opening{{Key: "niche", Outline: rooms.Rect(770*lmm, 700*lmm, 1370*lmm, 1000*lmm), Gap: 3 * lmm, Seen: true}}, 0, "; without opening niche"},
		{"diagonal", box("t", 297*lmm, 297*lmm), []rooms.Opening{{Key: "niche", Outline: rooms.Rect(770*lmm, 700*lmm, 1370*lmm, 1000*lmm), Gap: 3 * lmm, Seen: true}}, 0, "; without opening niche"},
		{"diagonal", box("t", 297*lmm, 297*lmm), nil, 0, ""},
		// They cut the wall's upper edge.
		{"herringbone", box("t", 297*lmm, 147*lmm), []rooms.Opening{{Key: "window", Outline: rooms.Rect(770*lmm, 700*lmm, 1370*lmm, 1600*lmm), Gap: 3 * lmm, Seen: true}}, 0, "; without opening window"},
		{"diagonal", box("t", 297*lmm, 297*lmm), []rooms.Opening{{Key: "window", Outline: rooms.Rect(770*lmm, 700*lmm, 1370*lmm, 1600*lmm), Gap: 3 * lmm, Seen: true}}, 0, "; without opening window"},
		{"diagonal", box("t", 297*lmm, 297*lmm), []rooms.Opening{{Key: "hatch", Outline: rooms.Rect(770*lmm, 700*lmm, 1370*lmm, 1600*lmm), Gap: 3 * lmm}}, 0, ""},
	} {
		in := wall(2000*lmm, 1500*lmm, c.tile, rooms.Zone{Pattern: c.pattern, Turn: c.turn})
		in.Room.Surfaces[0].Openings = c.openings
		why := lay(t, in).Zones[0].Why
		if c.want == "" && strings.Contains(why, "; without") || !strings.Contains(why, c.want) {
			t.Errorf("%s, %d openings, want %q: %s", c.pattern, len(c.openings), c.want, why)
		}
	}
}
