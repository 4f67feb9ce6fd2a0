package store

import (
	"context"
	"errors"
	"fmt"
	"regexp"
	"strconv"
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
		return &Error{Kind: ErrConflict, Text: fmt.Sprintf("%s: there is %s already", noun(pg.TableName), keyIn(pg.Detail)), Cause: err}
	case "23503": // foreign key
		return &Error{Kind: ErrConflict, Text: reference(pg), Cause: err}
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

// detail is PostgreSQL's account of a key: Key (job, room)=(flat, bath) …
var detail = regexp.MustCompile(`^Key \((.*)\)=\((.*)\) (is not present in|is still referenced from) table "(.*)"`)

// reference says which row is missing or still needed.
func reference(pg *pgconn.PgError) string {
	m := detail.FindStringSubmatch(pg.Detail)
	if m == nil {
		return fmt.Sprintf("%s: %s", noun(pg.TableName), pg.Detail)
	}
	key := strings.ReplaceAll(m[2], ", ", "/")
	if m[3] == "is not present in" {
		return fmt.Sprintf("%s: %q is named as %s and is not among the %s", noun(pg.TableName), key, noun(m[1]), noun(m[4]))
	}
	// update or delete on table "tiles" violates … on table "zones"
	_, from, _ := strings.Cut(pg.Message, `table "`)
	from, _, _ = strings.Cut(from, `"`)
	return fmt.Sprintf("%q cannot be taken out of the %s: the %s still need it", key, noun(from), noun(m[4]))
}

// keyIn returns the value of the key in Key (name)=(value) already exists.
func keyIn(text string) string {
	if _, rest, ok := strings.Cut(text, ")=("); ok {
		if key, _, ok := strings.Cut(rest, ")"); ok {
			return strconv.Quote(strings.ReplaceAll(key, ", ", "/"))
		}
	}
	return "one"
}

func exclusion(pg *pgconn.PgError) string {
	if pg.ConstraintName == "crew_at_one_site" {
		return "a crew would be at two sites at once: " + pg.Detail
	}
	return fmt.Sprintf("%s: two intervals overlap: %s", noun(pg.TableName), pg.Detail)
}

// noun makes a table's name fit for a sentence.
func noun(table string) string { return strings.ReplaceAll(table, "_", " ") }
