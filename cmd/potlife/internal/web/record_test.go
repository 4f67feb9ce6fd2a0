package web

import (
	"encoding/json"
	"net/url"
	"slices"
	"strings"
	"testing"

	"potlife/cmd/potlife/internal/plandoc"
	"potlife/cmd/potlife/internal/plandoc/plandoctest"
)

// A temperature is recorded from the sheet by its crew and from the room's page by
// the office, in the firm's degrees unless it says which; what is none is refused.
func TestTemperatureOfARoom(t *testing.T) {
	s := newSite(t, nil)
	s.signIn("3")
	if body := s.get(today).body; !strings.Contains(body, `id="temperature-form"`) || !strings.Contains(body, "in °C") {
		t.Error("the sheet has no form for a temperature")
	}
	for _, c := range []struct {
		key, room, date, shown string
		code                   int
		celsius                float64
	}{
		{"t-1", "orchard/bath", "2026-03-04", "11,5", 303, 11.5},
		{"t-2", "orchard/bath", "2026-03-04", "50 °F", 303, 10},
		{"t-3", "orchard/bath", "2026-03-04", "−2 °C", 303, -2},
		{"t-4", "orchard/bath", "2026-03-04", "0", 303, 0},
		{"t-5", "orchard/bath", "2026-03-04", "", 422, 0},
		{"t-6", "orchard/bath", "2026-03-04", "warm", 422, 0},
		{"t-7", "orchard/bath", "2026-03-04", "90 °C", 422, 0},
		{"t-8", "", "2026-03-04", "12", 422, 0},
	} {
		before := len(s.desks.records)
		r := s.post("/record", url.Values{"key": {c.key}, "kind": {"temperature"}, "crew": {"ada"}, "date": {c.date}, "room": {c.room}, "temperature": {c.shown}})
		if r.code != c.code || len(s.desks.records)-before != map[bool]int{true: 1}[c.code == 303] {
			t.Errorf("%q in %q answers %d, %d recorded", c.shown, c.room, r.code, len(s.desks.records)-before)
		} else if c.code == 303 && s.desks.records[before].Celsius != c.celsius {
			t.Errorf("%q is %g °C, want %g", c.shown, s.desks.records[before].Celsius, c.celsius)
		}
	}
	s.signIn("2")
	if body := s.get("/rooms/orchard/bath").body; !strings.Contains(body, `id="temperature-form"`) || !strings.Contains(body, "11.5 °C") {
		t.Error("the room's page has no form for a temperature, or does not show what was read")
	}
	before := len(s.desks.records)
	r := s.post("/record", url.Values{"key": {"t-9"}, "kind": {"temperature"}, "date": {"2026-03-04"}, "room": {"orchard/bath"}, "temperature": {"14"}})
	if r.code != 303 || r.head.Get("Location") != "/rooms/orchard/bath" || len(s.desks.records) != before+1 || s.desks.records[before].Crew != "" {
		t.Errorf("the office's reading answers %d to %q", r.code, r.head.Get("Location"))
	}
}

