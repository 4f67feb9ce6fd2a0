package store

import (
	"context"
	"time"

	"github.com/jackc/pgx/v5"

	"potlife/rooms"
)

// Jobs returns the open jobs exactly as they were imported, in the order of
// their first import.
func (s *Store) Jobs(ctx context.Context) ([]rooms.Job, error) {
	var jobs []rooms.Job
	err := s.read(ctx, func(tx pgx.Tx) (err error) {
		jobs, err = loadJobs(ctx, tx, `closed_at IS NULL`)
		return err
	})
	return jobs, err
}

// Job returns one job, open or closed. ErrNotFound: there is none.
func (s *Store) Job(ctx context.Context, key string) (*rooms.Job, error) {
	var jobs []rooms.Job
	err := s.read(ctx, func(tx pgx.Tx) (err error) {
		jobs, err = loadJobs(ctx, tx, `key = $1`, key)
		return err
	})
	if err != nil {
		return nil, err
	}
	if len(jobs) == 0 {
		return nil, notFound("there is no job %q", key)
	}
	return &jobs[0], nil
}

// CloseJob puts a job away: it is not planned any more and can still be read.
func (s *Store) CloseJob(ctx context.Context, key string, now time.Time) error {
	return s.setClosed(ctx, key, &now)
}

// ReopenJob takes a closed job back into planning.
func (s *Store) ReopenJob(ctx context.Context, key string) error {
	return s.setClosed(ctx, key, nil)
}

func (s *Store) setClosed(ctx context.Context, key string, at *time.Time) error {
	return s.write(ctx, func(tx pgx.Tx) error {
		tag, err := tx.Exec(ctx, `UPDATE jobs SET closed_at = $2 WHERE key = $1`, key, at)
		if err == nil && tag.RowsAffected() == 0 {
			return notFound("there is no job %q", key)
		}
		return err
	})
}

func importJobs(ctx context.Context, tx pgx.Tx, jobs []rooms.Job, now time.Time) ([]string, error) {
	if len(jobs) == 0 {
		return nil, nil
	}
	if rows, err := firmTable.list(ctx, tx, "true", "1"); err != nil {
		return nil, err
	} else if len(rows) == 0 {
		return nil, conflict("job %s: no firm has been imported yet; import the firm first or together with the job", jobs[0].Key)
	}
	keys := []string{}
	for _, j := range jobs {
		keys = append(keys, j.Key)
	}
	if err := unique("job", keys); err != nil {
		return nil, err
	}
	old, err := loadJobs(ctx, tx, `key = ANY($1)`, keys)
	if err != nil {
		return nil, err
	}
	before := map[string]*rooms.Job{}
	for i := range old {
		before[old[i].Key] = &old[i]
	}
	var changes []string
	for i := range jobs {
		lines := jobChanges(before[jobs[i].Key], &jobs[i])
		if len(lines) == 0 {
			continue
		}
		if err := saveJob(ctx, tx, &jobs[i], now); err != nil {
			return nil, err
		}
		changes = append(changes, lines...)
	}
	return changes, nil
}

// saveJob writes all of a job. Sites, rooms and surfaces are overwritten in
// place because others refer to them; what is gone is removed last.
func saveJob(ctx context.Context, tx pgx.Tx, j *rooms.Job, now time.Time) error {
	var pos int
	err := tx.QueryRow(ctx, `
		SELECT coalesce((SELECT pos FROM jobs WHERE key = $1), (SELECT max(pos) + 1 FROM jobs), 0)`, j.Key).Scan(&pos)
	if err != nil {
		return err
	}
	row, err := newJobRow(pos, *j, now)
	if err != nil {
		return err
	}
	parts, err := spread(j)
	if err != nil {
		return err
	}
	if err := jobTable.upsert(ctx, tx, []jobRow{row}); err != nil {
		return err
	}
	return parts.save(ctx, tx, j.Key)
}
