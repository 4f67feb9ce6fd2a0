package integration

import (
	"bufio"
	"bytes"
	"context"
	"errors"
	"fmt"
	"io"
	"net/http"
	"net/http/cookiejar"
	"net/url"
	"os"
	"os/exec"
	"path/filepath"
	"regexp"
	"strings"
	"sync"
	"syscall"
	"testing"
	"time"

	"potlife/integration/pgtest"
)

// binary is the program under test, built once for the package.
var binary string

func TestMain(m *testing.M) {
	os.Exit(func() int {
		dir, err := os.MkdirTemp("", "potlife-integration")
		if err != nil {
			fmt.Fprintln(os.Stderr, err)
			return 1
		}
		defer os.RemoveAll(dir)
		binary = filepath.Join(dir, "potlife")
		build := exec.Command("go", "build", "-o", binary, "./cmd/potlife")
		build.Dir = ".."
		if out, err := build.CombinedOutput(); err != nil {
			fmt.Fprintf(os.Stderr, "build: %v\n%s", err, out)
			return 1
		}
		return pgtest.Run(m)
	}())
}

// program is potlife with a database of its own.
type program struct {
	t   *testing.T
	env []string
}

// newProgram is a program on a fresh database.
func newProgram(t *testing.T) *program {
	t.Helper()
	env := []string{"POTLIFE_DATABASE_URL=" + pgtest.URL(t), "POTLIFE_DATA_DIR=" + t.TempDir(), "POTLIFE_LISTEN=127.0.0.1:0"}
	for _, e := range os.Environ() {
		if !strings.HasPrefix(e, "POTLIFE_") {
			env = append(env, e)
		}
	}
	return &program{t, env}
}

// command prepares a run; nothing has been started.
func (p *program) command(args ...string) *exec.Cmd {
	cmd := exec.Command(binary, args...)
	cmd.Env = p.env
	return cmd
}

// run runs a command to its end and returns what it printed.
func (p *program) run(args ...string) string {
	p.t.Helper()
	out, code := p.try(args...)
	if code != 0 {
		p.t.Fatalf("potlife %s: exit code %d\n%s", strings.Join(args, " "), code, out)
	}
	return out
}

// try runs a command and returns its output and exit code.
func (p *program) try(args ...string) (string, int) {
	p.t.Helper()
	out, err := p.command(args...).CombinedOutput()
	var exit *exec.ExitError
	if err != nil && !errors.As(err, &exit) {
		p.t.Fatalf("potlife %s: %v", strings.Join(args, " "), err)
	}
	if exit != nil {
		return string(out), exit.ExitCode()
	}
	return string(out), 0
}

// demoFile writes the demonstration's job file, starting on a Monday at least
// a week away, and returns its path.
func (p *program) demoFile(which ...string) string {
	p.t.Helper()
	args := append([]string{"demo"}, which...)
	args = append(args, "--print", "--start", time.Now().AddDate(0, 0, 14).Format(time.DateOnly))
	cmd := p.command(args...)
	text, err := cmd.Output()
	if err != nil {
		p.t.Fatal(err)
	}
	path := filepath.Join(p.t.TempDir(), "job.yaml")
	if err := os.WriteFile(path, text, 0o600); err != nil {
		p.t.Fatal(err)
	}
	return path
}

// daemon is a served program.
type daemon struct {
	*program
	URL string
	cmd *exec.Cmd
	log *lockedBuffer
}

type lockedBuffer struct {
	mu sync.Mutex
	b  bytes.Buffer
}

func (l *lockedBuffer) Write(p []byte) (int, error) {
	l.mu.Lock()
	defer l.mu.Unlock()
	return l.b.Write(p)
}

func (l *lockedBuffer) String() string {
	l.mu.Lock()
	defer l.mu.Unlock()
	return l.b.String()
}

var answers = regexp.MustCompile(`answers at (http://\S+?);?(\s|$)`)

