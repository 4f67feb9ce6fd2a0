package integration

import (
	"bytes"
	"encoding/csv"
	"encoding/json"
	"fmt"
	"html"
	"net/http"
	"net/url"
	"os"
	"path/filepath"
	"slices"
	"strconv"
	"strings"
	"testing"
	"time"
)

// plan is what these tests read of the plan document.
type plan struct {
	Finish   string
	Surfaces []struct {
		Key   string
		Edges []struct{ Name, Meets string }
		Zones []struct {
			Pieces []struct {
				ID   string
				Area string
				Cuts []struct {
					Size *float64
					At   string
				}
			}
		}
	}
	Areas  []struct{ ID, Crew, Start string }
	Sheets []sheetOf
}

// sheetOf is what the test reads of a sheet of the plan.
type sheetOf struct {
	Date, Crew        string
	Activities, Areas []string
	Cuts              []struct{ Pieces []string }
	OnSite            []string `json:"on_site"`
	Carry             []struct{ Quantity float64 }
	Waits             []struct{ Until string }
	Read, Cautions    []string
}

func (p *person) plan() plan {
	p.t.Helper()
	text, code := p.get("/api/v1/plan")
	if code != http.StatusOK {
		p.t.Fatalf("plan: %d\n%s", code, text)
	}
	var out plan
	if err := json.Unmarshal([]byte(text), &out); err != nil {
		p.t.Fatal(err)
	}
	return out
}

// eventually waits for something that follows a report on its own.
func eventually(t *testing.T, what string, is func() bool) {
	t.Helper()
	for end := time.Now().Add(90 * time.Second); time.Now().Before(end); time.Sleep(100 * time.Millisecond) {
		if is() {
			return
		}
	}
	t.Fatalf("it did not come to pass: %s", what)
}

// TestTheWholeLoop takes the demonstration from its file to issued sheets,
// reports on them, and sees the plan and a second revision follow.
func TestTheWholeLoop(t *testing.T) {
	t.Parallel()
	p := newProgram(t)
	folder := t.TempDir()
	p.env = append(p.env, "POTLIFE_FOLDER="+folder)
	file := p.demoFile()

	first := p.run("import", file)
	if again := p.run("import", file); !strings.Contains(again, "nothing changes") {
		t.Errorf("a second import says %q, the first %q", again, first)
	}
	exported := filepath.Join(t.TempDir(), "exported.yaml")
	out, err := p.command("export").Output()
	if err != nil {
		t.Fatal(err)
	}
	if err := os.WriteFile(exported, out, 0o600); err != nil {
		t.Fatal(err)
	}
	if again := p.run("import", exported); !strings.Contains(again, "nothing changes") {
		t.Errorf("importing the export says %q", again)
	}

	d := p.serve()
	boss := d.signIn("Mara", "contractor", "")
	eventually(t, "a plan after import", func() bool { _, code := boss.get("/api/v1/plan"); return code == http.StatusOK })
	doc := boss.plan()
	if len(doc.Sheets) == 0 {
		t.Fatal("the plan has no sheets")
	}
	crew, date := dayWithCuts(t, doc)
	sawn := doc.dayThatCuts(crew, date)
	if sawn != date {
		issueBefore(t, p, sawn)
	}
	issueBefore(t, p, date)
	body, code := boss.get("/sheets/" + crew + "/" + date)
	if code != http.StatusOK {
		t.Fatalf("the sheet's page: %d\n%s", code, body)
	}
	eventually(t, "the sheet in the folder", func() bool {
		got, err := filepath.Glob(filepath.Join(folder, date+" "+crew+" r1.*"))
		return err == nil && len(got) == 4
	})
	sheetInFolder(t, folder, boss.plan(), crew, date)
	piece, surface, edge := cutOfTheDay(t, boss, crew, date)
	broken := url.Values{"key": {"test-broken"}, "kind": {"pieces broken"}, "crew": {crew}, "date": {date}, "pieces": {piece}}
	for range 2 { // the second is the same report sent again
		boss.report(broken)
	}
	boss.revision(crew, sawn, 2, "again")
	boss.report(url.Values{"key": {"test-reading"}, "kind": {"reading"}, "crew": {crew}, "date": {date}, "surface": {surface},
		"edge": {edge}, "edge_at": {"0"}, "deviation": {"-4"}})
	boss.revision(crew, sawn, 3, " mm")
	old, code := boss.get("/sheets/" + crew + "/" + sawn + "?revision=1")
	if code != http.StatusOK || !strings.Contains(strings.ToLower(old), "replaced") {
		t.Errorf("revision 1 is not stamped as replaced (%d)", code)
	}
}

