// Package app wires potlife together: it plans, issues the next working day,
// takes reports, sends what is due, and runs the daemon. What is due is asked of
// the database and never of a timer, so any number of processes, restarts and
// clock changes give the same sheets.
package app

import (
	"context"
	"errors"
	"io"
	"log/slog"
	"potlife/takeoff"
	"sync"
	"time"

	"potlife/cmd/potlife/internal/deliver"
	"potlife/cmd/potlife/internal/plandoc"
	"potlife/cmd/potlife/internal/store"
)

// Sheets makes the files of a day sheet: "pdf", "csv", "json", "html".
type Sheets interface {
	DayFile(w io.Writer, doc *plandoc.Document, index int, m plandoc.Mark, format string) error
}

// Orders makes the files of an order: "pdf", "csv", "xlsx", "json".
type Orders interface {
	OrderFile(w io.Writer, doc *plandoc.Document, o *plandoc.Order, m plandoc.OrderMark, format string) error
}

// Paper is all that is sent on paper.
type Paper interface {
	Sheets
	Orders
}

// Options are what an App needs.
type Options struct {
	Store *store.Store
	Print Paper
	// Post holds a sender per channel that is configured.
	Post deliver.Post
	// Spec and Zone override the firm's issue time.
	Spec string
	Zone *time.Location
	// PublicURL stands before the paths of pages in sheets and messages.
	PublicURL string
	// Log may be nil, Now may be nil for the clock.
	Log *slog.Logger
	Now func() time.Time
}

// App is the program without its outer shell. It is safe for concurrent use.
type App struct {
	o     Options
	log   *slog.Logger
	now   func() time.Time
	plans planCache
	// sound is the last document that was checked here and found to keep the rules;
	// it is changed and read with replanning held.
	sound sound
	// replanning holds off a second plan while one is made: it would be refused
	// in favour of the first.
	replanning sync.Mutex
	follow     *follower
	wake       chan struct{} // something to send
	memory     *takeoff.Memory
}

// New checks the options.
func New(o Options) (*App, error) {
	if o.Store == nil || o.Print == nil {
		return nil, errors.New("app: Store and Print are needed")
	}
	if o.Spec != "" {
		if _, err := ParseSpec(o.Spec); err != nil {
			return nil, err
		}
	}
	a := &App{o: o, log: o.Log, now: o.Now, follow: newFollower(), wake: make(chan struct{}, 1), memory: &takeoff.Memory{}}
	if a.log == nil {
		a.log = slog.New(slog.DiscardHandler)
	}
	if a.now == nil {
		a.now = time.Now
	}
	return a, nil
}

// Ready reports whether the database answers.
func (a *App) Ready(ctx context.Context) error { return a.o.Store.Ping(ctx) }

// somethingToSend wakes the sender.
func (a *App) somethingToSend() {
	select {
	case a.wake <- struct{}{}:
	default:
	}
}
