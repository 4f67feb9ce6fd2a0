package web

import (
	"bytes"
	"context"
	"encoding/binary"
	"encoding/json"
	"fmt"
	"image"
	"io"
	"log/slog"
	"net/http"
	"strings"
	"sync/atomic"
	"testing"
	"time"

	"github.com/chromedp/chromedp"

	"potlife/cmd/potlife/internal/sheet"
)

// expiring lets everybody in by the link that is their id, until ended grows.
type expiring struct {
	forever
	ended *atomic.Int64
}

func (e expiring) User(ctx context.Context, id string) (User, error) {
	u, err := e.forever.User(ctx, id)
	u.Epoch = e.ended.Load()
	return u, err
}

func (e expiring) Redeem(ctx context.Context, id string) (User, error) { return e.User(ctx, id) }

// phone is a signed-in page at phone size on a server that can go away.
type phone struct {
	t     *testing.T
	ctx   context.Context
	out   *outage
	desks *desks
	ended atomic.Int64
	page  string
}

func newPhone(t *testing.T) *phone {
	t.Helper()
	return phoneOf(t, newDesks())
}

func phoneOf(t *testing.T, desks *desks) *phone {
	t.Helper()
	p := &phone{t: t, ctx: browser(t), desks: desks}
	d := p.desks
	h, err := New(Options{Plans: d, Sheets: d, Recorder: d, History: d, Orders: d, Accounts: expiring{forever{d}, &p.ended}, Health: d, Print: sheet.Printer{}, Log: slog.New(slog.NewTextHandler(io.Discard, nil))})
	if err != nil {
		t.Fatal(err)
	}
	p.out = &outage{t: t, address: "127.0.0.1:0", handler: h}
	p.out.up()
	t.Cleanup(func() { p.out.down() })
	p.page = "http://" + p.out.address + today
	p.do(chromedp.EmulateViewport(360, 740))
	p.signIn("3")
	until(t, p.ctx, "the service worker looks after the page", "navigator.serviceWorker.controller !== null")
	p.open()
	until(t, p.ctx, "the sheet is kept", "caches.open('potlife-1').then(c => c.match(location.href)).then(r => Boolean(r))")
	return p
}

func (p *phone) do(steps ...chromedp.Action[chromedp.Void]) {
	p.t.Helper()
	if err := chromedp.Do(p.ctx, steps...); err != nil {
		p.t.Fatal(err)
	}
}

func (p *phone) signIn(id string) {
	p.t.Helper()
	p.do(chromedp.Navigate("http://"+p.out.address+"/sign-in/"+id), chromedp.Click("#sign-in"))
	p.until("signed in", "!location.pathname.startsWith('/sign-in') && document.readyState === 'complete' && document.querySelector('#nav') !== null")
	p.open()
}

func (p *phone) open() {
	p.t.Helper()
	p.do(chromedp.Navigate(p.page), chromedp.WaitVisible("article.sheet"))
}

// secondTab opens the same page once more on the phone.
func (p *phone) secondTab() *phone {
	p.t.Helper()
	ctx, stop := chromedp.NewContext(p.ctx)
	p.t.Cleanup(stop)
	other := &phone{t: p.t, ctx: ctx, out: p.out, desks: p.desks, page: p.page}
	other.open()
	return other
}

func (p *phone) until(what, script string) { p.t.Helper(); until(p.t, p.ctx, what, script) }

// run runs a script and fails where it throws.
func (p *phone) run(script string) {
	p.t.Helper()
	if _, err := chromedp.Run(p.ctx, chromedp.Evaluate[bool]("(async () => { "+script+"; return true; })()", chromedp.EvalAwaitPromise)); err != nil {
		p.t.Fatalf("%s: %v", script, err)
	}
}

func (p *phone) stored() []RecordRow {
	p.t.Helper()
	rows, err := p.desks.Records(p.ctx, "", "")
	if err != nil {
		p.t.Fatal(err)
	}
	return rows
}

