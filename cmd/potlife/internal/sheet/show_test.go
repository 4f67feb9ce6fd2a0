package sheet

import (
	"bytes"
	"encoding/json"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"potlife/cmd/potlife/internal/plandoc"
	"potlife/cmd/potlife/internal/plandoc/plandoctest"
)

// TestShow writes the sheets of the sample, or of the plan document SHOW_PLAN,
// to SHOW_DIR for a look by eye.
func TestShow(t *testing.T) {
	dir := os.Getenv("SHOW_DIR")
	if dir == "" {
		t.Skip("set SHOW_DIR to write the sample's sheets there")
	}
	docs := map[string]*plandoc.Document{"metric": plandoctest.Sample("metric"), "imperial": plandoctest.Sample("imperial")}
	if file := os.Getenv("SHOW_PLAN"); file != "" {
		b, err := os.ReadFile(file)
		if err != nil {
			t.Fatal(err)
		}
		doc := &plandoc.Document{}
		if err := json.Unmarshal(b, doc); err != nil {
			t.Fatal(err)
		}
		docs = map[string]*plandoc.Document{"plan": doc}
	}
	for units, doc := range docs {
		for i := range doc.Sheets {
			for _, format := range []string{"pdf", "html", "csv", "json"} {
				var b bytes.Buffer
				if err := (Printer{}).DayFile(&b, doc, i, plandoc.Mark{URL: "http://potlife.example:8080/sheets/ada/2026-03-04", Revision: 1, ReplacedBy: i % 2 * 2}, format); err != nil {
					t.Fatal(err)
				}
				os.WriteFile(filepath.Join(dir, units+"-"+doc.Sheets[i].Crew+doc.Sheets[i].Date+"."+format), b.Bytes(), 0o644)
			}
		}
		for _, s := range doc.Surfaces {
			b, err := Printer{}.Surface(doc, s.Key)
			if err != nil {
				t.Fatal(err)
			}
			os.WriteFile(filepath.Join(dir, units+"-"+strings.ReplaceAll(s.Key, "/", "-")+".svg"), b, 0o644)
		}
	}
}
