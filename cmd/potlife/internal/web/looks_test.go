package web

import (
	"context"
	"fmt"
	"io"
	"log/slog"
	"testing"
	"time"

	"github.com/chromedp/cdproto/emulation"
	"github.com/chromedp/chromedp"

	"potlife/cmd/potlife/internal/sheet"
)

// mainPages are what contractor, office and crew look at most.
var mainPages = []string{"/board", "/jobs", "/jobs/orchard", "/rooms/orchard/bath", north, "/takeoff", "/orders", "/orders/PO-kiln-1", "/stock", "/prices", "/schedule",
	"/what-if?kind=crew+away&crew=ada&from=2026-03-04&to=2026-03-05", "/sheets", today, "/days?from=2026-03-01&to=2026-03-05", "/days/2026-03-04", "/deliveries", "/crews", "/people"}

// tooFaint lists text under 4.5:1 (3:1 where it is large) and controls whose
// outline stands out by less than 3:1 from what is behind them, as WCAG 2.1
// computes contrast (1.4.3, 1.4.11). Drawings have inks of their own.
const tooFaint = `(() => {
	const parse = (c) => { const m = c.match(/[\d.]+/g).map(Number); return m.length > 3 ? m : [...m, 1]; };
	const over = (a, b) => [0, 1, 2].map((i) => a[i] * a[3] + b[i] * (1 - a[3])).concat(1);
	const light = (c) => { const [r, g, b] = c.map((v) => { v /= 255; return v <= 0.04045 ? v / 12.92 : ((v + 0.055) / 1.055) ** 2.4; }); return 0.2126 * r + 0.7152 * g + 0.0722 * b; };
	const ratio = (a, b) => { const x = light(a), y = light(b); return (Math.max(x, y) + 0.05) / (Math.min(x, y) + 0.05); };
	const behind = (e) => {
		const layers = [];
		for (; e; e = e.parentElement) layers.push(parse(getComputedStyle(e).backgroundColor));
		return layers.reduceRight((under, c) => over(c, under), [255, 255, 255, 1]);
	};
	const dim = (e) => { let o = 1; for (; e; e = e.parentElement) o *= Number(getComputedStyle(e).opacity); return o; };
	const said = new Set();
	let looked = 0;
	const seen = (e) => { const r = e.getBoundingClientRect(); return r.width > 1 && r.height > 1 && getComputedStyle(e).visibility === "visible"; };
	for (const e of document.body.querySelectorAll("*")) {
		if (e.closest("svg, option, template, script") || !seen(e) || e.matches(":disabled")) continue;
		const s = getComputedStyle(e), back = behind(e), name = e.tagName.toLowerCase() + (e.className ? "." + e.className : "");
		const note = (what, got, least) => { if (got < least) said.add(name + " " + what + " " + got.toFixed(2) + " < " + least); };
		if ([...e.childNodes].some((n) => n.nodeType === 3 && n.textContent.trim())) {
			looked++;
			const c = parse(s.color), size = parseFloat(s.fontSize), large = size >= 24 || size >= 18.66 && Number(s.fontWeight) >= 700;
			note("text " + s.color, ratio(over([c[0], c[1], c[2], c[3] * dim(e)], back), back), large ? 3 : 4.5);
		}
		if (e.matches("button, input:not([type=hidden]):not([type=checkbox]):not([type=file]), select, textarea")) {
			looked++;
			const outside = behind(e.parentElement), c = parse(s.borderTopColor);
			note("outline " + s.borderTopColor, Math.max(ratio(over(c, outside), outside), ratio(back, outside)), 3);
		}
	}
	if (looked < 3) said.add("only " + looked + " things were looked at");
	return [...said];
})()`

// outOfOrder lists what the tab key reaches before something that stands above
// it, or left of it in the same line, and what is taken out of its order.
const outOfOrder = `(() => {
	const said = [];
	let last = null, n = 0;
	for (const e of document.querySelectorAll("a[href], button, input:not([type=hidden]), select, textarea, summary, [tabindex]")) {
		if (e.tabIndex < 0 || e.disabled || e.closest("template")) continue;
		const r = e.getBoundingClientRect();
		if (r.width <= 1 || r.height <= 1) continue;
		n++;
		const name = e.tagName.toLowerCase() + " " + (e.textContent || e.name || "").trim().slice(0, 30);
		if (e.tabIndex > 0) said.push(name + " has a place of its own, " + e.tabIndex);
		if (last && !last.e.contains(e)) {
			const above = r.bottom <= last.r.top + 1, line = r.top < last.r.bottom - 4 && last.r.top < r.bottom - 4;
			if (above || line && r.right <= last.r.left + 1) said.push(name + " comes after " + last.name);
		}
		last = { e, r, name };
	}
	if (n < 3) said.push("only " + n + " can be reached");
	return said;
})()`