// arrived waits, waking the page, until so many reports have come in and the page shows
// that none waits: its queue is hidden also before it has looked for what waits.
func (p *phone) arrived(n int) {
	p.t.Helper()
	for deadline := time.Now().Add(45 * time.Second); len(p.stored()) < n && time.Now().Before(deadline); {
		p.run("window.dispatchEvent(new Event('online'))")
		time.Sleep(50 * time.Millisecond)
	}
	if got := len(p.stored()); got != n {
		p.t.Fatalf("%d reports have arrived within 45 s, want %d", got, n)
	}
	p.until("none waits", queueIsEmpty)
}

const (
	queueIsEmpty = "(window.dispatchEvent(new Event('online')), document.getElementById('queue').hidden)"
	writeNote    = "const f = document.getElementById('note-form'); f.closest('details').open = true; f.elements.note.value = %q; f.requestSubmit()"
	waiting      = "document.getElementById('queue').textContent.includes('%s')"
)

// A crew whose people have names ticks on a phone who did the work, or does not.
func TestWhoDidItOnAPhone(t *testing.T) {
	p := phoneOf(t, withNames(newDesks()))
	p.until("nothing is wider than the phone", "(document.querySelectorAll('details').forEach((d) => { d.open = true; }), document.documentElement.scrollWidth <= 360)")
	p.run(`const [one, two] = document.querySelectorAll(".done-form"); one.querySelector("[value=Jon]").click(); one.requestSubmit(); two.requestSubmit();
		const hours = document.getElementById("hours-form"); hours.elements.work.selectedIndex = 1; hours.elements.minutes.value = "90";
		for (const box of hours.querySelectorAll("[name=done_by]")) box.click(); hours.requestSubmit()`)
	p.arrived(3)
	var got []string
	for _, r := range p.stored() {
		got = append(got, r.Kind+": "+strings.Join(r.DoneBy, ", "))
	}
	if want := "activity done: Jon; area done: ; hours: Jon, Mia"; strings.Join(got, "; ") != want {
		t.Errorf("recorded %q, want %q", strings.Join(got, "; "), want)
	}
}

// Who is away is said on a phone, and waits where there is no network like any report.
func TestAwayOnAPhone(t *testing.T) {
	p := phoneOf(t, withNames(newDesks()))
	p.out.down()
	p.run(`const f = document.getElementById("away-form"); f.closest("details").open = true; f.elements.who.value = "Mia"; f.elements.until.value = "2026-03-06";
		f.elements.away_from.value = "13:00"; f.elements.note.value = "dentist"; f.requestSubmit()`)
	p.until("the report waits", "!document.getElementById('queue').hidden")
	p.until("nothing is wider than the phone", "document.documentElement.scrollWidth <= 360")
	p.out.up()
	p.arrived(1)
	got := p.stored()[0].RecordIn
	if got.Kind != "away" || got.Who != "Mia" || got.Date != "2026-03-04" || got.Until != "2026-03-06" || got.AwayFrom != "13:00" || got.AwayTo != "24:00" || got.Note != "dentist" {
		t.Errorf("recorded %+v", got)
	}
}

// TestPhotosAreMadeSmallAndKeptOffline chooses a large photo with a place in it
// while there is no network: it waits, and arrives small and without the place.
func TestPhotosAreMadeSmallAndKeptOffline(t *testing.T) {
	p := newPhone(t)
	raw, err := json.Marshal(withExif(t, picture(3000), 1, binary.LittleEndian))
	if err != nil {
		t.Fatal(err)
	}
	p.out.down()
	p.run(fmt.Sprintf(`const body = Uint8Array.from(atob(%s), (c) => c.charCodeAt(0)); const files = new DataTransfer();
		for (let i = 0; i < 2; i++) files.items.add(new File([body], "wall.jpg", { type: "image/jpeg" }));
		document.getElementById("photos").files = files.files; `+writeNote, raw, "hollow tile"))
	p.until("the report waits with its photos", fmt.Sprintf(waiting, "2 photos"))
	p.open()
	p.until("and after the page was loaded again", fmt.Sprintf(waiting, "2 photos"))
	p.out.up()
	p.arrived(1)
	rows := p.stored()
	if len(rows) != 1 || len(rows[0].Photos) != 2 || rows[0].Note != "hollow tile" {
		t.Fatalf("%d reports arrived: %+v", len(rows), rows)
	}
	for _, f := range rows[0].Photos {
		img, _, err := image.Decode(bytes.NewReader(f.Body))
		if err != nil || img.Bounds().Dx() != 1600 || img.Bounds().Dy() != 800 || bytes.Contains(f.Body, []byte("GPS")) {
			t.Errorf("a photo arrived as %v (%v)", img.Bounds(), err)
		}
	}
	p.open()
	p.until("the sheet shows the photos", "[...document.querySelectorAll('#recorded img')].filter((i) => (i.loading = 'eager', i.complete && i.naturalWidth === 1600)).length === 2")
	p.run(`const files = new DataTransfer(); files.items.add(new File(["no picture"], "a.jpg", { type: "image/jpeg" })); document.getElementById("photos").files = files.files; ` + fmt.Sprintf(writeNote, "x"))
	p.until("what is no picture is said at once", "document.querySelector('#note-form output').textContent.includes('no picture')")
	if n := len(p.stored()); n != 1 {
		t.Errorf("%d reports after one that was refused", n)
	}
}

