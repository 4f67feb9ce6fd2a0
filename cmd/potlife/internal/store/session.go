package store

import (
	"context"
	"time"

	"github.com/jackc/pgx/v5"
)

// Sessions keeps web sessions in the database, so that a restart signs nobody
// out and every replica knows them. It has the methods that
// github.com/alexedwards/scs/v2 asks of a store; tokens should reach it hashed.
type Sessions struct{ store *Store }

// Sessions returns the store of web sessions.
func (s *Store) Sessions() *Sessions { return &Sessions{s} }

// FindCtx returns the data of a session that has not run out.
func (s *Sessions) FindCtx(ctx context.Context, token string) ([]byte, bool, error) {
	data, err := value[[]byte](ctx, s.store, `SELECT data FROM sessions WHERE token = $1 AND expiry > now()`, token)
	if isNotFound(err) {
		return nil, false, nil
	}
	return data, err == nil, err
}

// CommitCtx stores the data of a session.
func (s *Sessions) CommitCtx(ctx context.Context, token string, data []byte, expiry time.Time) error {
	return s.store.write(ctx, func(tx pgx.Tx) error {
		_, err := tx.Exec(ctx, `
			INSERT INTO sessions (token, data, expiry) VALUES ($1, $2, $3)
			ON CONFLICT (token) DO UPDATE SET data = excluded.data, expiry = excluded.expiry`, token, data, expiry)
		return err
	})
}

// DeleteCtx ends a session.
func (s *Sessions) DeleteCtx(ctx context.Context, token string) error {
	return s.store.write(ctx, func(tx pgx.Tx) error {
		_, err := tx.Exec(ctx, `DELETE FROM sessions WHERE token = $1`, token)
		return err
	})
}

// Find is FindCtx without a context.
func (s *Sessions) Find(token string) ([]byte, bool, error) {
	return s.FindCtx(context.Background(), token)
}

// Commit is CommitCtx without a context.
func (s *Sessions) Commit(token string, data []byte, expiry time.Time) error {
	return s.CommitCtx(context.Background(), token, data, expiry)
}

// Delete is DeleteCtx without a context.
func (s *Sessions) Delete(token string) error { return s.DeleteCtx(context.Background(), token) }
