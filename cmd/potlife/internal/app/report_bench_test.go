package app

import (
	"context"
	"fmt"
	"net/http"
	"net/http/cookiejar"
	"net/http/httptest"
	"net/url"
	"slices"
	"strings"
	"testing"
	"time"

	"potlife/cmd/potlife/internal/jobfile"
	"potlife/cmd/potlife/internal/sheet"
	"potlife/cmd/potlife/internal/store"
	"potlife/cmd/potlife/internal/web"
	"potlife/integration/pgtest"
	"potlife/rooms"
)

// manyRooms is a firm with the demonstration's jobs over and over until there are
// n rooms, imported and planned.
func manyRooms(b *testing.B, n int) *App {
	b.Helper()
	file, problems := jobfile.Parse("demo", jobfile.Demo("inches"))
	if err := problems.Err(); err != nil {
		b.Fatal(err)
	}
	start := rooms.Date{Year: 2027, Month: 1, Day: 18}
	jobfile.Shift(file, jobfile.StartOn(file, start))
	var jobs []rooms.Job
	for have := 0; have < n; {
		for _, j := range file.Jobs {
			j.Key = fmt.Sprintf("%s-%d", j.Key, len(jobs))
			jobs = append(jobs, j)
			for _, s := range j.Sites {
				have += len(s.Rooms)
			}
		}
	}
	ctx := context.Background()
	s, err := store.Open(ctx, pgtest.URL(b))
	if err != nil {
		b.Fatal(err)
	}
	b.Cleanup(s.Close)
	now := start.AddDays(-14).In(file.Firm.Zone).Add(10 * time.Hour)
	a, err := New(Options{Store: s, Print: sheet.Printer{}, Now: func() time.Time { return now }})
	if err != nil {
		b.Fatal(err)
	}
	if _, err := s.Import(ctx, store.Import{Firm: file.Firm, Jobs: jobs, Who: "bench", Source: "demo"}, now); err != nil {
		b.Fatal(err)
	}
	if _, err := a.Replan(ctx, "bench"); err != nil {
		b.Fatal(err)
	}
	return a
}

// BenchmarkReportOf40Rooms takes a report the whole way: POST, store, answer
// (ack-*), and then the plan of 40 rooms made again, checked and saved (plan-*).
// Run with POTLIFE_TEST_PG_FSYNC=on, or a commit costs nothing.
func BenchmarkReportOf40Rooms(b *testing.B) {
	a := manyRooms(b, 40)
	ctx := context.Background()
	u, err := a.o.Store.AddUser(ctx, store.User{Name: "Olive", Role: "office"}, a.now())
	if err != nil {
		b.Fatal(err)
	}
	token, err := a.o.Store.NewSignInLink(ctx, u.ID, time.Hour, a.now())
	if err != nil {
		b.Fatal(err)
	}
	p := Pages{a}
	h, err := web.New(web.Options{Plans: p, Sheets: p, Recorder: p, History: p, Orders: p, Accounts: p, Health: p, Print: sheet.Printer{}, Sessions: a.o.Store.Sessions(), Log: a.log, Now: a.now})
	if err != nil {
		b.Fatal(err)
	}
	srv := httptest.NewServer(h)
	defer srv.Close()
	jar, err := cookiejar.New(nil)
	if err != nil {
		b.Fatal(err)
	}
	client := &http.Client{Jar: jar}
	if res, err := client.PostForm(srv.URL+"/sign-in", url.Values{"token": {token}}); err != nil || res.Body.Close() != nil {
		b.Fatal(err)
	}
	saved, err := a.o.Store.CurrentPlan(ctx)
	if err != nil {
		b.Fatal(err)
	}
	areas := saved.Plan.Areas
	b.Logf("%s, %d areas, document of %d KiB", pgtest.What(b), len(areas), len(saved.Document)>>10)
	var acks, plans []time.Duration
	i := 0
	for b.Loop() {
		area := areas[i%len(areas)]
		i++
		body := fmt.Sprintf(`{"key":"bench-%06d","kind":"area done","crew":%q,"date":"2027-01-04","area":%q}`, i, area.Crew, area.ID)
		began := time.Now()
		res, err := client.Post(srv.URL+"/api/v1/records", "application/json", strings.NewReader(body))
		if err != nil || res.StatusCode != http.StatusOK || res.Body.Close() != nil {
			b.Fatal(err, res)
		}
		acks = append(acks, time.Since(began))
		began = time.Now()
		if _, err := a.Replan(ctx, "report"); err != nil {
			b.Fatal(err)
		}
		plans = append(plans, time.Since(began))
	}
	for name, took := range map[string][]time.Duration{"ack": acks, "plan": plans} {
		slices.Sort(took)
		b.ReportMetric(float64(took[len(took)/2].Microseconds())/1000, name+"-p50-ms")
		b.ReportMetric(float64(took[(len(took)-1)*99/100].Microseconds())/1000, name+"-p99-ms")
	}
}
