package jobfile

import (
	"flag"
	"fmt"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"testing"

	"github.com/google/go-cmp/cmp"

	"potlife/rooms"
)

var update = flag.Bool("update", false, "write the expected messages anew; read them before committing")

func TestGoodFile(t *testing.T) {
	text, err := os.ReadFile("testdata/good.yaml")
	if err != nil {
		t.Fatal(err)
	}
	if _, problems := Parse("good.yaml", text); len(problems) > 0 {
		t.Fatal(problems)
	}
}

// Each file of testdata/bad is the good one with one thing wrong; beside it
// stand the messages.
func TestBadFiles(t *testing.T) {
	files, err := filepath.Glob("testdata/bad/*.yaml")
	if err != nil || len(files) < 30 {
		t.Fatalf("%d files, %v", len(files), err)
	}
	for _, path := range files {
		name := filepath.Base(path)
		t.Run(strings.TrimSuffix(name, ".yaml"), func(t *testing.T) {
			text, err := os.ReadFile(path)
			if err != nil {
				t.Fatal(err)
			}
			f, problems := Parse(name, text)
			if len(problems) == 0 || f != nil {
				t.Fatalf("accepted: %v", f)
			}
			got := problems.Error() + "\n"
			golden := strings.TrimSuffix(path, ".yaml") + ".txt"
			if *update {
				if err := os.WriteFile(golden, []byte(got), 0o644); err != nil {
					t.Fatal(err)
				}
			}
			want, err := os.ReadFile(golden)
			if err != nil {
				t.Fatal(err)
			}
			if got != string(want) {
				t.Errorf("got:\n%swant:\n%s", got, want)
			}
		})
	}
}

// All problems of a file are reported in one go, in the order of the lines.
func TestEveryProblemAtOnce(t *testing.T) {
	good, err := os.ReadFile("testdata/good.yaml")
	if err != nil {
		t.Fatal(err)
	}
	text := string(good)
	for _, edit := range [][2]string{{"zone: Europe/Berlin", "zone: Mars"}, {"198 x 198", "0 x 198"}, {"price: 23.40", "price: -1"},
		{"due: 2026-12-18", "due: 2026-12-01"}, {"x: 700", "x: 1700"}, {"crew: one", "crew: nobody"}} {
		if !strings.Contains(text, edit[0]) {
			t.Fatalf("%q is not in the good file", edit[0])
		}
		text = strings.Replace(text, edit[0], edit[1], 1)
	}
	_, problems := Parse("x.yaml", []byte(text))
	if len(problems) < 6 {
		t.Fatalf("%d problems, want at least 6:\n%v", len(problems), problems)
	}
	for i := 1; i < len(problems); i++ {
		if problems[i].Line < problems[i-1].Line {
			t.Errorf("line %d is reported after line %d", problems[i].Line, problems[i-1].Line)
		}
	}
}

// A firm in one file and its job in another are checked as one.
func TestFirmAndJobApart(t *testing.T) {
	good, err := os.ReadFile("testdata/good.yaml")
	if err != nil {
		t.Fatal(err)
	}
	firm, job, _ := strings.Cut(string(good), "\njob:")
	job = "job:" + job
	both, problems := ParseAll(nil, Source{"job.yaml", []byte(job)}, Source{"firm.yaml", []byte(firm)})
	if len(problems) > 0 {
		t.Fatal(problems)
	}
	alone, problems := Parse("job.yaml", []byte(job))
	if len(problems) > 0 || alone.Firm != nil {
		t.Fatalf("a job by itself: %v", problems)
	}
	wrong := strings.Replace(job, "tile: white", "tile: black", 1)
	if _, problems = Parse("job.yaml", []byte(wrong)); len(problems) > 0 {
		t.Errorf("without a firm references cannot be checked: %v", problems)
	}
	if _, problems = ParseAll(both.Firm, Source{"job.yaml", []byte(wrong)}); len(problems) != 1 || !strings.Contains(problems[0].String(), `no tile "black"`) {
		t.Errorf("against the firm that stands: %v", problems)
	}
}

