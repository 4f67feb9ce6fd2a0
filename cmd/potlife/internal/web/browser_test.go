package web

import (
	"context"
	"fmt"
	"io"
	"log/slog"
	"net"
	"net/http"
	"os"
	"os/exec"
	"path/filepath"
	"slices"
	"strings"
	"testing"
	"time"

	"github.com/chromedp/chromedp"

	"potlife/cmd/potlife/internal/sheet"
)

// outage is a server that can go away and come back under the same address.
type outage struct {
	t       *testing.T
	address string
	handler http.Handler
	srv     *http.Server
}

func (o *outage) up() {
	o.t.Helper()
	var l net.Listener
	var err error
	for range 50 { // the address may be held for a moment by closed connections
		if l, err = net.Listen("tcp", o.address); err == nil {
			break
		}
		time.Sleep(20 * time.Millisecond)
	}
	if err != nil {
		o.t.Fatal(err)
	}
	o.address = l.Addr().String()
	o.srv = &http.Server{Handler: o.handler}
	go o.srv.Serve(l)
}

func (o *outage) down() { o.srv.Close() }

// browser starts Chromium at phone size; without it the test is skipped, but
// not where CI says that it must be there.
func browser(t *testing.T) context.Context {
	t.Helper()
	exe, err := exec.LookPath("chromium")
	if err != nil {
		if os.Getenv("CI") == "true" {
			t.Fatal("chromium is not installed (Debian: chromium)")
		}
		t.Skip("chromium is not installed (Debian: chromium)")
	}
	options := append(chromedp.DefaultExecAllocatorOptions[:], chromedp.ExecPath(exe), chromedp.NoSandbox)
	ctx, stop := chromedp.NewExecAllocator(context.Background(), options...)
	t.Cleanup(stop)
	ctx, stop = chromedp.NewContext(ctx)
	t.Cleanup(stop)
	ctx, stop = context.WithTimeout(ctx, 4*time.Minute)
	t.Cleanup(stop)
	return ctx
}

// until waits for a script to give true.
func until(t *testing.T, ctx context.Context, what, script string) {
	t.Helper()
	deadline := time.Now().Add(45 * time.Second)
	for {
		ok, err := chromedp.Run(ctx, chromedp.Evaluate[bool](script, chromedp.EvalAwaitPromise))
		if err == nil && ok {
			return
		}
		if time.Now().After(deadline) {
			text, _ := chromedp.Run(ctx, chromedp.Evaluate[string]("document.body ? document.body.innerText.slice(0, 400) : ''"))
			worker, _ := chromedp.Run(ctx, chromedp.Evaluate[string]("navigator.serviceWorker.getRegistration().then(r => r ? [r.installing, r.waiting, r.active].map(w => w && w.state).join(' ') : 'no worker')", chromedp.EvalAwaitPromise))
			t.Fatalf("%s: not within 45 s (%v); worker: %s; the page reads:\n%s", what, err, worker, text)
		}
		time.Sleep(50 * time.Millisecond)
	}
}

