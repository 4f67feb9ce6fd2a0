package store

import (
	"context"
	"encoding/json"
	"slices"
	"time"

	"github.com/jackc/pgx/v5"
)

// Message is something to be sent: written in the transaction that makes it
// necessary, sent afterwards.
type Message struct {
	// Key is the same for every attempt (Message-ID, Idempotency-Key); a message
	// whose key is in the outbox already is not added again.
	Key     string `db:"key"`
	Channel string `db:"channel"` // "mail", "webhook", "folder" …
	To      string `db:"recipient"`
	// Body is JSON; what is in it is between writer and sender.
	Body json.RawMessage `db:"body"`
}

// Claimed is a message that the caller has to send now. Attempt tells this claim
// from those before and after it.
type Claimed struct {
	Message
	ID      int64 `db:"id"`
	Attempt int   `db:"attempts"`
}

// MessageState is a message with how far it has come.
type MessageState struct {
	Message
	ID        int64      `db:"id"`
	Attempts  int        `db:"attempts"`
	CreatedAt time.Time  `db:"created_at"`
	NextTry   time.Time  `db:"next_try"`
	DoneAt    *time.Time `db:"done_at"`
	FailedAt  *time.Time `db:"failed_at"`
	LastError string     `db:"last_error"`
}

// Pauses between attempts: a minute, doubled each time, six hours at most.
const (
	firstPause   = time.Minute
	longestPause = 6 * time.Hour
)

// Pause is how long to wait after attempt n (1, 2, …) has failed.
func Pause(n int) time.Duration {
	d := firstPause
	for range n - 1 {
		if d *= 2; d >= longestPause {
			return longestPause
		}
	}
	return d
}

// Enqueue adds messages that nothing else is written with.
func (s *Store) Enqueue(ctx context.Context, messages []Message, now time.Time) error {
	return s.write(ctx, func(tx pgx.Tx) error { return enqueue(ctx, tx, messages, now) })
}

func enqueue(ctx context.Context, tx pgx.Tx, messages []Message, now time.Time) error {
	if len(messages) == 0 {
		return nil
	}
	var b pgx.Batch
	for _, m := range messages {
		body := m.Body
		if body == nil {
			body = json.RawMessage(`{}`)
		}
		b.Queue(`
			INSERT INTO outbox (key, channel, recipient, body, created_at, next_try) VALUES ($1, $2, $3, $4, $5, $5)
			ON CONFLICT (key) DO NOTHING`, m.Key, m.Channel, m.To, body, now)
	}
	return tx.SendBatch(ctx, &b).Close()
}

// ClaimMessages takes up to limit messages of the channels that are due. They
// are the caller's for the lease: nobody else gets them before it ends, and
// everybody may when it has. Send outside of any transaction, then call
// MessageDone, MessageRetry or MessageFailed.
func (s *Store) ClaimMessages(ctx context.Context, channels []string, limit int, lease time.Duration, now time.Time) ([]Claimed, error) {
	var got []Claimed
	err := s.write(ctx, func(tx pgx.Tx) (err error) {
		rows, _ := tx.Query(ctx, `
			UPDATE outbox SET attempts = attempts + 1, locked_until = $4
			WHERE id IN (
				SELECT id FROM outbox
				WHERE done_at IS NULL AND failed_at IS NULL AND next_try <= $3
					AND (locked_until IS NULL OR locked_until <= $3) AND channel = ANY($1)
				ORDER BY next_try, id LIMIT $2
				FOR UPDATE SKIP LOCKED)
			RETURNING id, key, channel, recipient, body, attempts`, channels, limit, now, now.Add(lease))
		got, err = pgx.CollectRows(rows, pgx.RowToStructByName[Claimed])
		return err
	})
	slices.SortFunc(got, func(a, b Claimed) int { return int(a.ID - b.ID) })
	return got, err
}

// MessageDone says that a message was accepted, whoever holds it by now.
func (s *Store) MessageDone(ctx context.Context, id int64, now time.Time) error {
	return s.write(ctx, func(tx pgx.Tx) error {
		_, err := tx.Exec(ctx, `
			UPDATE outbox SET done_at = coalesce(done_at, $2), failed_at = NULL, locked_until = NULL, last_error = '' WHERE id = $1`, id, now)
		return err
	})
}

// MessageRetry says that an attempt failed and another may succeed: the message
// is due again after Pause. A claim that has run out changes nothing.
func (s *Store) MessageRetry(ctx context.Context, c Claimed, why string, now time.Time) error {
	return s.write(ctx, func(tx pgx.Tx) error {
		_, err := tx.Exec(ctx, `
			UPDATE outbox SET next_try = $3, locked_until = NULL, last_error = $4
			WHERE id = $1 AND attempts = $2 AND done_at IS NULL AND failed_at IS NULL`, c.ID, c.Attempt, now.Add(Pause(c.Attempt)), why)
		return err
	})
}

// MessageFailed gives a message up for good. A claim that has run out changes
// nothing.
func (s *Store) MessageFailed(ctx context.Context, c Claimed, why string, now time.Time) error {
	return s.write(ctx, func(tx pgx.Tx) error {
		_, err := tx.Exec(ctx, `
			UPDATE outbox SET failed_at = $3, locked_until = NULL, last_error = $4
			WHERE id = $1 AND attempts = $2 AND done_at IS NULL AND failed_at IS NULL`, c.ID, c.Attempt, now, why)
		return err
	})
}

// Revive makes a message due that was given up.
func (s *Store) Revive(ctx context.Context, id int64, now time.Time) error {
	return s.write(ctx, func(tx pgx.Tx) error {
		tag, err := tx.Exec(ctx, `UPDATE outbox SET failed_at = NULL, next_try = $2 WHERE id = $1 AND failed_at IS NOT NULL`, id, now)
		if err == nil && tag.RowsAffected() == 0 {
			return notFound("there is no message %d that was given up", id)
		}
		return err
	})
}

// Messages lists the outbox, the latest first; open leaves out what was
// accepted.
func (s *Store) Messages(ctx context.Context, open bool, limit int) ([]MessageState, error) {
	return rows[MessageState](ctx, s, `
		SELECT id, key, channel, recipient, body, attempts, created_at, next_try, done_at, failed_at, last_error
		FROM outbox WHERE NOT $1 OR done_at IS NULL ORDER BY id DESC LIMIT $2`, open, limit)
}

// MessagesOf lists the messages whose key begins with a prefix, by key.
func (s *Store) MessagesOf(ctx context.Context, prefix string) (map[string]MessageState, error) {
	list, err := rows[MessageState](ctx, s, `
		SELECT id, key, channel, recipient, '{}'::jsonb AS body, attempts, created_at, next_try, done_at, failed_at, last_error
		FROM outbox WHERE starts_with(key, $1)`, prefix)
	out := map[string]MessageState{}
	for _, m := range list {
		out[m.Key] = m
	}
	return out, err
}
