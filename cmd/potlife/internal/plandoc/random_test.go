package plandoc_test

import (
	"bytes"
	"context"
	"encoding/json"
	"fmt"
	"math/rand/v2"
	"os"
	"os/exec"
	"path/filepath"
	"strconv"
	"testing"
	"time"

	"potlife/cmd/potlife/internal/plandoc"
	"potlife/rooms"
	"potlife/scheduler"
	"potlife/takeoff"
)

// planCheck is a re-check of plan documents written without sight of this
// project's code; it needs Debian's python3-shapely.
const planCheck = "../../../../../shared/checks/plan_check"

// TestRandomPlans holds random jobs of up to about 300 pieces to the plan
// rules, by our own re-check and by the stranger's.
func TestRandomPlans(t *testing.T) {
	n := 20
	if s := os.Getenv("POTLIFE_RANDOM_PLANS"); s != "" {
		var err error
		if n, err = strconv.Atoi(s); err != nil {
			t.Fatalf("POTLIFE_RANDOM_PLANS: %v", err)
		}
	}
	for seed := range n {
		t.Run(fmt.Sprint("seed ", seed), func(t *testing.T) {
			d := randomDocument(t, uint64(seed))
			for _, b := range plandoc.Check(d) {
				t.Error(b)
			}
			stranger(t, d)
		})
	}
}

func randomDocument(t testing.TB, seed uint64) *plandoc.Document {
	t.Helper()
	in := randomInput(seed)
	p, err := scheduler.Make(context.Background(), in)
	if err != nil {
		t.Fatalf("seed %d: %v", seed, err)
	}
	p.Firm = in.Firm
	return plandoc.FromPlan(p)
}

// stranger runs plan_check over d and reports what it prints.
func stranger(t *testing.T, d *plandoc.Document) {
	t.Helper()
	if _, err := os.Stat(planCheck); err != nil {
		t.Log("not re-checked from outside: ../shared/checks/plan_check is absent")
		return
	}
	text, err := json.Marshal(d)
	if err != nil {
		t.Fatal(err)
	}
	path, err := filepath.Abs(planCheck)
	if err != nil {
		t.Fatal(err)
	}
	cmd := exec.Command("/usr/bin/python3", path, "-")
	cmd.Stdin = bytes.NewReader(text)
	out, err := cmd.CombinedOutput()
	if err != nil && bytes.Contains(out, []byte("No module named 'shapely'")) {
		t.Log("not re-checked from outside: python3-shapely is not installed")
		return
	}
	if err != nil || !bytes.Contains(out, []byte("no breach")) {
		t.Errorf("plan_check: %v\n%s", err, out)
	}
}

// dice draws what a random job is made of.
type dice struct{ *rand.Rand }

func (d dice) between(lo, hi int) int { return lo + d.IntN(hi-lo+1) }

func (d dice) mm(lo, hi int) rooms.Length { return rooms.Length(d.between(lo, hi)) * rooms.Millimetre }

func (d dice) chance(percent int) bool { return d.IntN(100) < percent }

func pick[T any](d dice, of ...T) T { return of[d.IntN(len(of))] }

func randomInput(seed uint64) scheduler.Input {
	d := dice{rand.New(rand.NewPCG(seed, 7))}
	start := rooms.Date{Year: 2026, Month: time.March, Day: d.between(1, 31)}
	in := scheduler.Input{Firm: randomFirm(d, start), Today: start}
	for j := range d.between(1, 2) {
		job := rooms.Job{Key: fmt.Sprint("job-", j+1), Name: fmt.Sprint("Job ", j+1), Start: start}
		site := rooms.Site{Key: "site", Name: "Site"}
		for r := range d.between(1, 2) {
			site.Rooms = append(site.Rooms, randomRoom(d, fmt.Sprint("bath-", r+1), start))
		}
		job.Sites = []rooms.Site{site}
		in.Jobs = append(in.Jobs, job)
	}
	hardships(dice{rand.New(rand.NewPCG(seed, 99))}, &in, start)
	return in
}