// serve starts the daemon and waits until it answers.
func (p *program) serve(args ...string) *daemon {
	p.t.Helper()
	d := &daemon{program: p, cmd: p.command(append([]string{"serve"}, args...)...), log: &lockedBuffer{}}
	d.cmd.Stderr = d.log
	out, err := d.cmd.StdoutPipe()
	if err != nil {
		p.t.Fatal(err)
	}
	if err := d.cmd.Start(); err != nil {
		p.t.Fatal(err)
	}
	p.t.Cleanup(func() { d.stop() })
	found := make(chan string, 1)
	go func() {
		for lines := bufio.NewScanner(out); lines.Scan(); {
			if m := answers.FindStringSubmatch(lines.Text()); m != nil {
				found <- m[1]
			}
		}
		_, _ = io.Copy(io.Discard, out)
	}()
	select {
	case d.URL = <-found:
	case <-time.After(2 * time.Minute):
		p.t.Fatalf("the daemon did not answer\n%s", d.log)
	}
	return d
}

// stop ends the daemon as a service manager would.
func (d *daemon) stop() {
	if d.cmd.ProcessState != nil {
		return
	}
	_ = d.cmd.Process.Signal(syscall.SIGTERM)
	done := make(chan struct{})
	go func() { _ = d.cmd.Wait(); close(done) }()
	select {
	case <-done:
	case <-time.After(time.Minute):
		d.t.Errorf("the daemon did not stop\n%s", d.log)
		_ = d.cmd.Process.Kill()
		<-done
	}
	if d.t.Failed() {
		d.t.Logf("the daemon's log:\n%s", d.log)
	}
}

// person is somebody signed in.
type person struct {
	*daemon
	client *http.Client
}

// signIn makes a person and follows their link.
func (d *daemon) signIn(name, role, crew string) *person {
	d.t.Helper()
	token := d.token(name, role, crew)
	jar, err := cookiejar.New(nil)
	if err != nil {
		d.t.Fatal(err)
	}
	p := &person{d, &http.Client{Jar: jar, Timeout: time.Minute}}
	if body, code := p.post("/sign-in", url.Values{"token": {token}}); !strings.Contains(body, name) {
		d.t.Fatalf("sign in as %s: %d\n%s", name, code, body)
	}
	return p
}

// token makes a person known and returns a sign-in link's token.
func (d *daemon) token(name, role, crew string) string {
	d.t.Helper()
	args := []string{"user", name, "--role", role}
	if crew != "" {
		args = append(args, "--crew", crew)
	}
	cmd := d.command(args...)
	out, err := cmd.Output()
	if err != nil {
		d.t.Fatalf("user %s: %v", name, err)
	}
	base, token, ok := strings.Cut(strings.TrimSpace(string(out)), "/sign-in/")
	if !ok || base != strings.TrimSuffix(d.URL, "/") {
		d.t.Fatalf("no link to %s in %q", d.URL, out)
	}
	return token
}

func (p *person) do(req *http.Request) (string, int) {
	p.t.Helper()
	res, err := p.client.Do(req)
	if err != nil {
		p.t.Fatal(err)
	}
	defer res.Body.Close()
	body, err := io.ReadAll(res.Body)
	if err != nil {
		p.t.Fatal(err)
	}
	return string(body), res.StatusCode
}

func (p *person) get(path string) (string, int) {
	p.t.Helper()
	req, err := http.NewRequestWithContext(context.Background(), http.MethodGet, p.URL+path, nil)
	if err != nil {
		p.t.Fatal(err)
	}
	return p.do(req)
}

func (p *person) post(path string, form url.Values) (string, int) {
	p.t.Helper()
	req, err := http.NewRequestWithContext(context.Background(), http.MethodPost, p.URL+path, strings.NewReader(form.Encode()))
	if err != nil {
		p.t.Fatal(err)
	}
	req.Header.Set("Content-Type", "application/x-www-form-urlencoded")
	return p.do(req)
}
