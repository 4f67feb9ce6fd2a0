package store

import (
	"context"
	"errors"
	"fmt"
	"reflect"
	"slices"
	"strings"
	"testing"
	"time"

	"github.com/google/go-cmp/cmp"

	"potlife/rooms"
	"potlife/scheduler"
	"potlife/takeoff"
)

// same compares values of the domain to the last field; a time zone by its
// name.
func same(a, b any) string {
	return cmp.Diff(a, b, cmp.Comparer(func(a, b *time.Location) bool { return a.String() == b.String() }))
}

// filler gives every field of a value a value of its own, so that a field that
// the store forgets shows.
type filler struct{ n int }

func (f *filler) fill(v reflect.Value) {
	f.n++
	switch v.Kind() {
	case reflect.String:
		v.SetString(fmt.Sprintf("text %d", f.n))
	case reflect.Bool:
		v.SetBool(true)
	case reflect.Int, reflect.Int64:
		v.SetInt(int64(f.n))
	case reflect.Uint64:
		v.SetUint(1<<63 + uint64(f.n)) // beyond what a float or a bigint holds
	case reflect.Float64:
		v.SetFloat(float64(f.n) + 1.0/3)
	case reflect.Struct:
		if d, ok := v.Addr().Interface().(*rooms.Date); ok {
			*d = rooms.Date{Year: 2027, Month: 1, Day: 1}.AddDays(f.n)
			return
		}
		if at, ok := v.Addr().Interface().(*time.Time); ok {
			*at = noon.Add(time.Duration(f.n) * time.Second)
			return
		}
		for i := range v.NumField() {
			f.fill(v.Field(i))
		}
	case reflect.Slice:
		v.Set(reflect.MakeSlice(v.Type(), 2, 2))
		fallthrough
	case reflect.Array:
		for i := range v.Len() {
			f.fill(v.Index(i))
		}
	case reflect.Map:
		v.Set(reflect.MakeMap(v.Type()))
		for range 2 {
			k, e := reflect.New(v.Type().Key()).Elem(), reflect.New(v.Type().Elem()).Elem()
			f.fill(k)
			f.fill(e)
			v.SetMapIndex(k, e)
		}
	case reflect.Pointer:
		if v.Type() == reflect.TypeFor[*time.Location]() {
			v.Set(reflect.ValueOf(time.UTC))
		}
	default:
		panic("fill: " + v.Type().String())
	}
}

// fullFirm has something in every field, within what the schema allows.
func fullFirm() *scheduler.Firm {
	var f scheduler.Firm
	new(filler).fill(reflect.ValueOf(&f).Elem())
	zone, err := time.LoadLocation("Europe/Warsaw")
	if err != nil {
		panic(err) // the machine has no zone data
	}
	f.Key, f.Zone, f.Units = "hearth", zone, "imperial"
	f.Office = hours()
	for i := range f.Crews {
		f.Crews[i].Key, f.Crews[i].Hours = []string{"north", "east"}[i], hours()
	}
	f.Travel[0].From, f.Travel[0].To = "flat/mill", "villa/lake"
	f.Travel[1].From, f.Travel[1].To = "flat/mill", "villa/hill"
	c := &f.Catalogue
	c.ServiceLevel = 0.97
	for i := range c.Suppliers {
		c.Suppliers[i].Key = []string{"quarry", "kiln"}[i]
	}
	for i := range c.Tiles {
		c.Tiles[i].Key, c.Tiles[i].Supplier = []string{"white", "slate"}[i], "kiln"
		c.Tiles[i].Shape = rectangle(0, 0, 200, 300)
		c.Tiles[i].BreakChance = 1.0 / 3
		c.Lots[i].Tile, c.Lots[i].Lot, c.Lots[i].Offered = c.Tiles[i].Key, "A-7", i == 1
	}
	for i := range c.Products {
		c.Products[i].Key, c.Products[i].Supplier = []string{"mortar", "grout"}[i], "quarry"
		c.Stock[i].Product = c.Products[i].Key
	}
	return &f
}

func hours() []rooms.DayHours {
	return []rooms.DayHours{{Weekday: 1, Start: 780, End: 1020}, {Weekday: 1, Start: 480, End: 720}}
}