// hardships gives some firms what makes planning hard: cold days and hot ones,
// quiet hours, few tools, people away, days that end early.
func hardships(d dice, in *scheduler.Input, start rooms.Date) {
	f := &in.Firm
	if d.chance(40) {
		f.Tools = []scheduler.Tool{{Key: scheduler.ToolMixer, Count: 1}, {Key: scheduler.ToolSaw, Count: 1}}
	}
	for i := range f.Catalogue.Products {
		if p := &f.Catalogue.Products[i]; d.chance(30) {
			p.Sheet.Portion = pick(d, takeoff.Portions()...)
		}
	}
	if d.chance(40) {
		f.Special = []scheduler.DatedHours{{On: start.AddDays(d.between(2, 12)), Start: 8 * 60, End: 12 * 60}}
	}
	for i := range f.Crews {
		if c := &f.Crews[i]; d.chance(40) {
			from := start.AddDays(d.between(1, 10))
			c.Away = []scheduler.Absence{{Who: "Ida", Helper: d.chance(50), From: from, To: from.AddDays(d.between(0, 20))}}
		}
	}
	for j := range in.Jobs {
		site := &in.Jobs[j].Sites[0]
		if d.chance(30) {
			site.Noise = week(9*60, 12*60, 14*60, 16*60)
		}
		for r := range site.Rooms {
			if f := &site.Rooms[r].Surfaces[0]; d.chance(20) {
				f.Base = &rooms.Base{Kind: pick(d, rooms.BaseKinds()...), Laid: start.AddDays(-d.between(10, 60)), Depth: d.mm(30, 60)}
			}
			if d.chance(60) {
				continue
			}
			for n := range 20 {
				on := start.AddDays(n)
				site.Rooms[r].Temperatures = append(site.Rooms[r].Temperatures, rooms.Temperature{From: on, To: on, Celsius: float64(d.between(1, 24)), Forecast: d.chance(50)})
			}
		}
	}
}

func randomFirm(d dice, start rooms.Date) scheduler.Firm {
	zone, err := time.LoadLocation(pick(d, "Europe/Berlin", "America/New_York", "Pacific/Auckland"))
	if err != nil {
		panic(err)
	}
	f := scheduler.Firm{Key: "firm", Name: "Firm", Zone: zone, Units: "metric", Days: rooms.MondayToFriday(),
		Office: week(8*60, 12*60, 13*60, 17*60)}
	for c := range d.between(1, 2) {
		crew := scheduler.Crew{Key: fmt.Sprint("crew-", c+1), Name: fmt.Sprint("Crew ", c+1), Setters: d.between(1, 2), Helpers: d.between(1, 2),
			Hours: week(7*60, 12*60, 12*60+30, 16*60)}
		if d.chance(40) {
			crew.Hours = week(8*60, 12*60, 13*60, 16*60+30)
			crew.Off = []rooms.Date{start.AddDays(d.between(1, 9))}
		}
		f.Crews = append(f.Crews, crew)
	}
	f.Travel = []scheduler.Travel{{From: "job-1/site", To: "job-2/site", Minutes: d.between(10, 70)}}
	f.Catalogue = randomCatalogue(d)
	f.Limits.Schedules = 200
	return f
}

func week(times ...int) []rooms.DayHours {
	var out []rooms.DayHours
	for day := 1; day <= 5; day++ {
		for i := 0; i < len(times); i += 2 {
			out = append(out, rooms.DayHours{Weekday: day, Start: times[i], End: times[i+1]})
		}
	}
	return out
}

