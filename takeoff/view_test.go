package takeoff

import (
	"fmt"
	"slices"
	"strings"
	"testing"

	"potlife/rooms"
)

// doorRoom is a room of 2.4 × 1.9 m with its door in the first wall (the floor's
// lower edge), 300 mm from the wall's left end.
func doorRoom(t *testing.T, floor rooms.Ring) rooms.Room {
	t.Helper()
	s, err := rooms.RoomForm{Floor: floor, Height: 2400 * lmm,
		Holes: []rooms.Hole{{Key: "door", Kind: "door", Wall: 0, X: 300 * lmm, W: 800 * lmm, H: 2050 * lmm}}}.Surfaces()
	if err != nil {
		t.Fatal(err)
	}
	return rooms.Room{Key: "r", Surfaces: s}
}

// TestLineOfSight: from the door the far wall is met first; its corners and the
// far ends of the side walls are in sight, the door's own wall and what lies
// round a corner are not.
func TestLineOfSight(t *testing.T) {
	l := rooms.LFloor(3400*lmm, 3000*lmm, 1700*lmm, 1500*lmm)
	for _, c := range []struct {
		name  string
		floor rooms.Ring
		focal string
		sight string
	}{
		// Wall 1 is below, 2 right, 3 above, 4 left, each read from inside: edge 1 is
		// its right end. The door's middle is 1.7 m from the floor's left side, of
		// which less than half lies within 60° of straight ahead.
		{"rectangle", rooms.RectangularFloor(2400*lmm, 1900*lmm), "wall-3", "floor#3 floor#4 wall-2#3 wall-3#1 wall-3#3 wall-4#1"},
		// The door's wall is 3.4 m long; the leg on the left is out of sight behind
		// the corner but for its mouth.
		{"L", l, "wall-3", ""},
	} {
		r := doorRoom(t, c.floor)
		v := viewOf(&r)
		if v.focal != c.focal {
			t.Errorf("%s: the eye first meets %q, want %q", c.name, v.focal, c.focal)
		}
		var got []string
		for k, in := range v.sight {
			if in {
				got = append(got, fmt.Sprintf("%s#%d", k.surface, k.edge))
			}
		}
		slices.Sort(got)
		if s := strings.Join(got, " "); c.sight != "" && s != c.sight {
			t.Errorf("%s: in sight %s\nwant %s", c.name, s, c.sight)
		}
		if v.sight[sightKey{"wall-1", 1}] || v.sight[sightKey{"wall-1", 3}] {
			t.Errorf("%s: the door's own wall is in sight", c.name)
		}
		if c.name == "L" && (v.sight[sightKey{"wall-5", 1}] && v.sight[sightKey{"wall-5", 3}] || !v.sight[sightKey{"wall-3", 1}]) {
			t.Errorf("L: in sight %v", got)
		}
	}
}

// TestCutsGoBehindTheDoor: a side wall has its whole tile at the far corner,
// which is in sight, and its cut beside the door; a flag on the edges overrides
// the line of sight.
func TestCutsGoBehindTheDoor(t *testing.T) {
	lay := func(change func(*rooms.Surface)) string {
		r := doorRoom(t, rooms.RectangularFloor(2400*lmm, 1900*lmm))
		tile := box("t", 297*lmm, 197*lmm)
		for i := range r.Surfaces {
			r.Surfaces[i].Measured = true
			if r.Surfaces[i].Key == "wall-2" {
				r.Surfaces[i].Zones = []rooms.Zone{{Key: "z", Tile: "t", Joint: 3 * lmm}}
				change(&r.Surfaces[i])
			}
		}
		ls, err := LayOut(RoomToLay{Job: "j", Room: r, Tiles: map[string]Tile{"t": tile}})
		if err != nil {
			t.Fatal(err)
		}
		for _, l := range ls {
			if len(l.Zones) > 0 {
				return sizesAlong(l.Zones[0], 2)
			}
		}
		return ""
	}
	for _, c := range []struct {
		name, want string
		change     func(*rooms.Surface)
	}{
		// 1900 − 8 = 1892: five whole tiles and their joints leave 389 mm. Half a tile
		// goes beside the door and the rest to the far corner, on the left.
		{"no room for a whole tile", "240.5 297 297 297 297 297 148.5", func(*rooms.Surface) {}},
		{"far corner", "297 297 297 297 297 297 192", func(s *rooms.Surface) { s.Outline = rooms.Rect(0, 0, 2000*lmm, 2400*lmm) }},
		{"hidden corner", "244.5 297 297 297 297 297 244.5", func(s *rooms.Surface) {
			s.Outline = rooms.Rect(0, 0, 2000*lmm, 2400*lmm)
			s.Edges[3].Hidden = true
		}},
		{"seen corner", "192 297 297 297 297 297 297", func(s *rooms.Surface) {
			s.Outline = rooms.Rect(0, 0, 2000*lmm, 2400*lmm)
			s.Edges[1].Seen = true
		}},
	} {
		if got := lay(c.change); got != c.want {
			t.Errorf("%s: %s, want %s", c.name, got, c.want)
		}
	}
}

