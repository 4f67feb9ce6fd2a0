package app

import (
	"context"
	"encoding/json"
	"fmt"
	"time"

	"potlife/cmd/potlife/internal/deliver"
	"potlife/cmd/potlife/internal/store"
)

// How the outbox is worked off: a few messages at a time, each held for longer
// than any sender takes.
const (
	claim = 8
	lease = 2 * time.Minute
)

// DeliverDue sends what is due on the configured channels and returns how many
// messages were accepted.
func (a *App) DeliverDue(ctx context.Context) (int, error) {
	var channels []string
	for _, c := range []string{deliver.Folder, deliver.Mail, deliver.Webhook} {
		if a.o.Post[c] != nil {
			channels = append(channels, c)
		}
	}
	sent := 0
	for len(channels) > 0 {
		batch, err := a.o.Store.ClaimMessages(ctx, channels, claim, lease, a.now())
		if err != nil {
			return sent, err
		}
		for _, m := range batch {
			ok, err := a.deliverOne(ctx, m)
			if err != nil {
				return sent, err
			}
			if ok {
				sent++
			}
		}
		if len(batch) < claim {
			break
		}
	}
	return sent, nil
}

// deliverOne sends a message and writes down what became of it; the error is
// the database's.
func (a *App) deliverOne(ctx context.Context, c store.Claimed) (bool, error) {
	var m deliver.Message
	err := json.Unmarshal(c.Body, &m)
	if err != nil {
		err = &deliver.Failure{Permanent: true, Err: fmt.Errorf("message cannot be read: %w", err)}
	} else {
		err = a.o.Post.Send(ctx, m)
	}
	if ctx.Err() != nil {
		return false, ctx.Err() // the lease runs out and the message is tried again under its id
	}
	log := a.log.With("message", c.Key, "channel", c.Channel, "attempt", c.Attempt)
	switch {
	case err == nil:
		log.Info("delivered")
		return true, a.o.Store.MessageDone(ctx, c.ID, a.now())
	case deliver.IsPermanent(err):
		log.Error("not delivered", "err", err)
		return false, a.o.Store.MessageFailed(ctx, c, err.Error(), a.now())
	}
	log.Warn("not delivered yet", "err", err)
	return false, a.o.Store.MessageRetry(ctx, c, err.Error(), a.now())
}

// Send works the outbox off until ctx ends: whenever something is added, and
// every half minute for what is tried again.
func (a *App) Send(ctx context.Context) {
	tick := time.NewTicker(30 * time.Second)
	defer tick.Stop()
	for {
		if _, err := a.DeliverDue(ctx); err != nil && ctx.Err() == nil {
			a.log.Error("outbox", "err", err)
		}
		select {
		case <-ctx.Done():
			return
		case <-a.wake:
		case <-tick.C:
		}
	}
}
