package cli

import (
	"bytes"
	"context"
	"encoding/json"
	"errors"
	"fmt"
	"io"
	"log/slog"
	"os"
	"os/exec"
	"path/filepath"
	"slices"
	"strings"
	"testing"
	"time"

	"potlife/cmd/potlife/internal/jobfile"
	"potlife/cmd/potlife/internal/plandoc"
	"potlife/cmd/potlife/internal/pricelist"
	"potlife/cmd/potlife/internal/store"
	"potlife/cmd/potlife/internal/web"
	"potlife/config"
	"potlife/rooms"
	"potlife/scheduler"
	"potlife/takeoff"
)

// demoDay is a Thursday before the demonstration's first Monday.
var demoDay = time.Date(2026, 11, 26, 9, 0, 0, 0, time.UTC)

// memory is a Daemon that keeps everything in memory.
type memory struct {
	file          jobfile.File
	links         []string
	placed        int
	read          []string // temperatures
	prices        int
	issued        int
	served, ready bool
	closed        int
	offcuts       []web.OffcutRow
	put           []string // jobs put away, and taken up again
	fail          error
}

func (m *memory) Import(_ context.Context, f *jobfile.File, dry bool) ([]string, error) {
	if m.fail != nil {
		return nil, m.fail
	}
	var changes []string
	if f.Firm != nil && m.file.Firm == nil {
		changes = append(changes, "firm "+f.Firm.Key+": new")
	}
	for _, j := range f.Jobs {
		if !slices.ContainsFunc(m.file.Jobs, func(o rooms.Job) bool { return o.Key == j.Key }) {
			changes = append(changes, "job "+j.Key+": new")
		}
	}
	if !dry {
		if f.Firm != nil {
			m.file.Firm = f.Firm
		}
		m.file.Jobs = append(m.file.Jobs, f.Jobs...)
	}
	return changes, nil
}

func (m *memory) Export(context.Context) (*jobfile.File, error) { return &m.file, m.fail }

func (m *memory) Plan(ctx context.Context) (*plandoc.Document, error) {
	p := &Program{Out: &bytes.Buffer{}, Err: &bytes.Buffer{}, Now: func() time.Time { return demoDay }}
	return p.makePlan(ctx, &m.file, parseDay("2026-11-26"))
}

func (m *memory) OtherLot(_ context.Context, o plandoc.LotAsked) ([]string, error) {
	return []string{fmt.Sprintf("%+v", o)}, nil
}

func (m *memory) PlaceOrders(context.Context, string) ([]string, error) {
	m.placed++
	return []string{"order 1 to binder"}, m.fail
}

func (m *memory) RecordTemperature(_ context.Context, room string, celsius float64, day rooms.Date) (string, error) {
	m.read = append(m.read, fmt.Sprintf("%s %g %s", room, celsius, day))
	return "Recorded.", m.fail
}

func (m *memory) RecordAway(_ context.Context, crew string, a scheduler.Absence) (string, error) {
	m.read = append(m.read, fmt.Sprintf("%s %q %t %s %s %d-%d", crew, a.Who, a.Helper, a.From, a.To, a.Start, a.End))
	return "Recorded.", m.fail
}

func (m *memory) Issue(context.Context, time.Time) ([]string, error) {
	m.issued++
	return []string{"amber 2026-11-30: issued"}, m.fail
}

func (m *memory) IssueDay(_ context.Context, day rooms.Date, ahead bool) ([]string, error) {
	m.issued++
	if !ahead {
		return nil, errors.New("the next working day of crew amber is 2026-11-27; say --ahead")
	}
	return []string{"amber " + day.String() + ": issued"}, m.fail
}

func (m *memory) Link(_ context.Context, name, role, crew, email string) (string, error) {
	m.links = append(m.links, name+"/"+role+"/"+crew+"/"+email)
	if m.ready {
		return "http://host:4711/sign-in/" + role, m.fail
	}
	return "http://host/sign-in/" + role, m.fail
}

