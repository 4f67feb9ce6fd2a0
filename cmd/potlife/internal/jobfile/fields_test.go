package jobfile

import (
	"fmt"
	"reflect"
	"testing"

	"github.com/google/go-cmp/cmp"

	"potlife/rooms"
	"potlife/scheduler"
	"potlife/takeoff"
)

// Every field of the domain's types has a key: each is set in turn, exported
// and read back. A field that is added to the domain and forgotten here fails.
func TestEveryFieldIsKept(t *testing.T) {
	f := smallFile(t)
	room := func(f *File) *rooms.Room { return &f.Jobs[0].Sites[0].Rooms[1] }
	for _, c := range []struct {
		name string
		at   func(*File) any
	}{
		{"firm", func(f *File) any { return f.Firm }},
		{"limits", func(f *File) any { return &f.Firm.Limits }},
		{"rates", func(f *File) any { return &f.Firm.Rates }},
		{"uncertainty", func(f *File) any { return &f.Firm.Uncertainty }},
		{"crew", func(f *File) any { return &f.Firm.Crews[0] }},
		{"person", func(f *File) any { return &f.Firm.Crews[0].People[0] }},
		{"travel", func(f *File) any { return &f.Firm.Travel[0] }},
		{"tool", func(f *File) any { return &f.Firm.Tools[0] }},
		{"absence", func(f *File) any { return &f.Firm.Crews[0].Away[0] }},
		{"recipe", func(f *File) any { return &f.Firm.Recipes[0] }},
		{"step", func(f *File) any { return &f.Firm.Recipes[0].Steps[0] }},
		{"pattern", func(f *File) any { return &f.Firm.Patterns[0] }},
		{"member", func(f *File) any { return &f.Firm.Patterns[0].Members[0] }},
		{"catalogue", func(f *File) any { return &f.Firm.Catalogue }},
		{"buyer", func(f *File) any { return &f.Firm.Catalogue.Buyer }},
		{"supplier", func(f *File) any { return &f.Firm.Catalogue.Suppliers[0] }},
		{"tile", func(f *File) any { return &f.Firm.Catalogue.Tiles[0] }},
		{"product", func(f *File) any { return &f.Firm.Catalogue.Products[0] }},
		{"sheet", func(f *File) any { return &f.Firm.Catalogue.Products[0].Sheet }},
		{"lot", func(f *File) any { return &f.Firm.Catalogue.Lots[0] }},
		{"stock", func(f *File) any { return &f.Firm.Catalogue.Stock[0] }},
		{"offcut", func(f *File) any { return &f.Firm.Catalogue.Offcuts[0] }},
		{"job", func(f *File) any { return &f.Jobs[0] }},
		{"site", func(f *File) any { return &f.Jobs[0].Sites[0] }},
		{"room", func(f *File) any { return room(f) }},
		{"hold", func(f *File) any { return &room(f).Holds[0] }},
		{"surface", func(f *File) any { return &room(f).Surfaces[0] }},
		{"edge", func(f *File) any { return &room(f).Surfaces[0].Edges[0] }},
		{"opening", func(f *File) any { return &room(f).Surfaces[0].Openings[0] }},
		{"base", func(f *File) any { return room(f).Surfaces[0].Base }},
		{"zone", func(f *File) any { return &room(f).Surfaces[0].Zones[0] }},
		{"datum", func(f *File) any { return &room(f).Surfaces[0].Zones[0].Datum }},
		{"reading", func(f *File) any { return &f.Jobs[0].Sites[0].Rooms[0].Surfaces[0].Readings[0] }},
	} {
		of := reflect.TypeOf(c.at(f)).Elem()
		for i := range of.NumField() {
			name := c.name + "." + of.Field(i).Name
			at := reflect.ValueOf(c.at(f)).Elem().Field(i)
			old := reflect.New(at.Type()).Elem()
			old.Set(at)
			if !change(at, name) {
				continue
			}
			out, err := Write(f)
			if err != nil {
				t.Fatal(err)
			}
			docs, problems := tree(name, out)
			if len(problems) > 0 {
				t.Fatal(name, problems)
			}
			// Read without the checks that need the whole: a changed key breaks
			// references, and that is not the question here.
			r := &reader{}
			got, _ := fileObject.read(r, docs[0])
			back := &File{Firm: got.firm}
			r.jobs(got.jobs, back)
			back.Firm.Zone = f.Firm.Zone
			if reflect.DeepEqual(f, back) { // cmp.Diff takes a hundred times as long
				at.Set(old)
				continue
			}
			if diff := cmp.Diff(f, back, sameFile); diff != "" {
				t.Errorf("%s is lost or changed (-set +read back):\n%s", name, diff)
			}
			at.Set(old)
		}
	}
}