func randomCatalogue(d dice) takeoff.Catalogue {
	c := takeoff.Catalogue{Currency: "EUR"}
	c.Suppliers = []takeoff.Supplier{{Key: "yard", Name: "Yard", LeadDays: d.between(1, 12), BufferDays: d.between(0, 3),
		Days: rooms.MondayToFriday(), Freight: 450_000, FreeFrom: 8_000_000}}
	for i := range 3 {
		w, h := d.mm(97, 400), d.mm(97, 600)
		if i == 0 {
			h = w
		}
		c.Tiles = append(c.Tiles, takeoff.Tile{Key: fmt.Sprint("tile-", i+1), Name: fmt.Sprint("Tile ", i+1), Supplier: "yard",
			Shape:     rooms.Ring{{X: 0, Y: 0}, {X: w, Y: 0}, {X: w, Y: h}, {X: 0, Y: h}},
			Thickness: d.mm(6, 11), PerBox: d.between(4, 20), BoxKg: 20, Material: pick(d, "ceramic", "porcelain"),
			Directional: d.chance(30), Rectified: d.chance(50), Variation: rooms.Millimetre / 2, PricePerBox: takeoff.Money(d.between(150_000, 600_000))})
	}
	c.Products = []takeoff.Product{
		{Key: "mortar", Name: "Mortar C2TE", Supplier: "yard", Kind: takeoff.KindMortar, Unit: "kg", PackageSize: 20, Package: "bag", Price: 189_000,
			Sheet: takeoff.DataSheet{PerM2: 3.5, WaterPerKg: 0.25, PotMinutes: 180, OpenMinutes: pick(d, 20, 30), GroutAfter: 1440, WalkAfter: 1440,
				FullAfter: 4320, Reference: 20, MinCelsius: 5, LimitsFrom: "data sheet"}},
		{Key: "grout", Name: "Grout CG2", Supplier: "yard", Kind: takeoff.KindGrout, Unit: "kg", PackageSize: 5, Package: "bag", Price: 129_900,
			Sheet: takeoff.DataSheet{Density: 1.6, WaterPerKg: 0.28, PotMinutes: 60, WetAfter: 4320, WalkAfter: 720, Reference: 20, MinCelsius: 5}},
		{Key: "sealant", Name: "Sealant", Supplier: "yard", Kind: takeoff.KindSealant, Unit: "l", PackageSize: 0.31, Package: "cartridge", Price: 79_000},
		{Key: "membrane", Name: "Membrane", Supplier: "yard", Kind: takeoff.KindMembrane, Unit: "kg", PackageSize: 14, Package: "pail", Price: 890_000,
			Sheet: takeoff.DataSheet{PerM2: 1.2, Coats: 2, RecoatAfter: 180, TileAfter: 720, Reference: 20, MinCelsius: 5}},
		{Key: "primer", Name: "Primer", Supplier: "yard", Kind: takeoff.KindPrimer, Unit: "l", PackageSize: 5, Package: "can", Price: 310_000,
			Sheet: takeoff.DataSheet{PerM2: 0.15, TileAfter: 120}},
	}
	if d.chance(50) {
		c.Lots = []takeoff.Lot{{Tile: "tile-1", Lot: "A48", Calibre: "6", Boxes: d.between(1, 30)}}
		c.Stock = []takeoff.Stock{{Product: "mortar", Packages: float64(d.between(1, 20))}}
	}
	return c
}

func randomRoom(d dice, key string, start rooms.Date) rooms.Room {
	r := rooms.Room{Key: key, Name: key, Due: start.AddDays(d.between(10, 60)), Ready: start.AddDays(d.between(0, 5)),
		Celsius: float64(d.between(9, 24)), People: d.between(2, 4)}
	if d.chance(30) {
		r.Order = "floor then walls"
	}
	length, width, height := d.mm(900, 2600), d.mm(800, 1900), d.mm(900, 2100)
	r.Surfaces = append(r.Surfaces, randomFloor(d, length, width))
	for w := range d.between(1, 3) {
		side := length
		if w%2 == 1 {
			side = width
		}
		r.Surfaces = append(r.Surfaces, randomWall(d, fmt.Sprint("wall-", w+1), side, height))
	}
	return r
}

func box(x, y, w, h rooms.Length) rooms.Ring {
	return rooms.Ring{{X: x, Y: y}, {X: x + w, Y: y}, {X: x + w, Y: y + h}, {X: x, Y: y + h}}
}

func edge(d dice, meets string) rooms.Edge {
	gap := d.mm(3, 6)
	return rooms.Edge{Meets: meets, Gap: gap, GapMin: gap - 2*rooms.Millimetre, GapMax: gap + d.mm(1, 4), Fill: rooms.FillSealant,
		Seen: d.chance(20), Unmeasured: d.chance(8)}
}

