package scheduler

import (
	"fmt"
	"math/rand/v2"
	"testing"
	"time"

	"potlife/rooms"
	"potlife/takeoff"
)

const mm = rooms.Millimetre

func day(s string) rooms.Date {
	d, err := rooms.ParseDate(s)
	if err != nil {
		panic(err)
	}
	return d
}

func zone(t testing.TB, name string) *time.Location {
	t.Helper()
	z, err := time.LoadLocation(name)
	if err != nil {
		t.Skipf("no time zone data for %s: %v", name, err)
	}
	return z
}

// weekHours are Monday to Friday, with a break at noon.
func weekHours(start, noon, after, end int) []rooms.DayHours {
	var out []rooms.DayHours
	for d := 1; d <= 5; d++ {
		out = append(out, rooms.DayHours{Weekday: d, Start: start * 60, End: noon * 60}, rooms.DayHours{Weekday: d, Start: after*60 + 30, End: end * 60})
	}
	return out
}

func tile(key string, w, h rooms.Length) takeoff.Tile {
	return takeoff.Tile{Key: key, Name: key, Supplier: "kiln", Shape: rooms.Ring{{}, {X: w}, {X: w, Y: h}, {Y: h}}, Thickness: 9 * mm,
		PerBox: max(4, int(1_000_000/(w.Millimetres()*h.Millimetres()))), BoxKg: 18, Material: "ceramic", PricePerBox: 250_000}
}

// firm is an invented firm with two crews and everything a bathroom takes.
func firm(z *time.Location) Firm {
	days := rooms.MondayToFriday()
	f := Firm{Key: "weir", Name: "Weir Tiling", Zone: z, Units: "metric", Office: weekHours(8, 12, 12, 17), Days: days,
		Crews: []Crew{
			{Key: "alder", Name: "Alder", Setters: 1, Helpers: 1, Hours: weekHours(7, 12, 12, 16)},
			{Key: "birch", Name: "Birch", Setters: 2, Helpers: 1, Hours: weekHours(8, 12, 12, 17)},
		},
		Limits: Limits{Schedules: 80}}
	f.Catalogue = takeoff.Catalogue{Currency: "EUR",
		Suppliers: []takeoff.Supplier{{Key: "kiln", Name: "Kiln Yard", LeadDays: 4, BufferDays: 1, Days: days}},
		Tiles:     []takeoff.Tile{tile("white", 300*mm, 600*mm), tile("grey", 600*mm, 600*mm), tile("small", 200*mm, 200*mm)},
		Products: []takeoff.Product{
			{Key: "bed", Name: "Bed C2", Supplier: "kiln", Kind: takeoff.KindMortar, Unit: "kg", PackageSize: 20, Package: "bag", Price: 240_000,
				Sheet: takeoff.DataSheet{WaterPerKg: 0.25, PotMinutes: 180, OpenMinutes: 30, GroutAfter: 24 * 60, WalkAfter: 24 * 60, Reference: 20, MinCelsius: 5}},
			{Key: "joint", Name: "Joint CG2", Supplier: "kiln", Kind: takeoff.KindGrout, Unit: "kg", PackageSize: 5, Package: "bag", Price: 120_000,
				Sheet: takeoff.DataSheet{WaterPerKg: 0.2, PotMinutes: 90, WetAfter: 48 * 60, FullAfter: 24 * 60, Reference: 20, MinCelsius: 5}},
			{Key: "seal", Name: "Seal", Supplier: "kiln", Kind: takeoff.KindSealant, Unit: "l", PackageSize: 0.31, Package: "cartridge", Price: 70_000},
			{Key: "skin", Name: "Skin", Supplier: "kiln", Kind: takeoff.KindMembrane, Unit: "kg", PackageSize: 10, Package: "pail", Price: 900_000,
				Sheet: takeoff.DataSheet{PerM2: 1.2, Coats: 2, RecoatAfter: 90, RecoatWithin: 4 * 24 * 60, TileAfter: 12 * 60, CoverWithin: 14 * 24 * 60, Reference: 20}},
			{Key: "primer", Name: "Primer", Supplier: "kiln", Kind: takeoff.KindPrimer, Unit: "l", PackageSize: 5, Package: "can", Price: 300_000,
				Sheet: takeoff.DataSheet{PerM2: 0.15, TileAfter: 120, Reference: 20}},
			{Key: "level", Name: "Level", Supplier: "kiln", Kind: takeoff.KindLeveller, Unit: "kg", PackageSize: 25, Package: "bag", Price: 280_000,
				Sheet: takeoff.DataSheet{PerMM: 1.7, PotMinutes: 30, WalkAfter: 180, TileAfter: 16 * 60, WaterPerKg: 0.2, Reference: 20}},
			{Key: "board", Name: "Board", Supplier: "kiln", Kind: takeoff.KindBoard, Unit: "m2", PackageSize: 1.5, Package: "sheet", Price: 300_000},
		}}
	return f
}

