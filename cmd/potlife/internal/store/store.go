// Package store keeps everything in PostgreSQL: the firm and its jobs as
// imported, plans, issues, records, orders, stock, messages to send and users.
//
// There is one file per aggregate. Every exported method that writes is one
// transaction, tried again when PostgreSQL asks for it; methods that need the
// time take it as an argument. Errors fit for the user are *Error and answer to
// errors.Is with ErrNotFound, ErrConflict or ErrInvalid.
package store

import (
	"context"
	"errors"
	"fmt"
	"net"
	"strconv"
	"time"

	"github.com/jackc/pgx/v5"
	"github.com/jackc/pgx/v5/pgconn"
	"github.com/jackc/pgx/v5/pgxpool"
	"github.com/jackc/pgx/v5/stdlib"

	"potlife/migrations"
)

// Store is the database. It is safe for concurrent use.
type Store struct {
	pool   *pgxpool.Pool
	latest latest
}

// Open connects to the database, brings its schema up to date and returns the
// store. A database that a later release has migrated is refused with a
// *migrations.NewerError.
func Open(ctx context.Context, url string) (*Store, error) {
	cfg, err := pgxpool.ParseConfig(url)
	if err != nil {
		return nil, fmt.Errorf("database.url: %w", err)
	}
	// Migrate on a connection of its own: statements prepared before would fail
	// after it.
	db := stdlib.OpenDB(*cfg.ConnConfig)
	err = whenUp(ctx, func() error { return migrations.Up(ctx, db) })
	if err = errors.Join(err, db.Close()); err != nil {
		return nil, unreachable(err)
	}
	cfg.AfterConnect = knowDomains
	for name, setting := range map[string]string{
		"application_name": "potlife",
		// A process that hangs in a transaction must not hold its locks for ever.
		"idle_in_transaction_session_timeout": "60s",
	} {
		if _, set := cfg.ConnConfig.RuntimeParams[name]; !set {
			cfg.ConnConfig.RuntimeParams[name] = setting
		}
	}
	if cfg.MaxConns < 16 {
		cfg.MaxConns = 16 // the default counts processors; ours wait for the disk
	}
	pool, err := pgxpool.NewWithConfig(ctx, cfg)
	if err != nil {
		return nil, fmt.Errorf("connect to the database: %w", err)
	}
	return &Store{pool: pool}, nil
}

// unreachable says of a server that cannot be reached, or lets nobody in, where it
// was looked for and what to look at, in one line and without the password.
func unreachable(err error) error {
	var c *pgconn.ConnectError
	if !errors.As(err, &c) || c.Config == nil {
		return err
	}
	why := "it does not answer"
	var said *pgconn.PgError
	var name *net.DNSError
	var dial *net.OpError
	switch {
	case errors.As(err, &said):
		why = said.Message
	case errors.As(err, &name):
		why = "there is no such host"
	case errors.As(err, &dial):
		why = dial.Err.Error()
	}
	return fmt.Errorf("cannot use the database %q of user %q at %s: %s; look whether the server runs and whether database.url (POTLIFE_DATABASE_URL) is right",
		c.Config.Database, c.Config.User, net.JoinHostPort(c.Config.Host, strconv.Itoa(int(c.Config.Port))), why)
}

// startingUp is how long Open waits for a server that says that it is starting,
// as after a power cut.
const startingUp = 30 * time.Second

func whenUp(ctx context.Context, try func() error) error {
	ctx, cancel := context.WithTimeout(ctx, startingUp)
	defer cancel()
	for {
		err := try()
		var pg *pgconn.PgError
		if !errors.As(err, &pg) || pg.Code != "57P03" { // cannot connect now
			return err
		}
		select {
		case <-ctx.Done():
			return err
		case <-time.After(100 * time.Millisecond):
		}
	}
}