func (m *memory) Serve(_ context.Context, ready func(string)) error {
	m.served = true
	m.ready = true
	ready("http://host")
	return m.fail
}

func (m *memory) TakePrices(_ context.Context, text []byte, o pricelist.Options, how pricelist.How) (pricelist.Report, string, error) {
	got, err := pricelist.Read(text, takeoff.Catalogue{Currency: "EUR", Tiles: []takeoff.Tile{{Key: "white"}}}, o)
	if err != nil {
		return got, "", &store.Error{Kind: store.ErrInvalid, Text: err.Error()}
	}
	if len(got.Problems) > 0 && !how.Skip {
		return got, "nothing was taken over", nil
	}
	m.prices += len(got.Items)
	return got, fmt.Sprintf("%d prices taken over", len(got.Items)), nil
}

func (m *memory) Offcuts(context.Context) ([]web.OffcutRow, error) { return m.offcuts, m.fail }

func (m *memory) KeepOffcut(_ context.Context, in web.OffcutIn) (string, error) {
	o := takeoff.YardOffcut{Key: in.Key, Tile: in.Tile, Lot: in.Lot, Place: in.Place, From: in.From}
	if err := o.SetEdges(in.Edges); err != nil {
		return "", err
	}
	m.offcuts = append(m.offcuts, web.OffcutRow{YardOffcut: o})
	return in.Key, m.fail
}

func (m *memory) OffcutGone(_ context.Context, key string, _ web.User) error {
	for i := range m.offcuts {
		if m.offcuts[i].Key == key {
			m.offcuts[i].Gone = true
			return nil
		}
	}
	return fmt.Errorf("there is no offcut %q", key)
}

func (m *memory) CloseJob(_ context.Context, key string) error {
	m.put = append(m.put, key)
	return nil
}

func (m *memory) ReopenJob(_ context.Context, key string) error {
	m.put = append(m.put, "-"+key)
	return nil
}

func (m *memory) PriceTemplate(_ context.Context, w io.Writer) error {
	_, err := io.WriteString(w, "product,price\n")
	return err
}

func (m *memory) Close() error { m.closed++; return nil }

var _ Daemon = (*memory)(nil)

// run executes a command line on a daemon and returns what it prints.
func run(t *testing.T, m *memory, args ...string) (out, errs string, code int) {
	t.Helper()
	var o, e bytes.Buffer
	p := &Program{Out: &o, Err: &e, Now: func() time.Time { return demoDay },
		Open: func(context.Context, *config.Config, *slog.Logger) (Daemon, error) { return m, nil }}
	code = Run(t.Context(), p, args)
	return o.String(), e.String(), code
}

func parseDay(s string) rooms.Date {
	d, err := rooms.ParseDate(s)
	if err != nil {
		panic(err)
	}
	return d
}

// clean keeps the machine's own configuration out of a test.
func clean(t *testing.T) string {
	t.Helper()
	for _, pair := range os.Environ() {
		if name, _, _ := strings.Cut(pair, "="); strings.HasPrefix(name, "POTLIFE_") {
			t.Setenv(name, "")
			os.Unsetenv(name)
		}
	}
	t.Setenv("XDG_CONFIG_HOME", t.TempDir())
	dir := t.TempDir()
	t.Chdir(dir)
	return dir
}

func write(t *testing.T, name string, text []byte) string {
	t.Helper()
	path := filepath.Join(t.TempDir(), name)
	if err := os.WriteFile(path, text, 0o600); err != nil {
		t.Fatal(err)
	}
	return path
}