// rectangle is a surface of w by h with the usual gaps.
func rectangle(key, kind string, w, h rooms.Length, z rooms.Zone) rooms.Surface {
	s := rooms.Surface{Key: key, Name: key, Kind: kind, Outline: rooms.Ring{{}, {X: w}, {X: w, Y: h}, {Y: h}}, Layer: rooms.Board, Measured: true, Zones: []rooms.Zone{z}}
	meets := []string{rooms.AtFloor, rooms.InsideCorner, rooms.AtCeiling, rooms.InsideCorner}
	if flat(kind) {
		meets = []string{rooms.Doorway, rooms.InsideCorner, rooms.InsideCorner, rooms.InsideCorner}
	}
	for _, m := range meets {
		s.Edges = append(s.Edges, rooms.Edge{Meets: m, Gap: 4 * mm, GapMin: 2 * mm, GapMax: 8 * mm, Fill: rooms.FillSealant})
	}
	return s
}

func field(tile, pattern string) rooms.Zone {
	return rooms.Zone{Key: "field", Tile: tile, Mortar: "bed", Grout: "joint", Sealant: "seal", Pattern: pattern, Joint: 3 * mm,
		Datum: rooms.Datum{Across: rooms.Best, Up: rooms.Best}}
}

// bathroom is a room of four walls and a floor, drawn from r.
func bathroom(key string, r *rand.Rand) rooms.Room {
	side := func(lo, hi int) rooms.Length { return rooms.Length(lo+r.IntN(hi-lo)) * mm }
	w, d, h := side(1500, 2600), side(1400, 2200), side(1200, 2300)
	tiles, patterns := []string{"white", "grey", "small", "white"}, []string{"straight", "offset 1/2", "straight", "offset 0,1/3,2/3"}
	k := r.IntN(4)
	if h > 1500*mm && tiles[k] == "small" {
		k = 0
	}
	room := rooms.Room{Key: key, Name: key, Celsius: float64(8 + r.IntN(20)), People: 1 + r.IntN(3)}
	for i, name := range []string{"north", "east", "south", "west"} {
		long := w
		if i%2 == 1 {
			long = d
		}
		s := rectangle(name, rooms.Wall, long, h, field(tiles[k], patterns[k]))
		switch r.IntN(5) {
		case 0:
			s.Ledger = true
		case 1:
			s.Measured = false
		case 2:
			o := rooms.Opening{Key: "window", Kind: "window", Gap: 3 * mm, GapMin: 2 * mm, GapMax: 6 * mm, Fill: rooms.FillSealant}
			x, y := long/3, h/2
			o.Outline = rooms.Ring{{X: x, Y: y}, {X: x + 420*mm, Y: y}, {X: x + 420*mm, Y: y + 430*mm}, {X: x, Y: y + 430*mm}}
			s.Openings = append(s.Openings, o)
		case 3:
			s.Wet, s.Prepare = true, []string{"prime", "membrane"}
		}
		room.Surfaces = append(room.Surfaces, s)
	}
	floor := rectangle("floor", rooms.Floor, w, d, field([]string{"grey", "small"}[r.IntN(2)], "straight"))
	if r.IntN(2) == 0 {
		floor.Prepare, floor.LevellerDepth = []string{"prime", "level"}, 4*mm
	}
	if r.IntN(4) == 0 {
		floor.Wet, floor.Prepare = true, append(floor.Prepare, "membrane", "flood test")
	}
	room.Surfaces = append(room.Surfaces, floor)
	extras(&room, w, d, r)
	if r.IntN(3) == 0 {
		room.Order = FloorThenWalls
	}
	return room
}

