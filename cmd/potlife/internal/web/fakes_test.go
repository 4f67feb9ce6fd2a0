package web

import (
	"context"
	"errors"
	"fmt"
	"io"
	"log/slog"
	"net/http"
	"net/http/cookiejar"
	"net/http/httptest"
	"net/url"
	"strings"
	"sync"
	"testing"
	"time"

	"potlife/cmd/potlife/internal/plandoc/plandoctest"
	"potlife/cmd/potlife/internal/pricelist"
	"potlife/cmd/potlife/internal/sheet"
	"potlife/takeoff"
)

var _ Printer = sheet.Printer{}

// desks is everything behind the pages, kept in memory.
type desks struct {
	mu       sync.Mutex
	plan     Plan
	links    map[string]User
	people   map[string]User
	again    []string
	records  []RecordRow
	states   map[string]OrderState
	issued   []IssuedSheet
	broken   error // returned by Current and Ready
	receipt  []ReceiveIn
	happened []Happening
	stock    []StockRow
	offcuts  []OffcutRow
	kept     []OffcutIn
	goneKeys []string
}

func newDesks() *desks {
	doc := plandoctest.Sample("metric")
	d := &desks{
		plan: Plan{Document: doc, Revision: 3, Made: time.Date(2026, 3, 3, 16, 0, 0, 0, time.UTC)},
		people: map[string]User{
			"1": {ID: "1", Name: "Heron", Role: Contractor}, "2": {ID: "2", Name: "Olive", Role: Office},
			"3": {ID: "3", Name: "Ada", Role: Crew, Crew: plandoctest.CrewA}, "4": {ID: "4", Name: "Bo", Role: Crew, Crew: plandoctest.CrewB},
			"5": {ID: "5", Name: "Cy", Role: Crew, Crew: "idle"},
		},
		links: map[string]User{}, states: map[string]OrderState{},
	}
	d.issued = []IssuedSheet{
		{SheetInfo: SheetInfo{Crew: plandoctest.CrewA, Date: plandoctest.Day, Revision: 2, Issued: time.Date(2026, 3, 3, 18, 0, 0, 0, time.UTC), Differences: []string{"cut 5 to 288 instead of 289"}, Delivery: []string{"page 17:00"}}, Document: doc},
		{SheetInfo: SheetInfo{Crew: plandoctest.CrewA, Date: plandoctest.Day, Revision: 1, ReplacedBy: 2, Issued: time.Date(2026, 3, 3, 16, 0, 0, 0, time.UTC)}, Document: doc},
	}
	return d
}

func (d *desks) Current(context.Context) (Plan, error) { return d.plan, d.broken }
func (d *desks) Ready(context.Context) error           { return d.broken }

func (d *desks) List(_ context.Context, crew string) ([]SheetInfo, error) {
	var out []SheetInfo
	for _, i := range d.issued {
		if crew == "" || i.Crew == crew {
			out = append(out, i.SheetInfo)
		}
	}
	return out, nil
}

func (d *desks) Sheet(_ context.Context, crew, date string, revision int) (IssuedSheet, error) {
	for _, i := range d.issued {
		if i.Crew == crew && i.Date == date && (i.Revision == revision || revision == 0 && i.ReplacedBy == 0) {
			return i, nil
		}
	}
	return IssuedSheet{}, &Error{Kind: NotFound, Text: "That revision was never issued."}
}

func (d *desks) Record(_ context.Context, in RecordIn) (RecordOut, error) {
	d.mu.Lock()
	defer d.mu.Unlock()
	for _, r := range d.records {
		if r.Key == in.Key {
			return RecordOut{ID: r.ID, Again: true}, nil
		}
	}
	d.records = append(d.records, RecordRow{RecordIn: in, ID: "r" + in.Key})
	return RecordOut{ID: "r" + in.Key, Message: "The plan follows."}, nil
}

func (d *desks) Records(_ context.Context, crew, date string) ([]RecordRow, error) {
	return d.RecordsBetween(context.Background(), crew, date, date)
}