func rectangle(x, y, w, h rooms.Length) rooms.Ring {
	x, y, w, h = x*rooms.Millimetre, y*rooms.Millimetre, w*rooms.Millimetre, h*rooms.Millimetre
	return rooms.Ring{{X: x, Y: y}, {X: x + w, Y: y}, {X: x + w, Y: y + h}, {X: x, Y: y + h}}
}

// fullJob has something in every field, within what the schema allows.
func fullJob(key string) rooms.Job {
	var j rooms.Job
	new(filler).fill(reflect.ValueOf(&j).Elem())
	j.Key = key
	room := 0
	for i := range j.Sites {
		s := &j.Sites[i]
		s.Key, s.Hours = []string{"mill", "annex"}[i], hours()
		for k := range s.Rooms {
			room++
			r := &s.Rooms[k]
			r.Key, r.Crew, r.Celsius = fmt.Sprintf("bath-%d", room), "north", 18.5
			r.Due = r.Ready.AddDays(30)
			for m := range r.Surfaces {
				fullSurface(&r.Surfaces[m], m)
			}
		}
	}
	return j
}

func fullSurface(s *rooms.Surface, n int) {
	s.Key, s.Outline = []string{"south", "floor"}[n], rectangle(0, 0, 1778, 2400)
	for i := range s.Edges {
		s.Edges[i].Trim = "mortar"
	}
	for i := range s.Openings {
		s.Openings[i].Key, s.Openings[i].Outline = fmt.Sprintf("window %d", i), rectangle(300, 900, 600, 600)
	}
	for i := range s.Zones {
		z := &s.Zones[i]
		z.Key, z.Region = fmt.Sprintf("zone-%d", i), rectangle(0, 0, 1778, rooms.Length(100+i))
		z.Tile, z.Mortar, z.Grout, z.Sealant = "white", "mortar", "grout", "grout"
	}
}

func TestImportRoundTrip(t *testing.T) {
	ctx := context.Background()
	s := open(t)
	firm, jobs := fullFirm(), []rooms.Job{fullJob("villa"), fullJob("flat")}
	changes, err := s.Import(ctx, Import{Firm: firm, Jobs: jobs, Who: "ann", Source: "all.yaml"}, noon)
	if err != nil {
		t.Fatal(err)
	}
	want := []string{
		"firm hearth: added, 2 crews, 2 suppliers, 2 tiles, 2 products",
		"job villa: added, 2 sites, 4 rooms, 8 surfaces",
		"job flat: added, 2 sites, 4 rooms, 8 surfaces",
	}
	if d := cmp.Diff(want, changes); d != "" {
		t.Errorf("changes (-want +got):\n%s", d)
	}
	gotFirm, gotJobs, err := s.FirmAndJobs(ctx)
	if err != nil {
		t.Fatal(err)
	}
	if d := same(firm, gotFirm); d != "" {
		t.Errorf("firm (-imported +read):\n%s", d)
	}
	if d := same(jobs, gotJobs); d != "" {
		t.Errorf("jobs (-imported +read):\n%s", d)
	}
	if again, err := s.Import(ctx, Import{Firm: gotFirm, Jobs: gotJobs}, noon); err != nil || len(again) != 0 {
		t.Errorf("the same again changes %q, %v", again, err)
	}
	var n int
	if err := s.pool.QueryRow(ctx, `SELECT count(*) FROM imports`).Scan(&n); err != nil || n != 1 {
		t.Errorf("%d imports in the history, %v; want 1", n, err)
	}
}

// The sparse round trip: what is absent stays absent.
func TestImportSparse(t *testing.T) {
	ctx := context.Background()
	s := open(t)
	firm := &scheduler.Firm{Key: "hearth", Zone: time.UTC, Units: "metric", Days: rooms.MondayToFriday()}
	jobs := []rooms.Job{{Key: "flat", Sites: []rooms.Site{{Key: "mill", Rooms: []rooms.Room{{Key: "bath",
		Surfaces: []rooms.Surface{{Key: "floor", Outline: rectangle(0, 0, 1000, 1000), Prepare: []string{}}}}}}}}}
	if _, err := s.Import(ctx, Import{Firm: firm, Jobs: jobs}, noon); err != nil {
		t.Fatal(err)
	}
	gotFirm, gotJobs, err := s.FirmAndJobs(ctx)
	if err != nil {
		t.Fatal(err)
	}
	if d := same(firm, gotFirm) + same(jobs, gotJobs); d != "" {
		t.Errorf("(-imported +read):\n%s", d)
	}
}

