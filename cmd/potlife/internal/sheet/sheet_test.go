package sheet

import (
	"bytes"
	"encoding/csv"
	"encoding/json"
	"encoding/xml"
	"flag"
	"io"
	"os"
	"os/exec"
	"path/filepath"
	"strings"
	"sync"
	"testing"
	"time"

	ics "github.com/arran4/golang-ical"
	"github.com/xuri/excelize/v2"

	"potlife/cmd/potlife/internal/plandoc"
	"potlife/cmd/potlife/internal/plandoc/plandoctest"
)

var update = flag.Bool("update", false, "write the golden files anew")

func golden(t *testing.T, name string, got []byte) {
	t.Helper()
	path := filepath.Join("testdata", name)
	if *update {
		if err := os.WriteFile(path, got, 0o644); err != nil {
			t.Fatal(err)
		}
		return
	}
	want, err := os.ReadFile(path)
	if err != nil {
		t.Fatal(err)
	}
	if !bytes.Equal(got, want) {
		t.Errorf("%s differs from what is drawn now; look at both, then run go test -update", path)
	}
}

func TestGoldenTextAndDrawings(t *testing.T) {
	mark := plandoc.Mark{URL: "https://potlife.example/sheets/ada/2026-03-04", Revision: 2, Issued: "2026-03-03T17:00:00+01:00", Differences: []string{"cut 5 to 288 instead of 289"}}
	for _, units := range []string{"metric", "imperial"} {
		doc := plandoctest.Sample(units)
		for _, s := range doc.Surfaces {
			b, err := Printer{}.Surface(doc, s.Key)
			if err != nil {
				t.Fatal(err)
			}
			wellFormed(t, b)
			golden(t, units+"-"+s.Kind+".svg", b)
		}
		on, err := Printer{}.SurfaceOn(doc, plandoctest.Wall, 1)
		if err != nil {
			t.Fatal(err)
		}
		golden(t, units+"-wall-second-day.svg", on)
		for _, format := range []string{"html", "csv", "json"} {
			var b bytes.Buffer
			if err := (Printer{}).DayFile(&b, doc, 0, mark, format); err != nil {
				t.Fatal(err)
			}
			golden(t, units+"-day."+format, b.Bytes())
		}
	}
}

func wellFormed(t *testing.T, b []byte) {
	t.Helper()
	d := xml.NewDecoder(bytes.NewReader(b))
	for {
		if _, err := d.Token(); err == io.EOF {
			return
		} else if err != nil {
			t.Fatal(err)
		}
	}
}

func dayPDF(t *testing.T, units string, i int, m plandoc.Mark) []byte {
	t.Helper()
	var b bytes.Buffer
	if err := (Printer{}).DayFile(&b, plandoctest.Sample(units), i, m, "pdf"); err != nil {
		t.Fatal(err)
	}
	return b.Bytes()
}

func TestPDFBytesDependOnTheSheetAlone(t *testing.T) {
	first := dayPDF(t, "metric", 0, plandoc.Mark{Revision: 1})
	var wait sync.WaitGroup
	for range 4 {
		wait.Add(1)
		go func() {
			defer wait.Done()
			var b bytes.Buffer
			if err := (Printer{}).DayFile(&b, plandoctest.Sample("metric"), 0, plandoc.Mark{Revision: 1}, "pdf"); err != nil || !bytes.Equal(b.Bytes(), first) {
				t.Errorf("a second print differs (%v)", err)
			}
		}()
	}
	wait.Wait()
	if bytes.Equal(first, dayPDF(t, "metric", 0, plandoc.Mark{Revision: 2})) {
		t.Error("another revision prints the same bytes")
	}
}

func TestPDFReadsBack(t *testing.T) {
	const url = "https://potlife.example/sheets/ada/2026-03-04?revision=1"
	dir := t.TempDir()
	file := filepath.Join(dir, "day.pdf")
	if err := os.WriteFile(file, dayPDF(t, "metric", 0, plandoc.Mark{URL: url, Revision: 1, ReplacedBy: 2}), 0o600); err != nil {
		t.Fatal(err)
	}
	text := run(t, "pdftotext", "-layout", file, "-")
	for _, want := range []string{"Ada's crew", "Wed 4 Mar 2026", "7 Orchard Row, Millbrook", "08:00–14:30", "set by", "08:20", "08:00, set by 08:20: 1–6", "1.4 l water",
		"289", "26–30", "K12", "110 kg", "Replaced by revision 2", "Local codes", "page 1 of 2"} {
		if !strings.Contains(text, want) {
			t.Errorf("the printed sheet lacks %q", want)
		}
	}
	if n := strings.Count(text, "\f"); n != 2 {
		t.Errorf("an ordinary day takes %d pages, want 2", n)
	}
	run(t, "pdftoppm", "-r", "150", "-png", "-f", "1", "-l", "1", "-singlefile", file, filepath.Join(dir, "page"))
	if got := strings.TrimSpace(run(t, "zbarimg", "-q", "--raw", filepath.Join(dir, "page.png"))); got != url {
		t.Errorf("the QR code reads %q, want %q", got, url)
	}
}

