package web

import (
	"bytes"
	"encoding/binary"
	"encoding/csv"
	"mime/multipart"
	"net/url"
	"strconv"
	"strings"
	"testing"
	"time"
)

// yesterday's sheet is the sample's, looked at from the day after.
func daysSite(t *testing.T) *site {
	t.Helper()
	return newSite(t, func(o *Options) { o.Now = func() time.Time { return testNow.AddDate(0, 0, 1) } })
}

func (s *site) records(more ...RecordRow) {
	for i, r := range more {
		r.Crew, r.Date, r.By = "ada", "2026-03-04", User{Name: "Ada"}
		r.Key = "k" + strconv.Itoa(len(s.desks.records))
		if r.At.IsZero() {
			r.At = testNow.Add(time.Duration(i) * time.Minute)
		}
		r.ID = "r" + r.Key
		s.desks.records = append(s.desks.records, r)
	}
}

// figures reads the comparison's file: "what product" → planned, done, unconfirmed.
func (s *site) figures(t *testing.T) map[string][3]string {
	t.Helper()
	r := s.get("/days/days.csv?from=2026-03-01&to=2026-03-05")
	rows, err := csv.NewReader(strings.NewReader(r.body)).ReadAll()
	if err != nil || r.code != 200 || strings.Join(rows[0], ",") != "day,crew,what,product,unit,planned,done,unconfirmed" {
		t.Fatalf("days.csv: %d, %v, %v", r.code, err, rows)
	}
	out := map[string][3]string{}
	for _, row := range rows[1:] {
		if row[0] != "2026-03-04" || row[1] != "ada" {
			t.Errorf("a row of %s on %s", row[1], row[0])
		}
		out[strings.TrimSpace(row[2]+" "+row[3])] = [3]string(row[5:8])
	}
	return out
}

func TestPlannedAgainstDone(t *testing.T) {
	s := daysSite(t)
	s.signIn("2")
	silent := s.figures(t)
	for what, f := range silent {
		if what != "hours" && what != "broken" && !strings.HasPrefix(what, "opened") && f[0] != f[1] {
			t.Errorf("nobody reported, and %s is planned %s, done %s", what, f[0], f[1])
		}
	}
	if f := silent["areas"]; f[0] == "0" || f[2] == "0" {
		t.Errorf("areas, unreported: %v", f)
	}
	if f := silent["hours"]; f[0] == "0" || f[1] != "" {
		t.Errorf("hours, unreported: %v", f)
	}
	if body := s.get("/days?from=2026-03-01&to=2026-03-05").body; !strings.Contains(body, "unconfirmed") || !strings.Contains(body, "not reported") || !strings.Contains(body, `id="products"`) {
		t.Error("the page does not say that nobody reported")
	}
	a := s.desks.plan.Document.Areas
	s.records(
		RecordRow{RecordIn: RecordIn{Kind: "area done", Area: a[0].ID}},
		RecordRow{RecordIn: RecordIn{Kind: "area done", Area: a[1].ID, Pieces: a[1].Pieces[:3]}},
		RecordRow{RecordIn: RecordIn{Kind: "hours", MinutesWorked: 60, Area: a[0].ID}},
		RecordRow{RecordIn: RecordIn{Kind: "hours", MinutesWorked: 400}},
		RecordRow{RecordIn: RecordIn{Kind: "pieces broken", Pieces: a[0].Pieces[:2]}},
		RecordRow{RecordIn: RecordIn{Kind: "boxes opened", Product: "bone", Lot: "K7", Packages: 2.5}},
	)
	got := s.figures(t)
	if set := len(a[0].Pieces) + 3; strings.TrimSpace(got["areas"][1]) != "2" || piecesOf(got, 1) != set {
		t.Errorf("areas %v, %d pieces; want 2 and %d", got["areas"], piecesOf(got, 1), set)
	}
	if got["hours"][1] != "400" || got["broken"][1] != "2" || got["opened bone"][1] != "2.5" {
		t.Errorf("hours %v, broken %v, boxes %v", got["hours"], got["broken"], got["opened bone"])
	}
	// The hours were wrong and are put right; the first area was not set after all.
	s.records(RecordRow{RecordIn: RecordIn{Kind: "hours", MinutesWorked: 420, Corrects: "k3"}, ID: "x"},
		RecordRow{RecordIn: RecordIn{Kind: "area not done", Area: a[0].ID, At: testNow.Add(time.Hour)}})
	got = s.figures(t)
	if got["hours"][1] != "420" || piecesOf(got, 1) != 3 || piecesOf(got, 0) != piecesOf(silent, 0) {
		t.Errorf("after the correction: hours %v, %d pieces done of %d", got["hours"], piecesOf(got, 1), piecesOf(got, 0))
	}
}

