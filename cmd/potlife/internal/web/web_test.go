package web

import (
	"bytes"
	"encoding/json"
	"fmt"
	"net/http"
	"net/url"
	"os"
	"regexp"
	"strings"
	"testing"

	"potlife/cmd/potlife/internal/plandoc"
)

const (
	north = "/surfaces/orchard/bath/north"
	today = "/sheets/ada/2026-03-04"
)

// TestEveryPathAsksWhoYouAre walks all addresses as nobody and as each role.
func TestEveryPathAsksWhoYouAre(t *testing.T) {
	s := newSite(t, nil)
	paths := []struct {
		path string
		want [4]int // nobody, contractor, office, crew
	}{
		{"/healthz", [4]int{200, 200, 200, 200}},
		{"/readyz", [4]int{200, 200, 200, 200}},
		{"/sign-in", [4]int{200, 200, 200, 200}},
		{"/static/style.css", [4]int{200, 200, 200, 200}},
		{"/worker.js", [4]int{200, 200, 200, 200}},
		{"/", [4]int{303, 303, 303, 303}},
		{"/board", [4]int{303, 200, 200, 403}},
		{"/jobs", [4]int{303, 200, 200, 403}},
		{"/what-if", [4]int{303, 200, 200, 403}},
		{"/api/v1/likely", [4]int{401, 200, 200, 403}},
		{"/api/v1/what-if?kind=more+setters&crew=ada&count=1", [4]int{401, 200, 200, 403}},
		{"/jobs/orchard", [4]int{303, 200, 200, 200}},
		{"/rooms/orchard/bath", [4]int{303, 200, 200, 200}},
		{"/rooms/orchard/attic", [4]int{303, 404, 404, 404}},
		{north, [4]int{303, 200, 200, 200}},
		{north + "/drawing.svg", [4]int{303, 200, 200, 200}},
		{"/takeoff", [4]int{303, 200, 200, 403}},
		{"/orders", [4]int{303, 200, 200, 403}},
		{"/takeoff/costs.csv", [4]int{303, 200, 200, 403}},
		{"/stock", [4]int{303, 200, 200, 403}},
		{"/stock/stock.csv", [4]int{303, 200, 200, 403}},
		{"/prices", [4]int{303, 200, 200, 403}},
		{"/prices/template.csv", [4]int{303, 200, 200, 403}},
		{"/orders/PO-kiln-1", [4]int{303, 200, 200, 403}},
		{"/orders/PO-kiln-1/order.pdf", [4]int{303, 200, 200, 403}},
		{"/orders/PO-kiln-1/order.xlsx", [4]int{303, 200, 200, 403}},
		{"/schedule", [4]int{303, 200, 200, 403}},
		{"/days", [4]int{303, 200, 200, 403}},
		{"/days?from=2026-03-09&to=2026-03-02", [4]int{303, 422, 422, 403}},
		{"/days?from=2020-03-09", [4]int{303, 422, 422, 403}},
		{"/days?from=yesterday", [4]int{303, 422, 422, 403}},
		{"/days?day=2026-03-04", [4]int{303, 303, 303, 403}},
		{"/days/days.csv", [4]int{303, 200, 200, 403}},
		{"/days/2026-03-04", [4]int{303, 200, 200, 200}},
		{"/days/2020-01-01", [4]int{303, 200, 200, 200}},
		{"/days/2026-02-30", [4]int{303, 404, 404, 404}},
		{"/days/2026-03-04/plan.json", [4]int{303, 200, 200, 403}},
		{"/days/2020-01-01/plan.json", [4]int{303, 404, 404, 403}},
		{"/records/r99", [4]int{303, 404, 404, 404}},
		{"/records/r99/photos/0", [4]int{303, 404, 404, 404}},
		{"/sheets", [4]int{303, 200, 200, 200}},
		{today, [4]int{303, 200, 200, 200}},
		{today + "?revision=1", [4]int{303, 200, 200, 200}},
		{today + "/day.pdf", [4]int{303, 200, 200, 200}},
		{today + "/cuts.csv", [4]int{303, 200, 200, 200}},
		{today + "/day.json", [4]int{303, 200, 200, 200}},
		{"/sheets/bo/2026-03-05", [4]int{303, 200, 200, 403}},
		{"/sheets/bo/2026-03-05/day.pdf", [4]int{303, 200, 200, 403}},
		{"/calendars/crew/ada.ics", [4]int{303, 200, 200, 200}},
		{"/calendars/crew/bo.ics", [4]int{303, 200, 200, 404}},
		{"/calendars/job/orchard.ics", [4]int{303, 200, 200, 200}},
		{"/deliveries", [4]int{303, 200, 200, 403}},
		{"/crews", [4]int{303, 200, 200, 200}},
		{"/people", [4]int{303, 200, 403, 403}},
		{"/metrics", [4]int{303, 200, 403, 403}},
		{"/openapi.json", [4]int{303, 200, 200, 200}},
		{"/openapi.yaml", [4]int{303, 200, 200, 200}},
		{"/api/v1/plan", [4]int{401, 200, 200, 403}},
		{"/api/v1/jobs", [4]int{401, 200, 200, 403}},
		{"/api/v1/jobs/orchard", [4]int{401, 200, 200, 200}},
		{"/api/v1/surfaces/orchard/bath/north", [4]int{401, 200, 200, 200}},
		{"/api/v1/takeoff", [4]int{401, 200, 200, 403}},
		{"/api/v1/orders", [4]int{401, 200, 200, 403}},
		{"/api/v1/orders/PO-kiln-1", [4]int{401, 200, 200, 403}},
		{"/api/v1/schedule", [4]int{401, 200, 200, 403}},
		{"/api/v1/sheets", [4]int{401, 200, 200, 200}},
		{"/api/v1/sheets?crew=bo", [4]int{401, 200, 200, 403}},
		{"/api/v1/sheets/ada/2026-03-04", [4]int{401, 200, 200, 200}},
		{"/api/v1/sheets/bo/2026-03-05", [4]int{401, 200, 200, 403}},
		{"/api/v1/records", [4]int{401, 200, 200, 200}},
		{"/api/v1/records?crew=bo", [4]int{401, 200, 200, 403}},
		{"/nowhere", [4]int{404, 404, 404, 404}},
		{"/api/v1/nowhere", [4]int{401, 404, 404, 404}},
		{"/jobs/nowhere", [4]int{303, 404, 404, 404}},
		{"/surfaces/orchard/bath/ceiling", [4]int{303, 404, 404, 404}},
		{"/orders/PO-0", [4]int{303, 404, 404, 403}},
		{"/orders/PO-kiln-1/order.exe", [4]int{303, 404, 404, 403}},
		{"/sheets/ada/2026-02-30", [4]int{303, 404, 404, 404}},
		{"/sheets/ada/2026-03-04?revision=9", [4]int{303, 404, 404, 404}},
		{"/sheets/ada/2026-03-04?revision=one", [4]int{303, 404, 404, 404}},
		{"/sheets/ada/2027-01-01", [4]int{303, 404, 404, 404}},
	}
	for i, id := range []string{"", "1", "2", "3"} {
		s.fresh()
		if id != "" {
			s.signIn(id)
		}
		for _, c := range paths {
			r := s.get(c.path)
			if r.code != c.want[i] {
				t.Errorf("GET %s as %q answers %d, want %d", c.path, id, r.code, c.want[i])
			}
			if r.head.Get("Content-Security-Policy") == "" || r.head.Get("X-Content-Type-Options") != "nosniff" {
				t.Errorf("GET %s lacks security headers", c.path)
			}
		}
	}
}