// sheetInFolder holds the files of the first revision of a sheet to the plan it
// was issued from: every list of it, each entry once.
func sheetInFolder(t *testing.T, folder string, doc plan, crew, date string) {
	t.Helper()
	read := func(format string) []byte {
		text, err := os.ReadFile(filepath.Join(folder, date+" "+crew+" r1."+format))
		if err != nil {
			t.Fatal(err)
		}
		return text
	}
	var file struct {
		Items, Areas []struct{ ID string }
		Cuts         []struct {
			Settings []struct{ Pieces []string }
		}
		OnSite                []struct{ ID, Piece string } `json:"on_site"`
		Carry                 []json.RawMessage
		Waits, Read, Cautions []string
		Rule                  string
	}
	if err := json.Unmarshal(read("json"), &file); err != nil {
		t.Fatal(err)
	}
	i := slices.IndexFunc(doc.Sheets, func(s sheetOf) bool { return s.Crew == crew && s.Date == date })
	if i < 0 {
		t.Fatalf("the plan has no sheet of %s on %s", crew, date)
	}
	want := doc.Sheets[i]
	var items, areas, cuts, planned, rows []string
	for _, it := range file.Items {
		items = append(items, it.ID)
	}
	for _, a := range file.Areas {
		areas = append(areas, a.ID)
	}
	for _, b := range file.Cuts {
		for _, s := range b.Settings {
			cuts = append(cuts, s.Pieces...)
		}
	}
	for _, g := range want.Cuts {
		planned = append(planned, g.Pieces...)
	}
	table, err := csv.NewReader(bytes.NewReader(read("csv"))).ReadAll()
	if err != nil || len(table) == 0 {
		t.Fatalf("the cut list: %v", err)
	}
	column := slices.Index(table[0], "piece")
	for _, r := range table[1:] {
		rows = append(rows, r[column])
	}
	if len(planned) == 0 {
		t.Error("the day cuts nothing: the test shows too little")
	}
	for _, list := range []struct {
		name      string
		got, want []string
	}{{"work", items, want.Activities}, {"areas", areas, want.Areas}, {"cuts", cuts, planned}, {"cuts as CSV", rows, planned},
		{"readings", file.Read, want.Read}, {"cautions", append(file.Cautions, file.Rule), want.Cautions}} {
		got, wants := slices.Sorted(slices.Values(list.got)), slices.Sorted(slices.Values(list.want))
		if !slices.Equal(got, wants) {
			t.Errorf("%s: the sheet has %q, the plan %q", list.name, got, wants)
		}
	}
	// Beside packages there are blades, clips and the like to carry; a wait that lets
	// several areas go on stands once.
	if len(file.Carry) < len(want.Carry) || len(file.OnSite) != len(want.OnSite) || len(file.Waits) > len(want.Waits) || (len(file.Waits) == 0) != (len(want.Waits) == 0) {
		t.Errorf("%d to carry, %d to measure, %d waits; the plan has %d, %d, %d", len(file.Carry), len(file.OnSite), len(file.Waits), len(want.Carry), len(want.OnSite), len(want.Waits))
	}
	page := html.UnescapeString(string(read("html")))
	for _, text := range slices.Concat(file.Waits, file.Read, file.Cautions) {
		if !strings.Contains(page, text) {
			t.Errorf("the page does not say %q", text)
		}
	}
}