func TestChangesInWords(t *testing.T) {
	ctx := context.Background()
	tests := []struct {
		name   string
		change func(f *scheduler.Firm, j *rooms.Job)
		want   []string
	}{
		{"due date", func(_ *scheduler.Firm, j *rooms.Job) {
			j.Sites[0].Rooms[0].Due = rooms.Date{Year: 2027, Month: 3, Day: 8}
		},
			[]string{"room flat/bath-1: due * → 2027-03-08"}},
		{"gap", func(_ *scheduler.Firm, j *rooms.Job) {
			j.Sites[0].Rooms[1].Surfaces[0].Edges[1].GapMin = 2*rooms.Millimetre + rooms.Micrometre
		}, []string{"edge flat/bath-2/south#1: gap min * → 2.001 mm"}},
		{"outline", func(_ *scheduler.Firm, j *rooms.Job) {
			j.Sites[0].Rooms[0].Surfaces[1].Outline[2].X -= 4 * rooms.Millimetre
		}, []string{"surface flat/bath-1/floor: outline 1 point of 4 moved"}},
		{"room taken out, another put in", func(_ *scheduler.Firm, j *rooms.Job) { j.Sites[1].Rooms[0].Key = "sauna" },
			[]string{"room flat/bath-3: removed", "room flat/sauna: added"}},
		{"rooms swapped", func(_ *scheduler.Firm, j *rooms.Job) { slices.Reverse(j.Sites[0].Rooms) },
			[]string{"site flat/mill: rooms in another order"}},
		{"datum", func(_ *scheduler.Firm, j *rooms.Job) {
			j.Sites[0].Rooms[0].Surfaces[0].Zones[1].Datum.Across = rooms.OnTile
		},
			[]string{"zone flat/bath-1/south/zone-1: datum across * → on tile"}},
		{"price and a holiday", func(f *scheduler.Firm, _ *rooms.Job) {
			f.Catalogue.Tiles[1].PricePerBox = 251_500
			f.Days.Off = append(f.Days.Off, rooms.Date{Year: 2026, Month: 12, Day: 24})
		}, []string{"firm hearth: days off * → *, 2026-12-24", "tile slate: price per box * → 25.15"}},
		{"a crew's hours", func(f *scheduler.Firm, _ *rooms.Job) { f.Crews[1].Hours = f.Crews[1].Hours[:1] },
			[]string{"hours east#1: removed"}},
		{"stock", func(f *scheduler.Firm, _ *rooms.Job) {
			f.Catalogue.Lots[0].Boxes, f.Catalogue.Stock[1].Packages = 12, 3
		},
			[]string{"lot white lot A-7: boxes * → 12", "stock grout: packages * → 3"}},
		{"data sheet", func(f *scheduler.Firm, _ *rooms.Job) { f.Catalogue.Products[0].Sheet.PotMinutes = 90 },
			[]string{"product mortar: sheet pot minutes * → 90"}},
		{"a crew nobody needs leaves", func(f *scheduler.Firm, _ *rooms.Job) { f.Crews = f.Crews[:1] }, []string{"crew east: removed"}},
		{"the firm's zone", func(f *scheduler.Firm, _ *rooms.Job) { f.Zone = time.UTC }, []string{"firm hearth: zone Europe/Warsaw → UTC"}},
	}
	s := open(t)
	for _, test := range tests {
		t.Run(test.name, func(t *testing.T) {
			firm, job := fullFirm(), fullJob("flat")
			if _, err := s.Import(ctx, Import{Firm: firm, Jobs: []rooms.Job{job}}, noon); err != nil {
				t.Fatal(err)
			}
			firm, job = fullFirm(), fullJob("flat")
			test.change(firm, &job)
			in := Import{Firm: firm, Jobs: []rooms.Job{job}}
			foreseen, err := s.Preview(ctx, in, noon)
			if err != nil {
				t.Fatal(err)
			}
			got, err := s.Import(ctx, in, noon)
			if err != nil {
				t.Fatal(err)
			}
			if !slices.Equal(foreseen, got) {
				t.Errorf("Preview said %q, Import did %q", foreseen, got)
			}
			if !slices.EqualFunc(test.want, got, matches) {
				t.Errorf("changes %q, want %q", got, test.want)
			}
			gotFirm, gotJobs, err := s.FirmAndJobs(ctx)
			if err != nil {
				t.Fatal(err)
			}
			if d := same(firm, gotFirm) + same([]rooms.Job{job}, gotJobs); d != "" {
				t.Errorf("(-imported +read):\n%s", d)
			}
		})
	}
}