func TestACrewWithoutWorkSeesNoJob(t *testing.T) {
	s := newSite(t, nil)
	s.signIn("5")
	for _, p := range []string{"/jobs/orchard", "/rooms/orchard/bath", north, north + "/drawing.svg", "/calendars/job/orchard.ics", "/api/v1/jobs/orchard", "/api/v1/surfaces/orchard/bath/north"} {
		if r := s.get(p); r.code != 404 {
			t.Errorf("GET %s answers %d, want 404", p, r.code)
		}
	}
}

func TestASignInLinkWorksOnceAndOnlyWhenPressed(t *testing.T) {
	s := newSite(t, nil)
	s.desks.links["abc"] = s.desks.people["2"]
	for range 3 {
		if r := s.get("/sign-in/abc"); r.code != 200 || !strings.Contains(r.body, `value="abc"`) {
			t.Fatalf("opening the link answers %d", r.code)
		}
	}
	r := s.post("/sign-in", url.Values{"token": {s.srv.URL + "/sign-in/abc"}, "next": {"/orders"}})
	if r.code != 303 || r.head.Get("Location") != "/orders" {
		t.Fatalf("pressing the button answers %d to %s", r.code, r.head.Get("Location"))
	}
	if s.get("/orders").code != 200 {
		t.Fatal("not signed in")
	}
	s.post("/sign-out", nil)
	if s.get("/orders").code != 303 {
		t.Fatal("still signed in after signing out")
	}
	if r := s.post("/sign-in", url.Values{"token": {"abc"}}); r.code != 410 || !strings.Contains(r.body, "used before") {
		t.Errorf("the link works twice: %d", r.code)
	}
	if r := s.post("/sign-in", url.Values{}); r.code != 422 {
		t.Errorf("no link answers %d", r.code)
	}
	for _, next := range []string{"https://elsewhere.example/", "//elsewhere.example", `/\elsewhere.example`} {
		s.desks.links["n"] = s.desks.people["2"]
		if r := s.post("/sign-in", url.Values{"token": {"n"}, "next": {next}}); r.head.Get("Location") != "/" {
			t.Errorf("sign-in leads to %s", r.head.Get("Location"))
		}
	}
}