func TestCommandLines(t *testing.T) {
	clean(t)
	good := write(t, "inches.yaml", jobfile.Demo("inches"))
	bad := write(t, "bad.yaml", bytes.Replace(jobfile.Demo("inches"), []byte("zone: America/Chicago"), []byte("zone: Mars"), 1))
	lone := write(t, "job.yaml", []byte("job: {key: a, name: b, start: 2026-12-07, sites: [{key: s, rooms: [{key: r, surfaces: [{key: f, kind: floor, width: 1 m, height: 1 m, set: {tile: x, mortar: m, grout: g, joint: 3}}]}]}]}"))
	early := write(t, "early.yaml", []byte(`job:
  {key: a, name: b, start: 2026-12-07, measured: true, layer: board, set: {tile: x, mortar: m, grout: g, joint: 3}, sites: [{key: s, rooms: [{key: r, surfaces: [
    {key: w, kind: wall, width: 1 m, height: 1 m, wet: true, readings: [{edge: left, off: -2}]}, {key: v, kind: wall, width: 1 m, height: 1 m}]}]}]}
`))
	short := write(t, "short.yaml", bytes.Replace(jobfile.Demo(""), []byte("cover_within: 14d"), []byte("cover_within: 36h"), 1))
	unskilled := write(t, "unskilled.yaml", bytes.Replace(jobfile.Demo("inches"), []byte("      setters: "), []byte("      skills: [stone]\n      setters: "), 1))
	drawing := write(t, "room.dxf", []byte(strings.ReplaceAll("0 SECTION 2 HEADER 9 $INSUNITS 70 4 0 ENDSEC 0 SECTION 2 ENTITIES 0 LWPOLYLINE 8 SURFACE-wall 90 3 70 1 10 0 20 0 10 900 20 0 10 0 20 800 0 TEXT 8 NOTES 1 hello 0 ENDSEC 0 EOF ", " ", "\n")))
	for _, c := range []struct {
		args      []string
		code      int
		out, errs string // parts of what is printed
	}{
		{[]string{"check", good}, 0, "no problem: 1 job, 1 site, 2 rooms, 9 surfaces; firm Cedar Fork Tile with 1 crew", ""},
		{[]string{"check", lone}, 0, "without a firm part", ""},
		{[]string{"check", early}, 0, "measured on the board and tiled on the membrane: a/r/w: cuts at the edges wait until they are read there", ""},
		{[]string{"check", early}, 0, "measured: true is taken for 1 on the board, as they will be tiled", ""},
		{[]string{"check", short}, 2, "", ":18: no plan: these cannot hold together: in Flat 3, shower room, set "},
		{[]string{"check", unskilled}, 2, "", "no crew may do all of this room: "},
		{[]string{"check", unskilled}, 2, "", "add what is lacking to the skills of a crew that can do all of the room"},
		{[]string{"check", bad}, 2, "", `bad.yaml:8:9: "Mars" is no time zone; expected a name such as`},
		{[]string{"check", "nowhere.yaml", bad}, 2, "", "nowhere.yaml: there is no such file; expected a job file that can be read\n"},
		{[]string{"check", os.TempDir()}, 2, "", "it is a directory"},
		{[]string{"check"}, 2, "", "no file given; expected one or more job files"},
		{[]string{"plan", bad}, 2, "", "Mars"},
		{[]string{"plan", lone}, 2, "", "no file has a firm part"},
		{[]string{"plan", "nowhere.yaml"}, 2, "", "there is no such file"},
		{[]string{"plan", good, "--today", "tomorrow"}, 2, "", `"tomorrow" is no date; expected YYYY-MM-DD`},
		{[]string{"plan", good, "--sheets", "-1"}, 2, "", "expected 0 or more"},
		{[]string{"plan", "--schema"}, 0, `"$schema"`, ""},
		{[]string{"schema"}, 0, `"potlife job file"`, ""},
		{[]string{"outline", drawing}, 0, "outline: [[0, 0], [900, 0], [0, 800]]", "room.dxf: not used: "},
		{[]string{"outline", good}, 2, "", "inches.yaml: "},
		{[]string{"outline", "nowhere.dxf"}, 2, "", "there is no such file; expected a DXF drawing"},
		{[]string{"version"}, 0, "potlife ", ""},
		{[]string{"demo", "feet"}, 2, "", `there is no demo "feet"; expected nothing, or inches`},
		{[]string{"pln", good}, 2, "", `unknown command "pln"; did you mean "plan"?`},
		{[]string{"config", "--listn", "x"}, 2, "", "unknown flag: --listn"},
		{[]string{"config", "--listen", "x"}, 2, "", `listen (from --listen): "x" is no address`},
		{[]string{"config", "--log-level", "debug"}, 0, "log.level: debug  # --log-level", ""},
		{[]string{"config", "extra"}, 2, "", "unknown argument"},
		{[]string{"user", "Ida", "--role", "boss"}, 2, "", `--role "boss" is not known; expected contractor, office or crew`},
		{[]string{"user", "Ida", "--role", "crew"}, 2, "", "needs --crew"},
		{[]string{"user", "Ida", "--email", "ida at example"}, 2, "", `--email "ida at example" is no e-mail address`},
		{[]string{"user"}, 2, "", "expected one name"},
		{[]string{"import", bad}, 2, "", "Mars"},
		{[]string{"import", lone}, 2, "", "import the firm first"},
		{[]string{"export"}, 2, "", "holds no firm yet"},
		{nil, 0, "Plan tile work", ""},
	} {
		m := &memory{}
		out, errs, code := run(t, m, c.args...)
		if c.out == "" && out != "" {
			t.Errorf("%q prints %q", c.args, out)
		}
		if code != c.code || !strings.Contains(out+"\x00", c.out) && c.out != "Plan tile work" || !strings.Contains(errs, c.errs) {
			t.Errorf("%q: exit %d, out %q, err %q; want %d, %q, %q", c.args, code, out, errs, c.code, c.out, c.errs)
		}
		if m.file.Firm != nil || m.issued > 0 || len(m.links) > 0 {
			t.Errorf("%q changed something", c.args)
		}
	}
}

