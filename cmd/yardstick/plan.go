package main

import (
	"context"
	"encoding/json"
	"flag"
	"fmt"
	"io"
	"math/rand/v2"
	"os"
	"runtime/debug"
	"slices"
	"strings"
	"time"

	"potlife/cmd/internal/heap"
	"potlife/rooms"
	"potlife/scheduler"
	"potlife/takeoff"
)

func init() { register("plan", plan) }

// planLine is what one run prints. The stages are timed one by one; the whole
// plan lays out and takes off again by itself.
type planLine struct {
	Rooms      int     `json:"rooms"`
	Pieces     int     `json:"pieces"`
	Activities int     `json:"activities"`
	Sheets     int     `json:"sheets"`
	Layout     float64 `json:"layout_seconds"`
	Takeoff    float64 `json:"takeoff_seconds"`
	Orders     float64 `json:"orders_seconds"`
	Plan       float64 `json:"plan_seconds"`
	Replan     float64 `json:"replan_seconds"`
	PeakMB     float64 `json:"peak_mb"`
	Status     string  `json:"status"`
}

// plan makes the plan of N generated bathrooms, one crew for each forty of
// them, and makes it again with one reading more, as after a report: of several such
// replans, each with a reading of another room, the median is printed.
func plan(args []string, out io.Writer) error {
	flags := flag.NewFlagSet("plan", flag.ContinueOnError)
	n := flags.Int("rooms", 40, "how many bathrooms")
	seed := flags.Uint64("seed", 1, "seed of their sizes")
	replans := flags.Int("replans", 1, "how often it is made again")
	partly := flags.Bool("part-timers", false, "of each crew one setter comes in the mornings only, and the helper on three days of the week")
	memory := flags.Int64("memory", 900, "MB that the collector is asked to keep to")
	if err := flags.Parse(args); err != nil {
		return fmt.Errorf("%w: %v", errUsage, err)
	}
	if *n < 1 || *n > 20_000 {
		return fmt.Errorf("%w: -rooms %d; expected 1 to 20 000", errUsage, *n)
	}
	if *replans < 1 {
		return fmt.Errorf("%w: -replans %d; expected 1 or more", errUsage, *replans)
	}
	if *memory < 1 {
		return fmt.Errorf("%w: -memory %d; expected 1 or more", errUsage, *memory)
	}
	debug.SetMemoryLimit(*memory << 20)
	heap.Grow(heap.ForPlans)
	in, err := bathrooms(*n, *seed)
	if err != nil {
		return err
	}
	if *partly {
		partTimers(&in.Firm)
	}
	line := planLine{Rooms: *n}
	if err := stages(in, &line); err != nil {
		return err
	}
	in.Memory = &takeoff.Memory{}
	began := time.Now()
	p, err := scheduler.Make(context.Background(), in)
	if err != nil {
		return err
	}
	line.Plan = time.Since(began).Seconds()
	line.Activities, line.Sheets, line.Status = len(p.Activities), len(p.Sheets), p.Status
	in.Prior = p
	if line.Replan, err = replanned(in, *replans); err != nil {
		return err
	}
	line.PeakMB = peakMB()
	return json.NewEncoder(out).Encode(line)
}

// replanned is the median of the seconds that replans take, each with one reading.
func replanned(in scheduler.Input, n int) (float64, error) {
	all := in.Jobs[0].Sites[0].Rooms
	took := make([]float64, n)
	for i := range took {
		in.Records = []scheduler.Record{{Kind: "reading", At: in.Prior.Epoch, Surface: "job/" + all[i*7%len(all)].Key + "/floor",
			Reading: rooms.Reading{Edge: 0, Deviation: -rooms.Length(2+i%5) * rooms.Millimetre}}}
		began := time.Now()
		if _, err := scheduler.Make(context.Background(), in); err != nil {
			return 0, err
		}
		took[i] = time.Since(began).Seconds()
	}
	slices.Sort(took)
	return took[n/2], nil
}

