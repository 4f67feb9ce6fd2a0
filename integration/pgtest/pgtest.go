// Package pgtest gives tests a real PostgreSQL: one server for each test
// binary, and in it a fresh database for each test, copied from a migrated
// template.
//
//	func TestMain(m *testing.M) { pgtest.Main(m) }
//
//	func TestX(t *testing.T) { url := pgtest.URL(t); … }
//
// The server is a container where a Docker engine answers, and otherwise a
// cluster in a temporary directory made with the machine's PostgreSQL
// programs. Where CI is set a container it must be. Where neither can be had
// the test is skipped, and says why.
//
//	POTLIFE_TEST_PG        "docker" or "local" insists on one of the two
//	POTLIFE_TEST_PG_IMAGE  the image, postgres:15-bookworm if unset
//	POTLIFE_TEST_PG_FSYNC  "on" for measurements; off if unset
package pgtest

import (
	"context"
	"database/sql"
	"errors"
	"fmt"
	"net/url"
	"os"
	"sync"
	"sync/atomic"
	"testing"
	"time"

	_ "github.com/jackc/pgx/v5/stdlib" // driver "pgx"

	"potlife/migrations"
)

// template is the migrated database that tests copy.
const template = "potlife_template"

// server is a PostgreSQL that runs until it is closed.
type server struct {
	url   *url.URL // of the maintenance database
	what  string
	close func() error
}

var (
	started   sync.Once
	running   *server
	admin     *sql.DB
	startErr  error
	inMain    atomic.Bool
	databases atomic.Int64
)

// Main runs the tests of a package and ends the server they used. It does not
// return.
func Main(m *testing.M) { os.Exit(Run(m)) }

// Run is Main for a TestMain that has more to do; it returns the exit code.
func Run(m *testing.M) int {
	inMain.Store(true)
	code := m.Run()
	if admin != nil {
		admin.Close()
	}
	if running != nil {
		if err := running.close(); err != nil {
			fmt.Fprintln(os.Stderr, "pgtest: end the server:", err)
			return max(code, 1)
		}
	}
	return code
}

// URL makes a database with the current schema for one test and returns its
// connection string. The database is dropped when the test ends, whatever
// connections are open.
func URL(tb testing.TB) string {
	tb.Helper()
	return create(tb, template)
}

// Empty is URL without the schema.
func Empty(tb testing.TB) string {
	tb.Helper()
	return create(tb, "template0")
}

// What describes the server in words, for the log of a measurement.
func What(tb testing.TB) string {
	tb.Helper()
	ready(tb)
	return running.what
}

func ready(tb testing.TB) {
	tb.Helper()
	if !inMain.Load() {
		tb.Fatal("pgtest: the package needs func TestMain(m *testing.M) { pgtest.Main(m) }, or its server would never end")
	}
	started.Do(func() { startErr = startServer() })
	if startErr == nil {
		return
	}
	if none := (*unavailableError)(nil); errors.As(startErr, &none) && !inCI() {
		tb.Skip("pgtest: ", startErr)
	}
	tb.Fatal("pgtest: ", startErr)
}

func create(tb testing.TB, from string) string {
	tb.Helper()
	ready(tb)
	name := fmt.Sprintf("test_%d_%d", os.Getpid(), databases.Add(1))
	ctx, cancel := context.WithTimeout(context.Background(), time.Minute)
	defer cancel()
	if _, err := admin.ExecContext(ctx, "CREATE DATABASE "+name+" TEMPLATE "+from); err != nil {
		tb.Fatal("pgtest: ", err)
	}
	tb.Cleanup(func() {
		ctx, cancel := context.WithTimeout(context.Background(), time.Minute)
		defer cancel()
		if _, err := admin.ExecContext(ctx, "DROP DATABASE "+name+" WITH (FORCE)"); err != nil {
			tb.Error("pgtest: ", err)
		}
	})
	return running.database(name)
}

// database is the connection string of a database on the server.
func (s *server) database(name string) string {
	u := *s.url
	u.Path = "/" + name
	return u.String()
}

// startServer starts the server and migrates the template.
func startServer() error {
	ctx, cancel := context.WithTimeout(context.Background(), 3*time.Minute)
	defer cancel()
	var err error
	if running, err = pick(ctx); err != nil {
		return err
	}
	if admin, err = sql.Open("pgx", running.url.String()); err != nil {
		return err
	}
	if _, err = admin.ExecContext(ctx, "CREATE DATABASE "+template); err != nil {
		return err
	}
	db, err := sql.Open("pgx", running.database(template))
	if err != nil {
		return err
	}
	defer db.Close() // a template that is copied may have no connections
	return migrations.Up(ctx, db)
}

// unavailableError says why there is no PostgreSQL to test with.
type unavailableError struct{ docker, local error }

func (e *unavailableError) Error() string {
	return fmt.Sprintf("no PostgreSQL to test with: neither a container (%v) nor a cluster (%v)", e.docker, e.local)
}

// pick starts a container where it can, else a cluster.
func pick(ctx context.Context) (*server, error) {
	choice := os.Getenv("POTLIFE_TEST_PG")
	switch choice {
	case "", "docker", "local":
	default:
		return nil, fmt.Errorf("POTLIFE_TEST_PG is %q; expected docker or local", choice)
	}
	var dockerErr error
	if choice != "local" {
		s, err := startContainer(ctx)
		if err == nil {
			return s, nil
		}
		if choice == "docker" || inCI() {
			return nil, fmt.Errorf("a container must start here (CI or POTLIFE_TEST_PG=docker is set), and did not: %w", err)
		}
		dockerErr = err
	}
	s, err := startCluster(ctx)
	if err != nil {
		return nil, &unavailableError{docker: dockerErr, local: err}
	}
	return s, nil
}

func inCI() bool { return os.Getenv("CI") == "true" }

// forgetful reports whether the server may lose what it is told when the
// machine stops: always, but for measurements.
func forgetful() bool { return os.Getenv("POTLIFE_TEST_PG_FSYNC") != "on" }

// settings of the server.
func settings() []string {
	fsync := "on"
	if forgetful() {
		fsync = "off"
	}
	return []string{"-c", "fsync=" + fsync, "-c", "max_connections=200"}
}

func fsyncInWords() string { return settings()[1] }