// Every wrong file of the corpus is refused by plan and import alike, with
// nothing printed but problems and nothing changed.
func TestWrongFilesChangeNothing(t *testing.T) {
	files, err := filepath.Glob("../jobfile/testdata/bad/*.yaml")
	if err != nil || len(files) < 30 {
		t.Fatalf("%d files, %v", len(files), err)
	}
	dir, err := filepath.Abs("../jobfile/testdata/bad")
	if err != nil {
		t.Fatal(err)
	}
	clean(t)
	t.Chdir(dir)
	for _, path := range files {
		path = filepath.Base(path)
		want, err := os.ReadFile(strings.TrimSuffix(path, ".yaml") + ".txt")
		if err != nil {
			t.Fatal(err)
		}
		first, _, _ := strings.Cut(string(want), "\n")
		for _, command := range []string{"check", "plan", "import"} {
			m := &memory{}
			out, errs, code := run(t, m, command, path)
			if code != 2 || out != "" || !strings.Contains(errs, first) || m.file.Firm != nil {
				t.Errorf("%s %s: exit %d, out %q, err %q", command, filepath.Base(path), code, out, errs)
			}
		}
	}
}

func TestImportExportAndIssue(t *testing.T) {
	clean(t)
	m := &memory{}
	good := write(t, "inches.yaml", jobfile.Demo("inches"))
	step := func(want string, args ...string) string {
		t.Helper()
		out, errs, code := run(t, m, args...)
		if code != 0 || !strings.Contains(out, want) {
			t.Fatalf("%q: exit %d, %s%s", args, code, out, errs)
		}
		return out
	}
	step("2 changes, none written", "import", "--dry-run", good)
	if m.file.Firm != nil {
		t.Fatal("a dry run writes")
	}
	step("job alder: new\n2 changes", "import", good)
	step("nothing changes", "import", good)
	m.file.Jobs = m.file.Jobs[:1]
	whole := step("firm:", "export")
	again, problems := jobfile.Parse("export", []byte(whole))
	if len(problems) > 0 || again.Jobs[0].Key != "alder" {
		t.Fatal(problems)
	}
	if out := step("jobs:", "export", "--no-firm", "alder"); strings.Contains(out, "firm:") {
		t.Error("the firm is exported")
	}
	if _, errs, code := run(t, m, "export", "nobody"); code != 2 || !strings.Contains(errs, "there is no job nobody") {
		t.Errorf("exit %d, %s", code, errs)
	}
	step("amber 2026-11-30: issued", "issue")
	if _, errs, code := run(t, m, "issue", "--date", "2026-12-07"); code != 1 || !strings.Contains(errs, "say --ahead") {
		t.Errorf("exit %d, %s", code, errs)
	}
	step("amber 2026-12-07: issued", "issue", "--date", "2026-12-07", "--ahead")
	step("Recorded.", "temperature", "quay/bath", "50 °F")
	step("Recorded.", "temperature", "--date", "2026-11-25", "quay/bath", "−3.5")
	step("Recorded.", "away", "quay", "Ida", "2026-12-03")
	step("Recorded.", "away", "quay", "helper", "2026-12-03..2026-12-11", "13:00-16:30")
	for says, args := range map[string][]string{
		"lies before the first":    {"quay", "Ida", "2026-12-03..2026-12-01"},
		"no hours of a day":        {"quay", "Ida", "2026-12-03", "16:00-13:00"},
		"expected them as 13:00-1": {"quay", "Ida", "2026-12-03", "noon"},
		"who is away is not said":  {"quay", " ", "2026-12-03"},
		"2026-13-03":               {"quay", "Ida", "2026-13-03"},
	} {
		if _, errs, code := run(t, m, append([]string{"away"}, args...)...); code != 2 || !strings.Contains(errs, says) {
			t.Errorf("%v: exit %d, %s", args, code, errs)
		}
	}
	if want := []string{"quay/bath 10 ", "quay/bath -3.5 2026-11-25", `quay "Ida" false 2026-12-03 2026-12-03 0-0`, `quay "" true 2026-12-03 2026-12-11 780-990`}; !slices.Equal(m.read, want) {
		t.Errorf("read %q, want %q", m.read, want)
	}
	if _, errs, code := run(t, m, "issue", "--ahead"); code != 2 || !strings.Contains(errs, "goes with --date") {
		t.Errorf("exit %d, %s", code, errs)
	}
	step("http://host/sign-in/crew", "user", "Del", "--role", "crew", "--crew", "main", "--email", "del@example.org")
	step("potlife answers at http://host", "serve")
	if m.closed == 0 || !m.served || !slices.Equal(m.links, []string{"Del/crew/main/del@example.org"}) {
		t.Errorf("%+v", m)
	}
}

