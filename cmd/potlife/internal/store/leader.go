package store

import (
	"context"
	"errors"
	"fmt"
	"time"

	"github.com/jackc/pgx/v5/pgxpool"
)

// Times of leadership: how often those who wait try, and how often the leader
// makes sure that its connection, and with it the lock, is still there.
var (
	leadRetry = 5 * time.Second
	leadCheck = 2 * time.Second
)

const lockLeader = 7_310_000

// ErrLostLead is the cause of the context of a leader whose connection broke.
var ErrLostLead = errors.New("lost the connection that held the lead")

// Lead waits until this process leads among all that share the database, runs
// fn, and gives the lead up when fn returns. When the lead is lost while fn runs
// its context ends with ErrLostLead as cause; Lead waits for fn and then for its
// turn again. It returns when ctx ends (nil) or with fn's error.
//
// Two processes may for a moment both believe they lead. What must happen once
// is held by unique keys in the database; leadership saves work, no more.
func (s *Store) Lead(ctx context.Context, fn func(ctx context.Context) error) error {
	for {
		led, err := s.leadOnce(ctx, fn)
		switch {
		case ctx.Err() != nil:
			return nil
		case led && !errors.Is(err, ErrLostLead):
			return err
		}
		select {
		case <-ctx.Done():
			return nil
		case <-time.After(leadRetry):
		}
	}
}

// leadOnce tries to get the lead; led says whether fn ran.
func (s *Store) leadOnce(ctx context.Context, fn func(ctx context.Context) error) (led bool, err error) {
	conn, err := s.pool.Acquire(ctx)
	if err != nil {
		return false, err
	}
	// The lock belongs to the session: the connection must not go back to the
	// pool with it.
	defer func() {
		c := conn.Hijack()
		shut, cancel := context.WithTimeout(context.WithoutCancel(ctx), 5*time.Second)
		defer cancel()
		_ = c.Close(shut)
	}()
	var got bool
	if err := conn.QueryRow(ctx, `SELECT pg_try_advisory_lock($1)`, lockLeader).Scan(&got); err != nil || !got {
		return false, err
	}
	leading, cancel := context.WithCancelCause(ctx)
	watched := make(chan struct{})
	go func() {
		defer close(watched)
		watch(leading, conn, cancel)
	}()
	err = fn(leading)
	if cause := context.Cause(leading); errors.Is(cause, ErrLostLead) {
		err = cause
	}
	cancel(nil)
	<-watched
	return true, err
}

// watch looks after the leader's connection until the lead ends.
func watch(ctx context.Context, conn *pgxpool.Conn, lost context.CancelCauseFunc) {
	tick := time.NewTicker(leadCheck)
	defer tick.Stop()
	for {
		select {
		case <-ctx.Done():
			return
		case <-tick.C:
			ask, cancel := context.WithTimeout(ctx, leadCheck*2)
			err := conn.Ping(ask)
			cancel()
			if err != nil && ctx.Err() == nil {
				lost(fmt.Errorf("%w: %w", ErrLostLead, err))
				return
			}
		}
	}
}
