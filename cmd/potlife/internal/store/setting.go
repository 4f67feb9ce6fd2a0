package store

import (
	"context"
	"time"

	"github.com/jackc/pgx/v5"
)

// Setting returns a setting that the program keeps for itself; false where it
// has never been set.
func (s *Store) Setting(ctx context.Context, name string) (string, bool, error) {
	got, err := value[string](ctx, s, `SELECT value FROM settings WHERE name = $1`, name)
	if isNotFound(err) {
		return "", false, nil
	}
	return got, err == nil, err
}

// SetSetting keeps a setting.
func (s *Store) SetSetting(ctx context.Context, name, value string, now time.Time) error {
	return s.write(ctx, func(tx pgx.Tx) error {
		_, err := tx.Exec(ctx, `
			INSERT INTO settings (name, value, changed_at) VALUES ($1, $2, $3)
			ON CONFLICT (name) DO UPDATE SET value = excluded.value, changed_at = excluded.changed_at`, name, value, now)
		return err
	})
}

// SettingOnce keeps a setting unless it has been set before, and returns the one
// that counts: all replicas get the same.
func (s *Store) SettingOnce(ctx context.Context, name, value string, now time.Time) (string, error) {
	var got string
	err := s.write(ctx, func(tx pgx.Tx) error {
		if _, err := tx.Exec(ctx, `INSERT INTO settings (name, value, changed_at) VALUES ($1, $2, $3) ON CONFLICT DO NOTHING`, name, value, now); err != nil {
			return err
		}
		return tx.QueryRow(ctx, `SELECT value FROM settings WHERE name = $1`, name).Scan(&got)
	})
	return got, err
}

// ImportInfo is a past import.
type ImportInfo struct {
	At      time.Time `db:"at"`
	Who     string    `db:"who"`
	Source  string    `db:"source"`
	Changes []string  `db:"changes"`
}

// Imports lists past imports, the latest first.
func (s *Store) Imports(ctx context.Context, limit int) ([]ImportInfo, error) {
	return rows[ImportInfo](ctx, s, `SELECT at, who, source, changes FROM imports ORDER BY id DESC LIMIT $1`, limit)
}
