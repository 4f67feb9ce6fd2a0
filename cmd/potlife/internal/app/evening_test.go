package app

import (
	"context"
	"encoding/json"
	"fmt"
	"math"
	"slices"
	"strings"
	"sync"
	"testing"
	"time"

	"potlife/cmd/potlife/internal/deliver"
	"potlife/cmd/potlife/internal/jobfile"
	"potlife/cmd/potlife/internal/sheet"
	"potlife/cmd/potlife/internal/store"
	"potlife/integration/pgtest"
	"potlife/rooms"
	"potlife/scheduler"
	"potlife/takeoff"
)

func TestMain(m *testing.M) { pgtest.Main(m) }

// keeper is a sender that keeps what it is given.
type keeper struct {
	mu  sync.Mutex
	got []deliver.Message
}

func (k *keeper) Send(_ context.Context, m deliver.Message) error {
	k.mu.Lock()
	defer k.mu.Unlock()
	k.got = append(k.got, m)
	return nil
}

// firmOf is an App on a database of its own whose clock the test sets, with a
// demonstration imported and planned.
type firmOf struct {
	*App
	t    *testing.T
	zone *time.Location
	post *keeper
	mu   sync.Mutex
	at   time.Time
}

func (f *firmOf) set(at time.Time) { f.mu.Lock(); f.at = at; f.mu.Unlock() }

// twoBaths is the first demo with its first two rooms only, one for each crew: many
// evenings of it cost a third.
const twoBaths = "two baths"

// slowCoats is the same with membrane that cures through the night into the next day, so that
// a later sheet names its wait whatever the hour at which it is coated.
const slowCoats = "two baths, slow coats"

// demoFirm is a demo in the database, planned.
func demoFirm(t *testing.T, which string, now, start rooms.Date) *firmOf {
	t.Helper()
	file, problems := jobfile.Parse("demo", jobfile.Demo(strings.TrimPrefix(strings.TrimPrefix(which, slowCoats), twoBaths)))
	if err := problems.Err(); err != nil {
		t.Fatal(err)
	}
	jobfile.Shift(file, jobfile.StartOn(file, start))
	if which == slowCoats {
		for i := range file.Firm.Catalogue.Products {
			if p := &file.Firm.Catalogue.Products[i]; p.Kind == takeoff.KindMembrane {
				p.Sheet.TileAfter = 20 * 60
			}
		}
	}
	if strings.HasPrefix(which, twoBaths) {
		file.Jobs = file.Jobs[:1]
		file.Jobs[0].Sites[0].Rooms = file.Jobs[0].Sites[0].Rooms[:2]
	}
	ctx := context.Background()
	s, err := store.Open(ctx, pgtest.URL(t))
	if err != nil {
		t.Fatal(err)
	}
	t.Cleanup(s.Close)
	f := &firmOf{t: t, zone: file.Firm.Zone, post: &keeper{}}
	f.set(now.In(f.zone).Add(10 * time.Hour))
	file.Firm.Catalogue.Buyer.Email = "boss@tiles.example"
	if f.App, err = New(Options{Store: s, Print: sheet.Printer{}, PublicURL: "https://tiles.example",
		Post: deliver.Post{deliver.Mail: f.post, deliver.Webhook: f.post, deliver.Folder: f.post},
		Now:  func() time.Time { f.mu.Lock(); defer f.mu.Unlock(); return f.at }}); err != nil {
		t.Fatal(err)
	}
	if _, err := s.Import(ctx, store.Import{Firm: file.Firm, Jobs: file.Jobs, Who: "test", Source: "demo"}, f.at); err != nil {
		t.Fatal(err)
	}
	if _, err := f.Replan(ctx, "test"); err != nil {
		t.Fatal(err)
	}
	return f
}

// placeAll places every order of the plan in force.
func (f *firmOf) placeAll() {
	f.t.Helper()
	saved, err := f.o.Store.CurrentPlan(context.Background())
	if err != nil {
		f.t.Fatal(err)
	}
	for _, o := range saved.Plan.Orders {
		if _, err := f.o.Store.PlaceOrder(context.Background(), o, "test", nil, f.at); err != nil {
			f.t.Fatal(err)
		}
	}
	if _, err := f.Replan(context.Background(), "orders placed"); err != nil {
		f.t.Fatal(err)
	}
}

