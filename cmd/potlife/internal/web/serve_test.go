package web

import (
	"encoding/json"
	"net/http"
	"os"
	"testing"
	"time"

	"potlife/cmd/potlife/internal/plandoc"
	"potlife/cmd/potlife/internal/sheet"
)

// serveSample serves the sample, or the plan document in SHOW_PLAN, until the
// test is killed; its sign-in links work again and again.
func serveSample(t *testing.T, addr string) {
	d := newDesks()
	if file := os.Getenv("SHOW_PLAN"); file != "" {
		b, err := os.ReadFile(file)
		if err != nil {
			t.Fatal(err)
		}
		doc := &plandoc.Document{}
		if err := json.Unmarshal(b, doc); err != nil {
			t.Fatal(err)
		}
		d.plan.Document, d.issued = doc, nil
		if len(doc.Sheets) > 0 {
			first := doc.Sheets[0]
			d.issued = []IssuedSheet{{SheetInfo: SheetInfo{Crew: first.Crew, Date: first.Date, Revision: 1, Issued: time.Now()}, Document: doc}}
			d.people["3"] = User{ID: "3", Name: "Crew", Role: Crew, Crew: first.Crew}
		}
	}
	o := Options{Plans: d, Sheets: d, Recorder: d, History: d, Orders: d, Accounts: forever{d}, Health: d, Outlook: d, Print: sheet.Printer{}, FeedKey: []byte("sample")}
	h, err := New(o)
	if err != nil {
		t.Fatal(err)
	}
	t.Fatal(http.ListenAndServe(addr, h))
}
