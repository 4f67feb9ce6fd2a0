package takeoff

import (
	"math"
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
			{Key: "low", Region: rooms.Rect(0, 0, 2000*lmm, 510*lmm)}, {Key: "high", Region: rooms.Rect(0, 510*lmm, 2000*lmm, 997*lmm)},
		}, map[string]rooms.Length{"low": 508*lmm + lmm/2, "high": 485*lmm + lmm/2}},
		{"two whole courses below", []rooms.Zone{ // the line of a strip of courses goes to the middle of their joint
			{Key: "low", Region: rooms.Rect(0, 0, 2000*lmm, 500*lmm)}, {Key: "high", Region: rooms.Rect(0, 500*lmm, 2000*lmm, 997*lmm)},
		}, map[string]rooms.Length{"low": 497 * lmm, "high": 497 * lmm}},
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

// TestTrimWhereAZoneEndsFree: a panel of 1000 × 997 mm in the middle of a wall's
// foot ends free on three sides, 997 + 1000 + 997 = 2994 mm of profile, once; the
// fourth is the wall's edge. In two halves, one above the other, the joint of 3 mm
// between them comes off, half from each: 498.5 and 495.5 mm, cut to 498 and
// 495, 2986 mm. Without a trim there is none.
func TestTrimWhereAZoneEndsFree(t *testing.T) {
	for _, c := range []struct {
		trim    string
		regions []rooms.Ring
		metres  float64
	}{
		{"profile", []rooms.Ring{rooms.Rect(500*lmm, 0, 1500*lmm, 997*lmm)}, 2.994},
		{"profile", []rooms.Ring{rooms.Rect(500*lmm, 0, 1500*lmm, 500*lmm), rooms.Rect(500*lmm, 500*lmm, 1500*lmm, 997*lmm)}, 2.986},
		{"", []rooms.Ring{rooms.Rect(500*lmm, 0, 1500*lmm, 997*lmm)}, 0},
	} {
		in := bathJob(1)
		s, _ := takenWall("elm", "bath1", "north", 2000*lmm, 1500*lmm, in.Catalogue.Tiles[0])
		for i := range s.Edges {
			s.Edges[i] = rooms.Edge{Meets: rooms.InsideCorner}
		}
		for i, r := range c.regions {
			s.Zones = append(s.Zones, rooms.Zone{Key: string(rune('a' + i)), Tile: in.Catalogue.Tiles[0].Key, Pattern: "straight", Joint: 3 * lmm, Mortar: "fix", Grout: "fill", Trim: c.trim, Region: r})
		}
		room := rooms.Room{Key: "bath1", Surfaces: []rooms.Surface{s}}
		l, err := LayOut(RoomToLay{Job: "elm", Site: "home", Room: room, Tiles: map[string]Tile{in.Catalogue.Tiles[0].Key: in.Catalogue.Tiles[0]}})
		if err != nil {
			t.Fatal(err)
		}
		in.Jobs[0].Sites[0].Rooms, in.Layouts = []rooms.Room{room}, l
		got := 0.0
		for _, m := range take(t, in).Materials {
			if m.Kind == KindTrim {
				got += m.Net
			}
		}
		if math.Abs(got-c.metres) > 1e-6 {
			t.Errorf("%q round %d zones: %.4f m, want %.3f", c.trim, len(c.regions), got, c.metres)
		}
	}
}
