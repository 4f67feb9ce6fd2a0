package store

import (
	"context"
	"errors"
	"sync/atomic"
	"testing"
	"time"

	"potlife/integration/pgtest"
)

// quickLead shortens the waiting of leadership for the tests.
func quickLead(t *testing.T) {
	retry, check := leadRetry, leadCheck
	leadRetry, leadCheck = 20*time.Millisecond, 20*time.Millisecond
	t.Cleanup(func() { leadRetry, leadCheck = retry, check })
}

func TestOneLeads(t *testing.T) {
	quickLead(t)
	url := pgtest.URL(t)
	ctx, cancel := context.WithCancel(context.Background())
	var leading, most, turns atomic.Int32
	ended := make(chan error, 5)
	for range cap(ended) {
		s := openURL(t, url)
		go func() {
			ended <- s.Lead(ctx, func(ctx context.Context) error {
				most.Store(max(most.Load(), leading.Add(1)))
				turns.Add(1)
				time.Sleep(30 * time.Millisecond)
				leading.Add(-1)
				return errors.New("had my turn")
			})
		}()
	}
	for range cap(ended) {
		if err := <-ended; err == nil || err.Error() != "had my turn" {
			t.Errorf("Lead: %v", err)
		}
	}
	cancel()
	if most.Load() != 1 || turns.Load() != 5 {
		t.Errorf("%d led at once, %d turns; want 1 and 5", most.Load(), turns.Load())
	}
}

func TestLeadIsLostWithItsConnection(t *testing.T) {
	quickLead(t)
	ctx, cancel := context.WithCancel(context.Background())
	s := open(t)
	causes := make(chan error, 2)
	turn := make(chan struct{}, 2)
	ended := make(chan error, 1)
	go func() {
		ended <- s.Lead(ctx, func(ctx context.Context) error {
			turn <- struct{}{}
			<-ctx.Done()
			causes <- context.Cause(ctx)
			return nil
		})
	}()
	<-turn
	if _, err := s.pool.Exec(context.Background(), `SELECT pg_terminate_backend(pid) FROM pg_locks WHERE locktype = 'advisory' AND granted AND pid <> pg_backend_pid()`); err != nil {
		t.Fatal(err)
	}
	if cause := <-causes; !errors.Is(cause, ErrLostLead) {
		t.Errorf("the leader's context ended with %v", cause)
	}
	<-turn // it leads again
	cancel()
	if cause := <-causes; !errors.Is(cause, context.Canceled) {
		t.Errorf("the second time it ended with %v", cause)
	}
	if err := <-ended; err != nil {
		t.Errorf("Lead after its context ended: %v", err)
	}
}
