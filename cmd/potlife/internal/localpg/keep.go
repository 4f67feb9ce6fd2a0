package localpg

import (
	"context"
	"path/filepath"
	"syscall"
	"time"
)

// How often Keep looks, and how long it waits at most after a start that failed.
const (
	lookEvery    = time.Second
	longestPause = time.Minute
)

// Keep starts the server again when it has ended, killed for want of memory or by
// a slip, until ctx ends. A process that only runs one command needs none: it
// fails, and the next command starts the server. Keep must have returned before
// Stop is called.
func (c *Cluster) Keep(ctx context.Context) {
	pause := lookEvery
	for {
		select {
		case <-ctx.Done():
			return
		case <-time.After(pause):
		}
		if listens(c.socket) {
			pause = lookEvery
			continue
		}
		c.log.Warn("the private database has ended; it is started again", "dir", c.dir, "pid", c.pid)
		if err := c.again(ctx); err != nil && ctx.Err() == nil {
			pause = min(2*pause, longestPause)
			c.log.Error("the private database does not start", "dir", c.dir, "error", err, "next", pause)
		}
	}
}

// again starts the server on the socket it had, or joins the one that another
// process has started on it meanwhile.
func (c *Cluster) again(ctx context.Context) error {
	unlock, err := lockFile(ctx, filepath.Join(c.dir, startLock), syscall.LOCK_EX)
	if err != nil {
		return err
	}
	defer unlock.Close()
	if c.adopt(ctx) {
		c.log.Info("joined the private database that was running", "dir", c.dir, "pid", c.pid)
		return nil
	}
	bins, own, err := c.means()
	if err != nil {
		return err
	}
	c.adopted = false
	return c.launch(ctx, bins, own)
}
