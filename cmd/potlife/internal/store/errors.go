package store

import (
	"context"
	"errors"
	"fmt"
	"strings"

	"github.com/jackc/pgx/v5"
	"github.com/jackc/pgx/v5/pgconn"
)

// Kinds of *Error.
var (
	ErrNotFound = errors.New("not found")
	ErrConflict = errors.New("conflict")
	ErrInvalid  = errors.New("invalid")
)

// Error is a failure that the user can do something about. Its text is fit to
// be shown.
type Error struct {
	Kind  error // ErrNotFound, ErrConflict or ErrInvalid
	Text  string
	Cause error // what PostgreSQL said, for the log; may be nil
}

func (e *Error) Error() string { return e.Text }

// Unwrap lets errors.Is find the kind and errors.As the cause.
func (e *Error) Unwrap() []error {
	if e.Cause == nil {
		return []error{e.Kind}
	}
	return []error{e.Kind, e.Cause}
}

func notFound(format string, args ...any) error {
	return &Error{Kind: ErrNotFound, Text: fmt.Sprintf(format, args...)}
}

func conflict(format string, args ...any) error {
	return &Error{Kind: ErrConflict, Text: fmt.Sprintf(format, args...)}
}

func invalid(format string, args ...any) error {
	return &Error{Kind: ErrInvalid, Text: fmt.Sprintf(format, args...)}
}

// translate turns a driver's error into one of ours, in one place. Errors of
// ours pass through.
func translate(err error) error {
	var ours *Error
	if err == nil || errors.As(err, &ours) {
		return err
	}
	if errors.Is(err, pgx.ErrNoRows) {
		return &Error{Kind: ErrNotFound, Text: "no such row", Cause: err}
	}
	var pg *pgconn.PgError
	if !errors.As(err, &pg) {
		if errors.Is(err, context.Canceled) || errors.Is(err, context.DeadlineExceeded) {
			return err
		}
		return fmt.Errorf("database: %w", err)
	}
	switch pg.Code {
	case "23505": // unique
		return &Error{Kind: ErrConflict, Text: fmt.Sprintf("%s: there is one already: %s", noun(pg.TableName), pg.Detail), Cause: err}
	case "23503": // foreign key
		return &Error{Kind: ErrConflict, Text: fmt.Sprintf("%s: %s", noun(pg.TableName), pg.Detail), Cause: err}
	case "23P01": // exclusion
		return &Error{Kind: ErrConflict, Text: exclusion(pg), Cause: err}
	case "23514", "23502", "22003": // check, not null, out of range
		return &Error{Kind: ErrInvalid, Text: fmt.Sprintf("%s: %s", noun(pg.TableName), pg.Message), Cause: err}
	case "23001": // history
		return &Error{Kind: ErrConflict, Text: pg.Message, Cause: err}
	case "22P05", "22021": // characters that text cannot hold
		return &Error{Kind: ErrInvalid, Text: "text with a character that cannot be stored (a zero byte, or no UTF-8)", Cause: err}
	}
	return fmt.Errorf("database: %w", err)
}

func exclusion(pg *pgconn.PgError) string {
	if pg.ConstraintName == "crew_at_one_site" {
		return "a crew would be at two sites at once: " + pg.Detail
	}
	return fmt.Sprintf("%s: two intervals overlap: %s", noun(pg.TableName), pg.Detail)
}

// noun makes a table's name fit for a sentence.
func noun(table string) string { return strings.ReplaceAll(table, "_", " ") }