func (d *desks) RecordsBetween(_ context.Context, crew, from, to string) ([]RecordRow, error) {
	d.mu.Lock()
	defer d.mu.Unlock()
	by := map[string]string{}
	for _, r := range d.records {
		if r.Corrects != "" {
			by[r.Corrects] = r.Key
		}
	}
	var out []RecordRow
	for _, r := range d.records {
		if (crew == "" || r.Crew == crew) && (from == "" || r.Date >= from) && (to == "" || r.Date <= to) {
			r.CorrectedBy, r.Pictures = by[r.Key], len(r.Photos)
			out = append(out, r)
		}
	}
	return out, nil
}

func (d *desks) Placed(context.Context) ([]OrderState, error) {
	var out []OrderState
	for _, st := range d.states {
		out = append(out, st)
	}
	return out, nil
}

// key is the key of an order named by it or by its number.
func (d *desks) key(name string) string {
	for k, st := range d.states {
		if st.Number == name {
			return k
		}
	}
	return name
}

func (d *desks) OneRecord(ctx context.Context, id string) (RecordRow, error) {
	all, err := d.Records(ctx, "", "")
	for _, r := range all {
		if r.ID == id {
			return r, err
		}
	}
	return RecordRow{}, &Error{Kind: NotFound, Text: "There is no such report."}
}

func (d *desks) Photo(ctx context.Context, id string, n int) (Photo, error) {
	r, err := d.OneRecord(ctx, id)
	if err == nil && (n < 0 || n >= len(r.Photos)) {
		err = &Error{Kind: NotFound, Text: "There is no such picture."}
	}
	if err != nil {
		return Photo{}, err
	}
	return r.Photos[n], nil
}

func (d *desks) PlanAt(_ context.Context, at time.Time) (Plan, error) {
	if at.Before(d.plan.Made) {
		return Plan{}, &Error{Kind: NotFound, Text: "There was no plan yet."}
	}
	return d.plan, d.broken
}

func (d *desks) Happenings(context.Context, string) ([]Happening, error) { return d.happened, nil }

func (d *desks) Place(_ context.Context, in PlaceIn) error {
	if _, ok := d.states[in.Order]; ok {
		return &Error{Kind: Conflict, Text: "Order " + in.Order + " was placed already."}
	}
	d.states[in.Order] = OrderState{Key: in.Order, Number: "17", State: "placed", Steps: []OrderStep{{State: "placed", By: in.By.Name, At: in.At, Text: in.Note}}}
	return nil
}

func (d *desks) Receive(_ context.Context, in ReceiveIn) error {
	d.receipt = append(d.receipt, in)
	st := d.states[d.key(in.Order)]
	st.State = "received"
	d.states[st.Key] = st
	return nil
}

func (d *desks) Step(_ context.Context, in StepIn) error {
	st := d.states[d.key(in.Order)]
	st.State = in.To
	st.Steps = append(st.Steps, OrderStep{State: in.To, By: in.By.Name, Text: in.Note})
	d.states[st.Key] = st
	return nil
}

func (d *desks) Adjust(_ context.Context, in AdjustIn) error {
	if in.Quantity != 2 {
		return &Error{Kind: Conflict, Text: "The plan no longer asks for that."}
	}
	d.again = append(d.again, in.Kind+" "+in.Product)
	return nil
}

func (d *desks) OtherLot(_ context.Context, in LotIn) (LotAnswer, error) {
	if in.Lot == "none" {
		return LotAnswer{}, &Error{Kind: Invalid, Field: "lot", Text: "There is no lot none."}
	}
	a := LotAnswer{Seen: "seen " + in.Lot, Product: "slate-30", Planned: "K7", CostWas: "1000.00", CostIs: "1234.50", Difference: "234.50", Currency: "EUR",
		Bought: []LotBought{{Lot: "K7", Was: 8, Is: 3}, {Lot: in.Lot, Is: 5}}, Warnings: []string{"a calibre <off>"}}
	if in.Boxes > 0 {
		a.Mixed = []string{plandoctest.Room}
	} else {
		a.Whole = []string{plandoctest.Room}
	}
	return a, nil
}