// extras adds what only some bathrooms have.
func extras(room *rooms.Room, w, d rooms.Length, r *rand.Rand) {
	north, floor := &room.Surfaces[0], &room.Surfaces[len(room.Surfaces)-1]
	switch r.IntN(8) {
	case 0:
		room.Surfaces = append(room.Surfaces, rectangle("ceiling", rooms.Ceiling, w, d, field("white", "straight")))
	case 1:
		s := rectangle("shower", rooms.ShowerFloor, 900*mm, 800*mm, field("small", "straight"))
		s.Wet, s.Prepare = true, []string{"prime", "membrane", "flood test"}
		room.Surfaces = append(room.Surfaces, s)
	case 2:
		floor.Zones[0].Pattern, floor.Zones[0].Tile = "diagonal", "grey"
	case 3:
		north.Zones[0].Pattern, north.Zones[0].Turn = "offset 1/2", 90
		north.Ledger = false
	case 4:
		band := field("small", "straight")
		band.Key = "band"
		y := north.Outline[2].Y / 2
		band.Region = rooms.Ring{{Y: y}, {X: north.Outline[1].X, Y: y}, {X: north.Outline[1].X, Y: y + 203*mm}, {Y: y + 203*mm}}
		north.Openings = nil
		north.Zones = append(north.Zones, band)
	case 5:
		room.Holds = append(room.Holds, rooms.Hold{Key: "plumber", Why: "the plumber sets the tray", After: "prepare", Before: "set walls", Until: day("2026-03-27")})
	case 6:
		room.Holds = append(room.Holds, rooms.Hold{Key: "client", Why: "the client looks at the walls", After: "set walls", Before: "grout", Minutes: 600})
		room.Order = ""
	case 7:
		s := rectangle("bench", rooms.Bench, 900*mm, 400*mm, field("white", "straight"))
		room.Surfaces = append(room.Surfaces, s)
	}
}

// job is an invented job of n bathrooms on up to two sites.
func job(key string, n int, start rooms.Date, r *rand.Rand) rooms.Job {
	j := rooms.Job{Key: key, Name: key, Client: "Invented", Start: start, Sites: []rooms.Site{{Key: "yard", Name: "Yard Lane"}, {Key: "mill", Name: "Mill Row"}}}
	j.Sites[1].Hours = weekHours(8, 12, 12, 15)
	for i := range n {
		s := &j.Sites[r.IntN(2)]
		room := bathroom(fmt.Sprintf("bath%d", i+1), r)
		room.Due = start.AddDays(14 + r.IntN(30))
		s.Rooms = append(s.Rooms, room)
	}
	return j
}

// small is a random input of up to three bathrooms.
func small(t testing.TB, seed uint64, n int) Input {
	r := rand.New(rand.NewPCG(seed, 7))
	f := firm(zone(t, "Europe/Berlin"))
	f.Travel = []Travel{{From: "job/yard", To: "job/mill", Minutes: 25}}
	return Input{Firm: f, Jobs: []rooms.Job{job("job", n, day("2026-03-20"), r)}, Today: day("2026-03-16")}
}