func TestRecordingWithoutScripts(t *testing.T) {
	s := newSite(t, nil)
	s.signIn("3")
	page := s.get(today)
	for _, want := range []string{`value="area done"`, `value="A1"`, `id="broken-form"`, `id="reading-form"`, `<a href="/jobs/orchard">All drawings of Orchard Row 7</a>`, "1 · North wall 1.00", "cut 5 to 288 instead of 289"} {
		if !strings.Contains(page.body, want) {
			t.Errorf("the sheet lacks %s", want)
		}
	}
	form := url.Values{"key": {"k-1-area-A1"}, "kind": {"area done"}, "crew": {"ada"}, "date": {"2026-03-04"}, "area": {"A1"}}
	for range 2 {
		if r := s.post("/record", form); r.code != 303 || r.head.Get("Location") != today {
			t.Fatalf("recording answers %d", r.code)
		}
	}
	if len(s.desks.records) != 1 || s.desks.records[0].By.Name != "Ada" || !s.desks.records[0].At.IsZero() {
		t.Errorf("recorded %+v", s.desks.records)
	}
	if r := s.get(today); !strings.Contains(r.body, "role=\"status\">") || !strings.Contains(r.body, `id="recorded"`) {
		t.Error("the sheet does not show what was recorded")
	}
	early := url.Values{"key": {"k-3"}, "kind": {"area done"}, "crew": {"ada"}, "date": {"2026-03-04"}, "area": {"A2"}, "up_to": {s.desks.plan.Document.Areas[1].Pieces[6]}}
	if r := s.post("/record", early); r.code != 303 {
		t.Fatalf("an area that ended early answers %d", r.code)
	}
	if got := s.desks.records[1].Pieces; len(got) != 7 || got[6] != early.Get("up_to") {
		t.Errorf("set up to the seventh piece: %v", got)
	}
	early.Set("up_to", s.desks.plan.Document.Areas[0].Pieces[0])
	if r := s.post("/record", early); r.code != 422 {
		t.Errorf("a piece of another area answers %d", r.code)
	}
	reading := url.Values{"key": {"k-2"}, "kind": {"reading"}, "crew": {"ada"}, "date": {"2026-03-04"}, "surface": {plandoctest.Wall}, "edge": {"1"}, "edge_at": {"1.2 m"}, "deviation": {"−4"}}
	if r := s.post("/record", reading); r.code != 303 {
		t.Fatalf("a reading answers %d", r.code)
	}
	if got := s.desks.records[2]; got.DeviationMM != -4 || got.EdgeAtMM != 1200 || got.Edge != 1 {
		t.Errorf("reading %+v", got.RecordIn)
	}
	room := s.get("/rooms/orchard/bath").body
	for _, want := range []string{"area done: North wall", "reading: North wall, right, inside corner: -4 mm", "set north wall"} {
		if !strings.Contains(room, want) {
			t.Errorf("the room's timeline lacks %q", want)
		}
	}
	if r := s.get(today + "?revision=1"); strings.Contains(r.body, "broken-form") || !strings.Contains(r.body, "Replaced by revision 2") {
		t.Error("a replaced sheet can be recorded on, or is not stamped")
	}
}

