package store

import (
	"context"
	"time"
)

// ChangedSince reports whether anything that a plan depends on came in after an
// instant: a record, an import, or a step or delivery of an order.
func (s *Store) ChangedSince(ctx context.Context, t time.Time) (bool, error) {
	var yes bool
	err := s.pool.QueryRow(ctx, `
		SELECT EXISTS (SELECT FROM records WHERE received_at > $1)
			OR EXISTS (SELECT FROM imports WHERE at > $1)
			OR EXISTS (SELECT FROM order_events WHERE at > $1)`, t).Scan(&yes)
	return yes, translate(err)
}