func (d *desks) TakeLot(ctx context.Context, in TakeLotIn) error {
	a, err := d.OtherLot(ctx, in.LotIn)
	switch {
	case err != nil:
		return err
	case in.Seen != a.Seen:
		return &Error{Kind: Conflict, Text: "Look at it again."}
	case len(a.Mixed) > 0 && !in.Mixed:
		return &Error{Kind: Conflict, Field: "mixed", Text: "Say that two lots are meant."}
	}
	d.again = append(d.again, fmt.Sprintf("lot %s on line %d of %s by %s: %s", in.Lot, in.Line, in.Order, in.By.Name, in.Note))
	return nil
}

func (d *desks) WhatIf(_ context.Context, c Change) (Answer, error) {
	if c.Crew == "nobody" {
		return Answer{}, &Error{Kind: Invalid, Field: "crew", Text: "There is no crew nobody."}
	}
	at := time.Date(2026, 3, 6, 14, 0, 0, 0, time.UTC)
	return Answer{Text: []string{c.Kind + " " + c.Crew}, Rooms: []Shift{{Room: plandoctest.Room, Was: at, Is: at.AddDate(0, 0, 2), LateWas: 1, LateIs: 3, MovedDays: 2}}}, nil
}

func (d *desks) Redeem(_ context.Context, token string) (User, error) {
	u, ok := d.links[token]
	if !ok {
		return User{}, &Error{Kind: Gone, Text: "This link was used before or has expired. Ask for a new one."}
	}
	delete(d.links, token)
	return u, nil
}

func (d *desks) User(_ context.Context, id string) (User, error) {
	u, ok := d.people[id]
	if !ok {
		return User{}, &Error{Kind: NotFound, Text: "There is no such person."}
	}
	return u, nil
}

func (d *desks) People(context.Context) ([]User, error) {
	return []User{d.people["3"], d.people["4"], d.people["1"], d.people["2"]}, nil
}

func (d *desks) NewLink(_ context.Context, _ User, id string) (string, error) {
	d.links["fresh"] = d.people[id]
	return "fresh", nil
}

// site is a running server and a browser that keeps its cookies.
type site struct {
	t     *testing.T
	desks *desks
	srv   *httptest.Server
	c     *http.Client
}

var testNow = time.Date(2026, 3, 4, 9, 0, 0, 0, time.UTC)

func newSite(t *testing.T, change func(*Options)) *site {
	t.Helper()
	d := newDesks()
	o := Options{Plans: d, Sheets: d, Recorder: d, History: d, Orders: d, Accounts: d, Health: d, Outlook: d, Outbox: d, Prices: d, Stock: d, Print: sheet.Printer{}, Log: slog.New(slog.NewTextHandler(io.Discard, nil)), Now: func() time.Time { return testNow }}
	if change != nil {
		change(&o)
	}
	h, err := New(o)
	if err != nil {
		t.Fatal(err)
	}
	srv := httptest.NewServer(h)
	t.Cleanup(srv.Close)
	s := &site{t: t, desks: d, srv: srv}
	s.fresh()
	return s
}

// fresh forgets all cookies.
func (s *site) fresh() {
	jar, err := cookiejar.New(nil)
	if err != nil {
		s.t.Fatal(err)
	}
	s.c = &http.Client{Jar: jar, CheckRedirect: func(*http.Request, []*http.Request) error { return http.ErrUseLastResponse }}
}

func (s *site) signIn(id string) {
	s.t.Helper()
	s.fresh()
	s.desks.links["link-"+id] = s.desks.people[id]
	if r := s.post("/sign-in", url.Values{"token": {"link-" + id}}); r.code != http.StatusSeeOther {
		s.t.Fatalf("sign-in of %s answers %d", id, r.code)
	}
}

