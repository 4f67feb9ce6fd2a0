package jobfile

import (
	"math"
	"strings"
	"testing"

	"potlife/rooms"
	"potlife/takeoff"
)

// Every kind of surface and every shape is written, laid out and checked. Areas
// are those of the figures: a segment of a circle of chord c and rise h has the
// radius r = (c²/4 + h²)/2h and the area r² acos((r−h)/r) − (r−h) c/2.
func TestEveryKindAndShape(t *testing.T) {
	f := exampleFile(t, "kinds.yaml")
	room := f.Jobs[0].Sites[0].Rooms[0]
	kinds := map[string]bool{}
	for _, s := range room.Surfaces {
		kinds[s.Kind] = true
	}
	for _, k := range surfaceKinds {
		if !kinds[k] {
			t.Errorf("no %s", k)
		}
	}
	floor, wall, disc := &room.Surfaces[0], &room.Surfaces[1], &room.Surfaces[len(room.Surfaces)-1]
	segment := func(c, h float64) float64 {
		r := (c*c/4 + h*h) / (2 * h)
		return r*r*math.Acos((r-h)/r) - (r-h)*c/2
	}
	for _, a := range []struct {
		name      string
		ring      rooms.Ring
		want, arc float64 // mm², and the length of the arc
	}{
		{"floor", floor.Outline, 2400*1500 + segment(2400, 300), 2500},
		{"arch", wall.Openings[0].Outline, 800*500 + segment(800, 400), 1260},
		{"disc", disc.Outline, math.Pi * 600 * 600, 3770},
	} {
		if got := a.ring.AreaMM2(); math.Abs(got-a.want) > a.arc*0.5 {
			t.Errorf("%s: %.0f mm², want %.0f within half a millimetre along the arc", a.name, got, a.want)
		}
	}
	// The arc is one side: what is said about side 2 holds for all of it, and
	// side 3 is the last edge.
	n := len(floor.Edges)
	for i, e := range floor.Edges[2 : n-1] {
		if e.Gap != 5*rooms.Millimetre {
			t.Errorf("edge %d of the arc has a gap of %s", i+2, e.Gap)
		}
	}
	if n < 10 || floor.Edges[n-1].Meets != rooms.Doorway || floor.Edges[0].Shared != "bath/wall#0" {
		t.Errorf("%d edges, the last meets %s, the first is shared with %q", n, floor.Edges[n-1].Meets, floor.Edges[0].Shared)
	}
	in := takeoff.RoomToLay{Job: "house", Site: "home", Room: room, Tiles: map[string]takeoff.Tile{}, Products: map[string]takeoff.Product{}}
	for _, tile := range f.Firm.Catalogue.Tiles {
		in.Tiles[tile.Key] = tile
	}
	layouts, err := takeoff.LayOut(in)
	if err != nil {
		t.Fatal(err)
	}
	if len(layouts) != len(room.Surfaces) {
		t.Errorf("%d of %d surfaces are laid out", len(layouts), len(room.Surfaces))
	}
	for i := range layouts {
		if err := takeoff.CheckLayout(layouts[i], in.Tiles); err != nil {
			t.Errorf("%s: %v", layouts[i].Surface, err)
		}
	}
}

func TestBadOutlines(t *testing.T) {
	for text, want := range map[string]string{
		"outline: [{to: [0, 0]}, [9, 0], [9, 9]]":             `arc without "rise"`,
		"outline: [[0, 0], {to: [9, 0], rise: 2000}, [9, 9]]": "this arc cannot be drawn",
		"outline: [[0, 0], {to: [0, 0], rise: 2}, [9, 9]]":    "this arc cannot be drawn",
		"outline: [[0, 0]]": "the outline has no area",
		"outline: [[0, 0], [900, 0], {to: [900, 900], rise: -2000}, [0, 900]]":                  "the outline is wrong at",
		"outline: [[0, 0], [900, 0], {to: [0, 900], rise: 99}], readings: [{edge: 1, off: 2}]":  "side 1 of surface w is an arc",
		"outline: [[0, 0], [900, 0], {to: [0, 900], rise: 99}], edges: {1: {shared: bath/v#0}}": "side 1 is an arc",
		"outline: [[0, 0], [900, 0], {to: [0, 900], rise: 99}], edges: {3: floor}":              `no side "3"`,
	} {
		file := "job: {key: j, name: J, start: 2026-12-07, set: {tile: a, mortar: b, grout: c, joint: 2}, sites: [{key: s, rooms: [{key: bath, surfaces: [{key: v, kind: wall, width: 9, height: 9}, {key: w, kind: floor, " + text + "}]}]}]}"
		_, problems := Parse("x", []byte(file))
		if len(problems) != 1 || !strings.Contains(problems[0].String(), want) {
			t.Errorf("%s: %v, want one problem with %q", text, problems, want)
		}
	}
}

// A room with its ceiling: every wall's top is an edge of the ceiling, each as
// long as the other; with tile that ends below it, none is.
func TestRoomWithCeiling(t *testing.T) {
	for _, c := range []struct {
		more  string
		joins int
	}{{"", 6}, {", tile_to: 2000", 0}} {
		file := "job: {key: j, name: J, start: 2026-12-07, set: {tile: a, mortar: b, grout: c, joint: 2}, sites: [{key: s, rooms: [{key: bath, rectangle: {length: 3000, width: 2400, height: 2500, less: {corner: north-east, length: 900, width: 700}, ceiling: {name: lid}" + c.more + "}}]}]}"
		f, problems := Parse("x", []byte(file))
		if len(problems) > 0 {
			t.Fatal(problems)
		}
		by := map[string]rooms.Surface{}
		for _, s := range f.Jobs[0].Sites[0].Rooms[0].Surfaces {
			by["bath/"+s.Key] = s
		}
		lid, joins := by["bath/ceiling"], 0
		if lid.Name != "lid" || len(by) != 8 {
			t.Fatalf("%d surfaces, the ceiling is called %q", len(by), lid.Name)
		}
		for i, e := range lid.Edges {
			wall, _, _ := strings.Cut(e.Shared, "#")
			w, ok := by[wall]
			if !ok {
				continue
			}
			joins++
			if a, b := rooms.Distance(lid.Outline[i], lid.Outline[(i+1)%6]), w.Outline[1].X; a != b || w.Edges[2].Shared != "bath/ceiling#"+decimals(float64(i)) {
				t.Errorf("edge %d of the ceiling is %s long, the top of %s %s and shared with %q", i, a, wall, b, w.Edges[2].Shared)
			}
		}
		if joins != c.joins {
			t.Errorf("%q: %d edges of the ceiling are shared, want %d", c.more, joins, c.joins)
		}
	}
}