// stages times layout, takeoff and orders apart.
func stages(in scheduler.Input, line *planLine) error {
	tiles, products := map[string]takeoff.Tile{}, map[string]takeoff.Product{}
	for _, t := range in.Firm.Catalogue.Tiles {
		tiles[t.Key] = t
	}
	for _, p := range in.Firm.Catalogue.Products {
		products[p.Key] = p
	}
	began := time.Now()
	var all []takeoff.Layout
	for _, r := range in.Jobs[0].Sites[0].Rooms {
		got, err := takeoff.LayOut(takeoff.RoomToLay{Job: "job", Site: "site", Room: r, Tiles: tiles, Products: products})
		if err != nil {
			return err
		}
		all = append(all, got...)
	}
	line.Layout = time.Since(began).Seconds()
	for _, l := range all {
		for _, z := range l.Zones {
			line.Pieces += len(z.Pieces)
		}
	}
	began = time.Now()
	taken, err := takeoff.Take(context.Background(), takeoff.TakeIn{Jobs: in.Jobs, Layouts: all, Catalogue: in.Firm.Catalogue, Today: in.Today})
	if err != nil {
		return err
	}
	line.Takeoff = time.Since(began).Seconds()
	began = time.Now()
	first := map[takeoff.Use]rooms.Date{}
	for u := range taken.Releases(in.Firm.Catalogue, in.Today, nil) {
		first[u] = in.Today.AddDays(30)
	}
	taken.Orders(in.Firm.Catalogue, in.Today, first, nil)
	line.Orders = time.Since(began).Seconds()
	return nil
}

// bathrooms draws n rooms of 1.6–2.6 × 1.5–2.2 m, tiled all round to 2.1 m over
// a tiled floor, two of the walls wet, in two tiles and two patterns.
func bathrooms(n int, seed uint64) (scheduler.Input, error) {
	dice := rand.New(rand.NewPCG(seed, 3))
	mm := func(lo, hi int) rooms.Length { return rooms.Length(lo+dice.IntN(hi-lo+1)) * rooms.Millimetre }
	today := rooms.Date{Year: 2026, Month: time.March, Day: 2}
	site := rooms.Site{Key: "site", Name: "Site"}
	for i := range n {
		form := rooms.RoomForm{Floor: rooms.RectangularFloor(mm(1600, 2600), mm(1500, 2200)), Height: 2400 * rooms.Millimetre, TileTo: 2100 * rooms.Millimetre, Layer: rooms.Board}
		surfaces, err := form.Surfaces()
		if err != nil {
			return scheduler.Input{}, err
		}
		r := rooms.Room{Key: fmt.Sprint("bath-", i+1), Name: fmt.Sprint("Bath ", i+1), People: 2, Celsius: 19, Ready: today.AddDays(i % 60),
			Due: today.AddDays(30 + i/2)}
		for k := range surfaces {
			s := &surfaces[k]
			s.Measured = true
			s.Zones = []rooms.Zone{{Key: "field", Tile: []string{"small", "large"}[i%2], Mortar: "mortar", Grout: "grout", Sealant: "sealant",
				Joint: 3 * rooms.Millimetre, Pattern: []string{"straight", "offset 1/3"}[i/2%2], Datum: rooms.Datum{Across: rooms.Best, Up: rooms.Best}}}
			if s.Kind == rooms.Wall && k%2 == 1 {
				s.Wet, s.Prepare = true, []string{"prime", "membrane"}
			}
		}
		r.Surfaces = surfaces
		site.Rooms = append(site.Rooms, r)
	}
	return scheduler.Input{Firm: yardFirm(n), Today: today, Jobs: []rooms.Job{{Key: "job", Name: "Job", Start: today, Sites: []rooms.Site{site}}}}, nil
}