func TestAGrownEpochEndsSessions(t *testing.T) {
	s := newSite(t, nil)
	s.signIn("2")
	u := s.desks.people["2"]
	u.Epoch++
	s.desks.people["2"] = u
	if r := s.get("/board"); r.code != 303 {
		t.Errorf("an ended session answers %d", r.code)
	}
	s.signIn("4")
	delete(s.desks.people, "4")
	if r := s.get("/sheets"); r.code != 303 {
		t.Errorf("the session of a person who is gone answers %d", r.code)
	}
}

func TestFormsFromElsewhereAreRefused(t *testing.T) {
	s := newSite(t, func(o *Options) { o.PublicURL = "https://tiles.example/" })
	s.signIn("1")
	for origin, want := range map[string]int{"https://evil.example": 403, "https://tiles.example": 303} {
		r := s.request("POST", "/orders/PO-kiln-1/place", "application/x-www-form-urlencoded", "key=k1")
		r.Header.Set("Origin", origin)
		r.Header.Set("Sec-Fetch-Site", "cross-site")
		// The cookie is for https only, so it is sent by hand.
		if got := s.do(r).code; got != want {
			t.Errorf("a form from %s answers %d, want %d", origin, got, want)
		}
	}
}

func TestUnknownErrorsShowOnlyAnIncident(t *testing.T) {
	s := newSite(t, func(o *Options) { o.NewKey = func() string { return "1234567890abcdef" } })
	s.signIn("1")
	s.desks.broken = errDatabase
	for _, p := range []string{"/board", "/api/v1/jobs", "/sheets"} {
		r := s.get(p)
		if r.code != 500 || !strings.Contains(r.body, "12345678") || strings.Contains(r.body, "password") || strings.Contains(r.body, "10.0.0.7") {
			t.Errorf("GET %s answers %d:\n%s", p, r.code, r.body)
		}
	}
	if r := s.get("/readyz"); r.code != 503 || strings.Contains(r.body, "password") {
		t.Errorf("readyz: %d %s", r.code, r.body)
	}
	if r := s.get("/healthz"); r.code != 200 {
		t.Errorf("healthz answers %d with the database away", r.code)
	}
}

