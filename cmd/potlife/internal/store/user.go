package store

import (
	"context"
	"crypto/rand"
	"crypto/sha256"
	"encoding/base64"
	"time"

	"github.com/jackc/pgx/v5"
)

// Roles of users.
const (
	Contractor = "contractor"
	Office     = "office"
	CrewRole   = "crew"
)

// User may sign in.
type User struct {
	ID    int64
	Name  string
	Email string
	Role  string
	Crew  string // the crew's key, for CrewRole
	// PasswordHash is empty for users who sign in by link only.
	PasswordHash string
	// Epoch is what a session must carry: it is raised to sign the user out
	// everywhere.
	Epoch    int
	Disabled bool
}

const userColumns = `id, name, email, role, coalesce(crew, '') AS crew, password_hash, session_epoch AS epoch, disabled_at IS NOT NULL AS disabled`

// AddUser adds a user and returns it with its ID. A user of that name, whatever
// the case of its letters, who is there already is brought to the given role,
// crew and, where one is given, e-mail address.
func (s *Store) AddUser(ctx context.Context, u User, now time.Time) (*User, error) {
	var out *User
	err := s.write(ctx, func(tx pgx.Tx) (err error) {
		out, err = oneUser(ctx, tx, `
			INSERT INTO users (name, email, role, crew, created_at) VALUES ($1, $2, $3, $4, $5)
			ON CONFLICT (lower(name)) DO UPDATE SET email = coalesce(nullif(excluded.email, ''), users.email), role = excluded.role, crew = excluded.crew
			RETURNING `+userColumns, u.Name, u.Email, u.Role, orNull(u.Crew), now)
		return err
	})
	return out, err
}

// User returns a user. ErrNotFound: there is none.
func (s *Store) User(ctx context.Context, id int64) (*User, error) {
	return s.user(ctx, `SELECT `+userColumns+` FROM users WHERE id = $1`, id)
}

// UserByName finds a user by name or e-mail address, whatever the case.
func (s *Store) UserByName(ctx context.Context, name string) (*User, error) {
	return s.user(ctx, `
		SELECT `+userColumns+` FROM users WHERE lower(name) = lower($1) OR email <> '' AND lower(email) = lower($1)
		ORDER BY lower(name) <> lower($1) LIMIT 1`, name)
}

func (s *Store) user(ctx context.Context, query string, args ...any) (*User, error) {
	var out *User
	err := s.read(ctx, func(tx pgx.Tx) (err error) {
		out, err = oneUser(ctx, tx, query, args...)
		return err
	})
	return out, err
}

// Users lists all users by name.
func (s *Store) Users(ctx context.Context) ([]User, error) {
	return rows[User](ctx, s, `SELECT `+userColumns+` FROM users ORDER BY lower(name) COLLATE "C"`)
}

func oneUser(ctx context.Context, tx pgx.Tx, query string, args ...any) (*User, error) {
	rows, _ := tx.Query(ctx, query, args...)
	u, err := pgx.CollectExactlyOneRow(rows, pgx.RowToStructByName[User])
	if err == pgx.ErrNoRows {
		return nil, notFound("there is no such user")
	}
	if err != nil {
		return nil, err
	}
	return &u, nil
}

// SetPassword stores the hash of a password ("" for none) and signs the user
// out everywhere.
func (s *Store) SetPassword(ctx context.Context, id int64, hash string) error {
	return s.changeUser(ctx, id, `UPDATE users SET password_hash = $2, session_epoch = session_epoch + 1 WHERE id = $1`, hash)
}

// SignOutEverywhere voids all sessions of a user.
func (s *Store) SignOutEverywhere(ctx context.Context, id int64) error {
	return s.changeUser(ctx, id, `UPDATE users SET session_epoch = session_epoch + 1 WHERE id = $1`)
}

// DisableUser signs a user out everywhere and lets it in no more.
func (s *Store) DisableUser(ctx context.Context, id int64, now time.Time) error {
	return s.changeUser(ctx, id, `UPDATE users SET disabled_at = $2, session_epoch = session_epoch + 1 WHERE id = $1`, now)
}

// EnableUser lets a disabled user in again.
func (s *Store) EnableUser(ctx context.Context, id int64) error {
	return s.changeUser(ctx, id, `UPDATE users SET disabled_at = NULL WHERE id = $1`)
}

func (s *Store) changeUser(ctx context.Context, id int64, sql string, args ...any) error {
	return s.write(ctx, func(tx pgx.Tx) error {
		tag, err := tx.Exec(ctx, sql, append([]any{id}, args...)...)
		if err == nil && tag.RowsAffected() == 0 {
			return notFound("there is no user %d", id)
		}
		return err
	})
}

// NewSignInLink returns a secret that signs the user in once within valid. Only
// its hash is stored.
func (s *Store) NewSignInLink(ctx context.Context, user int64, valid time.Duration, now time.Time) (secret string, err error) {
	raw := make([]byte, 32)
	_, _ = rand.Read(raw) // never fails
	secret = base64.RawURLEncoding.EncodeToString(raw)
	err = s.write(ctx, func(tx pgx.Tx) error {
		_, err := tx.Exec(ctx, `INSERT INTO sign_in_links (hash, user_id, created_at, expires_at) VALUES ($1, $2, $3, $4)`,
			linkHash(secret), user, now, now.Add(valid))
		return err
	})
	if err != nil {
		return "", err
	}
	return secret, nil
}

// RedeemSignInLink uses a secret up and returns its user. ErrNotFound, without
// saying why: unknown, used, expired, or the user is disabled.
func (s *Store) RedeemSignInLink(ctx context.Context, secret string, now time.Time) (*User, error) {
	var out *User
	err := s.write(ctx, func(tx pgx.Tx) error {
		var user int64
		err := tx.QueryRow(ctx, `
			UPDATE sign_in_links l SET used_at = $2 FROM users u
			WHERE l.hash = $1 AND l.used_at IS NULL AND l.expires_at > $2 AND u.id = l.user_id AND u.disabled_at IS NULL
			RETURNING u.id`, linkHash(secret), now).Scan(&user)
		if err == pgx.ErrNoRows {
			return notFound("this sign-in link is not valid (any more); ask for a new one")
		}
		if err != nil {
			return err
		}
		out, err = oneUser(ctx, tx, `SELECT `+userColumns+` FROM users WHERE id = $1`, user)
		return err
	})
	if err != nil {
		return nil, err
	}
	return out, nil
}

func linkHash(secret string) []byte {
	h := sha256.Sum256([]byte(secret))
	return h[:]
}

// Tidy forgets sessions and sign-in links that have run out.
func (s *Store) Tidy(ctx context.Context, now time.Time) error {
	return s.write(ctx, func(tx pgx.Tx) error {
		if _, err := tx.Exec(ctx, `DELETE FROM sessions WHERE expiry < $1`, now); err != nil {
			return err
		}
		_, err := tx.Exec(ctx, `DELETE FROM sign_in_links WHERE expires_at < $1`, now.Add(-24*time.Hour))
		return err
	})
}