// deliver books in all of every order that is due by a day, but for those left
// out.
func (f *firmOf) deliver(day rooms.Date, without ...string) {
	f.t.Helper()
	ctx := context.Background()
	orders, err := f.o.Store.Orders(ctx)
	if err != nil {
		f.t.Fatal(err)
	}
	for _, o := range orders {
		if day.Before(o.Delivery) || o.State == store.OrderReceived || slices.Contains(without, o.Key) {
			continue
		}
		if o.State == store.OrderReceived {
			continue
		}
		var in []store.Receipt
		for i, l := range o.Lines {
			if l.Product != "" {
				in = append(in, store.Receipt{Key: fmt.Sprint(o.Key, "-", i), Line: i, Lot: l.Lot, Packages: l.Quantity, On: day, Who: "test"})
			}
		}
		if err := f.o.Store.Receive(ctx, o.Number, in, "test", f.at); err != nil {
			f.t.Fatal(err)
		}
	}
}

// mustIssue runs a tick and returns what went out.
func (f *firmOf) mustIssue() []Outcome {
	f.t.Helper()
	out, err := f.IssueDue(context.Background())
	if err != nil {
		f.t.Fatal(err)
	}
	return out
}

func (f *firmOf) plan() *scheduler.Plan {
	f.t.Helper()
	saved, err := f.o.Store.CurrentPlan(context.Background())
	if err != nil {
		f.t.Fatal(err)
	}
	return saved.Plan
}

func clockTimes(zone *time.Location, d rooms.Date, hour, minute int) time.Time {
	return time.Date(d.Year, time.Month(d.Month), d.Day, hour, minute, 0, 0, zone)
}

// An order that does not come moves the work that needs it before it is issued,
// and the sheet that lost it, and the contractor that evening, are told what
// moved and which order it waits for. Everything goes out once, however often
// the clock ticks.
func TestWhatIsMissingIsMovedAndTold(t *testing.T) {
	monday := rooms.Date{Year: 2027, Month: 1, Day: 18}
	f := demoFirm(t, "", monday.AddDays(-14), monday)
	ctx := context.Background()
	f.placeAll()
	missing, need := tileOrder(f.plan())
	if missing == "" {
		t.Fatal("no order brings tile")
	}
	told := ""
	for d := monday.AddDays(-13); d.Before(need.AddDays(6)) && told == ""; d = d.AddDays(1) {
		f.set(clockTimes(f.zone, d, 10, 0))
		f.deliver(d, missing)
		if stale, err := f.o.Store.Overtaken(ctx); err != nil || stale {
			if err := f.CatchUp(ctx, "deliveries"); err != nil {
				t.Fatal(err)
			}
		}
		f.set(clockTimes(f.zone, d, 17, 0))
		for _, o := range f.mustIssue() {
			if o.Issued == 0 || len(o.Moved) == 0 {
				continue
			}
			issue, err := f.o.Store.CurrentIssue(ctx, o.Crew, o.Date)
			if err != nil {
				t.Fatal(err)
			}
			if !slices.Equal(issue.Moved, o.Moved) || !strings.Contains(issue.Text, o.Moved[0]) {
				t.Errorf("the sheet of %s on %s does not say what moved: %q, %s", o.Crew, o.Date, issue.Moved, issue.Text)
			}
		}
		if again := f.mustIssue(); len(again) > 0 {
			t.Errorf("%s: a second tick does %+v", d, again)
		}
		told = noticeNaming(t, f, missing)
	}
	if told == "" {
		t.Fatalf("nobody was told that order %s, needed on %s, had not come", missing, need)
	}
	t.Logf("%s", told)
	if !strings.Contains(told, "now on") || !strings.Contains(told, scheduler.OverdueNote) {
		t.Errorf("the notice does not say what moved and why:\n%s", told)
	}
	onlyOnce(t, f)
}

// tileOrder is the order whose tile is needed first, and the day.
func tileOrder(p *scheduler.Plan) (key string, need rooms.Date) {
	tile := map[string]bool{}
	for _, l := range p.Layouts {
		for _, z := range l.Zones {
			for _, q := range z.Pieces {
				tile[q.Tile] = true
			}
		}
	}
	for _, o := range p.Orders {
		for _, l := range o.Lines {
			if tile[l.Product] && (key == "" || o.NeedBy.Before(need)) {
				key, need = o.Key, o.NeedBy
			}
		}
	}
	return key, need
}