// smallFile is the demonstration cut down to one of each.
func smallFile(t *testing.T) *File {
	t.Helper()
	f, problems := Parse("demo", Demo(""))
	if len(problems) > 0 {
		t.Fatal(problems)
	}
	f.Firm.Recipes = []scheduler.Recipe{{Key: "own", Steps: []scheduler.Step{{Kind: "set"}, {Kind: "grout"}}}}
	f.Firm.Tools = []scheduler.Tool{{Key: "mixer", Count: 2}}
	f.Firm.Crews[0].People = []scheduler.Person{{Name: "Jonas"}, {Name: "Una"}}
	f.Firm.Crews[0].Away = []scheduler.Absence{{Who: "Ida", From: rooms.Date{Year: 2026, Month: 12, Day: 1}, To: rooms.Date{Year: 2026, Month: 12, Day: 3}}}
	f.Jobs[0].Sites[0].Rooms[2].Surfaces[2].Base = &rooms.Base{Kind: rooms.CementScreed, Laid: rooms.Date{Year: 2026, Month: 10, Day: 1}, Depth: 60 * rooms.Millimetre}
	f.Firm.Patterns = []takeoff.Pattern{{Name: "own", Members: []takeoff.Member{{X: "0", Y: "0"}}, U: [2]string{"W + J", "0"}, V: [2]string{"0", "H + J"}}}
	c := &f.Firm.Catalogue
	c.Tiles, c.Products, c.Suppliers, c.Lots, c.Stock = c.Tiles[:1], c.Products[:1], c.Suppliers[:1], c.Lots[:1], c.Stock[:1]
	c.Offcuts = []takeoff.YardOffcut{{Key: "k1", Tile: c.Tiles[0].Key, Lot: "A48", Width: 80 * rooms.Millimetre, Height: 120 * rooms.Millimetre, Bottom: true}}
	f.Jobs = f.Jobs[:1]
	// The wall with readings, and the wall with openings, a band and a hold.
	site := &f.Jobs[0].Sites[0]
	site.Rooms = site.Rooms[1:3]
	site.Rooms[0].Surfaces, site.Rooms[1].Surfaces = site.Rooms[0].Surfaces[3:4], site.Rooms[1].Surfaces[2:3]
	for i := range site.Rooms {
		for k := range site.Rooms[i].Surfaces[0].Edges {
			site.Rooms[i].Surfaces[0].Edges[k].Shared = ""
		}
	}
	return f
}

// words are values for fields that take only some.
var words = map[string]any{
	"firm.Zone": nil, "firm.IssueAt": "30 16 * * *", "firm.Units": "imperial", "catalogue.Currency": "USD", "catalogue.Movement": "BS 5385", "crew.Email": "a@b.example", "supplier.Email": "a@b.example",
	"tile.Material": "glass", "tile.Shape": nil, "tile.Of": nil, "tile.OfLot": nil, "product.Kind": "spacer", "product.Unit": "m2", "product.Content": nil, "buyer.Email": "a@b.example", "site.Deliver": "yard", "room.Split": "floor from walls", "room.AtZero": nil, "room.Obstacles": []rooms.Obstacle{{Key: "vanity", Name: "vanity", Outline: rooms.Rect(8000, 0, 80_000, 96_000), Tall: true}}, "opening.Hinge": "left", "job.Key": "other", "job.Movement": "AS 3958",
	"room.Temperatures": []rooms.Temperature{{From: rooms.Date{Year: 2026, Month: 12, Day: 1}, To: rooms.Date{Year: 2026, Month: 12, Day: 3}, Celsius: -2.5, Forecast: true}, {From: rooms.Date{Year: 2026, Month: 12, Day: 2}, To: rooms.Date{Year: 2026, Month: 12, Day: 2}}},
	"room.Order":        "floor then walls", "surface.Kind": "splash", "surface.Outline": nil, "surface.Layer": "render", "surface.Edges": nil,
	"surface.Prepare": []string{"prime"}, "surface.Falls": nil, "surface.Base": nil, "edge.Meets": "ceiling", "edge.Fill": "nothing", "edge.Gap": rooms.Length(28_000), "edge.GapMin": rooms.Length(8000), "edge.GapMax": rooms.Length(90_000),
	"opening.Kind": "fixture", "opening.Outline": nil, "opening.Fill": "nothing", "opening.Gap": rooms.Length(28_000), "opening.GapMin": rooms.Length(8000), "opening.GapMax": rooms.Length(90_000),
	"zone.Pattern": "diagonal", "zone.Region": rooms.Rect(8000, 0, 80_000, 96_000), "datum.Across": "on joint", "datum.Up": "on tile", "reading.Edge": -1, "reading.Layer": "stud",
	"surface.Checks": []rooms.Check{{Kind: "width", At: 8000, Value: 16_000_000}}, "surface.Waivers": []rooms.Waiver{{Rule: "small cut", Why: "agreed"}},
	"surface.LeftOut":    []rooms.LeftOut{{Region: rooms.Rect(8000, 0, 80_000, 96_000), Why: "walking lane", Until: rooms.Date{Year: 2026, Month: 12, Day: 9}}, {Region: rooms.Rect(0, 0, 80_000, 96_000), Why: "valve"}},
	"surface.SoftJoints": []rooms.SoftJoint{{A: rooms.Point{X: 8000}, B: rooms.Point{X: 8000, Y: 16_000}, Width: 48_000, Name: "slab"}}, "surface.MovementLimit": rooms.Length(24_000_000),
	"edge.Shared": "flat9/floor#0", "hold.Until": nil, "surface.LevellerDepth": nil, "travel.From": "linden/yard", "travel.To": "quay/yard",
	"pattern.Name": "another", "member.X": "1/2 W", "member.Y": "-J", "pattern.U": nil, "pattern.V": nil,
	"base.Kind": rooms.Concrete, "limits.Sharing": "room", "step.Kind": "own kind", "uncertainty.Seed": nil, "uncertainty.Most": 1.75, "person.Pace": 1.25, "recipe.Others": []string{"seal"}, "sheet.Portion": "half", "absence.Start": nil, "absence.End": 16 * 60, "absence.From": rooms.Date{Year: 2026, Month: 11, Day: 30}, "absence.To": rooms.Date{Year: 2026, Month: 12, Day: 9}, "firm.Days": nil,
}

