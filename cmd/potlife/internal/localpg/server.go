package localpg

import (
	"context"
	"crypto/sha256"
	"errors"
	"fmt"
	"io/fs"
	"net"
	"os"
	"os/exec"
	"path/filepath"
	"strconv"
	"strings"
	"syscall"
	"time"
)

// longestSocket is what fits a sockaddr_un on every system (108 bytes on Linux,
// 104 on the BSDs), with its final zero.
const longestSocket = 103

// logLimit is the size from which a log is set aside at the next start.
const logLimit = 16 << 20

// postmaster is what the server writes into postmaster.pid.
type postmaster struct {
	pid    int
	socket string // directory
	ready  bool
}

// readPostmaster reads data/postmaster.pid; false where there is none or it is
// not complete yet.
func readPostmaster(data string) (postmaster, bool) {
	text, err := os.ReadFile(filepath.Join(data, "postmaster.pid"))
	if err != nil {
		return postmaster{}, false
	}
	// pid, data directory, start time, port, socket directory, address,
	// shared memory key, status
	lines := strings.Split(string(text), "\n")
	if len(lines) < 5 {
		return postmaster{}, false
	}
	var p postmaster
	if p.pid, err = strconv.Atoi(strings.TrimSpace(lines[0])); err != nil {
		return postmaster{}, false
	}
	p.socket = strings.TrimSpace(lines[4])
	p.ready = len(lines) >= 8 && strings.TrimSpace(lines[7]) == "ready"
	return p, true
}

// listens reports whether somebody answers on the socket in dir. A socket file
// without a process behind it refuses.
func listens(dir string) bool {
	conn, err := net.DialTimeout("unix", socketFile(dir), time.Second)
	if err != nil {
		return false
	}
	conn.Close()
	return true
}

func socketFile(dir string) string { return filepath.Join(dir, ".s.PGSQL."+port) }

// adopt joins the server that runs on the cluster, if one does: it waits for
// one that is still recovering.
func (c *Cluster) adopt(ctx context.Context) bool {
	for {
		p, ok := readPostmaster(c.data())
		if !ok || p.socket == "" || !listens(p.socket) {
			return false
		}
		if p.ready {
			c.pid, c.socket, c.adopted = p.pid, p.socket, true
			return true
		}
		select {
		case <-ctx.Done():
			return false
		case <-time.After(20 * time.Millisecond):
		}
	}
}

// socketDir returns a directory for the socket: run/ beside the data, or one in
// /tmp named for the cluster when that path is too long for a socket.
func socketDir(dir string, o owner) (string, error) {
	run := filepath.Join(dir, "run")
	if len(socketFile(run)) > longestSocket {
		run = fmt.Sprintf("/tmp/potlife-%d-%x", o.uid, sha256.Sum256([]byte(dir)))[:40]
	}
	if err := os.Mkdir(run, 0o700); err != nil && !errors.Is(err, fs.ErrExist) {
		return "", err
	} else if err == nil && o.drop {
		if err := os.Chown(run, o.uid, o.gid); err != nil {
			return "", err
		}
	}
	// In /tmp anybody could have been there first.
	info, err := os.Lstat(run)
	if err != nil {
		return "", err
	}
	if st := info.Sys().(*syscall.Stat_t); !info.IsDir() || int(st.Uid) != o.uid {
		return "", fmt.Errorf("%s should be a directory of user %q for the database's socket, and is not; remove it", run, o.name)
	}
	return run, os.Chmod(run, 0o700)
}

// launch starts the server and waits until it takes connections. A server that
// is ending, or processes of one that was killed, may hold the lock file or the
// shared memory for a moment: that start is tried again.
func (c *Cluster) launch(ctx context.Context, b binaries, o owner) error {
	const tries = 20
	for try := 1; ; try++ {
		err := c.launchOnce(ctx, b, o)
		if err == nil || ctx.Err() != nil || try == tries {
			return err
		}
		if m := err.Error(); !strings.Contains(m, "shared memory block") && !strings.Contains(m, "lock file") {
			return err
		}
		time.Sleep(250 * time.Millisecond)
	}
}

func (c *Cluster) launchOnce(ctx context.Context, b binaries, o owner) error {
	out, err := openLog(filepath.Join(c.dir, logName))
	if err != nil {
		return err
	}
	defer out.Close()
	from, err := out.Seek(0, 2)
	if err != nil {
		return err
	}
	cmd := exec.Command(b.path("postgres"), "-D", c.data(), "-k", c.socket, "-p", port,
		"-c", "listen_addresses=", "-c", "unix_socket_permissions=0700", "-c", "logging_collector=off",
		"-c", "log_destination=stderr", "-c", "timezone=UTC", "-c", "log_timezone=UTC")
	cmd.Dir, cmd.Env, cmd.SysProcAttr = "/", environment(), o.attributes()
	cmd.Stdout, cmd.Stderr = out, out
	began := time.Now()
	if err := cmd.Start(); err != nil {
		return fmt.Errorf("start %s: %w", cmd.Path, err)
	}
	gone := make(chan struct{})
	go func() {
		_ = cmd.Wait() // how it ended stands in its log
		close(gone)
	}()
	c.pid, c.gone = cmd.Process.Pid, gone
	for {
		if p, ok := readPostmaster(c.data()); ok && p.pid == c.pid && p.ready && listens(c.socket) {
			c.log.Info("started the private database", "dir", c.dir, "pid", c.pid, "after", time.Since(began).Round(time.Millisecond))
			return nil
		}
		select {
		case <-gone:
			return fmt.Errorf("the server did not start; %s says: %s", out.Name(), logSince(out.Name(), from))
		case <-ctx.Done():
			_ = cmd.Process.Signal(syscall.SIGINT)
			<-gone
			return fmt.Errorf("the server was not ready in time: %w", ctx.Err())
		case <-time.After(5 * time.Millisecond):
		}
	}
}

// openLog appends to the server's log and sets a large one aside.
func openLog(path string) (*os.File, error) {
	if info, err := os.Stat(path); err == nil && info.Size() > logLimit {
		if err := os.Rename(path, path+".1"); err != nil {
			return nil, err
		}
	}
	return os.OpenFile(path, os.O_RDWR|os.O_CREATE|os.O_APPEND, 0o600)
}

// logSince returns the last lines that the log got after offset from.
func logSince(path string, from int64) string {
	text, err := os.ReadFile(path)
	if err != nil || int64(len(text)) < from {
		return "(no log)"
	}
	return lastLines(string(text[from:]), 6)
}