func piecesOf(f map[string][3]string, column int) int {
	n := 0
	for what, row := range f {
		if strings.HasPrefix(what, "set ") {
			v, _ := strconv.Atoi(row[column])
			n += v
		}
	}
	return n
}

func TestADayAsItWas(t *testing.T) {
	s := daysSite(t)
	s.signIn("2")
	a := s.desks.plan.Document.Areas
	s.records(RecordRow{RecordIn: RecordIn{Kind: "area done", Area: a[0].ID}}, RecordRow{RecordIn: RecordIn{Kind: "hours", MinutesWorked: 400, Corrects: "k9"}})
	page := s.get("/days/2026-03-04").body
	for _, want := range []string{"set north wall", "?revision=1", "?revision=2", "area done", "400 min", "plan.json", "/days/2026-03-03"} {
		if !strings.Contains(page, want) {
			t.Errorf("the day lacks %q", want)
		}
	}
	s.signIn("4")
	if page := s.get("/days/2026-03-04").body; strings.Contains(page, "area done") || strings.Contains(page, "plan.json") {
		t.Error("a crew sees another crew's day")
	}
	s.signIn("3")
	for path, want := range map[string]string{"/records/rk0": "Put it right", "/records/rk1": "Take it back"} {
		if r := s.get(path); r.code != 200 || !strings.Contains(r.body, want) {
			t.Errorf("%s answers %d without %q", path, r.code, want)
		}
	}
	s.signIn("4")
	if r := s.get("/records/rk0"); r.code != 403 {
		t.Errorf("another crew's report answers %d", r.code)
	}
}

// TestCorrectingWithoutScripts puts a report right from its page and takes
// another back.
func TestCorrectingWithoutScripts(t *testing.T) {
	s := newSite(t, nil)
	s.signIn("3")
	a := s.desks.plan.Document.Areas
	form := url.Values{"key": {"first"}, "kind": {"area done"}, "crew": {"ada"}, "date": {"2026-03-04"}, "area": {a[0].ID}}
	if r := s.post("/record", form); r.code != 303 {
		t.Fatalf("the report answers %d", r.code)
	}
	page := s.get("/records/rfirst").body
	for _, want := range []string{`id="right-form"`, `name="corrects" value="first"`, `value="none"`, `id="back-form"`} {
		if !strings.Contains(page, want) {
			t.Errorf("the report's page lacks %s", want)
		}
	}
	form.Set("key", "second")
	form.Set("corrects", "first")
	form.Set("up_to", "none")
	if r := s.post("/record", form); r.code != 303 {
		t.Fatalf("the correction answers %d: %s", r.code, r.body)
	}
	if got := s.desks.records[1]; got.Kind != "area not done" || got.Corrects != "first" {
		t.Errorf("corrected to %+v", got.RecordIn)
	}
	if page := s.get("/records/rfirst").body; !strings.Contains(page, "put right by") || strings.Contains(page, "right-form") {
		t.Error("the first report does not say that it was put right, or can be put right again")
	}
	if page := s.get("/records/rsecond").body; !strings.Contains(page, "puts right an earlier report") {
		t.Error("the second report does not say what it puts right")
	}
	if page := s.get(today).body; !strings.Contains(page, "put right since") {
		t.Error("the sheet shows both reports alike")
	}
	back := url.Values{"key": {"third"}, "kind": {"withdrawn"}, "crew": {"ada"}, "date": {"2026-03-04"}, "corrects": {"second"}}
	if r := s.post("/record", back); r.code != 303 || s.desks.records[2].Corrects != "second" {
		t.Errorf("taking back answers %d", r.code)
	}
}

