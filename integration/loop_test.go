package integration

import (
	"encoding/json"
	"net/http"
	"net/url"
	"os"
	"path/filepath"
	"strings"
	"testing"
	"time"
)

// plan is what these tests read of the plan document.
type plan struct {
	Finish   string
	Surfaces []struct {
		Key   string
		Edges []struct{ Meets string }
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
	Sheets []struct {
		Date, Crew string
		Areas      []string
		Cuts       []struct{ Pieces []string }
	}
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
	crew, date := doc.Sheets[0].Crew, doc.Sheets[0].Date
	issueBefore(t, p, date)
	body, code := boss.get("/sheets/" + crew + "/" + date)
	if code != http.StatusOK {
		t.Fatalf("the sheet's page: %d\n%s", code, body)
	}
	eventually(t, "the sheet in the folder", func() bool {
		got, err := filepath.Glob(filepath.Join(folder, date+" "+crew+" r1.*"))
		return err == nil && len(got) == 4
	})
	report(t, boss, crew, date)
	eventually(t, "revision 2", func() bool {
		text, _ := boss.get("/sheets/" + crew + "/" + date)
		return strings.Contains(text, "Revision 2") || strings.Contains(text, "revision 2")
	})
	old, code := boss.get("/sheets/" + crew + "/" + date + "?revision=1")
	if code != http.StatusOK || !strings.Contains(strings.ToLower(old), "replaced") {
		t.Errorf("revision 1 is not stamped as replaced (%d)", code)
	}
}

// issueBefore issues the first day as its evening would: the demonstration
// starts a week from now, so the issue time is moved by asking the command for
// that day.
func issueBefore(t *testing.T, p *program, date string) {
	t.Helper()
	out := p.run("issue", "--date", date)
	if !strings.Contains(out, "issued") {
		t.Fatalf("issue --date %s: %s", date, out)
	}
}

// report says that the wall of the day's first area is 4 mm narrower, on an edge
// that made cuts of that area, and that one of its pieces broke.
func report(t *testing.T, p *person, crew, date string) {
	t.Helper()
	doc := p.plan()
	day := map[string]bool{}
	for _, s := range doc.Sheets {
		if s.Crew == crew && s.Date == date {
			for _, a := range s.Areas {
				day[a] = true
			}
		}
	}
	for _, s := range doc.Surfaces {
		for _, z := range s.Zones {
			for _, q := range z.Pieces {
				if !day[q.Area] || len(q.Cuts) == 0 || q.Cuts[0].Size == nil {
					continue
				}
				form := url.Values{"key": {"test-broken"}, "kind": {"pieces broken"}, "crew": {crew}, "date": {date}, "pieces": {q.ID}}
				for range 2 { // the second is the same report sent again
					if body, code := p.post("/record", form); code != http.StatusOK {
						t.Fatalf("report a broken piece: %d\n%s", code, body)
					}
				}
				return
			}
		}
	}
	t.Fatal("the first day cuts no piece to size")
}
