// Command potlife plans tile work: measured rooms in, orders, a schedule and
// each evening the next working day's pre-cut list out.
package main

import (
	"context"
	"os"
	"os/signal"
	"syscall"
	"time"
	_ "time/tzdata" // zones are there in a container without any

	"potlife/cmd/potlife/internal/cli"
)

func main() {
	ctx, stop := signal.NotifyContext(context.Background(), os.Interrupt, syscall.SIGTERM)
	defer stop()
	p := &cli.Program{Out: os.Stdout, Err: os.Stderr, Now: time.Now}
	os.Exit(cli.Run(ctx, p, os.Args[1:]))
}
