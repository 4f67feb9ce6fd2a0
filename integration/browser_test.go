package integration

import (
	"context"
	"fmt"
	"os"
	"os/exec"
	"path/filepath"
	"strings"
	"testing"
	"time"

	"github.com/chromedp/chromedp"
)

// phone is a real browser with a phone's window.
type phone struct {
	t   *testing.T
	ctx context.Context
}

func newPhone(t *testing.T) *phone {
	t.Helper()
	path, err := exec.LookPath("chromium")
	if err != nil {
		if os.Getenv("CI") != "" {
			t.Fatal("chromium is not installed, and CI must have it")
		}
		t.Skip("skipped: chromium is not installed")
	}
	opts := append(chromedp.DefaultExecAllocatorOptions[:], chromedp.ExecPath(path), chromedp.NoSandbox)
	ctx, cancel := chromedp.NewExecAllocator(context.Background(), opts...)
	t.Cleanup(cancel)
	ctx, cancel = chromedp.NewContext(ctx)
	t.Cleanup(cancel)
	ctx, cancel = context.WithTimeout(ctx, 6*time.Minute)
	t.Cleanup(cancel)
	// The first action starts the browser, which lives as long as its context.
	if err := chromedp.Do(ctx, chromedp.EmulateViewport(360, 740, chromedp.EmulateMobile)); err != nil {
		t.Fatal(err)
	}
	return &phone{t, ctx}
}

func (p *phone) do(what string, actions ...chromedp.Action[chromedp.Void]) {
	p.t.Helper()
	for _, a := range actions {
		ctx, cancel := context.WithTimeout(p.ctx, time.Minute)
		err := chromedp.Do(ctx, a)
		cancel()
		if err != nil {
			text, _ := chromedp.Run(p.ctx, chromedp.Evaluate[string]("location.href + '\\n' + document.body.innerText.slice(0, 2000)"))
			p.t.Fatalf("%s: %v; the page says\n%s", what, err, text)
		}
	}
}

func ask[T any](p *phone, js string) T {
	p.t.Helper()
	v, err := chromedp.Run(p.ctx, chromedp.Evaluate[T](js))
	if err != nil {
		p.t.Fatalf("%s: %v", js, err)
	}
	return v
}

// TestSheetOnAPhone signs in with a link, opens the day sheet at 360 px,
// records without a network, and sees the reports land once and in order when
// the network is back.
func TestSheetOnAPhone(t *testing.T) {
	p := newProgram(t)
	p.run("import", p.demoFile("inches"))
	d := p.serve()
	office := d.signIn("Office", "office", "")
	eventually(t, "a plan", func() bool { _, code := office.get("/api/v1/plan"); return code == 200 })
	doc := office.plan()
	crew, date := doc.Sheets[0].Crew, doc.Sheets[0].Date
	issueBefore(t, p, date)

	b := newPhone(t)
	b.do("open the link", chromedp.Navigate(d.URL+"/sign-in/"+d.token("Jo", "crew", crew)), chromedp.Click("#sign-in"),
		chromedp.WaitVisible(".who"))
	sheet := d.URL + "/sheets/" + crew + "/" + date
	b.do("open the sheet", chromedp.Navigate(sheet), chromedp.WaitVisible("article"))
	if w := ask[float64](b, "document.documentElement.scrollWidth"); w > 360 {
		t.Errorf("the sheet is %g px wide on a window of 360", w)
	}
	text := ask[string](b, "document.body.innerText")
	for _, want := range []string{"Cut", "data sheets"} {
		if !strings.Contains(text, want) {
			t.Errorf("the sheet lacks %q", want)
		}
	}
	if dir := os.Getenv("POTLIFE_SHOTS"); dir != "" {
		shot, err := chromedp.Run(b.ctx, chromedp.FullScreenshot(100))
		if err != nil {
			t.Fatal(err)
		}
		if err := os.WriteFile(filepath.Join(dir, "sheet.png"), shot, 0o600); err != nil {
			t.Fatal(err)
		}
	}
	recordOffline(t, b, d, office, sheet, crew)
}

// recordOffline writes five notes while nothing answers: the daemon is stopped,
// so that neither the page nor its worker has a way out, and started again.
func recordOffline(t *testing.T, b *phone, d *daemon, office *person, sheet, crew string) {
	t.Helper()
	b.do("the worker takes over", chromedp.Navigate(sheet), chromedp.WaitVisible("article"))
	eventually(t, "the page's worker is in charge", func() bool {
		return ask[bool](b, "!!(navigator.serviceWorker && navigator.serviceWorker.controller)")
	})
	b.do("the sheet is kept", chromedp.Reload(), chromedp.WaitVisible("article"))
	d.stop()
	for i := range 5 {
		ask[bool](b, fmt.Sprintf(`(() => { const f = document.getElementById("note-form"); f.closest("details").open = true;
			f.elements.note.value = "note %d"; f.requestSubmit(); return true; })()`, i+1))
		time.Sleep(200 * time.Millisecond)
	}
	eventually(t, "the queue shows what waits", func() bool { return ask[bool](b, `!document.getElementById("queue").hidden`) })
	b.do("reload without a network", chromedp.Reload(), chromedp.WaitVisible("article"))
	d.program.serve("--listen", strings.TrimPrefix(d.URL, "http://"))
	ask[bool](b, `(window.dispatchEvent(new Event("online")), true)`)
	all := func() string { text, _ := office.get("/api/v1/records?crew=" + crew); return text }
	eventually(t, "all notes arrive", func() bool { return strings.Contains(all(), "note 5") })
	text := all()
	last := -1
	for i := 1; i <= 5; i++ {
		note := fmt.Sprintf(`"note %d"`, i)
		if n := strings.Count(text, note); n != 1 {
			t.Errorf("%s landed %d times", note, n)
		}
		if at := strings.Index(text, note); at < last {
			t.Errorf("%s landed out of order", note)
		} else {
			last = at
		}
	}
}