// A machine that fails is told apart from input that is wrong.
func TestFailuresHaveTheirOwnCode(t *testing.T) {
	clean(t)
	m := &memory{fail: errors.New("the disk is full")}
	if out, errs, code := run(t, m, "issue"); code != 1 || !strings.Contains(errs, "potlife: the disk is full") {
		t.Errorf("exit %d, %q, %q", code, out, errs)
	}
	ctx, cancel := context.WithCancel(context.Background())
	cancel()
	if code := exitCode(ctx, errors.New("stopped")); code != 130 {
		t.Errorf("interrupted: exit %d", code)
	}
	if code := exitCode(t.Context(), impossible{errors.New("no hours")}); code != 3 {
		t.Errorf("impossible: exit %d", code)
	}
}

// The demonstration keeps out of a database that is configured, and runs twice
// without importing twice.
func TestDemo(t *testing.T) {
	dir := clean(t)
	m := &memory{}
	out, errs, code := run(t, m, "demo", "inches", "--once", "--data-dir", dir)
	if code != 0 || m.served || m.placed != 1 || m.issued != 1 || len(m.links) != 3 {
		t.Fatalf("exit %d, %+v\n%s%s", code, m, out, errs)
	}
	for _, want := range []string{"moved by 0 days, so that work starts on Mon, Nov 30, 2026", "pieces on 9 surfaces", "Sign in", "contractor  http://host/sign-in/contractor"} {
		if !strings.Contains(out, want) {
			t.Errorf("%q is missing in\n%s", want, out)
		}
	}
	jobs := len(m.file.Jobs)
	out, _, code = run(t, m, "demo", "inches", "--data-dir", dir)
	if code != 0 || !m.served || len(m.file.Jobs) != jobs || !strings.Contains(out, "nothing is imported") || !strings.Contains(out, "contractor  http://host:4711/sign-in/contractor") {
		t.Errorf("again: exit %d, %d jobs\n%s", code, len(m.file.Jobs), out)
	}
	t.Setenv("POTLIFE_DATABASE_URL", "postgres://work")
	if _, errs, code = run(t, &memory{}, "demo"); code != 2 || !strings.Contains(errs, "may hold real work") {
		t.Errorf("configured database: exit %d, %s", code, errs)
	}
}