func TestTooManyRooms(t *testing.T) {
	good, err := os.ReadFile("testdata/good.yaml")
	if err != nil {
		t.Fatal(err)
	}
	head, _, _ := strings.Cut(string(good), "        - key: bath")
	var b strings.Builder
	b.WriteString(head)
	for i := range 10_000 {
		fmt.Fprintf(&b, "        - {key: r%d, surfaces: [{key: floor, kind: floor, width: 2000, height: 1500}]}\n", i)
	}
	_, problems := Parse("many.yaml", []byte(b.String()))
	if len(problems) != 1 || !strings.Contains(problems[0].String(), "there are 10000 rooms; expected at most 2000") {
		t.Errorf("got %v", problems)
	}
}

func TestMissingKeyIsSuggested(t *testing.T) {
	for _, c := range []struct{ text, want string }{
		{"sealent", "sealant"}, {"hieght", "height"}, {"Width", "width"}, {"colour", ""}, {"", ""},
	} {
		if got := nearest(c.text, []string{"sealant", "height", "width", "gap"}); got != c.want {
			t.Errorf("nearest(%q) = %q, want %q", c.text, got, c.want)
		}
	}
}

// The quick form of a rectangular room: its walls are seen from inside, and
// every common edge is named on both sides.
func TestRectangularRoom(t *testing.T) {
	f, problems := Parse("demo", Demo(""))
	if len(problems) > 0 {
		t.Fatal(problems)
	}
	room := f.Jobs[0].Sites[0].Rooms[0]
	sides := map[string]rooms.Surface{}
	for _, s := range room.Surfaces {
		sides[s.Key] = s
	}
	for key, want := range map[string]rooms.Length{"north": 2410, "south": 2410, "east": 1820, "west": 1820} {
		if got := sides[key].Outline.Box().Width(); got != want*rooms.Millimetre {
			t.Errorf("%s is %s wide, want %d mm", key, got, want)
		}
	}
	for _, pair := range [][2]string{{"north#1", "east#3"}, {"east#1", "south#3"}, {"south#1", "west#3"}, {"west#1", "north#3"}, {"north#0", "floor#4"}, {"west#0", "floor#5"}} {
		for i := range 2 {
			key, side, _ := strings.Cut(pair[i], "#")
			if got, want := sides[key].Edges[side[0]-'0'].Shared, "flat1/"+pair[1-i]; got != want {
				t.Errorf("%s is shared with %q, want %q", pair[i], got, want)
			}
		}
	}
	// The door is 320 mm from the left end of the south wall, which is the east
	// corner: on the floor it lies from x = 2410 − 320 − 860 to 2410 − 320.
	doors := 0
	for i, e := range sides["floor"].Edges {
		if e.Meets != rooms.Doorway {
			continue
		}
		doors++
		a, b := sides["floor"].Outline[i], sides["floor"].Outline[(i+1)%len(sides["floor"].Outline)]
		if a != (rooms.Point{X: 1230 * rooms.Millimetre}) || b != (rooms.Point{X: 2090 * rooms.Millimetre}) {
			t.Errorf("the doorway runs from %v to %v", a, b)
		}
	}
	if doors != 1 || sides["floor"].Outline.Validate() != nil {
		t.Errorf("%d doorways, outline %v", doors, sides["floor"].Outline.Validate())
	}
}