func yardFirm(n int) scheduler.Firm {
	tile := func(key string, w, h rooms.Length, box int) takeoff.Tile {
		return takeoff.Tile{Key: key, Name: key, Supplier: "yard", Shape: rooms.Rect(0, 0, w*rooms.Millimetre, h*rooms.Millimetre), Thickness: 9 * rooms.Millimetre,
			PerBox: box, BoxKg: 22, Material: "porcelain", Rectified: true, PricePerBox: 280_000}
	}
	product := func(key, kind, unit string, size float64, d takeoff.DataSheet) takeoff.Product {
		return takeoff.Product{Key: key, Name: key, Supplier: "yard", Kind: kind, Unit: unit, PackageSize: size, Package: "package", Price: 190_000, Sheet: d}
	}
	f := scheduler.Firm{Key: "firm", Name: "Firm", Zone: time.UTC, Units: "metric", Days: rooms.MondayToFriday()}
	f.Catalogue = takeoff.Catalogue{Currency: "EUR", Tiles: []takeoff.Tile{tile("small", 197, 197, 25), tile("large", 297, 597, 6)},
		Suppliers: []takeoff.Supplier{{Key: "yard", Name: "Yard", LeadDays: 5, Days: rooms.MondayToFriday()}},
		Products: []takeoff.Product{
			product("mortar", takeoff.KindMortar, "kg", 20, takeoff.DataSheet{PerM2: 3.5, WaterPerKg: 0.25, PotMinutes: 180, OpenMinutes: 30, GroutAfter: 1440, WalkAfter: 1440, Reference: 20, MinCelsius: 5}),
			product("grout", takeoff.KindGrout, "kg", 5, takeoff.DataSheet{Density: 1.6, WaterPerKg: 0.28, PotMinutes: 60, WetAfter: 2880, Reference: 20, MinCelsius: 5}),
			product("sealant", takeoff.KindSealant, "l", 0.31, takeoff.DataSheet{}),
			product("membrane", takeoff.KindMembrane, "kg", 14, takeoff.DataSheet{PerM2: 1.2, Coats: 2, RecoatAfter: 180, TileAfter: 720, Reference: 20, MinCelsius: 5}),
			product("primer", takeoff.KindPrimer, "l", 5, takeoff.DataSheet{PerM2: 0.15, TileAfter: 120}),
		}}
	for day := 1; day <= 5; day++ {
		f.Office = append(f.Office, rooms.DayHours{Weekday: day, Start: 8 * 60, End: 16 * 60})
	}
	for i := range n/40 + 2 {
		c := scheduler.Crew{Key: fmt.Sprintf("crew-%02d", i+1), Name: fmt.Sprint("Crew ", i+1), Setters: 2, Helpers: 1}
		for day := 1; day <= 5; day++ {
			c.Hours = append(c.Hours, rooms.DayHours{Weekday: day, Start: 7 * 60, End: 12 * 60}, rooms.DayHours{Weekday: day, Start: 12*60 + 30, End: 16 * 60})
		}
		f.Crews = append(f.Crews, c)
	}
	return f
}

// partTimers gives one setter and the helper of each crew shorter hours of their own.
func partTimers(f *scheduler.Firm) {
	for i := range f.Crews {
		ida, tom := scheduler.Person{Name: "Ida"}, scheduler.Person{Name: "Tom", Helper: true}
		for day := 1; day <= 5; day++ {
			ida.Hours = append(ida.Hours, rooms.DayHours{Weekday: day, Start: 7 * 60, End: 12 * 60})
			if day%2 == 1 {
				tom.Hours = append(tom.Hours, rooms.DayHours{Weekday: day, Start: 7 * 60, End: 16 * 60})
			}
		}
		f.Crews[i].People = []scheduler.Person{ida, {Name: "Jon"}, tom}
	}
}

// peakMB is the most memory the process has held, where the system says.
func peakMB() float64 {
	text, err := os.ReadFile("/proc/self/status")
	if err != nil {
		return 0
	}
	for _, l := range strings.Split(string(text), "\n") {
		var kb float64
		if _, err := fmt.Sscanf(l, "VmHWM: %f kB", &kb); err == nil {
			return kb / 1024
		}
	}
	return 0
}
