package scheduler

import (
	"strings"
	"testing"

	"potlife/rooms"
	"potlife/takeoff"
)

// slabRoom is a room of slabs of 600 × 1200 mm for crews of these.
func slabRoom(t *testing.T, crews ...Crew) Input {
	in := oneFloor(t, false, 20)
	for i := range crews {
		crews[i].Name, crews[i].Hours = strings.ToUpper(crews[i].Key[:1])+crews[i].Key[1:], weekHours(7, 12, 12, 16)
	}
	in.Firm.Crews = crews
	slab := tile("slab", 600*mm, 1200*mm)
	slab.BoxKg = 0 // 6.48 l of tile: 14.9 kg
	in.Firm.Catalogue.Tiles = append(in.Firm.Catalogue.Tiles, slab)
	room := &in.Jobs[0].Sites[0].Rooms[0]
	room.People = 2
	room.Surfaces = []rooms.Surface{rectangle("floor", rooms.Floor, 1800*mm, 2400*mm, field("slab", "straight"))}
	return in
}

// A tile of which one is too heavy for one person is set by two where the crew has
// two, also where a recipe asks for one; a crew of one is sent only where nobody
// else can be, and then the plan says what to do.
func TestHeavyTilesAreLiftedByTwo(t *testing.T) {
	one := []Step{{Kind: kindSet, Setters: 1}, {Kind: kindGrout}, {Kind: kindSeal}}
	for name, c := range map[string]struct {
		crews  []Crew
		named  string
		recipe []Step
		people int
		kg     float64
		crew   string
		hands  int
		note   string
		told   string
	}{
		"two setters":          {[]Crew{{Key: "pair", Setters: 2}}, "", nil, 2, 0, "pair", 2, "Two people lift slab", ""},
		"a helper":             {[]Crew{{Key: "pair", Setters: 1, Helpers: 1}}, "", nil, 2, 0, "pair", 2, "Two people lift slab", ""},
		"one asked for":        {[]Crew{{Key: "pair", Setters: 1, Helpers: 1}}, "", one, 2, 0, "pair", 2, "Two people lift slab", ""},
		"another crew has two": {[]Crew{{Key: "lone", Setters: 1}, {Key: "pair", Setters: 1, Helpers: 1}}, "", nil, 2, 0, "pair", 2, "Two people lift slab", ""},
		"the one is named":     {[]Crew{{Key: "lone", Setters: 1}, {Key: "pair", Setters: 1, Helpers: 1}}, "lone", nil, 2, 0, "lone", 1, "One person is planned", "Lone has one person"},
		"there is nobody else": {[]Crew{{Key: "lone", Setters: 1}}, "", nil, 2, 0, "lone", 1, "One person is planned", "Lone has one person"},
		"a lifting aid":        {[]Crew{{Key: "lone", Setters: 1, LiftAid: true}}, "", nil, 2, 0, "lone", 1, "with the lifting aid", ""},
		"a room for one":       {[]Crew{{Key: "pair", Setters: 2}}, "", nil, 1, 0, "pair", 1, "One person is planned", "the room holds one person"},
		"the firm says 16 kg":  {[]Crew{{Key: "pair", Setters: 1, Helpers: 1}}, "", one, 2, 16, "pair", 2, "Two people lift slab", ""}, // it is long
	} {
		in := slabRoom(t, c.crews...)
		in.Firm.Limits.LiftKg = c.kg
		room := &in.Jobs[0].Sites[0].Rooms[0]
		room.Crew, room.People = c.named, c.people
		if c.recipe != nil {
			in.Firm.Recipes, room.Recipe = []Recipe{{Key: "own", Steps: c.recipe}}, "own"
		}
		p := made(t, in)
		sets := only(p, kindSet)
		for _, a := range sets {
			if a.Crew != c.crew || a.Setters+a.Helpers != c.hands || !strings.Contains(strings.Join(a.Notes, " "), c.note) {
				t.Errorf("%s: %s by %s with %d people, notes %q", name, a.ID, a.Crew, a.Setters+a.Helpers, a.Notes)
			}
		}
		told := ""
		for _, f := range p.Findings {
			if f.Rule == "lifting" {
				told = f.Message
			}
		}
		if len(sets) == 0 || (told != "") != (c.told != "") || !strings.Contains(told, c.told) {
			t.Errorf("%s: %d areas, told %q, want %q", name, len(sets), told, c.told)
		}
	}
}

// Where one of two is away, what two lift waits until both are there.
func TestHeavyTilesWaitForTheSecond(t *testing.T) {
	in := slabRoom(t, Crew{Key: "pair", Setters: 1, Helpers: 1, Away: []Absence{{Who: "Ida", Helper: true, From: day("2026-03-16"), To: day("2026-04-10")}}})
	p := made(t, in)
	clock := Clock{p.Epoch, in.Firm.Zone}
	for _, a := range only(p, kindSet) {
		if on := clock.Day(a.Start); on.Before(day("2026-04-11")) || a.Helpers != 1 {
			t.Errorf("%s is set on %s with %d helpers", a.ID, on, a.Helpers)
		}
	}
}

func TestHeavy(t *testing.T) {
	for _, c := range []struct {
		w, h, thick int
		kg          float64 // of a box of one
		limit       float64
		want        bool
	}{
		{600, 600, 9, 0, 12.5, false},  // 7.5 kg
		{600, 1200, 9, 0, 12.5, true},  // 14.9 kg
		{600, 1200, 9, 0, 16, true},    // long and large
		{200, 1200, 9, 0, 12.5, false}, // a plank of 5 kg
		{600, 1200, 4, 0, 12.5, true},  // thin: it bends
		{800, 800, 10, 0, 16, false},   // 14.7 kg
		{600, 600, 20, 17, 12.5, true}, // as its box says
		{600, 600, 20, 0, 12.5, true},  // 16.6 kg
	} {
		x := tile("x", rooms.Length(c.w)*mm, rooms.Length(c.h)*mm)
		x.Thickness, x.BoxKg, x.PerBox = rooms.Length(c.thick)*mm, c.kg, 1
		if got := heavy(&x, c.limit); got != c.want {
			t.Errorf("%d × %d × %d mm of %.1f kg, limit %g: %v", c.w, c.h, c.thick, tileKg(&x), c.limit, got)
		}
	}
	var none takeoff.Tile
	if tileKg(&none) != 0 {
		t.Error("nothing weighs something")
	}
}