// noticeNaming is the latest notice that names an order under what moved.
func noticeNaming(t *testing.T, f *firmOf, order string) string {
	t.Helper()
	all, err := f.o.Store.Notices(context.Background(), 60)
	if err != nil {
		t.Fatal(err)
	}
	for _, n := range all {
		_, after, ok := strings.Cut(n.Text, "\nMoved\n")
		part, _, _ := strings.Cut(after, "\n\n")
		if ok && strings.Contains(part, order) {
			return n.Text
		}
	}
	return ""
}

// onlyOnce: each notice and each revision is in the outbox once a channel.
func onlyOnce(t *testing.T, f *firmOf) {
	t.Helper()
	if _, err := f.DeliverDue(context.Background()); err != nil {
		t.Fatal(err)
	}
	seen := map[string]bool{}
	notices := map[string]int{}
	for _, m := range f.post.got {
		if seen[m.ID] {
			t.Errorf("%s was sent twice", m.ID)
		}
		seen[m.ID] = true
		if strings.HasPrefix(m.ID, "notice.") {
			notices[m.Channel]++
			if m.Channel == deliver.Mail && m.To != "boss@tiles.example" {
				t.Errorf("the notice went to %q", m.To)
			}
			if m.Channel == deliver.Webhook && !json.Valid(m.Body) {
				t.Errorf("the webhook's body is no JSON: %s", m.Body)
			}
		}
	}
	if len(notices) != 3 || notices[deliver.Mail] != notices[deliver.Webhook] || notices[deliver.Mail] != notices[deliver.Folder] {
		t.Errorf("notices by channel: %v", notices)
	}
}

// What an issued day carries in is reserved by lot where it lies, and a second
// tick reserves nothing more.
func TestIssuingReservesTheBoxes(t *testing.T) {
	monday := rooms.Date{Year: 2027, Month: 1, Day: 18}
	f := demoFirm(t, "inches", monday.AddDays(-14), monday)
	ctx := context.Background()
	f.placeAll()
	reserved := map[string]float64{}
	for d := monday.AddDays(-13); d.Before(monday.AddDays(20)) && len(reserved) == 0; d = d.AddDays(1) {
		f.set(clockTimes(f.zone, d, 10, 0))
		f.deliver(d)
		before := onHand(t, f)
		f.set(clockTimes(f.zone, d, 17, 30))
		want := map[string]float64{}
		for _, o := range append(f.mustIssue(), f.mustIssue()...) {
			if o.Issued == 0 {
				continue
			}
			issue, err := f.o.Store.CurrentIssue(ctx, o.Crew, o.Date)
			if err != nil {
				t.Fatal(err)
			}
			var s struct {
				Carry []struct {
					Product  string
					Quantity float64
				}
			}
			if err := json.Unmarshal(issue.Sheet, &s); err != nil {
				t.Fatal(err)
			}
			for _, c := range s.Carry {
				want[c.Product] += c.Quantity
			}
		}
		after := onHand(t, f)
		for p, n := range want {
			if got := before[p] - after[p]; math.Abs(got-n) > 1e-9 {
				t.Errorf("%s: %g packages of %s are carried in and %g were reserved", d, n, p, got)
			}
			reserved[p] = n
		}
	}
	if len(reserved) == 0 {
		t.Fatal("nothing was carried in: the test shows nothing")
	}
}

// onHand sums the stock of each product over places and lots.
func onHand(t *testing.T, f *firmOf) map[string]float64 {
	t.Helper()
	all, err := f.o.Store.Stock(context.Background())
	if err != nil {
		t.Fatal(err)
	}
	out := map[string]float64{}
	for _, h := range all {
		if h.Unit != "tile" {
			out[h.Product] += h.Quantity
		}
	}
	return out
}

// A day further ahead than the next working day is refused with words, and
// issued when they are said; the other crews' days stay free either way.
func TestIssuingAhead(t *testing.T) {
	monday := rooms.Date{Year: 2027, Month: 1, Day: 18}
	f := demoFirm(t, "", monday.AddDays(-14), monday)
	ctx := context.Background()
	sheets := f.plan().Sheets
	far := sheets[len(sheets)-1]
	if _, err := f.IssueDay(ctx, far.Date, false); err == nil || !strings.Contains(err.Error(), "--ahead") {
		t.Fatalf("a day far ahead: %v", err)
	}
	if at, err := f.o.Store.Frozen(ctx); err != nil || len(at) > 0 {
		t.Fatalf("frozen after a refusal: %v, %v", at, err)
	}
	if _, err := f.IssueDay(ctx, monday.AddDays(-15), false); err == nil {
		t.Error("a day that is over was issued")
	}
	out, err := f.IssueDay(ctx, far.Date, true)
	if err != nil {
		t.Fatal(err)
	}
	at, err := f.o.Store.Frozen(ctx)
	if err != nil {
		t.Fatal(err)
	}
	for _, o := range out {
		if o.Issued == 0 && !at[o.Crew].IsZero() {
			t.Errorf("crew %s got no sheet and is frozen until %v", o.Crew, at[o.Crew])
		}
	}
	if at[far.Crew].IsZero() {
		t.Errorf("crew %s was not issued: %+v", far.Crew, out)
	}
}

