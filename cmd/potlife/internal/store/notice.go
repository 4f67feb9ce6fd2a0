package store

import (
	"context"
	"time"

	"github.com/jackc/pgx/v5"

	"potlife/rooms"
)

// Notice is what the contractor was told when a working day was issued.
type Notice struct {
	Day     day       `db:"work_date"`
	MadeAt  time.Time `db:"made_at"`
	Subject string    `db:"subject"`
	Text    string    `db:"text"`
}

// Date is the working day.
func (n Notice) Date() rooms.Date { return rooms.Date(n.Day) }

// HasNotice reports whether the contractor was told about a working day.
func (s *Store) HasNotice(ctx context.Context, date rooms.Date) (bool, error) {
	return value[bool](ctx, s, `SELECT EXISTS (SELECT FROM notices WHERE work_date = $1)`, day(date))
}

// AddNotice keeps what the contractor is told about a working day and hands it
// to the outbox, or does nothing and returns false where that was done already,
// whoever did it.
func (s *Store) AddNotice(ctx context.Context, date rooms.Date, subject, text string, messages []Message, now time.Time) (added bool, err error) {
	err = s.write(ctx, func(tx pgx.Tx) error {
		tag, err := tx.Exec(ctx, `
			INSERT INTO notices (work_date, made_at, subject, text) VALUES ($1, $2, $3, $4) ON CONFLICT DO NOTHING`,
			day(date), now, subject, text)
		added = err == nil && tag.RowsAffected() == 1
		if !added {
			return err
		}
		return enqueue(ctx, tx, messages, now)
	})
	return added && err == nil, err
}

// Notices lists what the contractor was told, the latest day first.
func (s *Store) Notices(ctx context.Context, limit int) ([]Notice, error) {
	return rows[Notice](ctx, s, `SELECT work_date, made_at, subject, text FROM notices ORDER BY work_date DESC LIMIT $1`, limit)
}