// report sends one of the sheet's forms.
func (p *person) report(form url.Values) {
	p.t.Helper()
	if body, code := p.post("/record", form); code != http.StatusOK {
		p.t.Fatalf("report %s: %d\n%s", form.Get("kind"), code, body)
	}
}

// revision waits for a revision of a sheet whose differences contain a word.
func (p *person) revision(crew, date string, number int, word string) {
	p.t.Helper()
	var said struct {
		Sheets []struct {
			Date        string
			Revision    int
			Differences []string
		}
	}
	eventually(p.t, fmt.Sprintf("revision %d of %s on %s", number, crew, date), func() bool {
		text, code := p.get("/api/v1/sheets?crew=" + crew)
		if code != http.StatusOK || json.Unmarshal([]byte(text), &said) != nil {
			return false
		}
		for _, s := range said.Sheets {
			if s.Date == date && s.Revision == number {
				if !strings.Contains(strings.Join(s.Differences, "\n"), word) {
					p.t.Errorf("revision %d does not say %q: %q", number, word, s.Differences)
				}
				return true
			}
		}
		return false
	})
}

// issueBefore issues the first day as its evening would: the demonstration
// starts a week from now, so the issue time is moved by asking the command for
// that day.
func issueBefore(t *testing.T, p *program, date string) {
	t.Helper()
	out := p.run("issue", "--date", date, "--ahead")
	if !strings.Contains(out, "issued") {
		t.Fatalf("issue --date %s: %s", date, out)
	}
}

// dayWithCuts is the first crew and day that set a piece cut to an edge: what
// that day is depends on the weekday on which the goods are ordered.
func dayWithCuts(t *testing.T, doc plan) (crew, date string) {
	t.Helper()
	for _, s := range doc.Sheets {
		if piece, _, _ := doc.cutToEdge(s.Areas); piece != "" {
			return s.Crew, s.Date
		}
	}
	t.Fatal("no day cuts a piece to an edge")
	return "", ""
}

// dayThatCuts is the day on whose sheet a crew's cuts along edges of a day stand:
// that day, or one before it.
func (d *plan) dayThatCuts(crew, date string) string {
	for _, s := range d.Sheets {
		if s.Crew != crew || s.Date != date {
			continue
		}
		piece, _, _ := d.cutToEdge(s.Areas)
		for _, o := range d.Sheets {
			if o.Crew == crew && slices.ContainsFunc(o.Cuts, func(c struct{ Pieces []string }) bool { return slices.Contains(c.Pieces, piece) }) {
				return o.Date
			}
		}
	}
	return date
}

// cutOfTheDay is a piece of an issued day that is cut to size along an edge of
// its surface, with the surface and the edge's number.
func cutOfTheDay(t *testing.T, p *person, crew, date string) (piece, surface, edge string) {
	t.Helper()
	doc := p.plan()
	for _, s := range doc.Sheets {
		if s.Crew == crew && s.Date == date {
			piece, surface, edge = doc.cutToEdge(s.Areas)
		}
	}
	if piece == "" {
		t.Fatalf("the sheet of %s on %s cuts no piece to an edge", crew, date)
	}
	return piece, surface, edge
}

// cutToEdge is the first piece of some areas that is cut to size along an
// edge; empty where there is none.
func (d *plan) cutToEdge(areas []string) (piece, surface, edge string) {
	for _, s := range d.Surfaces {
		for _, z := range s.Zones {
			for _, q := range z.Pieces {
				if !slices.Contains(areas, q.Area) || len(q.Cuts) == 0 || q.Cuts[0].Size == nil {
					continue
				}
				for i, e := range s.Edges {
					if strings.HasPrefix(q.Cuts[0].At, e.Name) {
						return q.ID, s.Key, strconv.Itoa(i)
					}
				}
			}
		}
	}
	return "", "", ""
}