func TestPlacingAndReceivingAnOrder(t *testing.T) {
	s := newSite(t, nil)
	s.signIn("2")
	place := url.Values{"key": {"k-1"}, "note": {"by telephone"}}
	if r := s.post("/orders/PO-kiln-1/place", place); r.code != 303 || r.head.Get("Location") != "/orders/PO-kiln-1" {
		t.Fatalf("placing answers %d", r.code)
	}
	if r := s.get("/orders/PO-kiln-1"); !strings.Contains(r.body, "is placed") || !strings.Contains(r.body, "by telephone") || !strings.Contains(r.body, `id="receive-form"`) {
		t.Error("the order does not show that it is placed")
	}
	if r := s.post("/orders/PO-kiln-1/place", place); r.code != 409 || !strings.Contains(r.body, "placed already") || !strings.Contains(r.body, "<h1>Order 17") {
		t.Errorf("placing twice answers %d", r.code)
	}
	receive := url.Values{"key": {"k-2"}, "date": {"2026-03-04"}, "product": {"slate-30", "flex"}, "lot": {"S-9", ""}, "calibre": {"6", ""}, "packages": {"4", "0"}, "damaged": {"1", ""}}
	for field, bad := range map[string]string{"packages": "four", "damaged": "9", "date": "yesterday", "key": ""} {
		form := url.Values{}
		for k, v := range receive {
			form[k] = append([]string(nil), v...)
		}
		form[field][0] = bad
		r := s.post("/orders/PO-kiln-1/receive", form)
		if r.code != 422 || !strings.Contains(r.body, `role="alert"`) || !strings.Contains(r.body, `value="S-9"`) {
			t.Errorf("%s %q answers %d, or loses what was typed", field, bad, r.code)
		}
	}
	if len(s.desks.receipt) != 0 {
		t.Fatal("a refused delivery was booked")
	}
	if r := s.post("/orders/PO-kiln-1/receive", receive); r.code != 303 {
		t.Fatalf("receiving answers %d %s", r.code, r.body)
	}
	got := s.desks.receipt[0]
	if len(got.Lines) != 1 || got.Lines[0] != (ReceiveLine{Product: "slate-30", Lot: "S-9", Calibre: "6", Packages: 4, Damaged: 1}) || got.By.Name != "Olive" {
		t.Errorf("booked %+v", got)
	}
	if r := s.post("/orders/PO-kiln-1/step", url.Values{"to": {"eaten"}}); r.code != 422 {
		t.Errorf("an order that is eaten answers %d", r.code)
	}
	if r := s.post("/orders/PO-kiln-1/step", url.Values{"to": {"closed"}, "note": {"paid"}}); r.code != 303 {
		t.Errorf("closing answers %d %s", r.code, r.body)
	}
	if r := s.get("/orders/PO-kiln-1"); !strings.Contains(r.body, "paid") || strings.Contains(r.body, `id="step-form"`) {
		t.Error("a closed order offers another step, or has forgotten its last")
	}
}

func TestOpenAPIDescribesWhatIsServed(t *testing.T) {
	s := newSite(t, nil)
	s.signIn("2")
	var doc struct {
		OpenAPI string                    `json:"openapi"`
		Paths   map[string]map[string]any `json:"paths"`
	}
	if err := json.Unmarshal([]byte(s.get("/openapi.json").body), &doc); err != nil {
		t.Fatal(err)
	}
	if !strings.HasPrefix(doc.OpenAPI, "3.1") || doc.Paths["/api/v1/records"]["post"] == nil || len(doc.Paths) < 12 {
		t.Errorf("OpenAPI %s with %d paths", doc.OpenAPI, len(doc.Paths))
	}
	for p, methods := range doc.Paths {
		if methods["get"] == nil {
			continue
		}
		p = strings.NewReplacer("{job}", "orchard", "{room}", "bath", "{surface}", "north", "{order}", "PO-kiln-1", "{crew}", "ada", "{date}", "2026-03-04").Replace(p)
		if p == "/api/v1/what-if" {
			p += "?kind=more+setters&crew=ada&count=1"
		}
		if strings.HasSuffix(p, "/lot") {
			p += "?line=1&lot=B7"
		}
		r := s.get(p)
		if r.code != 200 || !json.Valid([]byte(r.body)) {
			t.Errorf("GET %s answers %d", p, r.code)
		}
	}
	var plan plandoc.Document
	if err := json.Unmarshal([]byte(s.get("/api/v1/plan").body), &plan); err != nil || plan.Format != plandoc.Format || len(plan.Surfaces) != 2 {
		t.Errorf("the plan does not read back: %v", err)
	}
}

func TestMetricsAreForAContractorOrACollector(t *testing.T) {
	s := newSite(t, func(o *Options) { o.MetricsToken = "collector" })
	s.get("/healthz")
	for token, want := range map[string]int{"collector": 200, "guess": 303, "": 303} {
		r := s.request("GET", "/metrics", "", "")
		r.Header.Set("Authorization", "Bearer "+token)
		if got := s.do(r); got.code != want || want == 200 && !strings.Contains(got.body, "potlife_http_request_seconds") {
			t.Errorf("token %q answers %d", token, got.code)
		}
	}
}

func TestCalendarFeedsHaveSecretAddresses(t *testing.T) {
	s := newSite(t, func(o *Options) { o.FeedKey = []byte("a key of the firm") })
	s.signIn("3")
	_, after, found := strings.Cut(s.get("/sheets").body, s.srv.URL+"/feeds/")
	if !found {
		t.Fatal("the sheets page names no feed")
	}
	feed := "/feeds/" + after[:strings.IndexByte(after, '"')]
	s.fresh()
	if r := s.get(feed); r.code != 200 || !strings.HasPrefix(r.body, "BEGIN:VCALENDAR\r\n") {
		t.Errorf("the feed answers %d", r.code)
	}
	if r := s.get(strings.Replace(feed, "/ada.ics", "/bo.ics", 1)); r.code != 404 {
		t.Errorf("another crew's feed under the same signature answers %d", r.code)
	}
}

