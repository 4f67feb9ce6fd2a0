package integration

import (
	"context"
	"io"
	"math/rand/v2"
	"net/http"
	"net/http/httptest"
	"os"
	"path/filepath"
	"regexp"
	"slices"
	"strconv"
	"strings"
	"sync"
	"testing"
	"time"

	"github.com/jackc/pgx/v5"
)

// receiver is a webhook that counts what comes under which id, and refuses or
// breaks off some of it.
type receiver struct {
	mu   sync.Mutex
	seen map[string]int // accepted, by Idempotency-Key
	body map[string]string
	bad  []string
}

func (r *receiver) ServeHTTP(w http.ResponseWriter, req *http.Request) {
	text, err := io.ReadAll(req.Body)
	if err != nil {
		return
	}
	r.mu.Lock()
	defer r.mu.Unlock()
	key := req.Header.Get("Idempotency-Key")
	if old, ok := r.body[key]; ok && old != string(text) {
		r.bad = append(r.bad, key+" came with two contents")
	}
	r.body[key] = string(text)
	r.seen[key]++
	if r.seen[key] == 1 && len(key)%2 == 0 {
		w.WriteHeader(http.StatusServiceUnavailable) // taken, but the sender cannot know
	}
}

// TestChaos lets three processes issue the same days while each is killed at a
// random instant, over and over: whatever happens there is one issue for each
// crew and day, every one is delivered, and a repeat comes under the same id
// with the same content only.
func TestChaos(t *testing.T) {
	rounds := 6
	if s := os.Getenv("POTLIFE_CHAOS_ROUNDS"); s != "" {
		n, err := strconv.Atoi(s)
		if err != nil {
			t.Fatalf("POTLIFE_CHAOS_ROUNDS: %v", err)
		}
		rounds = n
	}
	p := newProgram(t)
	hook := &receiver{seen: map[string]int{}, body: map[string]string{}}
	srv := httptest.NewServer(hook)
	t.Cleanup(srv.Close)
	folder := t.TempDir()
	p.env = append(p.env, "POTLIFE_FOLDER="+folder, "POTLIFE_WEBHOOK_URL="+srv.URL, "POTLIFE_WEBHOOK_SECRET=a secret for the chaos test")
	p.run("import", p.demoFile("inches"))
	days := sheetDays(t, p)
	seed := uint64(time.Now().UnixNano())
	t.Logf("seed %d, %d rounds over %d days", seed, rounds, len(days))
	dice := rand.New(rand.NewPCG(seed, 1))
	for round := range rounds {
		chaosRound(t, p, days[round*len(days)/max(rounds, len(days))], dice)
	}
	d := p.serve()
	last := days[(rounds-1)*len(days)/max(rounds, len(days))]
	p.run("issue", "--date", last, "--ahead")
	settled(t, p, hook, folder)
	d.stop()
}

// chaosRound starts two issuers and a daemon and kills each at a random
// instant.
func chaosRound(t *testing.T, p *program, day string, dice *rand.Rand) {
	t.Helper()
	var all sync.WaitGroup
	for i := range 3 {
		args := []string{"issue", "--date", day, "--ahead"}
		if i == 0 {
			args = []string{"serve"}
		}
		cmd := p.command(args...)
		if err := cmd.Start(); err != nil {
			t.Fatal(err)
		}
		after := time.Duration(100+dice.IntN(3000)) * time.Millisecond
		all.Add(1)
		go func() {
			defer all.Done()
			timer := time.AfterFunc(after, func() { _ = cmd.Process.Kill() })
			defer timer.Stop()
			_ = cmd.Wait() // killed or done, both are fine
		}()
	}
	all.Wait()
}

var sheetLine = regexp.MustCompile(`"date":\s*"(\d{4}-\d\d-\d\d)"`)

