package pgtest

import (
	"context"
	"errors"
	"fmt"
	"net/url"
	"os"
	"os/exec"
	"os/user"
	"path/filepath"
	"runtime"
	"slices"
	"strconv"
	"strings"
	"syscall"
	"time"

	"github.com/jackc/pgx/v5"
)

// startCluster makes a cluster in a temporary directory with the machine's own
// PostgreSQL programs and runs it. As root it drops to the user postgres.
func startCluster(ctx context.Context) (*server, error) {
	bin, err := programs()
	if err != nil {
		return nil, err
	}
	dir, err := os.MkdirTemp(roomyMemory(), "pgtest")
	if err != nil {
		return nil, err
	}
	attr, err := dropTo(dir)
	if err != nil {
		return nil, errors.Join(err, os.RemoveAll(dir))
	}
	data := filepath.Join(dir, "data")
	initdb := exec.CommandContext(ctx, filepath.Join(bin, "initdb"), "-D", data, "-U", "potlife", "-E", "UTF8", "--locale=C", "--no-sync")
	initdb.Dir, initdb.SysProcAttr = "/", attr
	if out, err := initdb.CombinedOutput(); err != nil {
		return nil, errors.Join(fmt.Errorf("initdb: %w: %s", err, out), os.RemoveAll(dir))
	}
	var log strings.Builder
	args := append([]string{"-D", data, "-k", dir, "-c", "listen_addresses="}, settings()...)
	cmd := exec.Command(filepath.Join(bin, "postgres"), args...)
	cmd.Dir, cmd.SysProcAttr, cmd.Stderr = "/", attr, &log
	gone, err := keep(cmd)
	if err != nil {
		return nil, errors.Join(err, os.RemoveAll(dir))
	}
	end := func() error {
		_ = cmd.Process.Signal(syscall.SIGINT)
		<-gone
		return os.RemoveAll(dir)
	}
	u := &url.URL{Scheme: "postgres", Path: "/postgres",
		RawQuery: url.Values{"host": {dir}, "user": {"potlife"}}.Encode()}
	if err := answer(ctx, u.String(), gone); err != nil {
		err = errors.Join(err, end())
		return nil, fmt.Errorf("%w: %s", err, log.String())
	}
	return &server{url: u, what: "cluster of " + bin + ", " + fsyncInWords(), close: end}, nil
}

// answer waits until the server takes a connection.
func answer(ctx context.Context, url string, gone <-chan struct{}) error {
	for {
		conn, err := pgx.Connect(ctx, url)
		if err == nil {
			return conn.Close(ctx)
		}
		select {
		case <-gone:
			return errors.New("the server ended")
		case <-ctx.Done():
			return err
		case <-time.After(20 * time.Millisecond):
		}
	}
}

// keep starts cmd from a thread that lives as long as this process, because
// the signal that ends the server with us is tied to the thread.
func keep(cmd *exec.Cmd) (gone <-chan struct{}, err error) {
	started, ended := make(chan error), make(chan struct{})
	go func() {
		runtime.LockOSThread()
		err := cmd.Start()
		started <- err
		if err == nil {
			_ = cmd.Wait()
		}
		close(ended)
	}()
	return ended, <-started
}

// programs finds initdb and postgres: the newest of Debian's, else the PATH's.
func programs() (string, error) {
	dirs, _ := filepath.Glob("/usr/lib/postgresql/*/bin")
	version := func(dir string) int {
		n, _ := strconv.Atoi(filepath.Base(filepath.Dir(dir)))
		return n
	}
	slices.SortFunc(dirs, func(a, b string) int { return version(b) - version(a) })
	if p, err := exec.LookPath("initdb"); err == nil {
		if p, err = filepath.EvalSymlinks(p); err == nil {
			dirs = append(dirs, filepath.Dir(p))
		}
	}
	for _, d := range dirs {
		_, err1 := os.Stat(filepath.Join(d, "initdb"))
		_, err2 := os.Stat(filepath.Join(d, "postgres"))
		if err1 == nil && err2 == nil {
			return d, nil
		}
	}
	return "", errors.New("PostgreSQL's initdb is not installed (Debian: apt-get install postgresql)")
}

// dropTo gives dir to the user the server runs as.
func dropTo(dir string) (*syscall.SysProcAttr, error) {
	attr := withParent()
	attr.Setpgid = true
	if os.Geteuid() != 0 {
		return attr, nil
	}
	u, err := user.Lookup("postgres")
	if err != nil {
		return nil, fmt.Errorf("PostgreSQL does not run as root: %w", err)
	}
	uid, _ := strconv.Atoi(u.Uid)
	gid, _ := strconv.Atoi(u.Gid)
	attr.Credential = &syscall.Credential{Uid: uint32(uid), Gid: uint32(gid)}
	return attr, os.Chown(dir, uid, gid)
}
