// Package localpg keeps a private PostgreSQL cluster in a directory of its own,
// for an installation that names no database: unix socket only, readable by
// its owner only, checksums on, made and run with the PostgreSQL binaries of
// the machine. It needs no driver.
//
// The directory holds
//
//	data/          the cluster (PGDATA)
//	run/           the socket, or a short directory in /tmp when the path would be too long
//	postgres.log   what the server says
//	*.lock         who is starting, stopping and using it
//
// Several processes may use one cluster at the same time; the last one to Stop
// ends the server. A process that is killed leaves the server running, and the
// next Start takes it over; a server that was killed is started again and
// recovers from its write-ahead log.
package localpg

import (
	"context"
	"errors"
	"fmt"
	"io/fs"
	"log/slog"
	"net/url"
	"os"
	"path/filepath"
	"syscall"
	"time"
)

// Names fixed for every private cluster.
const (
	superuser = "potlife"
	database  = "potlife"
	port      = "5432"
)

// Files beside the cluster.
const (
	startLock = "start.lock"
	useLock   = "use.lock"
	logName   = "postgres.log"
)

// Options say where the cluster lives.
type Options struct {
	// Dir is the cluster's own directory; it is made when it does not exist.
	Dir string
	// Logger may be nil.
	Logger *slog.Logger
}

// Cluster is a server that runs.
type Cluster struct {
	dir     string // Options.Dir, absolute
	socket  string // directory of the socket
	pid     int
	adopted bool
	gone    chan struct{} // closed when a server started here has ended
	inUse   *os.File      // shared lock held while this process uses the cluster
	log     *slog.Logger
}

// Start makes the cluster when there is none, starts it when it does not run,
// and otherwise joins the server that is running. It returns when the server
// takes connections.
//
// Errors say what to install (*MissingError), that the cluster belongs to
// another major version (*VersionError, nothing is touched), or that the
// server's user cannot reach Dir (*AccessError).
func Start(ctx context.Context, o Options) (*Cluster, error) {
	log := o.Logger
	if log == nil {
		log = slog.New(slog.DiscardHandler)
	}
	if o.Dir == "" {
		return nil, errors.New("localpg: no directory given for the private database")
	}
	dir, err := filepath.Abs(o.Dir)
	if err != nil {
		return nil, fmt.Errorf("localpg: %w", err)
	}
	c := &Cluster{dir: dir, log: log}
	if err := c.start(ctx); err != nil {
		c.release()
		if errors.Is(err, fs.ErrPermission) {
			err = fmt.Errorf("%w; it may belong to another user: run as that user or as root, or choose another directory", err)
		}
		return nil, fmt.Errorf("private database in %s: %w", dir, err)
	}
	return c, nil
}

// means are the server's programs that suit the data, and the user they run as.
func (c *Cluster) means() (binaries, owner, error) {
	bins, err := binariesFor(c.data())
	if err != nil {
		return bins, owner{}, err
	}
	own, err := ownerFor(c.dir, c.data())
	return bins, own, err
}

func (c *Cluster) start(ctx context.Context) error {
	// Everything that can be refused is checked before anything is written.
	bins, own, err := c.means()
	if err != nil {
		return err
	}
	if err := own.makeDir(c.dir); err != nil {
		return err
	}
	if err := own.canReach(c.dir); err != nil { // parents made under a narrow umask
		return err
	}
	for _, name := range []string{startLock, useLock, logName} {
		if err := own.touch(filepath.Join(c.dir, name)); err != nil {
			return err
		}
	}
	unlock, err := lockFile(ctx, filepath.Join(c.dir, startLock), syscall.LOCK_EX)
	if err != nil {
		return err
	}
	defer unlock.Close()
	if c.inUse, err = lockFile(ctx, filepath.Join(c.dir, useLock), syscall.LOCK_SH); err != nil {
		return err
	}
	if err := initialise(ctx, bins, own, c.dir, c.log); err != nil {
		return err
	}
	if c.adopt(ctx) {
		c.log.Info("joined the private database that was running", "dir", c.dir, "pid", c.pid)
		return nil
	}
	if c.socket, err = socketDir(c.dir, own); err != nil {
		return err
	}
	return c.launch(ctx, bins, own)
}