// An L is a rectangle less a corner: six walls, two of them inner ones that
// meet the room's at inside corners and each other at an outside corner.
func TestLRoom(t *testing.T) {
	good, err := os.ReadFile("testdata/good.yaml")
	if err != nil {
		t.Fatal(err)
	}
	head, _, _ := strings.Cut(string(good), "          surfaces:")
	for _, c := range []struct {
		corner  string
		outline string
		walls   string
		outside [2]string // the edges at the corner that points into the room
	}{
		{"south-east", "0,0 1800,0 1800,700 3000,700 3000,2000 0,2000", "south 1800, east-inner 700, south-inner 1200, east 1300, north 3000, west 2000", [2]string{"east-inner#3", "south-inner#1"}},
		{"north-east", "0,0 3000,0 3000,1300 1800,1300 1800,2000 0,2000", "south 3000, east 1300, north-inner 1200, east-inner 700, north 1800, west 2000", [2]string{"north-inner#3", "east-inner#1"}},
		{"north-west", "0,0 3000,0 3000,2000 1200,2000 1200,1300 0,1300", "south 3000, east 2000, north 1800, west-inner 700, north-inner 1200, west 1300", [2]string{"west-inner#3", "north-inner#1"}},
		{"south-west", "1200,0 3000,0 3000,2000 0,2000 0,700 1200,700", "south 1800, east 2000, north 3000, west 1300, south-inner 1200, west-inner 700", [2]string{"south-inner#3", "west-inner#1"}},
	} {
		f, problems := Parse("l.yaml", []byte(head+"          rectangle: {length: 3000, width: 2000, height: 2400, less: {corner: "+c.corner+", length: 1200, width: 700}}\n"))
		if len(problems) > 0 {
			t.Fatal(problems)
		}
		var outline, walls []string
		shared := map[string]string{}
		for _, s := range f.Jobs[0].Sites[0].Rooms[0].Surfaces {
			if s.Key == "floor" {
				for _, p := range s.Outline {
					outline = append(outline, fmt.Sprintf("%g,%g", p.X.Millimetres(), p.Y.Millimetres()))
				}
			} else {
				walls = append(walls, fmt.Sprintf("%s %g", s.Key, s.Outline.Box().Width().Millimetres()))
			}
			for i, e := range s.Edges {
				name := fmt.Sprintf("%s#%d", s.Key, i)
				shared[name] = strings.TrimPrefix(e.Shared, "bath/")
				if want := name == c.outside[0] || name == c.outside[1]; (e.Meets == rooms.OutsideCorner) != want {
					t.Errorf("%s: %s meets an %s", c.corner, name, e.Meets)
				}
			}
		}
		if got := strings.Join(outline, " "); got != c.outline {
			t.Errorf("%s: outline %s, want %s", c.corner, got, c.outline)
		}
		if got := strings.Join(walls, ", "); got != c.walls {
			t.Errorf("%s: walls %s, want %s", c.corner, got, c.walls)
		}
		for name, other := range shared {
			if !strings.HasSuffix(name, "#2") || strings.HasPrefix(name, "floor") { // but for the ceiling
				if shared[other] != name {
					t.Errorf("%s: %s is shared with %q, and that with %q", c.corner, name, other, shared[other])
				}
			}
		}
	}
}