func TestRecordsAreCheckedBeforeTheyAreKept(t *testing.T) {
	s := newSite(t, nil)
	s.signIn("3")
	good := map[string]any{"key": "0123456789", "kind": "area done", "at": "2026-03-04T08:55:00Z", "date": "2026-03-04", "area": "A1"}
	send := func(changes map[string]any) reply {
		body := map[string]any{}
		for k, v := range good {
			body[k] = v
		}
		for k, v := range changes {
			if v == nil {
				delete(body, k)
			} else {
				body[k] = v
			}
		}
		b, err := json.Marshal(body)
		if err != nil {
			t.Fatal(err)
		}
		return s.json("/api/v1/records", string(b))
	}
	for name, c := range map[string]struct {
		change map[string]any
		want   int
		says   string
	}{
		"another crew":         {map[string]any{"crew": "bo"}, 403, "another crew"},
		"another area's piece": {map[string]any{"up_to": "nowhere"}, 422, "up_to"},
		"no key":               {map[string]any{"key": nil}, 422, "key"},
		"short key":            {map[string]any{"key": "1"}, 422, "key"},
		"unknown kind":         {map[string]any{"kind": "lunch"}, 422, "kind"},
		"unknown field":        {map[string]any{"lunch": true}, 422, "lunch"},
		"no area":              {map[string]any{"area": nil}, 422, "which area"},
		"no pieces":            {map[string]any{"kind": "pieces broken"}, 422, "pieces"},
		"a day of February":    {map[string]any{"date": "2026-02-30"}, 422, "date"},
		"tomorrow's report":    {map[string]any{"at": "2026-03-05T09:00:00Z"}, 422, "clock"},
		"a reading of words":   {map[string]any{"kind": "reading", "surface": plandoctest.Wall, "deviation": "about four"}, 422, "character"},
		"a reading of a mile":  {map[string]any{"kind": "reading", "surface": plandoctest.Wall, "deviation": "900 m"}, 422, "metre"},
		"a reading of none":    {map[string]any{"kind": "reading", "surface": plandoctest.Wall}, 422, "outside"},
		"an endless day":       {map[string]any{"kind": "hours", "minutes": 1441}, 422, "minutes"},
		"no note, no photo":    {map[string]any{"kind": "note", "note": "  "}, 422, "no photo"},
		"a photo of words":     {map[string]any{"kind": "note", "photos": []string{"bm8gcGljdHVyZQ=="}}, 422, "no picture"},
		"five photos":          {map[string]any{"kind": "note", "photos": []string{"", "", "", "", ""}}, 422, "photos"},
		"boxes of nothing":     {map[string]any{"kind": "boxes opened", "packages": 1}, 422, "what was opened"},
		"no boxes":             {map[string]any{"kind": "boxes opened", "product": "bone"}, 422, "how many"},
		"a thousand boxes":     {map[string]any{"kind": "boxes opened", "product": "bone", "packages": 1000}, 422, "packages"},
		"taken back: nothing":  {map[string]any{"kind": "withdrawn"}, 422, "which report"},
		"a day in autumn":      {map[string]any{"date": "2026-10-04"}, 422, "60 days"},
		"a time of words":      {map[string]any{"at": nil, "time": "noon"}, 422, "14:30"},
		"tonight already":      {map[string]any{"at": nil, "time": "23:30"}, 422, "clock"},
		"minutes below none":   {map[string]any{"minutes": -5}, 422, "minutes"},
		"a long note":          {map[string]any{"kind": "note", "note": strings.Repeat("ä", 4001)}, 422, "note"},
		"a lot like a book":    {map[string]any{"kind": "boxes opened", "product": "bone", "packages": 1, "lot": strings.Repeat("L", 61)}, 422, "lot"},
		"an empty note":        {map[string]any{"kind": "note", "note": nil}, 422, "note"},
	} {
		if r := send(c.change); r.code != c.want || !strings.Contains(r.body, c.says) || !strings.HasPrefix(r.head.Get("Content-Type"), "application/problem+json") {
			t.Errorf("%s answers %d %s, want %d with %q", name, r.code, r.body, c.want, c.says)
		}
	}
	if r := s.json("/api/v1/records", "{not json"); r.code != 400 {
		t.Errorf("no JSON answers %d", r.code)
	}
	if r := s.json("/api/v1/records", `{"note":"`+strings.Repeat("x", 25<<20)+`"}`); r.code != 413 {
		t.Errorf("25 MB answer %d", r.code)
	}
	if len(s.desks.records) != 0 {
		t.Fatalf("%d bad reports were kept", len(s.desks.records))
	}
	for i, again := range []string{"false", "true"} {
		if r := send(nil); r.code != 200 || !strings.Contains(r.body, `"again":`+again) {
			t.Errorf("sending %d answers %d %s", i+1, r.code, r.body)
		}
	}
	if got := s.desks.records; len(got) != 1 || got[0].Crew != "ada" {
		t.Errorf("kept %+v", got)
	}
}

// withNames gives the people of Ada's crew names, in the plan and on its sheets.
func withNames(d *desks) *desks {
	doc := *d.plan.Document
	doc.Crews = slices.Clone(doc.Crews)
	for i := range doc.Crews {
		if doc.Crews[i].Key == plandoctest.CrewA {
			doc.Crews[i].People = []plandoc.Person{{Name: "Mia", Helper: true}, {Name: "Jon"}}
		}
	}
	d.plan.Document = &doc
	for i := range d.issued {
		d.issued[i].Document = &doc
	}
	return d
}