func (c *Cluster) data() string { return filepath.Join(c.dir, "data") }

// URL is the connection string of the cluster's database, over its socket.
func (c *Cluster) URL() string {
	q := url.Values{"host": {c.socket}, "port": {port}, "user": {superuser}}
	return (&url.URL{Scheme: "postgres", Path: "/" + database, RawQuery: q.Encode()}).String()
}

// Gone is closed when the server ends that this process started. It is nil for
// a server that was joined: it is not our child and cannot be waited for.
func (c *Cluster) Gone() <-chan struct{} { return c.gone }

// Stop ends the server cleanly unless another process still uses the cluster.
// Connections that are open are cut and their transactions rolled back. When
// ctx ends first the server is left to finish its shutdown and Stop says so.
func (c *Cluster) Stop(ctx context.Context) error {
	defer c.release()
	unlock, err := lockFile(ctx, filepath.Join(c.dir, startLock), syscall.LOCK_EX)
	if err != nil {
		return fmt.Errorf("stop private database: %w", err)
	}
	defer unlock.Close()
	if c.inUse == nil {
		return nil // stopped before
	}
	if err := syscall.Flock(int(c.inUse.Fd()), syscall.LOCK_EX|syscall.LOCK_NB); err != nil {
		c.log.Info("left the private database running: another process uses it", "dir", c.dir)
		return nil
	}
	pid := c.pid
	if p, ok := readPostmaster(c.data()); ok {
		pid = p.pid // the server may have been started anew by another process
	} else if !c.running() {
		return nil
	}
	// SIGINT is PostgreSQL's fast shutdown: roll back, checkpoint, exit.
	if err := syscall.Kill(pid, syscall.SIGINT); err != nil && !errors.Is(err, syscall.ESRCH) {
		return fmt.Errorf("stop private database (process %d): %w", pid, err)
	}
	for {
		_, there := readPostmaster(c.data())
		if dead := errors.Is(syscall.Kill(pid, 0), syscall.ESRCH); (dead || !there) && !c.running() {
			c.log.Info("stopped the private database", "dir", c.dir)
			return nil
		}
		select {
		case <-ctx.Done():
			return fmt.Errorf("stop private database: process %d has not ended yet: %w", pid, ctx.Err())
		case <-time.After(5 * time.Millisecond):
		}
	}
}

// running reports whether the child started here is still there.
func (c *Cluster) running() bool {
	if c.gone == nil {
		return false
	}
	select {
	case <-c.gone:
		return false
	default:
		return true
	}
}

func (c *Cluster) release() {
	if c.inUse != nil {
		c.inUse.Close()
		c.inUse = nil
	}
}

// lockFile opens path and takes the flock; closing the file, or the end of the
// process however it comes, gives it back.
func lockFile(ctx context.Context, path string, how int) (*os.File, error) {
	f, err := os.OpenFile(path, os.O_RDWR|os.O_CREATE, 0o600)
	if err != nil {
		return nil, err
	}
	for {
		err := syscall.Flock(int(f.Fd()), how|syscall.LOCK_NB)
		if err == nil {
			return f, nil
		}
		if !errors.Is(err, syscall.EWOULDBLOCK) && !errors.Is(err, syscall.EINTR) {
			f.Close()
			return nil, fmt.Errorf("lock %s: %w", path, err)
		}
		select {
		case <-ctx.Done():
			f.Close()
			return nil, fmt.Errorf("another process is starting or stopping it (%s): %w", path, ctx.Err())
		case <-time.After(20 * time.Millisecond):
		}
	}
}