func TestLinksForPeople(t *testing.T) {
	s := newSite(t, nil)
	s.signIn("1")
	if r := s.post("/people/3/link", nil); r.code != 303 {
		t.Fatalf("a new link answers %d", r.code)
	}
	if r := s.get("/people"); !strings.Contains(r.body, s.srv.URL+"/sign-in/fresh") {
		t.Error("the link is not shown")
	}
	if r := s.get("/people"); strings.Contains(r.body, "/sign-in/fresh") {
		t.Error("the link is shown twice")
	}
	if r := s.post("/people/99/link", nil); r.code != 404 {
		t.Errorf("a link for nobody answers %d", r.code)
	}
}

// TestTemplatesMatchTheirPages renders every template with an empty page: a
// field that is missing from the struct fails here and not before a user.
func TestTemplatesMatchTheirPages(t *testing.T) {
	p, err := loadPages()
	if err != nil {
		t.Fatal(err)
	}
	for name, data := range pageData {
		var b bytes.Buffer
		if err := p[name].ExecuteTemplate(&b, "layout", data); err != nil {
			t.Errorf("%s: %v", name, err)
		}
	}
}

// TestPagesCanBeReadByAScreenReader checks the marks every page must carry.
func TestPagesCanBeReadByAScreenReader(t *testing.T) {
	s := newSite(t, nil)
	s.signIn("1")
	for _, p := range []string{"/board", "/jobs", "/jobs/orchard", "/rooms/orchard/bath", north, "/takeoff", "/orders", "/orders/PO-kiln-1", "/prices", "/stock", "/schedule", "/what-if", "/what-if?kind=crew+away&crew=ada&from=2026-03-04&to=2026-03-05", "/sheets", today, "/crews", "/people", "/sign-in", "/nowhere"} {
		body := s.get(p).body
		for _, want := range []string{`<html lang="en">`, `<main id="main"`, `class="skip" href="#main"`, `name="viewport"`, "<title>"} {
			if !strings.Contains(body, want) {
				t.Errorf("%s lacks %s", p, want)
			}
		}
		if n := strings.Count(body, "<h1"); n != 1 {
			t.Errorf("%s has %d first headings", p, n)
		}
		if tables, captions := strings.Count(body, "<table"), strings.Count(body, "<caption"); tables != captions {
			t.Errorf("%s has %d tables and %d captions", p, tables, captions)
		}
		for _, bad := range []string{" style=", "<style", "onclick=", "javascript:", "https://"} {
			if strings.Contains(body, bad) {
				t.Errorf("%s holds %q, which the content security policy forbids or which comes from outside", p, bad)
			}
		}
		ids := map[string]bool{}
		for _, part := range strings.Split(body, ` id="`)[1:] {
			id := part[:strings.IndexByte(part, '"')]
			if ids[id] {
				t.Errorf("%s has two elements %s", p, id)
			}
			ids[id] = true
		}
		for _, part := range strings.Split(body, `<label for="`)[1:] {
			if id := part[:strings.IndexByte(part, '"')]; !ids[id] {
				t.Errorf("%s has a label for %s, which is not there", p, id)
			}
		}
	}
}

// unlabelled leaves out the names of columns that cells carry for a phone.
func unlabelled(page string) string { return cellLabel.ReplaceAllString(page, "") }

var cellLabel = regexp.MustCompile(` data-l="[^"]*"`)

// TestTakeoffListsWhatIsLeft: offcuts of one size stand in one line, largest first.
func TestTakeoffListsWhatIsLeft(t *testing.T) {
	s := newSite(t, nil)
	s.signIn("1")
	body := unlabelled(s.get("/takeoff").body)
	large, small := strings.Index(body, `<td class="n">120 × 400</td><td class="n">2</td>`), strings.Index(body, `<td class="n">50 × 80</td><td class="n">1</td>`)
	if large < 0 || small < large {
		t.Errorf("what is left stands at %d and %d:\n%s", large, small, body)
	}
}