// TestReportsSurviveAnOutage opens a sheet on a phone, loses the network,
// makes a hundred reports, loads the page again, and comes back: each lands
// once and in order.
func TestReportsSurviveAnOutage(t *testing.T) {
	ctx := browser(t)
	d := newDesks()
	h, err := New(Options{Plans: d, Sheets: d, Recorder: d, History: d, Orders: d, Accounts: forever{d}, Health: d, Print: sheet.Printer{}, Log: slog.New(slog.NewTextHandler(io.Discard, nil))})
	if err != nil {
		t.Fatal(err)
	}
	o := &outage{t: t, address: "127.0.0.1:0", handler: h}
	o.up()
	defer func() { o.down() }()
	page := "http://" + o.address + today
	do := func(steps ...chromedp.Action[chromedp.Void]) {
		t.Helper()
		if err := chromedp.Do(ctx, steps...); err != nil {
			t.Fatal(err)
		}
	}
	do(chromedp.EmulateViewport(360, 740), chromedp.Navigate("http://"+o.address+"/sign-in/3"), chromedp.Click("#sign-in"), chromedp.WaitVisible("#nav"), chromedp.Navigate(page), chromedp.WaitVisible("article.sheet"))
	until(t, ctx, "the service worker looks after the page", "navigator.serviceWorker.controller !== null")
	do(chromedp.Navigate(page), chromedp.WaitVisible("article.sheet"))
	until(t, ctx, "the sheet is kept", "caches.open('potlife-1').then(c => c.match(location.href)).then(r => Boolean(r))")
	wide, err := chromedp.Run(ctx, chromedp.Evaluate[int]("document.documentElement.scrollWidth"))
	if err != nil || wide > 360 {
		t.Errorf("the sheet is %d px wide on a phone of 360 (%v)", wide, err)
	}

	o.down()
	const forms = "document.querySelectorAll('.done-form button')"
	until(t, ctx, "three reports are made", "["+forms+"[0], "+forms+"[1], "+forms+"[2]].every(b => { b.click(); return b.disabled })")
	until(t, ctx, "ninety-seven notes follow", `(() => { const f = document.getElementById('note-form');
		for (let i = 1; i <= 97; i++) { f.elements.note.value = 'note ' + i; f.requestSubmit(); }
		return true; })()`)
	until(t, ctx, "a hundred reports wait", "document.getElementById('queue').textContent.includes('100 reports wait')")
	do(chromedp.Navigate(page), chromedp.WaitVisible("article.sheet"))
	until(t, ctx, "they wait after the page was loaded again", "document.getElementById('queue').textContent.includes('100 reports wait') && "+forms+"[1].disabled")
	if n := len(d.records); n != 0 {
		t.Fatalf("%d reports came through a network that was away", n)
	}

	o.up()
	until(t, ctx, "the queue is sent", "(window.dispatchEvent(new Event('online')), document.getElementById('queue').hidden)")
	rows, err := d.Records(ctx, "", "")
	if err != nil {
		t.Fatal(err)
	}
	want := []string{"prep", "A1", "A2"}
	for i := range 97 {
		want = append(want, fmt.Sprintf("note %d", i+1))
	}
	var got []string
	for _, r := range rows {
		got = append(got, r.Activity+r.Area+r.Note)
	}
	if !slices.Equal(got, want) {
		t.Errorf("recorded %q, want %q", got, want)
	}
}

// TestThePageOfASheetPrints prints the page itself and reads the paper back.
func TestThePageOfASheetPrints(t *testing.T) {
	ctx := browser(t)
	for _, tool := range []string{"pdftotext", "pdftoppm", "zbarimg"} {
		if _, err := exec.LookPath(tool); err != nil {
			t.Skipf("%s is not installed (poppler-utils, zbar-tools)", tool)
		}
	}
	s := newSite(t, func(o *Options) { o.Accounts = forever{o.Accounts.(*desks)} })
	if err := chromedp.Do(ctx, chromedp.Navigate(s.srv.URL+"/sign-in/2"), chromedp.Click("#sign-in"), chromedp.WaitVisible("#nav"), chromedp.Navigate(s.srv.URL+today), chromedp.WaitVisible("article.sheet")); err != nil {
		t.Fatal(err)
	}
	pdf, err := chromedp.Run(ctx, chromedp.PrintToPDF(chromedp.PDFPreferCSSPageSize(), chromedp.PDFPaper(chromedp.PaperSize{Width: 8.27, Height: 11.69})))
	if err != nil {
		t.Fatal(err)
	}
	file := filepath.Join(t.TempDir(), "page.pdf")
	if err := os.WriteFile(file, pdf, 0o600); err != nil {
		t.Fatal(err)
	}
	out, err := exec.Command("pdftotext", "-layout", file, "-").Output()
	if err != nil {
		t.Fatal(err)
	}
	text := string(out)
	for _, want := range []string{"Ada's crew", "set north wall", "08:20", "289", "Take care"} {
		if !strings.Contains(text, want) {
			t.Errorf("the printed page lacks %q", want)
		}
	}
	for _, bad := range []string{"Area done", "Sign out", "Report"} {
		if strings.Contains(text, bad) {
			t.Errorf("the printed page shows %q", bad)
		}
	}
	if n := strings.Count(text, "\f"); n > 2 {
		t.Errorf("the page prints on %d sheets, want 2 at most", n)
	}
	if err := exec.Command("pdftoppm", "-r", "150", "-png", "-singlefile", file, strings.TrimSuffix(file, ".pdf")).Run(); err != nil {
		t.Fatal(err)
	}
	code, err := exec.Command("zbarimg", "-q", "--raw", strings.TrimSuffix(file, ".pdf")+".png").Output()
	if err != nil || strings.TrimSpace(string(code)) != s.srv.URL+today {
		t.Errorf("the QR code reads %q (%v)", code, err)
	}
}
