package app

import (
	"context"
	"errors"
	"sync"
	"time"
)

// follower makes the plan follow what is reported: whoever changes something
// calls Follow and goes on; one plan is made for all that came in meanwhile.
type follower struct {
	mu      sync.Mutex
	reasons []string
	wake    chan struct{}
}

func newFollower() *follower { return &follower{wake: make(chan struct{}, 1)} }

// Follow asks for a new plan because of reason.
func (f *follower) Follow(reason string) {
	f.mu.Lock()
	if len(f.reasons) < 20 {
		f.reasons = append(f.reasons, reason)
	}
	f.mu.Unlock()
	select {
	case f.wake <- struct{}{}:
	default:
	}
}

func (f *follower) take() (string, int) {
	f.mu.Lock()
	defer f.mu.Unlock()
	n := len(f.reasons)
	if n == 0 {
		return "", 0
	}
	first := f.reasons[0]
	f.reasons = nil
	return first, n
}

// CatchUp makes a new plan and the revisions that follow from it.
func (a *App) CatchUp(ctx context.Context, reason string) error {
	if _, err := a.Replan(ctx, reason); err != nil {
		if errors.Is(err, ErrNothing) {
			return nil
		}
		return err
	}
	_, err := a.Revise(ctx)
	return err
}

// FollowReports makes plans as they are asked for until ctx ends. It looks for
// itself as well, so that what another process took in and did not live to
// plan is caught up.
func (a *App) FollowReports(ctx context.Context) {
	tick := time.NewTicker(time.Minute)
	defer tick.Stop()
	for first := true; ; first = false {
		if !first {
			select {
			case <-ctx.Done():
				return
			case <-a.follow.wake:
			case <-tick.C:
			}
		}
		if stale, err := a.o.Store.Overtaken(ctx); err == nil && stale {
			a.follow.Follow("what has come in since the last plan")
		}
		reason, n := a.follow.take()
		if n == 0 {
			continue
		}
		if err := a.CatchUp(ctx, reason); err != nil && ctx.Err() == nil {
			a.log.Error("the plan could not follow", "reason", reason, "reports", n, "err", err)
		}
	}
}
