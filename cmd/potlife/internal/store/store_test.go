package store

import (
	"context"
	"os"
	"testing"
	"time"

	"potlife/integration/pgtest"
)

// killHelper, when set, makes this binary the victim of a kill -9 test.
const killHelper = "POTLIFE_STORE_TEST_VICTIM"

func TestMain(m *testing.M) {
	if what := os.Getenv(killHelper); what != "" {
		victim(what)
	}
	pgtest.Main(m)
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