type reply struct {
	code int
	head http.Header
	body string
}

func (s *site) do(r *http.Request) reply {
	s.t.Helper()
	res, err := s.c.Do(r)
	if err != nil {
		s.t.Fatal(err)
	}
	defer res.Body.Close()
	b, err := io.ReadAll(res.Body)
	if err != nil {
		s.t.Fatal(err)
	}
	return reply{res.StatusCode, res.Header, string(b)}
}

func (s *site) request(method, path, kind, body string) *http.Request {
	s.t.Helper()
	r, err := http.NewRequest(method, s.srv.URL+path, strings.NewReader(body))
	if err != nil {
		s.t.Fatal(err)
	}
	if kind != "" {
		r.Header.Set("Content-Type", kind)
	}
	return r
}

func (s *site) get(path string) reply { s.t.Helper(); return s.do(s.request("GET", path, "", "")) }

func (s *site) post(path string, form url.Values) reply {
	s.t.Helper()
	return s.do(s.request("POST", path, "application/x-www-form-urlencoded", form.Encode()))
}

func (s *site) json(path, body string) reply {
	s.t.Helper()
	return s.do(s.request("POST", path, "application/json", body))
}

var errDatabase = errors.New("dial tcp 10.0.0.7:5432: password authentication failed for user admin")

// forever lets everybody in by the link that is their id.
type forever struct{ *desks }

func (f forever) Redeem(ctx context.Context, token string) (User, error) { return f.User(ctx, token) }

func (d *desks) Letters(context.Context) ([]Letter, error) {
	return []Letter{{ID: "7", About: "Day sheet of ada", Where: "mail to ada@tiles.example", Attempts: 1, Trouble: "550 no such <box>"},
		{ID: "8", About: "Day sheet of bo", Where: "webhook", Next: testNow}}, nil
}

func (d *desks) SendAgain(_ context.Context, by User, id string) error {
	if id != "7" {
		return &Error{Kind: NotFound, Text: "there is no message " + id + " that was given up"}
	}
	d.again = append(d.again, by.Name+" "+id)
	return nil
}

func (d *desks) Told(context.Context) ([]Told, error) {
	return []Told{{Date: "2026-03-05", Subject: "Thu 2026-03-05: 1 sheet issued", Text: "Issued\n- Ada\n", At: testNow}}, nil
}

func (d *desks) Prices(context.Context) ([]PriceRow, error) {
	return []PriceRow{{Product: "slate-30", From: "2026-03-04", Source: "kiln.csv", By: "Olive", Price: 521_000, At: testNow}}, nil
}

func (d *desks) TakePrices(_ context.Context, text []byte, o pricelist.Options, how pricelist.How) (pricelist.Report, string, error) {
	cat := takeoff.Catalogue{Currency: "EUR", Tiles: []takeoff.Tile{{Key: "slate-30"}}}
	got, err := pricelist.Read(text, cat, o)
	if err != nil {
		return got, "", &Error{Kind: Invalid, Text: err.Error()}
	}
	if len(got.Problems) > 0 && !how.Skip {
		return got, "nothing was taken over", nil
	}
	d.again = append(d.again, how.Who+" "+how.Source)
	return got, "taken over", nil
}

func (d *desks) PriceTemplate(_ context.Context, w io.Writer) error {
	_, err := io.WriteString(w, "product,price\n")
	return err
}

func (d *desks) Offcuts(context.Context) ([]OffcutRow, error) { return d.offcuts, nil }
func (d *desks) KeepOffcut(_ context.Context, in OffcutIn) (string, error) {
	if in.Width == "wide" {
		return "", &Error{Kind: Invalid, Field: "width", Text: "The width is no length."}
	}
	d.kept = append(d.kept, in)
	return "no1", nil
}
func (d *desks) OffcutGone(_ context.Context, key string, _ User) error {
	d.goneKeys = append(d.goneKeys, key)
	return nil
}
func (d *desks) StockRows(context.Context) ([]StockRow, error) { return d.stock, nil }
