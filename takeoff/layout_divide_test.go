package takeoff

import (
	"strings"
	"testing"

	"potlife/rooms"
)

// TestZonesNameWhatTheyMeet: a wall of 2000 × 1500 mm with a band from 800 to 1000
// in tiles of 97. Each cut names what made it: the field's the band, the band's
// the field and not itself.
func TestZonesNameWhatTheyMeet(t *testing.T) {
	in := wall(2000*lmm, 1500*lmm, box("t", 297*lmm, 197*lmm), rooms.Zone{Pattern: "straight"})
	in.Tiles["b"] = box("b", 97*lmm, 93*lmm)
	s := &in.Room.Surfaces[0]
	s.Zones = append(s.Zones, rooms.Zone{Key: "band", Tile: "b", Pattern: "straight", Joint: 3 * lmm, Region: rooms.Rect(0, 800*lmm, 2000*lmm, 1000*lmm)})
	for _, z := range lay(t, in).Zones {
		met := ""
		for _, p := range z.Pieces {
			for _, c := range p.Cuts {
				if strings.HasPrefix(c.At, "zone ") {
					met = c.At
				}
			}
		}
		if want := map[string]string{"z": "zone band", "band": "zone z"}[z.Zone.Key]; met != want {
			t.Errorf("%s is cut at %q, want %q", z.Zone.Key, met, want)
		}
	}
}

// TestFreeEdgeOfAZone: tile on part of a wall runs to the line and ends free, with
// no half joint lost: a whole number of tiles, four of 247 mm and three joints,
// fills a zone of 997 mm that begins at a wall with no gap.
func TestFreeEdgeOfAZone(t *testing.T) {
	for _, c := range []struct {
		name  string
		zones []rooms.Zone
		tall  map[string]rooms.Length // of each zone's cover
	}{
		{"nothing beyond", []rooms.Zone{
			{Key: "low", Region: rooms.Rect(0, 0, 2000*lmm, 997*lmm)},
		}, map[string]rooms.Length{"low": 997 * lmm}},
		{"a zone without tile beyond", []rooms.Zone{
			{Key: "low", Region: rooms.Rect(0, 0, 2000*lmm, 997*lmm)}, {Key: "bare"},
		}, map[string]rooms.Length{"low": 997 * lmm}},
		{"another zone between", []rooms.Zone{
			{Key: "low", Region: rooms.Rect(0, 0, 2000*lmm, 500*lmm)}, {Key: "high", Region: rooms.Rect(0, 500*lmm, 2000*lmm, 997*lmm)},
		}, map[string]rooms.Length{"low": 498*lmm + lmm/2, "high": 495*lmm + lmm/2}},
	} {
		in := wall(2000*lmm, 1500*lmm, box("t", 397*lmm, 247*lmm), rooms.Zone{})
		s := &in.Room.Surfaces[0]
		s.Edges = nil
		s.Zones = nil
		for _, z := range c.zones {
			z.Pattern, z.Joint = "straight", 3*lmm
			if z.Key != "bare" {
				z.Tile = "t"
			}
			s.Zones = append(s.Zones, z)
		}
		l := lay(t, in)
		if err := CheckLayout(l, in.Tiles); err != nil {
			t.Errorf("%s: %v", c.name, err)
		}
		for _, z := range l.Zones {
			if b := rooms.BoxOf(z.Cover); b.Height() != c.tall[z.Zone.Key] {
				t.Errorf("%s: %s is %s tall, want %s", c.name, z.Zone.Key, b.Height(), c.tall[z.Zone.Key])
			}
			if z.Zone.Key == "low" && len(c.zones) == 1 && z.Pieces[len(z.Pieces)-1].Course != 4 {
				t.Errorf("%s: %d courses, want 4 whole ones: %s", c.name, z.Pieces[len(z.Pieces)-1].Course, drawing(z))
			}
		}
	}
}