func TestDemoPrints(t *testing.T) {
	clean(t)
	for _, which := range jobfile.DemoNames() {
		args := []string{"demo", "--print"}
		if which != "" {
			args = append(args, which)
		}
		if out, _, code := run(t, &memory{}, args...); code != 0 || out != string(jobfile.Demo(which)) {
			t.Errorf("%q: exit %d", args, code)
		}
		out, _, code := run(t, &memory{}, append(args, "--start", "2027-03-04")...)
		if f, problems := jobfile.Parse("moved", []byte(out)); code != 0 || len(problems) > 0 || f.Jobs[0].Start.String() != "2027-03-01" {
			t.Errorf("moved: exit %d, %v", code, problems)
		}
	}
}

func TestComingMonday(t *testing.T) {
	for _, c := range []struct{ today, want string }{
		{"2026-11-23", "2026-11-30"}, {"2026-11-26", "2026-11-30"}, {"2026-11-27", "2026-11-30"}, {"2026-11-28", "2026-12-07"}, {"2026-11-29", "2026-12-07"}, {"2026-11-30", "2026-12-07"},
	} {
		if got := comingMonday(parseDay(c.today)); got.String() != c.want {
			t.Errorf("%s: %s, want %s", c.today, got, c.want)
		}
	}
}

// The same file gives the same document, byte for byte, and the summary
// answers what a contractor asks.
func TestPlan(t *testing.T) {
	clean(t)
	file := write(t, "inches.yaml", jobfile.Demo("inches"))
	one, errs, code := run(t, &memory{}, "plan", file, "--json", "--today", "2026-11-26")
	if code != 0 {
		t.Fatal(errs)
	}
	two, _, _ := run(t, &memory{}, "plan", file, "--json", "--today", "2026-11-26")
	if one != two {
		t.Error("two runs give two documents")
	}
	var doc plandoc.Document
	if err := json.Unmarshal([]byte(one), &doc); err != nil || doc.Format != plandoc.Format || len(doc.Rooms) != 2 {
		t.Fatalf("%v: %s, %d rooms", err, doc.Format, len(doc.Rooms))
	}
	text, _, code := run(t, &memory{}, "plan", file, "--today", "2026-11-26")
	for _, want := range []string{"Cedar Fork Tile: 2 rooms in 1 job, planned from Thu, Nov 26, 2026", "alder/powder  Powder room", "; by the plan all is done ", "no plan before", "half by", "4 in 5 by", "due kept in", "What most often holds up the finish", " % of the runs", "Mill Street Tile Supply", "order by", " × 50 lb", "Day sheet: Rosa and Del, ", "To look at"} {
		if code != 0 || !strings.Contains(text, want) {
			t.Errorf("exit %d; %q is missing in\n%s", code, want, text)
		}
	}
}

