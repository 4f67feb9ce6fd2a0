package jobfile

import (
	"os"
	"strings"
	"testing"

	"github.com/google/go-cmp/cmp"

	"potlife/rooms"
	"potlife/takeoff"
)

// exampleFile reads a whole file of testdata that is right.
func exampleFile(t *testing.T, name string) *File {
	t.Helper()
	text, err := os.ReadFile("testdata/" + name)
	if err != nil {
		t.Fatal(err)
	}
	f, problems := Parse(name, text)
	if len(problems) > 0 {
		t.Fatal(problems)
	}
	return f
}

// TestQuickFormsWithZones: which zones each surface of the example has, that they
// are laid by the rules, and that an export reads back as the same.
func TestQuickFormsWithZones(t *testing.T) {
	f := exampleFile(t, "borders.yaml")
	want := map[string]string{
		"bath/floor":         "field border-0 border-1 border-2 border-3 border-4 border-5",
		"bath/south":         "field band",
		"bath/west":          "band",
		"shower/shower-back": "field band inset",
		"shower/hall":        "field border-bottom border-right border-top border-left inset",
	}
	laid := map[string]takeoff.Layout{}
	for _, room := range f.Jobs[0].Sites[0].Rooms {
		in := takeoff.RoomToLay{Job: "house", Site: "home", Room: room, Tiles: map[string]takeoff.Tile{}, Products: map[string]takeoff.Product{}}
		for _, tile := range f.Firm.Catalogue.Tiles {
			in.Tiles[tile.Key] = tile
		}
		layouts, err := takeoff.LayOut(in)
		if err != nil {
			t.Fatal(err)
		}
		for _, l := range layouts {
			laid[room.Key+"/"+l.Surface] = l
			if err := takeoff.CheckLayout(l, in.Tiles); err != nil {
				t.Error(err)
			}
		}
		for _, s := range room.Surfaces {
			var keys []string
			for _, z := range s.Zones {
				keys = append(keys, z.Key)
			}
			if name := room.Key + "/" + s.Key; want[name] != "" && want[name] != strings.Join(keys, " ") {
				t.Errorf("%s has the zones %s, want %s", name, keys, want[name])
			}
		}
	}
	for name, list := range map[string][]string{"bath/floor": {"border-0", "border-5"}, "bath/south": {"band"}} {
		for _, key := range list {
			if full, cut := wholeAcross(laid[name], key); full == 0 || cut > 0 {
				t.Errorf("%s, %s: %d pieces as wide as the tile and %d narrower; the strip is as wide as a tile and its joint", name, key, full, cut)
			}
		}
	}
	for name, want := range map[string]rooms.Ring{
		"shower/hall":        rooms.Rect(mm(700), mm(550), mm(1300), mm(1050)),
		"shower/shower-back": rooms.Rect(mm(300), mm(700), mm(600), mm(1300)),
	} {
		for _, z := range laid[name].Zones {
			if z.Zone.Key == "inset" && !equalRings(z.Zone.Region, want) {
				t.Errorf("%s: the inset lies at %v, want %v", name, z.Zone.Region, want)
			}
		}
	}
	if n := len(laid["shower/shower-floor"].Zones); n != 4 {
		t.Errorf("the shower floor is laid in %d planes, want 4", n)
	}
	out, err := Write(f)
	if err != nil {
		t.Fatal(err)
	}
	back, problems := Parse("export", out)
	if len(problems) > 0 {
		t.Fatal(problems)
	}
	if diff := cmp.Diff(f, back, sameFile); diff != "" {
		t.Errorf("changed by export and import:\n%s", diff)
	}
}

