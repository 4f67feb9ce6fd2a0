// Package migrations holds the database schema as numbered SQL files and
// brings a database up to it.
//
// Each file is one transaction. Several processes may start at once: one
// migrates under an advisory lock, the others wait for it.
package migrations

import (
	"context"
	"database/sql"
	"embed"
	"errors"
	"fmt"
	"io/fs"

	"github.com/pressly/goose/v3"
	"github.com/pressly/goose/v3/lock"
)

//go:embed *.sql
var files embed.FS

// Files is the file system with the numbered SQL files.
func Files() fs.FS { return files }

// NewerError says that a database has a schema that this program does not
// know, because a later release has been running on it.
type NewerError struct{ Database, Program int64 }

func (e *NewerError) Error() string {
	return fmt.Sprintf("the database's schema is version %d and this program knows versions up to %d only: "+
		"a later release of potlife has migrated it. Run that release, or restore the backup made before it; nothing was changed",
		e.Database, e.Program)
}

// Version is the schema version this program is written for.
func Version() int64 {
	all, err := provider(nil)
	if err != nil {
		panic(err) // the embedded files are wrong: a programming error that every test meets
	}
	sources := all.ListSources()
	return sources[len(sources)-1].Version
}

// provider collects the files; db may be nil where nothing is run.
func provider(db *sql.DB) (*goose.Provider, error) {
	if db == nil {
		db = new(sql.DB) // goose wants one even to list its sources
	}
	// Waiters look every second, for five minutes.
	locker, err := lock.NewPostgresSessionLocker(lock.WithLockTimeout(1, 300))
	if err != nil {
		return nil, err
	}
	return goose.NewProvider(goose.DialectPostgres, db, files, goose.WithSessionLocker(locker), goose.WithDisableGlobalRegistry(true))
}

// Up brings the database to Version. It returns a *NewerError, and changes
// nothing, when the database is beyond it.
func Up(ctx context.Context, db *sql.DB) error {
	at, err := Current(ctx, db)
	if err != nil {
		return err
	}
	switch want := Version(); {
	case at == want:
		return nil // the usual start takes no lock
	case at > want:
		return &NewerError{Database: at, Program: want}
	}
	p, err := provider(db)
	if err != nil {
		return fmt.Errorf("migrations: %w", err)
	}
	if _, err := p.Up(ctx); err != nil {
		return fmt.Errorf("migrate the database from version %d: %w", at, err)
	}
	return nil
}

// Down takes the schema back to an earlier version, 0 for an empty database,
// with all data that the later schema held. Only tests and developers need it.
func Down(ctx context.Context, db *sql.DB, version int64) error {
	p, err := provider(db)
	if err != nil {
		return fmt.Errorf("migrations: %w", err)
	}
	if _, err := p.DownTo(ctx, version); err != nil {
		return fmt.Errorf("migrate the database down to version %d: %w", version, err)
	}
	return nil
}

// Current is the version that the database is at, 0 for an empty one.
func Current(ctx context.Context, db *sql.DB) (int64, error) {
	var there bool
	err := db.QueryRowContext(ctx, `SELECT to_regclass('goose_db_version') IS NOT NULL`).Scan(&there)
	if err != nil || !there {
		return 0, wrap(err)
	}
	// As goose counts: the last row of a version says whether it is applied.
	var at sql.NullInt64
	err = db.QueryRowContext(ctx, `
		SELECT max(version_id) FROM (
			SELECT DISTINCT ON (version_id) version_id, is_applied
			FROM goose_db_version ORDER BY version_id, id DESC) last
		WHERE is_applied`).Scan(&at)
	if errors.Is(err, sql.ErrNoRows) {
		err = nil
	}
	return at.Int64, wrap(err)
}

func wrap(err error) error {
	if err != nil {
		return fmt.Errorf("read the database's schema version: %w", err)
	}
	return nil
}