// The alcove and the corner shower: which surfaces they become, and that every
// corner is named on both sides.
func TestAlcoveAndShower(t *testing.T) {
	good, err := os.ReadFile("testdata/good.yaml")
	if err != nil {
		t.Fatal(err)
	}
	head, _, _ := strings.Cut(string(good), "          surfaces:")
	head = strings.Replace(head, "  patterns:", "    - {key: film, name: Film, supplier: yard, kind: membrane, holds: 5 kg, price: 50}\n  patterns:", 1)
	for _, c := range []struct{ form, surfaces, free string }{
		{"tub_alcove: {length: 1700, depth: 750, height: 1500, left: {openings: [{key: valve, kind: valve, x: 375, y: 300, diameter: 70}]}}",
			"tub-back 1700 × 1500, tub-left 750 × 1500, tub-right 750 × 1500", "tub-back#2 tub-left#2 tub-left#3 tub-right#1 tub-right#2"},
		{"tub_alcove: {key: bath, length: 1700, depth: 750, height: 1500, right: none}",
			"bath-back 1700 × 1500, bath-left 750 × 1500", "bath-back#2 bath-left#2 bath-left#3"},
		{"corner_shower: {width: 1200, depth: 900, height: 2100, side: left, drain: 115}",
			"shower-floor 1200 × 900, shower-back 1200 × 2100, shower-side 900 × 2100", "shower-back#1 shower-back#2 shower-floor#0 shower-floor#1 shower-side#2 shower-side#3"},
		{"corner_shower: {width: 1200, depth: 900, height: 2100, side: right, floor: none, niche: {wall: back, x: 400, y: 1100, width: 300, height: 400, depth: 90}}",
			"shower-back 1200 × 2100, shower-side 900 × 2100, shower-niche-back 300 × 400, shower-niche-sill 300 × 90, shower-niche-head 300 × 90, shower-niche-left 90 × 400, shower-niche-right 90 × 400",
			"shower-back#2 shower-back#3 shower-side#1 shower-side#2"},
	} {
		f, problems := Parse("quick.yaml", []byte(head+"          "+c.form+"\n"))
		if len(problems) > 0 {
			t.Fatal(problems)
		}
		var surfaces, free, lined []string
		shared := map[string]string{}
		for _, s := range f.Jobs[0].Sites[0].Rooms[0].Surfaces {
			b := s.Outline.Box()
			surfaces = append(surfaces, fmt.Sprintf("%s %g × %g", s.Key, b.Width().Millimetres(), b.Height().Millimetres()))
			if !s.Wet {
				t.Errorf("%s is not wet", s.Key)
			}
			for i, e := range s.Edges {
				name := fmt.Sprintf("%s#%d", s.Key, i)
				if e.Meets == rooms.FreeEdge {
					free = append(free, name)
				}
				if e.Shared != "" {
					shared[name] = strings.TrimPrefix(e.Shared, "bath/")
				}
			}
		}
		slices.Sort(free)
		if got := strings.Join(surfaces, ", "); got != c.surfaces {
			t.Errorf("%s becomes %s, want %s", c.form, got, c.surfaces)
		}
		if got := strings.Join(free, " "); got != c.free {
			t.Errorf("%s: free edges %s, want %s", c.form, got, c.free)
		}
		for name, other := range shared {
			if other == "shower-back#niche" && strings.HasPrefix(name, "shower-niche-") {
				lined = append(lined, name)
			} else if shared[other] != name {
				t.Errorf("%s is shared with %q, and that with %q", name, other, shared[other])
			}
		}
		if strings.Contains(c.form, "niche") != (len(lined) == 4) {
			t.Errorf("%s: %s line the niche, want its four faces", c.form, lined)
		}
	}
}

func TestShiftByWholeWeeks(t *testing.T) {
	f, problems := Parse("demo", Demo(""))
	if len(problems) > 0 {
		t.Fatal(problems)
	}
	monday := rooms.Date{Year: 2027, Month: 3, Day: 8}
	days := StartOn(f, monday)
	before := f.Jobs[0].Sites[0].Rooms[0].Due
	Shift(f, days)
	if got := f.Jobs[0].Start; got != monday {
		t.Errorf("starts on %s, want %s", got, monday)
	}
	if got := f.Jobs[0].Sites[0].Rooms[0].Due; got != before.AddDays(days) || got.Weekday() != before.Weekday() || days%7 != 0 {
		t.Errorf("due %s moved by %d days to %s", before, days, got)
	}
}

// Moving the text and moving what was read of it come to the same.
func TestShiftText(t *testing.T) {
	for _, which := range DemoNames() {
		want, problems := Parse("demo", Demo(which))
		if len(problems) > 0 {
			t.Fatal(problems)
		}
		Shift(want, 70)
		got, problems := Parse("moved", ShiftText(Demo(which), 70))
		if len(problems) > 0 {
			t.Fatal(problems)
		}
		if diff := cmp.Diff(want, got, sameFile); diff != "" {
			t.Errorf("demo %q (-moved after reading +before):\n%s", which, diff)
		}
	}
}
