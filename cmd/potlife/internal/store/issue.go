package store

import (
	"context"
	"encoding/json"
	"strings"
	"time"

	"github.com/jackc/pgx/v5"
	"github.com/jackc/pgx/v5/pgconn"

	"potlife/rooms"
	"potlife/scheduler"
)

// NewIssue is a day sheet to go out.
type NewIssue struct {
	Crew     string
	Date     rooms.Date
	Revision int // 1, 2, …
	Plan     int64
	Sheet    []byte // JSON, kept letter by letter
	Text     string
	// Differences to the revision before, in words.
	Differences []string
	// Moved is what was meant for the day and is not on the sheet, in words.
	Moved []string
	// FrozenUntil is the instant up to which planning may not change this crew's
	// work any more.
	FrozenUntil time.Time
	Pieces      []IssuedPiece
	// Reserve is all that the day takes from stock (boxes by lot, packages), as
	// positive quantities. A later revision books the difference only. Where Sites
	// are given, what has no Place of its own is taken from where it lies: the
	// sites in their order, then the yard.
	Reserve   []OnHand
	Sites     []string
	Movements []Movement // what else moves because of it
	Messages  []Message
}

// Issue is a day sheet as it went out.
type Issue struct {
	Crew       string     `db:"crew"`
	Day        day        `db:"work_date"`
	Revision   int        `db:"revision"`
	IssuedAt   time.Time  `db:"issued_at"`
	ReplacedAt *time.Time `db:"replaced_at"` // nil: current
	Plan       *int64     `db:"plan"`
	Sheet      []byte     `db:"sheet"`
	Text       string     `db:"text"`
	// Differences to the revision before.
	Differences []string `db:"differences"`
	// Moved was meant for the day and is not on the sheet.
	Moved []string `db:"moved"`
}

// Date is the working day.
func (i Issue) Date() rooms.Date { return rooms.Date(i.Day) }

// Current reports whether no later revision has replaced it.
func (i Issue) Current() bool { return i.ReplacedAt == nil }

// IssuedPiece is a piece on an issued sheet.
type IssuedPiece struct {
	ID       string `db:"id"`
	Job      string `db:"job"`
	Room     string `db:"room"`
	Surface  string `db:"surface"`
	Zone     string `db:"zone"`
	Area     string `db:"area"`
	Label    string `db:"label"`
	Course   int    `db:"course"`
	Position int    `db:"position"`
	Tile     string `db:"tile"`
	Full     bool   `db:"is_full"`
	Stock    string `db:"stock_tile"`
	Lot      string `db:"lot"`
	Crew     string `db:"crew"`
	Day      day    `db:"work_date"`
}

// Date is the working day on whose sheet the piece stands.
func (p IssuedPiece) Date() rooms.Date { return rooms.Date(p.Day) }

// ZoneKey is the piece's zone, "job/room/surface/zone".
func (p IssuedPiece) ZoneKey() string { return p.Job + "/" + p.Room + "/" + p.Surface + "/" + p.Zone }

const issueColumns = `crew, work_date, revision, issued_at, replaced_at, plan, sheet, text, differences, moved`

// IssueSheet issues a sheet with all that belongs to it, or does nothing and
// returns false when that revision of the crew's day is out already, whoever
// issued it. ErrConflict: the revision before is missing, a piece stands on
// another crew's sheet of that day or on a later one, or a first revision comes
// from a plan that is no longer in force.
func (s *Store) IssueSheet(ctx context.Context, n NewIssue, now time.Time) (issued bool, err error) {
	if !json.Valid(n.Sheet) {
		return false, invalid("sheet of %s on %s: no JSON", n.Crew, n.Date)
	}
	err = s.write(ctx, func(tx pgx.Tx) error {
		issued = false
		if err := lock(ctx, tx, lockPlan); err != nil { // a plan made meanwhile does not know that the day is issued
			return err
		}
		last, err := lockDay(ctx, tx, n)
		if err != nil {
			return err
		}
		if last >= n.Revision {
			return nil
		}
		if n.Revision == 1 {
			if err := checkReplaces(ctx, tx, n.Plan); err != nil {
				return err
			}
		}
		if last != n.Revision-1 {
			return conflict("sheet of %s on %s: revision %d cannot follow revision %d", n.Crew, n.Date, n.Revision, last)
		}
		if err := insertIssue(ctx, tx, n, now); err != nil {
			return err
		}
		if err := issuePieces(ctx, tx, n); err != nil {
			return err
		}
		if err := reserve(ctx, tx, n, now); err != nil {
			return err
		}
		if err := move(ctx, tx, n.Movements, nil); err != nil {
			return err
		}
		issued = true
		return enqueue(ctx, tx, n.Messages, now)
	})
	return issued && err == nil, err
}