// A crew whose people have names says who did the work, on its sheet and where a report
// is put right; other crews are not asked.
func TestWhoDidIt(t *testing.T) {
	s := newSite(t, nil)
	s.signIn("3")
	if body := s.get(today).body; strings.Contains(body, "done_by") {
		t.Error("a crew without names is asked who did it")
	}
	withNames(s.desks)
	const box = `<input type="checkbox" name="done_by" value="Jon"> Jon</label><label class="check"><input type="checkbox" name="done_by" value="Mia"> Mia</label>`
	body := s.get(today).body
	if early, done := strings.Count(body, `name="up_to"`), strings.Count(body, `"done-form"`)+strings.Count(body, ` done-form"`); strings.Count(body, box) != early+done+1 || early == 0 || done == 0 {
		t.Errorf("the sheet asks %d times who did it: want it at %d buttons, %d areas that ended early and the hours", strings.Count(body, box), done, early)
	}
	form := url.Values{"key": {"w-1"}, "kind": {"area done"}, "crew": {"ada"}, "date": {"2026-03-04"}, "area": {"A1"}, "done_by": {"Jon", ""}}
	if r := s.post("/record", form); r.code != 303 || len(s.desks.records) != 1 || !slices.Equal(s.desks.records[0].DoneBy, []string{"Jon"}) {
		t.Fatalf("answers %d, recorded %+v", r.code, s.desks.records)
	}
	if body := s.get(today).body; !strings.Contains(body, "done by Jon") {
		t.Error("the sheet does not say who did it")
	}
	if body := s.get("/records/" + s.desks.records[0].ID).body; !strings.Contains(body, `value="Jon" checked> Jon`) || !strings.Contains(body, `value="Mia"> Mia`) {
		t.Error("the form that puts it right does not know who did it")
	}
	b := s.json("/api/v1/records", `{"key": "w-20000000", "kind": "hours", "date": "2026-03-04", "area": "A1", "minutes": 90, "done_by": ["Jon", "Mia"]}`)
	if got := s.desks.records; b.code != 200 && b.code != 201 || len(got) != 2 || len(got[1].DoneBy) != 2 {
		t.Errorf("the API answers %d %s, recorded %+v", b.code, b.body, got)
	}
	if r := s.json("/api/v1/records", `{"key": "w-30000000", "kind": "note", "note": "n", "date": "2026-03-04", "done_by": ["Jon"]}`); r.code != 422 || !strings.Contains(r.body, "done_by") {
		t.Errorf("a note of somebody's answers %d %s", r.code, r.body)
	}
	s.signIn("2")
	if r := s.get("/what-if?kind=person+away&crew=ada&from=2026-03-04&to=2026-03-05&text=Mia"); r.code != 200 || !strings.Contains(r.body, `<option value="Mia" selected>Mia, `) {
		t.Errorf("what if Mia is away answers %d", r.code)
	}
	s.signIn("3")
	not := url.Values{"key": {"w-4"}, "kind": {"area done"}, "crew": {"ada"}, "date": {"2026-03-04"}, "area": {"A1"}, "up_to": {"none"}, "done_by": {"Jon"}}
	early := url.Values{"key": {"w-5"}, "kind": {"area done"}, "crew": {"ada"}, "date": {"2026-03-04"}, "area": {"A1"}, "up_to": {s.desks.plan.Document.Areas[0].Pieces[0]}, "done_by": {"Jon"}}
	if r := s.post("/record", not); r.code != 303 || len(s.desks.records) != 3 || s.desks.records[2].DoneBy != nil {
		t.Errorf("what was not done answers %d, recorded %+v", r.code, s.desks.records)
	}
	if r := s.post("/record", early); r.code != 303 || len(s.desks.records) != 4 || !slices.Equal(s.desks.records[3].DoneBy, []string{"Jon"}) || len(s.desks.records[3].Pieces) != 1 {
		t.Errorf("what ended early answers %d, recorded %+v", r.code, s.desks.records)
	}
}
