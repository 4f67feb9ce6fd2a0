package store

import (
	"context"
	"errors"
	"fmt"
	"os"
	"sync/atomic"
	"testing"
	"time"

	"github.com/jackc/pgx/v5"
	"github.com/jackc/pgx/v5/pgconn"
	"github.com/jackc/pgx/v5/pgxpool"
	"go.uber.org/goleak"

	"potlife/integration/pgtest"
	"potlife/migrations"
	"potlife/rooms"
)

// killHelper, when set, makes this binary the victim of a kill -9 test.
const killHelper = "POTLIFE_STORE_TEST_VICTIM"

func TestMain(m *testing.M) {
	if what := os.Getenv(killHelper); what != "" {
		victim(what)
	}
	code := pgtest.Run(m)
	if err := goleak.Find(); err != nil {
		fmt.Fprintln(os.Stderr, "goroutines are left:", err)
		code = max(code, 1)
	}
	os.Exit(code)
}

// noon is the instant at which tests happen.
var noon = time.Date(2026, 11, 25, 12, 0, 0, 0, time.UTC)

// open returns a store on a database of its own.
func open(tb testing.TB) *Store {
	tb.Helper()
	return openURL(tb, pgtest.URL(tb))
}

func openURL(tb testing.TB, url string) *Store {
	tb.Helper()
	s, err := Open(context.Background(), url)
	if err != nil {
		tb.Fatal(err)
	}
	tb.Cleanup(s.Close)
	return s
}

func TestBrokenConnectionsAreReplaced(t *testing.T) {
	ctx := context.Background()
	s := imported(t)
	for i := range 5 {
		// All connections but the asking one break, as when the server is restarted.
		if _, err := s.pool.Exec(ctx, `SELECT pg_terminate_backend(pid) FROM pg_stat_activity WHERE datname = current_database() AND pid <> pg_backend_pid()`); err != nil {
			t.Fatal(err)
		}
		var conns []*pgxpool.Conn // several, so that broken ones are among those that are tried
		for range 4 {
			if c, err := s.pool.Acquire(ctx); err == nil {
				conns = append(conns, c)
			}
		}
		if _, err := s.pool.Exec(ctx, `SELECT pg_terminate_backend(pid) FROM pg_stat_activity WHERE datname = current_database() AND pid <> pg_backend_pid()`); err != nil {
			t.Fatal(err)
		}
		for _, c := range conns {
			c.Release()
		}
		if _, err := s.AddRecord(ctx, areaDone(fmt.Sprint("k", i), "ann", noon), noon); err != nil {
			t.Errorf("a record right after the connections broke: %v", err)
		}
		if _, err := s.Records(ctx, 0); err != nil {
			t.Errorf("reading right after the connections broke: %v", err)
		}
	}
	if err := s.Ping(ctx); err != nil {
		t.Error(err)
	}
	if n, err := s.Size(ctx); err != nil || n < 1<<20 {
		t.Errorf("a database of %d bytes, %v", n, err)
	}
}

func TestBasisTellsAnOvertakenPlan(t *testing.T) {
	ctx := context.Background()
	s := imported(t)
	events := map[string]func() error{
		"a record": func() error { _, err := s.AddRecord(ctx, areaDone("k", "ann", noon), noon); return err },
		"an import": func() error {
			j := fullJob("flat")
			j.Name = "renamed"
			_, err := s.ImportJobs(ctx, []rooms.Job{j}, noon)
			return err
		},
		"an order":    func() error { _, err := s.PlaceOrder(ctx, order("o"), "olga", nil, noon); return err },
		"a job ended": func() error { return s.CloseJob(ctx, "villa", noon) },
	}
	check := func(when string, want bool) {
		t.Helper()
		if got, err := s.Overtaken(ctx); err != nil || got != want {
			t.Errorf("%s: overtaken %v, %v; want %v", when, got, err, want)
		}
	}
	check("before any plan", true)
	for what, happens := range events {
		basis, err := s.Basis(ctx)
		if err != nil {
			t.Fatal(err)
		}
		if _, err := s.SavePlan(ctx, NewPlan{Plan: fullPlan(), Basis: basis}, noon); err != nil {
			t.Fatal(err)
		}
		check("after a plan", false)
		if err := happens(); err != nil {
			t.Fatal(err)
		}
		check("after "+what, true)
	}
}

// A transaction that PostgreSQL breaks off because of others is tried again.
func TestDeadlockIsTriedAgain(t *testing.T) {
	ctx := context.Background()
	s := open(t)
	for _, name := range []string{"a", "b"} {
		if err := s.SetSetting(ctx, name, "0", noon); err != nil {
			t.Fatal(err)
		}
	}
	var attempts atomic.Int32
	both := make(chan struct{}, 2)
	errs := make(chan error, 2)
	for _, order := range [][]string{{"a", "b"}, {"b", "a"}} {
		go func() {
			first := true
			errs <- s.write(ctx, func(tx pgx.Tx) error {
				attempts.Add(1)
				for i, name := range order {
					if i == 1 && first {
						first = false
						both <- struct{}{}
						for len(both) < 2 {
							time.Sleep(time.Millisecond)
						}
					}
					if _, err := tx.Exec(ctx, `UPDATE settings SET value = (value::int + 1)::text WHERE name = $1`, name); err != nil {
						return err
					}
				}
				return nil
			})
		}()
	}
	for range 2 {
		if err := <-errs; err != nil {
			t.Error(err)
		}
	}
	a, _, _ := s.Setting(ctx, "a")
	b, _, _ := s.Setting(ctx, "b")
	if attempts.Load() < 3 || a != "2" || b != "2" {
		t.Errorf("%d attempts, values %s and %s; want a deadlock, and then 2 and 2", attempts.Load(), a, b)
	}
}

func TestOpenWaitsForAServerThatIsStarting(t *testing.T) {
	starting := &pgconn.PgError{Code: "57P03", Message: "the database system is starting up"}
	calls := 0
	err := whenUp(context.Background(), func() error {
		if calls++; calls < 3 {
			return fmt.Errorf("connect: %w", starting)
		}
		return nil
	})
	if err != nil || calls != 3 {
		t.Errorf("%d calls, %v", calls, err)
	}
	calls = 0
	refused := errors.New("connection refused")
	if err := whenUp(context.Background(), func() error { calls++; return refused }); err != refused || calls != 1 {
		t.Errorf("%d calls, %v; only a server that is starting is waited for", calls, err)
	}
	ctx, cancel := context.WithCancel(context.Background())
	cancel()
	if err := whenUp(ctx, func() error { return starting }); err == nil {
		t.Error("waited beyond its context")
	}
}

func TestOpenRefusesANewerSchema(t *testing.T) {
	url := pgtest.URL(t)
	s := openURL(t, url)
	if _, err := s.pool.Exec(context.Background(), `INSERT INTO goose_db_version (version_id, is_applied) VALUES (999, true)`); err != nil {
		t.Fatal(err)
	}
	_, err := Open(context.Background(), url)
	var newer *migrations.NewerError
	if !errors.As(err, &newer) || newer.Database != 999 {
		t.Errorf("Open: %v", err)
	}
}