// lockDay makes everybody else who issues the day wait and returns its last
// revision, 0 for none.
func lockDay(ctx context.Context, tx pgx.Tx, n NewIssue) (last int, err error) {
	if _, err := tx.Exec(ctx, `
		INSERT INTO work_days (crew, work_date, frozen_until) VALUES ($1, $2, $3) ON CONFLICT DO NOTHING`,
		n.Crew, day(n.Date), n.FrozenUntil); err != nil {
		return 0, err
	}
	if _, err := tx.Exec(ctx, `SELECT FROM work_days WHERE crew = $1 AND work_date = $2 FOR UPDATE`, n.Crew, day(n.Date)); err != nil {
		return 0, err
	}
	err = tx.QueryRow(ctx, `SELECT coalesce(max(revision), 0) FROM issues WHERE crew = $1 AND work_date = $2`, n.Crew, day(n.Date)).Scan(&last)
	return last, err
}

func insertIssue(ctx context.Context, tx pgx.Tx, n NewIssue, now time.Time) error {
	if _, err := tx.Exec(ctx, `
		UPDATE work_days SET frozen_until = greatest(frozen_until, $3) WHERE crew = $1 AND work_date = $2`,
		n.Crew, day(n.Date), n.FrozenUntil); err != nil {
		return err
	}
	if _, err := tx.Exec(ctx, `
		UPDATE issues SET replaced_at = greatest(issued_at, $3) WHERE crew = $1 AND work_date = $2 AND replaced_at IS NULL`,
		n.Crew, day(n.Date), now); err != nil {
		return err
	}
	var plan *int64
	if n.Plan != 0 {
		plan = &n.Plan
	}
	_, err := tx.Exec(ctx, `
		INSERT INTO issues (crew, work_date, revision, issued_at, plan, sheet, text, differences, moved)
		VALUES ($1, $2, $3, $4, $5, $6, $7, $8, $9)`,
		n.Crew, day(n.Date), n.Revision, now, plan, json.RawMessage(n.Sheet), n.Text, notNil(n.Differences), notNil(n.Moved))
	return err
}

// issuePieces makes the pieces of the day those of the sheet. A piece that
// stood on an earlier day and was not set then may come again.
func issuePieces(ctx context.Context, tx pgx.Tx, n NewIssue) error {
	ids := []string{}
	for _, p := range n.Pieces {
		ids = append(ids, p.ID)
	}
	if _, err := tx.Exec(ctx, `DELETE FROM pieces WHERE crew = $1 AND work_date = $2 AND id <> ALL($3)`, n.Crew, day(n.Date), ids); err != nil {
		return err
	}
	var b pgx.Batch
	for _, p := range n.Pieces {
		b.Queue(`
			INSERT INTO pieces (id, job, room, surface, zone, area, label, course, position, tile, is_full, stock_tile, lot, crew, work_date)
			VALUES ($1, $2, $3, $4, $5, $6, $7, $8, $9, $10, $11, $12, $13, $14, $15)
			ON CONFLICT (id) DO UPDATE SET area = excluded.area, label = excluded.label, course = excluded.course,
				position = excluded.position, tile = excluded.tile, is_full = excluded.is_full, stock_tile = excluded.stock_tile,
				lot = excluded.lot, crew = excluded.crew, work_date = excluded.work_date
			WHERE pieces.work_date < excluded.work_date OR (pieces.work_date = excluded.work_date AND pieces.crew = excluded.crew)`,
			p.ID, p.Job, p.Room, p.Surface, p.Zone, p.Area, p.Label, p.Course, p.Position, p.Tile, p.Full, p.Stock, p.Lot,
			n.Crew, day(n.Date)).Exec(func(tag pgconn.CommandTag) error {
			if tag.RowsAffected() == 0 {
				return conflict("piece %s stands on another sheet of %s or later", p.ID, n.Date)
			}
			return nil
		})
	}
	if b.Len() == 0 {
		return nil
	}
	return tx.SendBatch(ctx, &b).Close()
}