// TestWhatStandsInTheWay: the open leaf of the door and tall furniture hide the
// corners behind them, low furniture the floor's edges alone. The room is 2.4 m
// wide and 1.9 m deep, the door 300 to 1100 mm from the right side of its floor;
// the floor's edges 3, 4 and 5 are the right, the far and the left one.
func TestWhatStandsInTheWay(t *testing.T) {
	for _, c := range []struct {
		name   string
		change func(*rooms.Room)
		hidden string // of what is in sight of the empty room
	}{
		{"empty", func(*rooms.Room) {}, ""},
		// Seen from inside the door's wall is read from the floor's right: its right
		// is the floor's left. The leaf stands at 1300 mm, 800 mm into the room.
		{"hinge right", func(r *rooms.Room) { hang(r, rooms.HingeRight) }, "wall-3#3 wall-4#1"},
		// At 2100 mm it hides the right side up to 1325 mm, and not the far corner.
		{"hinge left", func(r *rooms.Room) { hang(r, rooms.HingeLeft) }, "floor#3"},
		{"vanity along the far wall", func(r *rooms.Room) {
			r.Obstacles = []rooms.Obstacle{{Key: "v", Outline: rooms.Rect(200*lmm, 1400*lmm, 2200*lmm, 1900*lmm)}}
		}, "floor#4"},
		{"cupboard in the far corner", func(r *rooms.Room) {
			r.Obstacles = []rooms.Obstacle{{Key: "c", Outline: rooms.Rect(1900*lmm, 1400*lmm, 2400*lmm, 1900*lmm), Tall: true}}
		}, "wall-2#3 wall-3#1"},
		{"fixture in the floor", func(r *rooms.Room) {
			f := &r.Surfaces[slices.IndexFunc(r.Surfaces, func(s rooms.Surface) bool { return s.Kind == rooms.Floor })]
			f.Openings = []rooms.Opening{{Key: "pan", Kind: "fixture", Outline: rooms.Rect(700*lmm, 1300*lmm, 2300*lmm, 1800*lmm)}}
		}, "floor#4"},
	} {
		empty := doorRoom(t, rooms.RectangularFloor(2400*lmm, 1900*lmm))
		before := viewOf(&empty)
		r := doorRoom(t, rooms.RectangularFloor(2400*lmm, 1900*lmm))
		c.change(&r)
		after := viewOf(&r)
		var hidden []string
		for k, in := range before.sight {
			if in && !after.sight[k] {
				hidden = append(hidden, fmt.Sprintf("%s#%d", k.surface, k.edge))
			}
			if !in && after.sight[k] {
				t.Errorf("%s: %v comes into sight", c.name, k)
			}
		}
		slices.Sort(hidden)
		if got := strings.Join(hidden, " "); got != c.hidden {
			t.Errorf("%s hides %q, want %q", c.name, got, c.hidden)
		}
	}
}

// hang gives the door a hinge.
func hang(r *rooms.Room, hinge string) {
	for i := range r.Surfaces {
		for k := range r.Surfaces[i].Openings {
			if o := &r.Surfaces[i].Openings[k]; o.Kind == "door" {
				o.Hinge = hinge
			}
		}
	}
}