// TestBorderPastRecess: a border leaves a doorway that is set back into its wall a zone
// of its own, of the field's tile; a border off the wall leaves it to the field.
func TestBorderPastRecess(t *testing.T) {
	for distance, want := range map[string]string{"": "field doorway border-bottom border-right border-top border-left", ", distance: 150": "field border-bottom border-right border-top border-left"} {
		text := "job: {key: j, name: J, start: 2026-12-07, set: {tile: a, mortar: b, grout: c, joint: 3, pattern: offset 1/3}, sites: [{key: s, rooms: [{key: hall, surfaces: [{key: floor, kind: floor, " +
			"outline: [[0, 0], [800, 0], [800, -100], [1600, -100], [1600, 0], [2400, 0], [2400, 1800], [0, 1800]], edges: {2: doorway}, border: {tile: d, width: 100" + distance + "}}]}]}]}"
		f, problems := Parse("x", []byte(text))
		if len(problems) > 0 {
			t.Fatal(problems)
		}
		var keys []string
		for _, z := range f.Jobs[0].Sites[0].Rooms[0].Surfaces[0].Zones {
			keys = append(keys, z.Key)
			if z.Key == "doorway" && (z.Tile != "a" || z.Pattern != "straight" || z.Region.AreaMM2() != 800*100) {
				t.Errorf("the doorway is %+v", z)
			}
		}
		if got := strings.Join(keys, " "); got != want {
			t.Errorf("%q: the zones are %s, want %s", distance, got, want)
		}
	}
}

// wholeAcross counts the pieces of a zone that are 97 mm across, whole that way, and
// those that are not.
func wholeAcross(l takeoff.Layout, zone string) (full, cut int) {
	for _, z := range l.Zones {
		if z.Zone.Key != zone {
			continue
		}
		for _, p := range z.Pieces {
			b := p.Polygon.Outer.Box()
			if w := min(b.Width(), b.Height()); w == 97*rooms.Millimetre || max(b.Width(), b.Height()) == 97*rooms.Millimetre {
				full++
			} else {
				cut++
			}
		}
	}
	return full, cut
}

// TestShowerFallsToItsDrain: a corner shower's floor that falls to a point falls to
// its middle, unless the point is named.
func TestShowerFallsToItsDrain(t *testing.T) {
	for falls, want := range map[string]rooms.Point{
		"{kind: to a point, cut: yes}":                 {X: 450 * rooms.Millimetre, Y: 600 * rooms.Millimetre},
		"{kind: to a point, at: [300, 400], cut: yes}": {X: 300 * rooms.Millimetre, Y: 400 * rooms.Millimetre},
	} {
		text := "job: {key: j, name: J, start: 2026-12-07, set: {tile: a, mortar: b, grout: c, joint: 2}, sites: [{key: s, rooms: [{key: bath, corner_shower: {width: 900, depth: 1200, height: 2000, side: left, drain: 110, floor: {falls: " + falls + "}}}]}]}"
		f, problems := Parse("x", []byte(text))
		if len(problems) > 0 {
			t.Fatal(problems)
		}
		if got := f.Jobs[0].Sites[0].Rooms[0].Surfaces[0].Falls; got == nil || got.A != want || !got.Cut {
			t.Errorf("%s: %+v, want %v", falls, got, want)
		}
	}
}

// TestBadBorders: what a border or a band cannot be is refused in its line.
func TestBadBorders(t *testing.T) {
	for text, want := range map[string]string{
		"border: {tile: b}":                                                        `border without "width"`,
		"border: {width: 1200}":                                                    "too short for a border",
		"border: {width: 100, corners: round}":                                     "butted",
		"border: {width: 100, distance: 900}":                                      "too short for a border",
		"inset: {width: 100}":                                                      `inset without "height"`,
		"inset: {width: 100, height: 200, x: 1950}":                                "reaches outside",
		"inset: {width: 2100, height: 200}":                                        "reaches outside",
		"band: {from: 2100, height: 100}":                                          "does not lie on a surface",
		"band: {height: 100}":                                                      `band without "from"`,
		"band: {from: 1900, height: 200}":                                          "does not lie on a surface",
		"border: {width: 100}, band: {from: 900, height: 9}":                       "overlaps",
		"band: {from: 900}, zones: [{key: band, x: 0, y: 0, width: 9, height: 9}]": "stands a second time",
	} {
		file := "job: {key: j, name: J, start: 2026-12-07, set: {tile: a, mortar: b, grout: c, joint: 2}, sites: [{key: s, rooms: [{key: bath, surfaces: [{key: v, kind: wall, width: 2000, height: 2000, " + text + "}]}]}]}"
		_, problems := Parse("x", []byte(file))
		if len(problems) == 0 || !strings.Contains(problems.Error(), want) || problems[0].Line == 0 {
			t.Errorf("%s: %v, want %q with its line", text, problems, want)
		}
	}
}