// lookedAt is a browser that the contractor is signed in with.
func lookedAt(t *testing.T) *phone {
	t.Helper()
	p := &phone{t: t, ctx: browser(t), desks: newDesks()}
	d := p.desks
	h, err := New(Options{Plans: d, Sheets: d, Recorder: d, History: d, Orders: d, Accounts: forever{d}, Health: d, Outlook: d, Outbox: d, Prices: d, Stock: d,
		Print: sheet.Printer{}, Log: slog.New(slog.NewTextHandler(io.Discard, nil)), Now: func() time.Time { return testNow }})
	if err != nil {
		t.Fatal(err)
	}
	p.out = &outage{t: t, address: "127.0.0.1:0", handler: h}
	p.out.up()
	t.Cleanup(func() { p.out.down() })
	p.page = "http://" + p.out.address + today
	p.signIn("1")
	return p
}

// list runs a script that gives a list.
func (p *phone) list(script string) []string {
	p.t.Helper()
	got, err := chromedp.Run(p.ctx, chromedp.Evaluate[[]string](script))
	if err != nil {
		p.t.Fatal(err)
	}
	return got
}

// TestContrastAndTabOrder looks at the main pages by day, by night, on a phone and
// on paper.
func TestContrastAndTabOrder(t *testing.T) {
	p := lookedAt(t)
	for _, way := range []struct {
		name, media, scheme string
		width               int64
	}{{"day", "screen", "light", 1280}, {"night", "screen", "dark", 360}, {"paper", "print", "light", 720}} {
		p.do(chromedp.EmulateViewport(way.width, 800), chromedp.Func(func(ctx context.Context, _ *chromedp.Target) error {
			_, err := chromedp.Call(ctx, emulation.SetEmulatedMedia, emulation.SetEmulatedMediaParams{Media: way.media, Features: []*emulation.MediaFeature{{Name: "prefers-color-scheme", Value: way.scheme}}})
			return err
		}))
		for _, page := range mainPages {
			p.do(chromedp.Navigate("http://"+p.out.address+page), chromedp.WaitReady("main"))
			p.run("for (const d of document.querySelectorAll('details')) d.open = true")
			for _, fault := range p.list(tooFaint) {
				t.Errorf("%s by %s: %s", page, way.name, fault)
			}
			if way.media == "print" {
				continue
			}
			for _, fault := range p.list(outOfOrder) {
				t.Errorf("%s, %d px: %s", page, way.width, fault)
			}
			if wide := p.list(`[String(document.documentElement.scrollWidth)]`)[0]; way.width == 360 && wide != "360" {
				t.Errorf("%s is %s px wide on a window of 360", page, wide)
			}
		}
	}
}

// TestTabBeginsWithTheWayIn: the first stop leads past the navigation.
func TestTabBeginsWithTheWayIn(t *testing.T) {
	p := lookedAt(t)
	p.do(chromedp.Navigate("http://"+p.out.address+"/board"), chromedp.WaitReady("main"), chromedp.KeyEvent("\t"))
	if got := p.list("[document.activeElement.textContent]")[0]; got != "Skip to the content" {
		t.Errorf("the first stop is %q", got)
	}
}

// TestASheetAheadAsksOnce: who reports on a day to come is asked once, and may.
func TestASheetAheadAsksOnce(t *testing.T) {
	p := newPhone(t)
	done := "document.querySelector('.done-form [name=area][value=A1]').form"
	p.run(fmt.Sprintf("document.getElementById('ahead').dataset.date = %q; %s.requestSubmit()", time.Now().AddDate(0, 0, 3).Format(time.DateOnly), done))
	p.until("it asks", done+".querySelector('output').textContent.includes(', 3 days ahead. If it is done already, press once more.')")
	if n := len(p.stored()); n != 0 {
		t.Fatalf("%d reports came before the answer", n)
	}
	p.run(done + ".requestSubmit()")
	p.until("the report is sent", done+".querySelector('output').textContent.includes('The plan follows')")
	if n := len(p.stored()); n != 1 {
		t.Errorf("%d reports came, want 1", n)
	}
}

func TestDaysAhead(t *testing.T) {
	late := time.Date(2026, 3, 4, 23, 30, 0, 0, time.UTC)
	for date, want := range map[string]int{"2026-03-03": 0, "2026-03-04": 0, "2026-03-05": 1, "2026-03-07": 3, "": 0, "soon": 0} {
		if got := daysAhead(date, late); got != want {
			t.Errorf("%q: %d, want %d", date, got, want)
		}
	}
}
