package sheet

import (
	"bytes"
	"encoding/json"
	"os"
	"path/filepath"
	"strings"
	"testing"
	"time"

	"potlife/cmd/potlife/internal/plandoc"
	"potlife/cmd/potlife/internal/plandoc/plandoctest"
)

// A sheet's heading, its revision and the crew's calendar say who is away that day.
func TestTheSheetSaysWhoIsAway(t *testing.T) {
	before, doc := plandoctest.Sample("metric"), plandoctest.Sample("metric")
	i := 0
	crew := doc.Sheets[i].Crew
	for k := range doc.Crews {
		if c := &doc.Crews[k]; c.Key == crew {
			c.Setters = 2
			before.Crews[k].Setters = 2
			c.Away = []plandoc.Absence{{Who: "Jon", From: doc.Sheets[i].Date, To: doc.Sheets[i].Date}}
		}
	}
	d, err := Printer{}.NewDay(doc, i, plandoc.Mark{})
	if err != nil {
		t.Fatal(err)
	}
	if d.Hands != "1 setter, 1 helper" || strings.Join(d.Away, ", ") != "Jon (setter)" {
		t.Errorf("there are %q, away %q", d.Hands, d.Away)
	}
	files := map[string]string{}
	for _, format := range []string{"html", "json", "pdf"} {
		var b bytes.Buffer
		if err := (Printer{}).DayFile(&b, doc, i, plandoc.Mark{}, format); err != nil {
			t.Fatal(err)
		}
		files[format] = b.String()
	}
	if !strings.Contains(files["html"], "1 setter, 1 helper · <b>away: Jon (setter)</b>") {
		t.Error("the heading of the page does not say that Jon is away")
	}
	if file := filepath.Join(t.TempDir(), "day.pdf"); os.WriteFile(file, []byte(files["pdf"]), 0o600) != nil || !strings.Contains(run(t, "pdftotext", "-layout", file, "-"), "Away: Jon (setter)") {
		t.Error("the printed heading does not say that Jon is away")
	}
	var read Day
	if err := json.Unmarshal([]byte(files["json"]), &read); err != nil || len(read.Away) != 1 {
		t.Errorf("as JSON: %v, %v", read.Away, err)
	}
	var cal bytes.Buffer
	if err := (Printer{}).CrewCalendar(&cal, doc, crew, 1, time.Unix(0, 0)); err != nil {
		t.Fatal(err)
	}
	if !strings.Contains(strings.ReplaceAll(cal.String(), "\r\n ", ""), " without Jon") {
		t.Error("the calendar does not say that Jon is away")
	}
	says, err := Printer{}.Differences(before, i, doc, i)
	if err != nil || len(says) != 1 || says[0] != "away, new: Jon (setter)" {
		t.Errorf("the revision says %q, %v", says, err)
	}
}

// A sheet of a crew whose people have names says which of them are there that day, on
// the page and on paper; one of a crew without names is as before.
func TestTheSheetNamesWhoIsThere(t *testing.T) {
	doc := plandoctest.Sample("metric")
	plain, err := Printer{}.NewDay(doc, 0, plandoc.Mark{})
	if err != nil || len(plain.There) > 0 {
		t.Errorf("nobody has a name, there are %q: %v", plain.There, err)
	}
	for k := range doc.Crews {
		if c := &doc.Crews[k]; c.Key == doc.Sheets[0].Crew {
			c.Setters = 2
			c.People = []plandoc.Person{{Name: "Mia", Helper: true}, {Name: "Jon"}, {Name: "Ida"}}
			c.Away = []plandoc.Absence{{Who: "Jon", From: doc.Sheets[0].Date, To: doc.Sheets[0].Date}}
		}
	}
	var page, paper bytes.Buffer
	if err := (Printer{}).DayFile(&page, doc, 0, plandoc.Mark{}, "html"); err != nil {
		t.Fatal(err)
	}
	if err := (Printer{}).DayFile(&paper, doc, 0, plandoc.Mark{}, "pdf"); err != nil {
		t.Fatal(err)
	}
	if !strings.Contains(page.String(), "1 setter, 1 helper: Ida, Mia (helper) · <b>away: Jon (setter)</b>") {
		t.Error("the heading of the page does not say who is there")
	}
	if file := filepath.Join(t.TempDir(), "day.pdf"); os.WriteFile(file, paper.Bytes(), 0o600) != nil || !strings.Contains(run(t, "pdftotext", "-layout", file, "-"), "There: Ida, Mia (helper)") {
		t.Error("the printed heading does not say who is there")
	}
}
