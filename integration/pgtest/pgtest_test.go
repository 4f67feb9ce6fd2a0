package pgtest_test

import (
	"context"
	"database/sql"
	"sync"
	"testing"

	"potlife/integration/pgtest"
	"potlife/migrations"
)

func TestMain(m *testing.M) { pgtest.Main(m) }

func open(t *testing.T, url string) *sql.DB {
	t.Helper()
	db, err := sql.Open("pgx", url)
	if err != nil {
		t.Fatal(err)
	}
	t.Cleanup(func() { db.Close() })
	return db
}

func TestDatabasesAreMigratedAndApart(t *testing.T) {
	ctx := context.Background()
	var urls sync.Map
	t.Run("group", func(t *testing.T) {
		for range 4 {
			t.Run("one", func(t *testing.T) {
				t.Parallel()
				url := pgtest.URL(t)
				if _, twice := urls.LoadOrStore(url, true); twice {
					t.Errorf("%s was given out twice", url)
				}
				db := open(t, url)
				if v, err := migrations.Current(ctx, db); err != nil || v != migrations.Version() {
					t.Errorf("schema version %d, %v; want %d", v, err, migrations.Version())
				}
				if _, err := db.ExecContext(ctx, `CREATE TABLE mine (n int)`); err != nil {
					t.Error(err) // would fail where another test's database was shared
				}
			})
		}
	})
	t.Log(pgtest.What(t))
}

func TestEmptyHasNoSchema(t *testing.T) {
	if v, err := migrations.Current(context.Background(), open(t, pgtest.Empty(t))); err != nil || v != 0 {
		t.Errorf("schema version %d, %v; want 0", v, err)
	}
}