// matches reports whether text is pattern, in which * stands for anything.
func matches(pattern, text string) bool {
	parts := strings.Split(pattern, "*")
	if !strings.HasPrefix(text, parts[0]) {
		return false
	}
	for _, p := range parts {
		i := strings.Index(text, p)
		if i < 0 {
			return false
		}
		text = text[i+len(p):]
	}
	return text == "" || parts[len(parts)-1] == ""
}

func TestImportRefuses(t *testing.T) {
	ctx := context.Background()
	tests := []struct {
		name   string
		change func(in *Import)
		kind   error
		want   string
	}{
		{"another firm", func(in *Import) { in.Firm.Key = "rival" }, ErrConflict, `belongs to firm "hearth"`},
		{"a tile in use is taken out", func(in *Import) {
			in.Firm.Catalogue.Tiles, in.Firm.Catalogue.Lots = in.Firm.Catalogue.Tiles[1:], in.Firm.Catalogue.Lots[1:]
		}, ErrConflict, `"white" cannot be taken out of the tiles: the zones still need it`},
		{"a crew in use is taken out", func(in *Import) { in.Firm.Crews = in.Firm.Crews[1:] }, ErrConflict, "room flat/bath-1 names it"},
		{"a crew that does not exist", func(in *Import) { in.Jobs[0].Sites[0].Rooms[0].Crew = "west" }, ErrConflict, `"west" is named as crew and is not among the crews`},
		{"a tile that does not exist", func(in *Import) { in.Jobs[0].Sites[0].Rooms[0].Surfaces[0].Zones[0].Tile = "gold" }, ErrConflict, `zones: "gold" is named as tile and is not among the tiles`},
		{"a room twice", func(in *Import) { in.Jobs[0].Sites[1].Rooms[0].Key = "bath-1" }, ErrConflict, "room bath-1 is there twice"},
		{"a negative price", func(in *Import) { in.Firm.Catalogue.Tiles[0].PricePerBox = -1 }, ErrInvalid, "price_per_box"},
		{"a joint below nothing", func(in *Import) { in.Jobs[0].Sites[0].Rooms[0].Surfaces[0].Zones[0].Joint = -1 }, ErrInvalid, "joint"},
		{"hours that overlap", func(in *Import) { in.Firm.Crews[0].Hours[0].Start = 700 }, ErrConflict, "overlap"},
		{"due before ready", func(in *Import) { in.Jobs[0].Sites[0].Rooms[0].Due = rooms.Date{Year: 2020, Month: 1, Day: 1} }, ErrInvalid, "rooms"},
		{"a slash in a key", func(in *Import) { in.Jobs[0].Sites[0].Rooms[0].Key = "a/b" }, ErrInvalid, "path_key"},
		{"a zero byte", func(in *Import) { in.Jobs[0].Name = "a\x00b" }, ErrInvalid, "cannot be stored"},
		{"an outline of two points", func(in *Import) {
			o := &in.Jobs[0].Sites[0].Rooms[0].Surfaces[0].Outline
			*o = (*o)[:2]
		}, ErrInvalid, "ring"},
	}
	s := open(t)
	base := func() Import { return Import{Firm: fullFirm(), Jobs: []rooms.Job{fullJob("flat")}} }
	if _, err := s.Import(ctx, base(), noon); err != nil {
		t.Fatal(err)
	}
	for _, test := range tests {
		t.Run(test.name, func(t *testing.T) {
			in := base()
			test.change(&in)
			for how, do := range map[string]func(context.Context, Import, time.Time) ([]string, error){"Preview": s.Preview, "Import": s.Import} {
				_, err := do(ctx, in, noon)
				if !errors.Is(err, test.kind) || !strings.Contains(fmt.Sprint(err), test.want) {
					t.Errorf("%s: %v; want %v with %q", how, err, test.kind, test.want)
				}
			}
			f, j, err := s.FirmAndJobs(ctx)
			if err != nil {
				t.Fatal(err)
			}
			if d := same(base(), Import{Firm: f, Jobs: j}); d != "" {
				t.Errorf("a refused import changed (-before +after):\n%s", d)
			}
		})
	}
}