// A foreman reads on the sheets of the summary what is mixed and by when it is
// used up, and the office below each order what is on it.
func TestPlanTellsMixesAndLines(t *testing.T) {
	clean(t)
	file := write(t, "inches.yaml", jobfile.Demo("inches"))
	text, errs, code := run(t, &memory{}, "plan", file, "--today", "2026-11-26", "--sheets", "1000")
	document, _, _ := run(t, &memory{}, "plan", file, "--today", "2026-11-26", "--json")
	var doc plandoc.Document
	if err := json.Unmarshal([]byte(document), &doc); code != 0 || err != nil {
		t.Fatal(code, errs, err)
	}
	mixes, used, lines := 0, 0, 0
	for _, m := range doc.Mixes {
		mixes++
		if m.UseBy != nil {
			used++
		}
	}
	if got, by := strings.Count(text, "\n  mix "), strings.Count(text, "use by "); mixes == 0 || used == 0 || got != mixes || by != used {
		t.Errorf("%d mixes and %d times in the text, want %d and %d", got, by, mixes, used)
	}
	_, orders, _ := strings.Cut(text, "\nOrders\n")
	orders, _, _ = strings.Cut(orders, "\nDay sheet")
	for _, o := range doc.Orders {
		if o.DeliverTo == "" || !strings.Contains(orders, "\n  "+o.Key+", to "+o.DeliverTo+"\n") {
			t.Errorf("%s: that it goes to %q is not told", o.Key, o.DeliverTo)
		}
		for _, l := range o.Lines {
			lines++
			if !strings.Contains(orders, l.Text) || !strings.Contains(orders, string(l.Amount)) {
				t.Errorf("%s: the line %q of %s is not told", o.Key, l.Text, l.Amount)
			}
		}
	}
	if lines == 0 {
		t.Error("no order has a line: the test shows nothing")
	}
}

// The demonstration's plan is held to the rules by a checker that shares no
// code with us.
func TestPlanOutsideChecker(t *testing.T) {
	checker, err := filepath.Abs("../../../../../shared/checks/plan_check")
	if err != nil {
		t.Fatal(err)
	}
	if _, err := os.Stat(checker); err != nil {
		t.Skipf("%s is not here", checker)
	}
	if err := exec.Command("/usr/bin/python3", "-c", "import shapely").Run(); err != nil {
		t.Skip("python3-shapely is not installed")
	}
	clean(t)
	for _, which := range jobfile.DemoNames() {
		file := write(t, "demo.yaml", jobfile.Demo(which))
		doc, errs, code := run(t, &memory{}, "plan", file, "--json", "--today", "2026-11-26")
		if code != 0 {
			t.Fatal(errs)
		}
		cmd := exec.Command(checker, "-")
		cmd.Stdin = strings.NewReader(doc)
		verdict, err := cmd.CombinedOutput()
		if err != nil || !strings.HasSuffix(strings.TrimSpace(string(verdict)), "no breach") {
			t.Errorf("demo %q: %v\n%s", which, err, verdict)
		}
	}
}

// A command that ends by itself logs only what is out of order; the daemon,
// and whoever asks for it, more.
func TestLogLevel(t *testing.T) {
	clean(t)
	for _, c := range []struct {
		args []string
		info bool
	}{{[]string{"issue"}, false}, {[]string{"serve"}, true}, {[]string{"issue", "--log-level", "info"}, true}, {[]string{"serve", "--log-level", "error"}, false}} {
		var errs bytes.Buffer
		p := &Program{Out: &bytes.Buffer{}, Err: &errs, Now: func() time.Time { return demoDay },
			Open: func(_ context.Context, _ *config.Config, log *slog.Logger) (Daemon, error) {
				log.Info("started")
				return &memory{}, nil
			}}
		if code := Run(t.Context(), p, c.args); code != 0 || strings.Contains(errs.String(), "started") != c.info {
			t.Errorf("%q: exit %d, %q", c.args, code, errs.String())
		}
	}
}