func zone(d dice, key string) rooms.Zone {
	tile := pick(d, "tile-1", "tile-2", "tile-3")
	return rooms.Zone{Key: key, Tile: tile, Mortar: "mortar", Grout: "grout", Sealant: "sealant", Joint: d.mm(2, 5),
		Pattern:    pick(d, "straight", "straight", "offset 1/2", "offset 1/3", "offset 0,1/3,2/3", "offset 0,1/3"),
		Datum:      rooms.Datum{Across: pick(d, rooms.Best, rooms.OnJoint, rooms.OnTile, rooms.FullLeft), Up: pick(d, rooms.Best, rooms.FullLow, rooms.OnJoint)},
		BackButter: d.chance(20)}
}

func randomFloor(d dice, l, w rooms.Length) rooms.Surface {
	s := rooms.Surface{Key: "floor", Kind: rooms.Floor, Layer: rooms.Leveller, Measured: true, Outline: box(0, 0, l, w),
		Prepare: pick(d, nil, []string{"prime"}, []string{"prime", "membrane"}), Zones: []rooms.Zone{zone(d, "field")}}
	if d.chance(30) { // an L
		cut, deep := l/3, w/3
		s.Outline = rooms.Ring{{X: 0, Y: 0}, {X: l, Y: 0}, {X: l, Y: w - deep}, {X: l - cut, Y: w - deep}, {X: l - cut, Y: w}, {X: 0, Y: w}}
	}
	for range s.Outline {
		s.Edges = append(s.Edges, edge(d, rooms.InsideCorner))
	}
	s.Edges[0].Meets = rooms.Doorway
	if d.chance(50) {
		s.Openings = append(s.Openings, rooms.Opening{Key: "drain", Kind: "drain", Outline: box(l/4, w/4, 120*rooms.Millimetre, 120*rooms.Millimetre),
			Gap: 3 * rooms.Millimetre, GapMin: rooms.Millimetre, GapMax: 6 * rooms.Millimetre, Fill: rooms.FillGrout})
	}
	return s
}

func randomWall(d dice, key string, l, h rooms.Length) rooms.Surface {
	s := rooms.Surface{Key: key, Kind: rooms.Wall, Layer: rooms.Board, Measured: d.chance(85), Outline: box(0, 0, l, h),
		Wet: d.chance(40), Ledger: d.chance(25), Zones: []rooms.Zone{zone(d, "field")}}
	if s.Wet {
		s.Prepare = []string{"prime", "membrane"}
	}
	if d.chance(30) { // a sloping top
		s.Outline[2].Y -= d.mm(1, 60)
	}
	for _, meets := range []string{rooms.AtFloor, rooms.InsideCorner, rooms.AtCeiling, rooms.InsideCorner} {
		s.Edges = append(s.Edges, edge(d, meets))
	}
	if d.chance(40) { // out of plumb
		s.Readings = append(s.Readings, rooms.Reading{Edge: 1, At: h, Deviation: -d.mm(0, 12), Layer: rooms.Board})
	}
	switch {
	case d.chance(35):
		s.Openings = append(s.Openings, opening(d, "window", box(l/4, h/2, l/3, h/4)))
	case d.chance(35):
		s.Openings = append(s.Openings, opening(d, "door", box(l/3, 0, l/4, h*3/4)))
	case d.chance(30):
		band := zone(d, "band")
		band.Tile, band.Joint = s.Zones[0].Tile, s.Zones[0].Joint
		band.Region = box(0, h*2/3, l, h/6)
		s.Zones = append(s.Zones, band)
	}
	return s
}

func opening(d dice, kind string, at rooms.Ring) rooms.Opening {
	return rooms.Opening{Key: kind, Kind: kind, Outline: at, Gap: 3 * rooms.Millimetre, GapMin: rooms.Millimetre,
		GapMax: 6 * rooms.Millimetre, Fill: rooms.FillSealant, NotYet: d.chance(15)}
}