// issuedSheet is what a test reads of a sheet as it went out.
type issuedSheet struct {
	Date, Crew string
	OnSite     []string `json:"on_site"`
	Cuts       []struct {
		Tile, Tool, Shape string
		Size              *float64
		Pieces            []string
	}
}

// A job issued day by day to its end: the pieces on all its sheets are exactly
// its pieces, each on one day; and each cut is listed once, on or before the day
// on which its piece is set.
func TestAJobIssuedToItsEnd(t *testing.T) {
	monday := rooms.Date{Year: 2027, Month: 1, Day: 18}
	f := demoFirm(t, "inches", monday.AddDays(-14), monday)
	ctx := context.Background()
	f.placeAll()
	var sheets []issuedSheet
	last := monday.AddDays(60)
	for d := monday.AddDays(-13); d.Before(last); d = d.AddDays(1) {
		f.set(clockTimes(f.zone, d, 10, 0))
		f.deliver(d)
		f.set(clockTimes(f.zone, d, 17, 0))
		for _, o := range f.mustIssue() {
			if o.Issued == 0 {
				continue
			}
			issue, err := f.o.Store.CurrentIssue(ctx, o.Crew, o.Date)
			if err != nil {
				t.Fatal(err)
			}
			var s issuedSheet
			if err := json.Unmarshal(issue.Sheet, &s); err != nil {
				t.Fatal(err)
			}
			sheets = append(sheets, s)
		}
		p := f.plan()
		if end := rooms.DateOf(p.Epoch.Add(time.Duration(p.Finish) * time.Minute).In(f.zone)); end.Before(d.AddDays(2)) && len(sheets) > 0 {
			break
		}
	}
	if len(sheets) < 5 {
		t.Fatalf("%d sheets were issued", len(sheets))
	}
	day := wholeJob(t, f)
	eachCutOnce(t, f, sheets, day)
}

// wholeJob holds the pieces issued against those of the plan and returns the day
// of each.
func wholeJob(t *testing.T, f *firmOf) map[string]string {
	t.Helper()
	pieces, err := f.o.Store.IssuedPieces(context.Background())
	if err != nil {
		t.Fatal(err)
	}
	day := map[string]string{}
	for _, p := range pieces {
		if day[p.ID] != "" {
			t.Errorf("piece %s stands on %s and %s", p.ID, day[p.ID], p.Date())
		}
		day[p.ID] = p.Date().String()
	}
	n := 0
	for _, l := range f.plan().Layouts {
		for _, z := range l.Zones {
			for _, q := range z.Pieces {
				if n++; day[q.ID] == "" {
					t.Errorf("piece %s was never issued", q.ID)
				}
			}
		}
	}
	if n != len(day) || n == 0 {
		t.Errorf("%d pieces were issued of %d", len(day), n)
	}
	return day
}

func eachCutOnce(t *testing.T, f *firmOf, sheets []issuedSheet, day map[string]string) {
	t.Helper()
	listed := map[string]int{} // cuts listed, by piece
	for _, s := range sheets {
		for _, g := range s.Cuts {
			for _, id := range g.Pieces {
				listed[id]++
				if s.Date > day[id] {
					t.Errorf("piece %s is set on %s and cut on %s", id, day[id], s.Date)
				}
			}
		}
	}
	cuts := 0
	for _, l := range f.plan().Layouts {
		for _, z := range l.Zones {
			for _, q := range z.Pieces {
				want := len(q.Cuts)
				if q.OnSite {
					want = 0
				}
				if cuts += want; listed[q.ID] != want {
					t.Errorf("piece %s has %d cuts and %d are listed", q.ID, want, listed[q.ID])
				}
			}
		}
	}
	if cuts == 0 {
		t.Error("nothing is cut: the test shows nothing")
	}
}