// TestReportsWaitForTheSignIn makes reports after the sign-in has ended: they
// are kept, the page says so, and they are sent after signing in again.
func TestReportsWaitForTheSignIn(t *testing.T) {
	p := newPhone(t)
	p.ended.Add(1)
	p.run(fmt.Sprintf(writeNote, "first"))
	p.until("the page asks to sign in", fmt.Sprintf(waiting, "Sign in again"))
	p.run(fmt.Sprintf(writeNote, "second"))
	p.until("both wait", fmt.Sprintf(waiting, "2 reports wait"))
	if n := len(p.stored()); n != 0 {
		t.Fatalf("%d reports were taken from somebody who is not signed in", n)
	}
	// Somebody else who signs in on this phone neither sees nor sends them.
	p.do(chromedp.Navigate("http://"+p.out.address+"/sign-in/2"), chromedp.Click("#sign-in"))
	p.until("somebody else has signed in", "document.querySelector('.who')?.textContent === 'Olive'")
	p.until("another's reports are not shown", "document.getElementById('queue').hidden")
	p.signIn("3")
	p.arrived(2)
	rows := p.stored()
	if len(rows) != 2 || rows[0].Note != "first" || rows[1].Note != "second" || rows[0].By.Name != "Ada" {
		t.Errorf("after signing in again: %+v", rows)
	}
}

// TestAPhoneWithoutRoom cannot keep anything: with a network a report is sent all
// the same, without one the page says that it is not kept and leaves the words
// where they were written.
func TestAPhoneWithoutRoom(t *testing.T) {
	p := newPhone(t)
	full := "IDBObjectStore.prototype.add = () => { throw new DOMException('full', 'QuotaExceededError'); }; "
	p.run(full + fmt.Sprintf(writeNote, "sent at once"))
	p.until("it is sent without being kept", "document.querySelector('#note-form output').textContent.includes('The plan follows')")
	p.out.down()
	p.run(fmt.Sprintf(writeNote, "nowhere to go"))
	p.until("it says that nothing was kept", "document.querySelector('#note-form output').textContent.includes('Write it down') && document.getElementById('note').value === 'nowhere to go'")
	if rows := p.stored(); len(rows) != 1 || rows[0].Note != "sent at once" {
		t.Errorf("stored %+v", rows)
	}
}

// TestTwoTabsSendOnceAndInOrder reports from two pages of one phone in turns.
func TestTwoTabsSendOnceAndInOrder(t *testing.T) {
	p := newPhone(t)
	other := p.secondTab()
	p.out.down()
	var want []string
	for i := range 20 {
		tab := p
		if i%2 == 1 {
			tab = other
		}
		want = append(want, fmt.Sprint("note ", i))
		tab.run(fmt.Sprintf(writeNote, want[i]))
		tab.until("it is kept", fmt.Sprintf("document.getElementById('queue').textContent.includes('%d report')", i+1))
	}
	p.out.up()
	wake := "window.dispatchEvent(new Event('online'))"
	p.run(wake)
	other.run(wake)
	p.arrived(len(want))
	var got []string
	for _, r := range p.stored() {
		got = append(got, r.Note)
	}
	if strings.Join(got, "\n") != strings.Join(want, "\n") {
		t.Errorf("arrived: %q", got)
	}
}