func run(t *testing.T, name string, args ...string) string {
	t.Helper()
	if _, err := exec.LookPath(name); err != nil {
		t.Skipf("%s is not installed (poppler-utils, zbar-tools)", name)
	}
	out, err := exec.Command(name, args...).Output()
	if err != nil {
		t.Fatalf("%s: %v", name, err)
	}
	return string(out)
}

func TestAnEmojiInANoteDoesNotSpoilTheSheet(t *testing.T) {
	doc := plandoctest.Sample("metric")
	doc.Activities[0].Notes = []string{"mind the 🐈 and \x01 the <b>step</b>"}
	for _, format := range []string{"pdf", "html"} {
		var b bytes.Buffer
		if err := (Printer{}).DayFile(&b, doc, 0, plandoc.Mark{}, format); err != nil || b.Len() == 0 {
			t.Errorf("%s: %d bytes, %v", format, b.Len(), err)
		}
		if strings.Contains(b.String(), "<b>step</b>") {
			t.Errorf("%s: a note came through as markup", format)
		}
	}
}

func TestEveryPieceOfTheDayHasItsOwnNumber(t *testing.T) {
	doc := plandoctest.Sample("metric")
	d, err := newDay(doc, 0, plandoc.Mark{})
	if err != nil {
		t.Fatal(err)
	}
	seen := map[int]bool{}
	for _, a := range doc.Areas[:2] {
		for _, id := range a.Pieces {
			n := d.number[id]
			if n < 1 || seen[n] {
				t.Errorf("piece %s has number %d", id, n)
			}
			seen[n] = true
		}
	}
	if len(seen) != len(d.number) {
		t.Errorf("%d numbers for %d pieces", len(d.number), len(seen))
	}
	second, err := newDay(doc, 1, plandoc.Mark{})
	if err != nil {
		t.Fatal(err)
	}
	st := second.Drawings[0].picture.state
	if st[doc.Areas[0].Pieces[0]] != setYet || st[doc.Areas[3].Pieces[0]] != setNow {
		t.Error("on the second day the first day's pieces are not shown as up already")
	}
}

func TestCutListHoldsEachCutOnce(t *testing.T) {
	var b bytes.Buffer
	doc := plandoctest.Sample("metric")
	if err := (Printer{}).DayFile(&b, doc, 0, plandoc.Mark{}, "csv"); err != nil {
		t.Fatal(err)
	}
	rows, err := csv.NewReader(&b).ReadAll()
	if err != nil {
		t.Fatal(err)
	}
	want := 0
	for _, p := range doc.Surfaces[0].Zones[0].Pieces {
		want += len(p.Cuts)
	}
	if len(rows)-1 != want {
		t.Errorf("%d rows for %d cuts", len(rows)-1, want)
	}
}

func TestCellsAreNoFormulas(t *testing.T) {
	for in, want := range map[string]string{"=1+1": "'=1+1", "@x": "'@x", "-3.5": "-3.5", "-x": "'-x", "+cmd|' /C calc'!A0": "'+cmd|' /C calc'!A0", "289": "289", "": "", "\tx": "'\tx"} {
		if got := cell(in); got != want {
			t.Errorf("cell(%q) = %q, want %q", in, got, want)
		}
	}
}

func TestOrderFiles(t *testing.T) {
	doc := plandoctest.Sample("metric")
	file := func(format string) *bytes.Buffer {
		var b bytes.Buffer
		if err := (Printer{}).OrderFile(&b, doc, doc.Index().Orders[plandoctest.Order], plandoc.OrderMark{Number: "17", State: "placed", Placed: "2026-03-03"}, format); err != nil {
			t.Fatal(err)
		}
		return &b
	}
	golden(t, "order.csv", file("csv").Bytes())
	if !bytes.Equal(file("pdf").Bytes(), file("pdf").Bytes()) {
		t.Error("two prints of an order differ")
	}
	f, err := excelize.OpenReader(file("xlsx"))
	if err != nil {
		t.Fatal(err)
	}
	defer f.Close()
	for at, want := range map[string]string{"A2": "17", "C2": "slate-30", "F2": "4", "I2": "208.40", "D3": "=Flex wall mortar", "I5": "291.40", "J5": "EUR"} {
		if got, err := f.GetCellValue("Order", at); err != nil || got != want {
			t.Errorf("cell %s is %q (%v), want %q", at, got, err, want)
		}
	}
	if formula, err := f.GetCellFormula("Order", "D3"); err != nil || formula != "" {
		t.Errorf("D3 became the formula %q (%v)", formula, err)
	}
	var p Purchase
	if err := json.Unmarshal(file("json").Bytes(), &p); err != nil || p.Total != "291.40" || len(p.Lines) != 3 {
		t.Errorf("json order: %v %+v", err, p)
	}
}