// TestAPhotoWithoutScripts sends the form as a browser without scripts does.
func TestAPhotoWithoutScripts(t *testing.T) {
	s := newSite(t, nil)
	s.signIn("3")
	send := func(key string, files ...[]byte) reply {
		t.Helper()
		var b bytes.Buffer
		w := multipart.NewWriter(&b)
		for k, v := range map[string]string{"key": key, "kind": "note", "crew": "ada", "date": "2026-03-04", "note": "", "surface": "orchard/bath/north"} {
			if err := w.WriteField(k, v); err != nil {
				t.Fatal(err)
			}
		}
		for _, f := range files {
			part, err := w.CreateFormFile("photos", "a.jpg")
			if err == nil {
				_, err = part.Write(f)
			}
			if err != nil {
				t.Fatal(err)
			}
		}
		if err := w.Close(); err != nil {
			t.Fatal(err)
		}
		return s.do(s.request("POST", "/record", w.FormDataContentType(), b.String()))
	}
	good := withExif(t, picture(2000), 6, binary.BigEndian)
	if r := send("p", good, nil); r.code != 303 {
		t.Fatalf("a photo answers %d: %s", r.code, r.body)
	}
	for name, files := range map[string][][]byte{"no picture": {[]byte("words")}, "nothing at all": {nil}, "too many": {good, good, good, good, good}} {
		if r := send(name, files...); r.code != 422 {
			t.Errorf("%s answers %d", name, r.code)
		}
	}
	if n := len(s.desks.records); n != 1 {
		t.Fatalf("%d reports were kept", n)
	}
	for _, page := range []string{today, "/rooms/orchard/bath", "/records/rp", "/days/2026-03-04"} {
		if !strings.Contains(s.get(page).body, `src="/records/rp/photos/0"`) {
			t.Errorf("%s does not show the photo", page)
		}
	}
	if r := s.get("/records/rp/photos/0"); r.code != 200 || r.head.Get("Content-Type") != "image/jpeg" || !strings.HasPrefix(r.body, "\xff\xd8") || strings.Contains(r.body, "GPS") {
		t.Errorf("the photo answers %d", r.code)
	}
	for _, path := range []string{"/records/rp/photos/1", "/records/rp/photos/x", "/records/rp/photos/-1"} {
		if r := s.get(path); r.code != 404 {
			t.Errorf("%s answers %d", path, r.code)
		}
	}
	s.signIn("4")
	if r := s.get("/records/rp/photos/0"); r.code != 403 {
		t.Errorf("another crew's photo answers %d", r.code)
	}
}

func TestARoomsTimelineShowsAllThatHappened(t *testing.T) {
	s := newSite(t, nil)
	s.desks.happened = []Happening{{At: testNow, Kind: "delivery", Who: "Olive", Text: "12 of bone, lot K7"}, {At: testNow, Kind: "sheet", Who: "ada", Text: "sheet of 2026-03-04, revision 1"},
		{At: testNow, Kind: "sheet", Who: "bo", Text: "sheet of 2026-03-05, revision 1"}}
	s.signIn("3")
	page := s.get("/rooms/orchard/bath").body
	for _, want := range []string{"12 of bone, lot K7", "sheet of 2026-03-04, revision 1", "set north wall"} {
		if !strings.Contains(page, want) {
			t.Errorf("the timeline lacks %q", want)
		}
	}
	if strings.Contains(page, "sheet of 2026-03-05") {
		t.Error("a crew sees another crew's sheet")
	}
}