// TestATabSeesWhatAnotherSends reports from one page and sends from another: the first
// says so too.
func TestATabSeesWhatAnotherSends(t *testing.T) {
	p := newPhone(t)
	other := p.secondTab()
	p.out.down()
	p.run(fmt.Sprintf(writeNote, "from the first"))
	p.until("it is kept", fmt.Sprintf(waiting, "1 report waits"))
	p.run("window.addEventListener('online', (e) => e.stopImmediatePropagation(), true)")
	p.out.up()
	other.run("window.dispatchEvent(new Event('online'))")
	other.until("the second tab sends it", "document.getElementById('queue').hidden")
	p.until("the first says that it is taken", "document.getElementById('queue').hidden && document.querySelector('#note-form output').textContent.includes('The plan follows')")
	if rows := p.stored(); len(rows) != 1 || rows[0].Note != "from the first" {
		t.Errorf("stored %+v", rows)
	}
}

// TestAnAnswerThatNeverComes has a server that takes a report's first try and says
// nothing: it is given up, and sent again.
func TestAnAnswerThatNeverComes(t *testing.T) {
	p := newPhone(t)
	p.out.down()
	serve, tries, silent := p.out.handler, atomic.Int64{}, make(chan struct{})
	t.Cleanup(func() { close(silent) })
	p.out.handler = http.HandlerFunc(func(w http.ResponseWriter, r *http.Request) {
		if r.Method == http.MethodPost && r.URL.Path == "/api/v1/records" && tries.Add(1) == 1 {
			<-silent
			return
		}
		serve.ServeHTTP(w, r)
	})
	p.out.up()
	p.run("const usual = AbortSignal.timeout.bind(AbortSignal); AbortSignal.timeout = (ms) => usual(Math.min(ms, 500)); " + fmt.Sprintf(writeNote, "first") + "; f.elements.note.value = 'second'; f.requestSubmit()")
	p.arrived(2)
	var got []string
	for _, r := range p.stored() {
		got = append(got, r.Note)
	}
	if tries.Load() < 3 || strings.Join(got, ", ") != "first, second" {
		t.Errorf("%d tries, stored %q", tries.Load(), got)
	}
}

// TestTheStoreIsOpenedAgain closes the browser's store under a page: the next report is
// kept all the same.
func TestTheStoreIsOpenedAgain(t *testing.T) {
	p := newPhone(t)
	p.out.down()
	p.run(fmt.Sprintf(writeNote, "lost with the store"))
	p.until("it is kept", fmt.Sprintf(waiting, "1 report waits"))
	p.run("await new Promise((done, failed) => { const r = indexedDB.deleteDatabase('potlife'); r.onsuccess = done; r.onerror = failed; })")
	p.run(fmt.Sprintf(writeNote, "kept"))
	p.until("it is kept again", "document.querySelector('#note-form output').textContent.includes('Kept on this phone')")
	p.open()
	p.until("also after a reload", fmt.Sprintf(waiting, "1 report waits"))
	p.out.up()
	p.arrived(1)
	if rows := p.stored(); len(rows) != 1 || rows[0].Note != "kept" {
		t.Errorf("stored %+v", rows)
	}
}

// TestOthersAreSeen shows a report by somebody else on a page that is open.
func TestOthersAreSeen(t *testing.T) {
	p := newPhone(t)
	if _, err := p.desks.Record(p.ctx, RecordIn{Key: "o", Kind: "area done", Crew: "ada", Date: "2026-03-04", Area: "A1", By: User{Name: "Olive"}, At: testNow}); err != nil {
		t.Fatal(err)
	}
	p.run("document.dispatchEvent(new Event('visibilitychange'))")
	p.until("the page says who reported", "!document.getElementById('others').hidden && document.getElementById('others').textContent.includes('Olive has reported: area done')")
	p.run("document.querySelector('.done-form [name=area][value=A1]').form.requestSubmit()")
	p.until("the report is sent", "document.querySelector('.done-form [name=area][value=A1]').form.querySelector('output').textContent.includes('The plan follows')")
	p.open()
	p.until("both see both", "[...document.querySelectorAll('#recorded li')].filter((l) => /also reported by (Olive|Ada); .*counts, being the latest/.test(l.textContent)).length === 2")
}