// TestTakeoffShowsChainAndCosts: every level of the chain, and what rooms and jobs
// cost, planned and recorded.
func TestTakeoffShowsChainAndCosts(t *testing.T) {
	s := newSite(t, nil)
	s.signIn("1")
	body := unlabelled(s.get("/takeoff").body)
	for _, want := range []string{"By job", "By lot group", "By room", "By surface", `<td class="n"><b>28</b></td><td class="n">27</td><td class="n">4.67</td>`,
		`<td class="n">208.40</td><td class="n">38.00</td><td class="n">310.25</td><td class="n"><b>556.65</b></td><td class="n">7:05 h</td><td class="n">4:00 h</td>`,
		`<td class="n">2:00 h</td><td class="n">2:30 h</td><td class="n">&#43;0:30 h, &#43;20.00</td><td class="n">14 of 12 planned</td>`, "All of Orchard Row 7"} {
		if !strings.Contains(body, want) {
			t.Errorf("the page lacks %q", want)
		}
	}
}

func TestOptionsAreChecked(t *testing.T) {
	if _, err := New(Options{}); err == nil || !strings.Contains(err.Error(), "Plans") {
		t.Errorf("no ports: %v", err)
	}
	d := newDesks()
	o := Options{Plans: d, Sheets: d, Recorder: d, History: d, Orders: d, Accounts: d, Health: d, Print: nil, PublicURL: "tiles.example"}
	if _, err := New(o); err == nil || !strings.Contains(err.Error(), "Print") {
		t.Errorf("no printer: %v", err)
	}
}

func TestNothingPlannedYet(t *testing.T) {
	s := newSite(t, nil)
	s.desks.plan = Plan{}
	s.signIn("1")
	if r := s.get("/board"); r.code != http.StatusNotFound || !strings.Contains(r.body, "Nothing is planned yet") {
		t.Errorf("no plan answers %d", r.code)
	}
}

// TestServe keeps the sample running for a look in a browser.
func TestServe(t *testing.T) {
	addr := os.Getenv("SHOW_ADDR")
	if addr == "" {
		t.Skip("set SHOW_ADDR to serve the sample there, signed in by /sign-in/1 … /sign-in/4")
	}
	serveSample(t, addr)
}

// TestABoardOfAThousandRooms shows the latest rooms and leaves the rest to a
// link.
func TestABoardOfAThousandRooms(t *testing.T) {
	s := newSite(t, nil)
	doc := s.desks.plan.Document
	room, acts := doc.Rooms[0], doc.Activities
	for i := range 999 {
		room.Key, room.Name, room.LateDays = fmt.Sprintf("orchard/r%d", i), fmt.Sprintf("Room %d", i), i
		doc.Rooms = append(doc.Rooms, room)
		for _, a := range acts {
			a.ID, a.Room = fmt.Sprintf("%s-%d", a.ID, i), room.Key
			doc.Activities = append(doc.Activities, a)
		}
	}
	s.signIn("1")
	short, all := s.get("/board"), s.get("/board?all=1")
	if n := strings.Count(short.body, "<th scope=\"row\" class=\"room\">"); n != mostRooms || !strings.Contains(short.body, "920 more rooms") {
		t.Errorf("%d rooms on the board", n)
	}
	if !strings.Contains(short.body, "Room 998") || strings.Contains(short.body, ">Room 3<") {
		t.Error("the latest rooms do not come first")
	}
	if n := strings.Count(all.body, "<th scope=\"row\" class=\"room\">"); n != 1000 {
		t.Errorf("%d rooms in all", n)
	}
}

// A wrong method is told apart from a wrong address, with the methods it takes.
func TestWrongMethods(t *testing.T) {
	s := newSite(t, nil)
	s.signIn("3")
	for _, c := range []struct {
		method, path string
		code         int
		allow        string
	}{
		{"POST", "/board", 405, "GET, HEAD"},
		{"DELETE", "/record", 405, "POST"},
		{"POST", "/healthz", 405, "GET, HEAD"},
		{"PUT", "/api/v1/plan", 405, "GET, HEAD"},
		{"POST", "/no-such-page", 404, ""},
	} {
		got, err := s.c.Do(s.request(c.method, c.path, "", ""))
		if err != nil {
			t.Fatal(err)
		}
		got.Body.Close()
		if got.StatusCode != c.code || got.Header.Get("Allow") != c.allow {
			t.Errorf("%s %s answers %d, Allow %q", c.method, c.path, got.StatusCode, got.Header.Get("Allow"))
		}
	}
}