// covered are the entries of lists whose own fields are changed one by one.
var covered = map[string]bool{"Crew": true, "Travel": true, "Tool": true, "Absence": true, "Person": true, "Recipe": true, "Step": true, "Pattern": true, "Member": true, "Tile": true, "Product": true,
	"Supplier": true, "Lot": true, "Stock": true, "YardOffcut": true, "Site": true, "Room": true, "Hold": true, "Surface": true, "Edge": true, "Opening": true, "Zone": true, "Reading": true}

// change sets a field to something it is not; nil in words and structures
// that have entries of their own are left alone.
func change(at reflect.Value, name string) bool {
	if w, ok := words[name]; ok {
		if w == nil {
			return false
		}
		at.Set(reflect.ValueOf(w).Convert(at.Type()))
		return true
	}
	switch x := at.Addr().Interface().(type) {
	case *string:
		*x = "x-" + *x
	case *int:
		*x += 3
	case *int64:
		*x += 3
	case *uint64:
		*x += 3
	case *float64:
		*x = *x/2 + 0.125
	case *bool:
		*x = !*x
	case *rooms.Date:
		*x = rooms.Date{Year: 2027, Month: 6, Day: 7}
	case *[]string:
		*x = append(*x, "mist")
	case *[]rooms.Date:
		*x = append(*x, rooms.Date{Year: 2027, Month: 6, Day: 7})
	case *[]scheduler.DatedHours:
		*x = []scheduler.DatedHours{{On: rooms.Date{Year: 2026, Month: 12, Day: 19}, Start: 420, End: 720}, {On: rooms.Date{Year: 2026, Month: 12, Day: 19}, Start: 750, End: 1080}}
	case *[]rooms.DayHours:
		*x = []rooms.DayHours{{Weekday: 2, Start: 420, End: 600}}
	case *map[string]float64:
		*x = map[string]float64{"straight": 0.1}
	case *rooms.Days:
		x.Week[6], x.Off = true, append(x.Off, rooms.Date{Year: 2027, Month: 6, Day: 7})
	case *rooms.BuildUp:
		x.Deduct = []rooms.Length{8000, 0, 16_000, -8000}
	default:
		if at.CanInt() { // lengths and money
			at.SetInt(at.Int() + 80_000)
			return true
		}
		if of := at.Type(); of.Kind() == reflect.Struct || of.Kind() == reflect.Slice && covered[of.Elem().Name()] {
			return false
		}
		panic(fmt.Sprintf("%s: no sample for %s", name, at.Type()))
	}
	return true
}

// TestFreezingIsKept: a room at 0 °C is not a room of which nothing is known.
func TestFreezingIsKept(t *testing.T) {
	f := smallFile(t)
	m := &f.Jobs[0].Sites[0].Rooms[0]
	m.Celsius, m.AtZero = 0, true
	out, err := Write(f)
	if err != nil {
		t.Fatal(err)
	}
	docs, problems := tree("freezing", out)
	if len(problems) > 0 {
		t.Fatal(problems)
	}
	r := &reader{}
	got, _ := fileObject.read(r, docs[0])
	back := &File{Firm: got.firm}
	r.jobs(got.jobs, back)
	if c, known := back.Jobs[0].Sites[0].Rooms[0].Air(); c != 0 || !known {
		t.Errorf("%g °C, known %v", c, known)
	}
}