func TestJobWithoutFirm(t *testing.T) {
	_, err := open(t).ImportJobs(context.Background(), []rooms.Job{fullJob("flat")}, noon)
	if !errors.Is(err, ErrConflict) || !strings.Contains(err.Error(), "import the firm first") {
		t.Errorf("error %v", err)
	}
}

func TestFirmNotFound(t *testing.T) {
	s := open(t)
	if _, err := s.Firm(context.Background()); !errors.Is(err, ErrNotFound) {
		t.Errorf("Firm: %v", err)
	}
	if _, err := s.Job(context.Background(), "none"); !errors.Is(err, ErrNotFound) {
		t.Errorf("Job: %v", err)
	}
}

func TestCloseJob(t *testing.T) {
	ctx := context.Background()
	s := open(t)
	if _, err := s.Import(ctx, Import{Firm: fullFirm(), Jobs: []rooms.Job{fullJob("flat"), fullJob("villa")}}, noon); err != nil {
		t.Fatal(err)
	}
	if err := s.CloseJob(ctx, "flat", noon); err != nil {
		t.Fatal(err)
	}
	jobs, err := s.Jobs(ctx)
	if err != nil || len(jobs) != 1 || jobs[0].Key != "villa" {
		t.Errorf("open jobs %v, %v", jobs, err)
	}
	if j, err := s.Job(ctx, "flat"); err != nil || j.Key != "flat" {
		t.Errorf("a closed job reads %v, %v", j, err)
	}
	if err := s.ReopenJob(ctx, "flat"); err != nil {
		t.Fatal(err)
	}
	if jobs, _ := s.Jobs(ctx); len(jobs) != 2 || jobs[0].Key != "flat" {
		t.Errorf("after reopening: %d jobs", len(jobs))
	}
	if err := s.CloseJob(ctx, "none", noon); !errors.Is(err, ErrNotFound) {
		t.Errorf("closing a job that does not exist: %v", err)
	}
}

func TestImportCountsStock(t *testing.T) {
	ctx := context.Background()
	s := open(t)
	f := fullFirm()
	f.Catalogue.Lots = []takeoff.Lot{{Tile: "white", Lot: "A", Boxes: 10, Tiles: 3}, {Tile: "white", Lot: "B", Boxes: 5, Offered: true}}
	f.Catalogue.Stock = []takeoff.Stock{{Product: "grout", Packages: 2}}
	if _, err := s.ImportFirm(ctx, f, noon); err != nil {
		t.Fatal(err)
	}
	if err := s.Move(ctx, []Movement{{At: noon, Kind: Used, Product: "white", Lot: "A", Unit: "box", Quantity: -4, Why: "bath-1", Key: "use-1"},
		{At: noon, Kind: Used, Product: "white", Lot: "A", Unit: "box", Quantity: -4, Why: "again", Key: "use-1"}}); err != nil {
		t.Fatal(err)
	}
	f = fullFirm()
	f.Catalogue.Lots = []takeoff.Lot{{Tile: "white", Lot: "A", Boxes: 12, Tiles: 3}}
	f.Catalogue.Stock = nil
	if _, err := s.ImportFirm(ctx, f, noon); err != nil {
		t.Fatal(err)
	}
	got, err := s.Stock(ctx)
	want := []OnHand{{"", "white", "A", "box", 8}, {"", "white", "A", "tile", 3}} // 10 + 2 more counted - 4 used
	if d := cmp.Diff(want, got); d != "" || err != nil {
		t.Errorf("stock, %v (-want +got):\n%s", err, d)
	}
}
