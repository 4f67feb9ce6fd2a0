package localpg

import (
	"context"
	"errors"
	"fmt"
	"io/fs"
	"log/slog"
	"os"
	"os/exec"
	"path/filepath"
	"strings"
)

// initialise makes the cluster when there is none. It is made aside and
// renamed when it is complete, so a process killed half-way leaves nothing
// that looks like a cluster.
func initialise(ctx context.Context, b binaries, o owner, dir string, log *slog.Logger) error {
	data := filepath.Join(dir, "data")
	if _, err := os.Lstat(data); err == nil {
		return nil
	} else if !errors.Is(err, fs.ErrNotExist) {
		return err
	}
	aside := filepath.Join(dir, "data.new")
	if err := os.RemoveAll(aside); err != nil {
		return err
	}
	log.Info("making a private database", "dir", dir, "postgres", b.major)
	// Trust is enough: nobody but the owner can reach the socket. The C locale
	// sorts by bytes, the same on every machine.
	if err := o.run(ctx, "", b.path("initdb"), "-D", aside, "-U", superuser, "-E", "UTF8", "--locale=C",
		"--data-checksums", "--auth-local=trust", "--auth-host=reject"); err != nil {
		return err
	}
	// The single-user server makes the database without a connection.
	if err := o.run(ctx, "CREATE DATABASE "+database+";\n", b.path("postgres"), "--single", "-D", aside, "-j", "postgres"); err != nil {
		return err
	}
	if err := os.Rename(aside, data); err != nil {
		return err
	}
	return syncDir(dir)
}

// run runs a program as the owner and puts what it said into the error.
func (o owner) run(ctx context.Context, input, name string, args ...string) error {
	cmd := exec.CommandContext(ctx, name, args...)
	cmd.Dir = "/"
	cmd.Env = environment()
	cmd.Stdin = strings.NewReader(input)
	cmd.SysProcAttr = o.attributes()
	if out, err := cmd.CombinedOutput(); err != nil {
		return fmt.Errorf("%s: %w: %s", filepath.Base(name), err, lastLines(string(out), 5))
	}
	return nil
}

// environment keeps PG* variables and the user's locale away from the server.
func environment() []string {
	return []string{"PATH=" + os.Getenv("PATH"), "LC_ALL=C", "TZ=UTC"}
}

func syncDir(dir string) error {
	d, err := os.Open(dir)
	if err != nil {
		return err
	}
	defer d.Close()
	return d.Sync()
}

// lastLines returns the last n non-empty lines of s, joined by " | ".
func lastLines(s string, n int) string {
	var lines []string
	for l := range strings.SplitSeq(s, "\n") {
		if l = strings.TrimSpace(l); l != "" {
			lines = append(lines, l)
		}
	}
	return strings.Join(lines[max(0, len(lines)-n):], " | ")
}
