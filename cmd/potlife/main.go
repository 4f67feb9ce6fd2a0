// Command potlife plans tile work: measured rooms in, orders, a schedule and
// each evening the next working day's pre-cut list out.
package main

import (
	"context"
	"log/slog"
	"os"
	"os/signal"
	"syscall"
	"time"
	_ "time/tzdata" // zones are there in a container without any

	_ "golang.org/x/crypto/x509roots/fallback" // and so are certificate authorities

	"potlife/cmd/internal/heap"
	"potlife/cmd/potlife/internal/app"
	"potlife/cmd/potlife/internal/cli"
	"potlife/config"
)

func main() {
	heap.Grow(heap.ForPlans)
	ctx, stop := signal.NotifyContext(context.Background(), os.Interrupt, syscall.SIGTERM)
	defer stop()
	p := &cli.Program{Out: os.Stdout, Err: os.Stderr, Now: time.Now, Open: open}
	os.Exit(cli.Run(ctx, p, os.Args[1:]))
}

func open(ctx context.Context, c *config.Config, log *slog.Logger) (cli.Daemon, error) {
	d, err := app.Open(ctx, c, log, cli.Version)
	if err != nil {
		return nil, err // not d: an interface that holds a nil pointer is not nil
	}
	return d, nil
}