// PiecesOf lists the pieces of a sheet's areas for IssueSheet.
func PiecesOf(p *scheduler.Plan, sheet scheduler.Sheet) []IssuedPiece {
	areaOf := map[string]string{}
	on := map[string]bool{}
	for _, id := range sheet.Areas {
		on[id] = true
	}
	for _, a := range p.Areas {
		if on[a.ID] {
			for _, piece := range a.Pieces {
				areaOf[piece] = a.ID
			}
		}
	}
	stock, lot := map[string]string{}, map[string]string{}
	for _, t := range p.Stock {
		for _, piece := range t.Pieces {
			stock[piece.Piece], lot[piece.Piece] = t.ID, t.Lot
		}
	}
	var out []IssuedPiece
	for _, l := range p.Layouts {
		for _, z := range l.Zones {
			for _, piece := range z.Pieces {
				if area, yes := areaOf[piece.ID]; yes {
					out = append(out, IssuedPiece{ID: piece.ID, Job: lastKey(l.Job), Room: lastKey(l.Room), Surface: lastKey(l.Surface), Zone: lastKey(z.Zone.Key),
						Area: area, Label: piece.Label, Course: piece.Course, Position: piece.Position, Tile: piece.Tile, Full: piece.Full,
						Stock: stock[piece.ID], Lot: lot[piece.ID], Crew: sheet.Crew, Day: day(sheet.Date)})
				}
			}
		}
	}
	return out
}

// CurrentIssue returns the revision of a crew's day that counts.
func (s *Store) CurrentIssue(ctx context.Context, crew string, date rooms.Date) (*Issue, error) {
	return s.issue(ctx, `SELECT `+issueColumns+` FROM issues WHERE crew = $1 AND work_date = $2 AND replaced_at IS NULL`, crew, day(date))
}

// Issue returns one revision of a crew's day.
func (s *Store) Issue(ctx context.Context, crew string, date rooms.Date, revision int) (*Issue, error) {
	return s.issue(ctx, `SELECT `+issueColumns+` FROM issues WHERE crew = $1 AND work_date = $2 AND revision = $3`, crew, day(date), revision)
}

func (s *Store) issue(ctx context.Context, query string, args ...any) (*Issue, error) {
	got, err := rows[Issue](ctx, s, query, args...)
	if err == nil && len(got) == 0 {
		err = notFound("no such sheet has been issued")
	}
	if err != nil {
		return nil, err
	}
	return &got[0], nil
}

// Issues lists all revisions of the days from … to, in order of date, crew and
// revision, without Sheet and Text.
func (s *Store) Issues(ctx context.Context, from, to rooms.Date) ([]Issue, error) {
	return rows[Issue](ctx, s, `
		SELECT crew, work_date, revision, issued_at, replaced_at, plan, ''::bytea AS sheet, '' AS text, differences, moved
		FROM issues WHERE work_date BETWEEN $1 AND $2 ORDER BY work_date, crew COLLATE "C", revision`, day(from), day(to))
}

// WorkDay is a day issued to a crew.
type WorkDay struct {
	Crew        string    `db:"crew"`
	Day         day       `db:"work_date"`
	FrozenUntil time.Time `db:"frozen_until"`
	Revision    int       `db:"revision"` // the current one
}

// Date is the working day.
func (w WorkDay) Date() rooms.Date { return rooms.Date(w.Day) }

// WorkDays lists the days from a date on that have been issued, in order of
// date and crew.
func (s *Store) WorkDays(ctx context.Context, from rooms.Date) ([]WorkDay, error) {
	return rows[WorkDay](ctx, s, `
		SELECT w.crew, w.work_date, w.frozen_until, i.revision
		FROM work_days w JOIN issues i ON i.crew = w.crew AND i.work_date = w.work_date AND i.replaced_at IS NULL
		WHERE w.work_date >= $1 ORDER BY w.work_date, w.crew COLLATE "C"`, day(from))
}

// Frozen is, by crew, the latest instant up to which an issued day binds its
// work; a crew that has nothing issued is not named.
func (s *Store) Frozen(ctx context.Context) (map[string]time.Time, error) {
	type until struct {
		Crew string    `db:"crew"`
		At   time.Time `db:"at"`
	}
	got, err := rows[until](ctx, s, `SELECT crew, max(frozen_until) AS at FROM work_days GROUP BY crew`)
	out := map[string]time.Time{}
	for _, u := range got {
		out[u.Crew] = u.At
	}
	return out, err
}

// IssuedDays is how many days have been issued, of all crews.
func (s *Store) IssuedDays(ctx context.Context) (int, error) {
	return value[int](ctx, s, `SELECT count(*) FROM work_days`)
}

// IssuedPieces lists all pieces that stand on issued sheets, by id.
func (s *Store) IssuedPieces(ctx context.Context) ([]IssuedPiece, error) {
	return rows[IssuedPiece](ctx, s, `
		SELECT id, job, room, surface, zone, area, label, course, position, tile, is_full, stock_tile, lot, crew, work_date
		FROM pieces ORDER BY id COLLATE "C"`)
}

// lastKey returns the last part of a path: plans name rooms, surfaces and zones
// by their whole path, rows by their key.
func lastKey(path string) string { return path[strings.LastIndexByte(path, '/')+1:] }