// knowDomains tells a connection about the schema's own types.
func knowDomains(ctx context.Context, conn *pgx.Conn) error {
	types, err := conn.LoadTypes(ctx, []string{"path_key", "ring", "currency_amount", "exact_length", "minute_of_day"})
	if err != nil {
		return fmt.Errorf("read the schema's types: %w", err)
	}
	conn.TypeMap().RegisterTypes(types)
	return nil
}

// Close gives all connections back. The store cannot be used afterwards.
func (s *Store) Close() { s.pool.Close() }

// Ping reports whether the database answers.
func (s *Store) Ping(ctx context.Context) error {
	if err := s.pool.Ping(ctx); err != nil {
		return fmt.Errorf("the database does not answer: %w", err)
	}
	return nil
}

// Size is the size of the database in bytes.
func (s *Store) Size(ctx context.Context) (int64, error) {
	return value[int64](ctx, s, `SELECT pg_database_size(current_database())`)
}

// tries is how often a transaction is attempted that PostgreSQL breaks off
// because of others.
const tries = 8

// write runs fn in one transaction and commits it. fn may run several times.
func (s *Store) write(ctx context.Context, fn func(tx pgx.Tx) error) error {
	return s.transact(ctx, pgx.TxOptions{}, fn)
}

// read runs fn on one snapshot of the database.
func (s *Store) read(ctx context.Context, fn func(tx pgx.Tx) error) error {
	return s.transact(ctx, pgx.TxOptions{IsoLevel: pgx.RepeatableRead, AccessMode: pgx.ReadOnly}, fn)
}

func (s *Store) transact(ctx context.Context, o pgx.TxOptions, fn func(tx pgx.Tx) error) error {
	for try := 1; ; try++ {
		began := false
		err := pgx.BeginTxFunc(ctx, s.pool, o, func(tx pgx.Tx) error {
			began = true
			return fn(tx)
		})
		// What has not begun, on a connection that had broken unnoticed, may be
		// tried again whatever it is.
		if err == nil || try == tries || began && !worthRetrying(err) {
			return translate(err)
		}
		select {
		case <-ctx.Done():
			return translate(err)
		case <-time.After(time.Duration(try*try) * time.Millisecond):
		}
	}
}

// rows reads the rows of one query into structs by the names of their columns.
func rows[R any](ctx context.Context, s *Store, sql string, args ...any) ([]R, error) {
	var out []R
	err := s.read(ctx, func(tx pgx.Tx) (err error) {
		got, _ := tx.Query(ctx, sql, args...)
		out, err = pgx.CollectRows(got, pgx.RowToStructByName[R])
		return err
	})
	return out, err
}

// value reads one value; pgx.ErrNoRows comes as ErrNotFound.
func value[V any](ctx context.Context, s *Store, sql string, args ...any) (V, error) {
	var out V
	err := s.read(ctx, func(tx pgx.Tx) error { return tx.QueryRow(ctx, sql, args...).Scan(&out) })
	return out, err
}

// worthRetrying reports whether the same transaction may succeed next time:
// serialization failure or deadlock.
func worthRetrying(err error) bool {
	var pg *pgconn.PgError
	return errors.As(err, &pg) && (pg.Code == "40001" || pg.Code == "40P01")
}

// Locks that serialise a kind of write until its transaction ends.
const (
	lockImport = 7_310_001 + iota
	lockPlan
)

func lock(ctx context.Context, tx pgx.Tx, which int64) error {
	_, err := tx.Exec(ctx, `SELECT pg_advisory_xact_lock($1)`, which)
	return err
}

// next raises a counter and returns its new value. Its row stays locked until
// the transaction ends, so that numbers come in order of commit and a rollback
// leaves no gap.
func next(ctx context.Context, tx pgx.Tx, counter string) (int64, error) {
	var n int64
	err := tx.QueryRow(ctx, `
		INSERT INTO counters (name, last) VALUES ($1, 1)
		ON CONFLICT (name) DO UPDATE SET last = counters.last + 1
		RETURNING last`, counter).Scan(&n)
	return n, err
}
