package migrations_test

import (
	"context"
	"database/sql"
	"errors"
	"fmt"
	"io/fs"
	"strings"
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

// shape describes every column, constraint, index, trigger and function.
func shape(t *testing.T, db *sql.DB) string {
	t.Helper()
	rows, err := db.Query(`
		SELECT 'column ' || c.table_name || '.' || c.column_name || ' ' || c.udt_name || ' ' || c.is_nullable
			FROM information_schema.columns c WHERE c.table_schema = 'public' AND c.table_name <> 'goose_db_version'
		UNION ALL SELECT 'constraint ' || coalesce(r.relname, d.typname) || ' ' || pg_get_constraintdef(k.oid)
			FROM pg_constraint k LEFT JOIN pg_class r ON r.oid = k.conrelid LEFT JOIN pg_type d ON d.oid = k.contypid
			WHERE k.connamespace = 'public'::regnamespace AND coalesce(r.relname, '') <> 'goose_db_version'
		UNION ALL SELECT 'index ' || indexdef FROM pg_indexes WHERE schemaname = 'public' AND tablename <> 'goose_db_version'
		UNION ALL SELECT 'trigger ' || pg_get_triggerdef(oid) FROM pg_trigger WHERE NOT tgisinternal
		UNION ALL SELECT 'function ' || proname FROM pg_proc p WHERE pronamespace = 'public'::regnamespace
			AND NOT EXISTS (SELECT FROM pg_depend WHERE objid = p.oid AND deptype = 'e')
		ORDER BY 1`)
	if err != nil {
		t.Fatal(err)
	}
	defer rows.Close()
	var b strings.Builder
	for rows.Next() {
		var line string
		if err := rows.Scan(&line); err != nil {
			t.Fatal(err)
		}
		fmt.Fprintln(&b, line)
	}
	if err := rows.Err(); err != nil {
		t.Fatal(err)
	}
	return b.String()
}

func TestUpDownUp(t *testing.T) {
	ctx := context.Background()
	db := open(t, pgtest.Empty(t))
	if err := migrations.Up(ctx, db); err != nil {
		t.Fatal(err)
	}
	first := shape(t, db)
	if n := strings.Count(first, "\n"); n < 300 {
		t.Errorf("the schema is described in %d lines only:\n%s", n, first)
	}
	for v := migrations.Version() - 1; v >= 0; v-- { // each file's way down by itself
		if err := migrations.Down(ctx, db, v); err != nil {
			t.Fatal(err)
		}
	}
	if left := shape(t, db); left != "" {
		t.Errorf("left after going down to nothing:\n%s", left)
	}
	if err := migrations.Up(ctx, db); err != nil {
		t.Fatal(err)
	}
	if again := shape(t, db); again != first {
		t.Errorf("up, down, up gives another schema:\n%s\nfirst:\n%s", again, first)
	}
	if err := migrations.Up(ctx, db); err != nil {
		t.Errorf("up once more: %v", err)
	}
}

func TestConcurrentUp(t *testing.T) {
	url := pgtest.Empty(t)
	errs := make(chan error, 3)
	for range cap(errs) {
		db := open(t, url)
		go func() { errs <- migrations.Up(context.Background(), db) }()
	}
	for range cap(errs) {
		if err := <-errs; err != nil {
			t.Error(err)
		}
	}
	if v, err := migrations.Current(context.Background(), open(t, url)); err != nil || v != migrations.Version() {
		t.Errorf("version %d, %v; want %d", v, err, migrations.Version())
	}
}

func TestNewerSchemaIsRefused(t *testing.T) {
	ctx := context.Background()
	db := open(t, pgtest.URL(t))
	before := shape(t, db)
	if _, err := db.Exec(`INSERT INTO goose_db_version (version_id, is_applied) VALUES ($1, true)`, migrations.Version()+1); err != nil {
		t.Fatal(err)
	}
	err := migrations.Up(ctx, db)
	var newer *migrations.NewerError
	if !errors.As(err, &newer) || newer.Database != migrations.Version()+1 || newer.Program != migrations.Version() {
		t.Fatalf("Up on a newer schema: %v", err)
	}
	if after := shape(t, db); after != before {
		t.Error("a newer schema was changed")
	}
}

func TestNumbersHaveNoGap(t *testing.T) {
	names, err := fs.Glob(migrations.Files(), "*.sql")
	if err != nil {
		t.Fatal(err)
	}
	for i, name := range names {
		if want := fmt.Sprintf("%05d_", i+1); !strings.HasPrefix(name, want) {
			t.Errorf("file %d is %s; want %s…", i+1, name, want)
		}
	}
	if v := migrations.Version(); v != int64(len(names)) {
		t.Errorf("Version() = %d with %d files", v, len(names))
	}
}