// sheetDays are the days with work, from a plan made on the command line.
func sheetDays(t *testing.T, p *program) []string {
	t.Helper()
	file := filepath.Join(t.TempDir(), "all.yaml")
	out, err := p.command("export").Output()
	if err != nil {
		t.Fatal(err)
	}
	if err := os.WriteFile(file, out, 0o600); err != nil {
		t.Fatal(err)
	}
	text, err := p.command("plan", file, "--json").Output()
	if err != nil {
		t.Fatal(err)
	}
	var days []string
	for _, m := range sheetLine.FindAllStringSubmatch(string(text), -1) {
		if !slices.Contains(days, m[1]) {
			days = append(days, m[1])
		}
	}
	if len(days) < 3 {
		t.Fatalf("only %d days with work", len(days))
	}
	slices.Sort(days)
	return days
}

// settled waits for the outbox and compares the ledger with what arrived.
func settled(t *testing.T, p *program, hook *receiver, folder string) {
	t.Helper()
	ctx := context.Background()
	url, _ := strings.CutPrefix(p.env[0], "POTLIFE_DATABASE_URL=")
	db, err := pgx.Connect(ctx, url)
	if err != nil {
		t.Fatal(err)
	}
	defer db.Close(ctx)
	// What a killed sender held, or what was refused once, is due later; the
	// test does not wait for the clock.
	eventually(t, "the outbox is empty", func() bool {
		if _, err := db.Exec(ctx, `UPDATE outbox SET next_try = created_at, locked_until = least(locked_until, now() + interval '5 seconds') WHERE done_at IS NULL AND failed_at IS NULL`); err != nil {
			t.Fatal(err)
		}
		var open int
		if err := db.QueryRow(ctx, `SELECT count(*) FROM outbox WHERE done_at IS NULL`).Scan(&open); err != nil {
			t.Fatal(err)
		}
		return open == 0
	})
	rows, err := db.Query(ctx, `SELECT crew, work_date::text, count(*), max(revision) FROM issues GROUP BY crew, work_date`)
	if err != nil {
		t.Fatal(err)
	}
	type line struct {
		Crew, Date      string
		Count, Revision int
	}
	ledger, err := pgx.CollectRows(rows, pgx.RowToStructByPos[line])
	if err != nil {
		t.Fatal(err)
	}
	if len(ledger) == 0 {
		t.Fatal("nothing was issued")
	}
	hook.mu.Lock()
	defer hook.mu.Unlock()
	for _, b := range hook.bad {
		t.Error(b)
	}
	for _, l := range ledger {
		if l.Count != 1 || l.Revision != 1 {
			t.Errorf("crew %s on %s: %d issues up to revision %d, expected one", l.Crew, l.Date, l.Count, l.Revision)
		}
		if key := "sheet." + l.Crew + "." + l.Date + ".1.webhook"; hook.seen[key] == 0 {
			t.Errorf("%s never arrived", key)
		}
		for _, ext := range []string{"pdf", "csv", "html", "json"} {
			if _, err := os.Stat(filepath.Join(folder, l.Date+" "+l.Crew+" r1."+ext)); err != nil {
				t.Errorf("the folder lacks a file: %v", err)
			}
		}
	}
	var notices []string
	if rows, err = db.Query(ctx, `SELECT work_date::text FROM notices`); err == nil {
		notices, err = pgx.CollectRows(rows, pgx.RowTo[string])
	}
	if err != nil {
		t.Fatal(err)
	}
	for _, d := range notices {
		if hook.seen["notice."+d+".webhook"] == 0 {
			t.Errorf("the notice for %s never arrived", d)
		}
	}
	if len(hook.seen) != len(ledger)+len(notices) {
		t.Errorf("%d ids arrived for %d issues and %d notices", len(hook.seen), len(ledger), len(notices))
	}
	t.Logf("%d issues, %d notices, %d posts", len(ledger), len(notices), total(hook.seen))
}

func total(m map[string]int) int {
	n := 0
	for _, v := range m {
		n += v
	}
	return n
}