func TestCalendarMovesItsEvents(t *testing.T) {
	doc := plandoctest.Sample("metric")
	write := func(sequence int) string {
		var b bytes.Buffer
		if err := (Printer{}).CrewCalendar(&b, doc, plandoctest.CrewA, sequence, time.Date(2026, 3, 3, 16, 0, 0, 0, time.UTC)); err != nil {
			t.Fatal(err)
		}
		return b.String()
	}
	before := write(1)
	doc.Activities[1].Start = "2026-03-05T08:00:00+01:00"
	after := write(2)
	for _, line := range strings.Split(strings.TrimSuffix(after, "\r\n"), "\r\n") {
		if strings.ContainsAny(line, "\r\n") || len(line) > 75 {
			t.Errorf("line %q is not ended by CRLF or longer than 75 octets", line)
		}
	}
	a, b := events(t, before), events(t, after)
	if len(a) != 5 || len(b) != len(a) {
		t.Fatalf("%d and %d events, want 5", len(a), len(b))
	}
	for uid, e := range b {
		old := a[uid]
		if old == nil {
			t.Fatalf("event %s has changed its UID", uid)
		}
		if e.GetProperty(ics.ComponentPropertySequence).Value != "2" || old.GetProperty(ics.ComponentPropertySequence).Value != "1" {
			t.Error("SEQUENCE does not follow the revision")
		}
	}
	if err := (Printer{}).JobCalendar(io.Discard, doc, "nowhere", 1, time.Time{}); err == nil {
		t.Error("a calendar of no job")
	}
}

func events(t *testing.T, text string) map[string]*ics.VEvent {
	t.Helper()
	cal, err := ics.ParseCalendar(strings.NewReader(text))
	if err != nil {
		t.Fatal(err)
	}
	m := map[string]*ics.VEvent{}
	for _, e := range cal.Events() {
		m[e.Id()] = e
	}
	return m
}

func TestDifferencesOfARevision(t *testing.T) {
	before, after := plandoctest.Sample("metric"), plandoctest.Sample("metric")
	if d, err := (Printer{}).Differences(before, 0, after, 0); err != nil || len(d) != 0 {
		t.Fatalf("the same sheet differs: %v %v", d, err)
	}
	size := plandoc.MM(285)
	g := after.Sheets[0].Cuts[0]
	after.Sheets[0].Cuts[0].Pieces = g.Pieces[:len(g.Pieces)-1]
	after.Sheets[0].Cuts = append(after.Sheets[0].Cuts, plandoc.CutGroup{Tile: g.Tile, Tool: g.Tool, Size: &size, Pieces: g.Pieces[len(g.Pieces)-1:]})
	after.Activities[1].Work[0][0] = "2026-03-04T08:30:00+01:00"
	after.Sheets[0].Carry = after.Sheets[0].Carry[:1]
	got, err := Printer{}.Differences(before, 0, after, 0)
	if err != nil {
		t.Fatal(err)
	}
	want := []string{"set north wall, Bathroom: 08:30–14:30 instead of 08:00–14:30", "cut 30 to 285 and 286 instead of 286 and 289", "carry, dropped: 1 bag Flex wall mortar"}
	if strings.Join(got, "\n") != strings.Join(want, "\n") {
		t.Errorf("differences:\n%s\nwant:\n%s", strings.Join(got, "\n"), strings.Join(want, "\n"))
	}
}

func TestHatchStaysInside(t *testing.T) {
	rings := [][]Pt{{{0, 0}, {10, 0}, {10, 8}, {0, 8}}, {{3, 3}, {3, 5}, {6, 5}, {6, 3}}}
	c := &recorder{}
	hatch(c, rings, 0.7, Pen{W: 1, Ink: Dark})
	if len(c.lines) < 20 {
		t.Fatalf("only %d lines", len(c.lines))
	}
	for _, l := range c.lines {
		m := Pt{(l[0].X + l[1].X) / 2, (l[0].Y + l[1].Y) / 2}
		if m.X < 0 || m.X > 10 || m.Y < 0 || m.Y > 8 || m.X > 3 && m.X < 6 && m.Y > 3 && m.Y < 5 {
			t.Errorf("a hatch line runs through %v, outside", m)
		}
	}
}

// recorder is a Canvas that keeps its lines.
type recorder struct {
	svgCanvas
	lines [][2]Pt
}

func (r *recorder) Line(a, b Pt, _ Pen) { r.lines = append(r.lines, [2]Pt{a, b}) }

func TestUnknownPlacesAreErrors(t *testing.T) {
	doc := plandoctest.Sample("metric")
	if _, err := (Printer{}).Surface(doc, "no/such/wall"); err == nil {
		t.Error("a drawing of no surface")
	}
	if _, err := (Printer{}).SurfaceOn(doc, plandoctest.Floor, 0); err == nil {
		t.Error("a drawing of a surface on a day nothing is set on it")
	}
	if _, err := (Printer{}).NewDay(doc, len(doc.Sheets), plandoc.Mark{}); err == nil {
		t.Error("a sheet beyond the last")
	}
	if err := (Printer{}).OrderFile(io.Discard, doc, &doc.Orders[0], plandoc.OrderMark{}, "docx"); err == nil {
		t.Error("a format of orders there is none of")
	}
	if err := (Printer{}).DayFile(io.Discard, doc, 0, plandoc.Mark{}, "docx"); err == nil {
		t.Error("a format there is none of")
	}
}
