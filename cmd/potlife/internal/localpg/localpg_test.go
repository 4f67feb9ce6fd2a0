package localpg

import (
	"context"
	"errors"
	"fmt"
	"os"
	"os/exec"
	"path/filepath"
	"runtime"
	"strings"
	"syscall"
	"testing"
	"time"

	"github.com/jackc/pgx/v5"
)

// helperDir names, for a child process of these tests, the cluster to start
// and leave running.
const helperDir = "POTLIFE_LOCALPG_TEST_DIR"

func TestMain(m *testing.M) {
	if dir := os.Getenv(helperDir); dir != "" {
		c, err := Start(context.Background(), Options{Dir: dir})
		if err != nil {
			fmt.Println("error:", err)
			os.Exit(1)
		}
		fmt.Println("started", c.pid)
		select {} // until it is killed
	}
	os.Exit(m.Run())
}

// clusterDir is a directory that the postgres user can reach.
func clusterDir(t *testing.T, below ...string) string {
	t.Helper()
	if len(installations()) == 0 {
		t.Skip("no PostgreSQL server programs on this machine")
	}
	dir, err := os.MkdirTemp(roomy(), "localpg")
	if err != nil {
		t.Fatal(err)
	}
	if err := os.Chmod(dir, 0o755); err != nil {
		t.Fatal(err)
	}
	t.Cleanup(func() { os.RemoveAll(dir) })
	return filepath.Join(append([]string{dir}, below...)...)
}

// roomy is a file system in memory with room for some clusters, if there is one.
func roomy() string {
	const shm = "/dev/shm"
	var fs syscall.Statfs_t
	if runtime.GOOS == "linux" && syscall.Statfs(shm, &fs) == nil && fs.Bavail*uint64(fs.Bsize) >= 1<<30 {
		return shm
	}
	return ""
}

func testContext(t *testing.T) context.Context {
	ctx, cancel := context.WithTimeout(context.Background(), time.Minute)
	t.Cleanup(cancel)
	return ctx
}

func start(t *testing.T, dir string) *Cluster {
	t.Helper()
	c, err := Start(testContext(t), Options{Dir: dir})
	if err != nil {
		t.Fatal(err)
	}
	t.Cleanup(func() { stop(t, c) })
	return c
}

func stop(t *testing.T, c *Cluster) {
	t.Helper()
	ctx, cancel := context.WithTimeout(context.Background(), 20*time.Second)
	defer cancel()
	if err := c.Stop(ctx); err != nil {
		t.Errorf("Stop: %v", err)
	}
}

// query runs statements and returns the first column of the last one's row.
func query(t *testing.T, c *Cluster, sql ...string) string {
	t.Helper()
	ctx := testContext(t)
	conn, err := pgx.Connect(ctx, c.URL())
	if err != nil {
		t.Fatalf("connect to %s: %v", c.URL(), err)
	}
	defer conn.Close(ctx)
	var got string
	for _, s := range sql {
		if !strings.HasPrefix(s, "SELECT") && !strings.HasPrefix(s, "SHOW") {
			if _, err := conn.Exec(ctx, s); err != nil {
				t.Fatalf("%s: %v", s, err)
			}
			continue
		}
		if err := conn.QueryRow(ctx, s).Scan(&got); err != nil {
			t.Fatalf("%s: %v", s, err)
		}
	}
	return got
}

func TestStartMakesAPrivateCluster(t *testing.T) {
	dir := clusterDir(t, "var", "pg") // var is made too
	c := start(t, dir)
	for setting, want := range map[string]string{
		"data_checksums": "on", "listen_addresses": "", "server_encoding": "UTF8", "lc_collate": "C",
		"fsync": "on", "TimeZone": "UTC", "unix_socket_permissions": "0700",
	} {
		if got := query(t, c, "SHOW "+setting); got != want {
			t.Errorf("%s = %q, want %q", setting, got, want)
		}
	}
	if got := query(t, c, "SELECT current_database() || ' ' || current_user"); got != "potlife potlife" {
		t.Errorf("connected to %q", got)
	}
	for _, p := range []string{dir, filepath.Join(dir, "data"), c.socket} {
		info, err := os.Stat(p)
		if err != nil {
			t.Fatal(err)
		}
		if info.Mode().Perm() != 0o700 {
			t.Errorf("%s has mode %04o, want 0700", p, info.Mode().Perm())
		}
		if uid := info.Sys().(*syscall.Stat_t).Uid; uid == 0 {
			t.Errorf("%s belongs to root", p)
		}
	}
}

func TestStopThenStartKeepsTheData(t *testing.T) {
	dir := clusterDir(t, "pg")
	c := start(t, dir)
	query(t, c, "CREATE TABLE kept (n int)", "INSERT INTO kept VALUES (42)")
	stop(t, c)
	if _, there := readPostmaster(c.data()); there {
		t.Fatal("postmaster.pid is there after Stop")
	}
	log, _ := os.ReadFile(filepath.Join(dir, "postgres.log"))
	if !strings.Contains(string(log), "database system is shut down") {
		t.Errorf("the log knows of no clean shutdown: %s", log)
	}
	stop(t, c) // a second Stop does nothing
	if got := query(t, start(t, dir), "SELECT n::text FROM kept"); got != "42" {
		t.Errorf("read %q back", got)
	}
}

func TestSecondStartJoinsAndLastStopEnds(t *testing.T) {
	dir := clusterDir(t, "pg")
	first := start(t, dir)
	second := start(t, dir)
	if first.pid != second.pid || !second.adopted {
		t.Fatalf("second Start runs process %d, first %d", second.pid, first.pid)
	}
	stop(t, first)
	if got := query(t, second, "SELECT '1'"); got != "1" {
		t.Error("the server ended under a process that used it")
	}
	stop(t, second)
	if listens(second.socket) {
		t.Error("the server runs after its last user stopped")
	}
}

func TestAdoptsAServerLeftByAKilledProcess(t *testing.T) {
	dir := clusterDir(t, "pg")
	child := exec.Command(os.Args[0])
	child.Env = append(os.Environ(), helperDir+"="+dir)
	out, err := child.StdoutPipe()
	if err != nil {
		t.Fatal(err)
	}
	if err := child.Start(); err != nil {
		t.Fatal(err)
	}
	var pid int
	if _, err := fmt.Fscanf(out, "started %d\n", &pid); err != nil {
		t.Fatalf("child: %v", err)
	}
	_ = child.Process.Kill() // SIGKILL
	_ = child.Wait()
	c := start(t, dir)
	if !c.adopted || c.pid != pid {
		t.Errorf("adopted %v, process %d; want the server left running, %d", c.adopted, c.pid, pid)
	}
	query(t, c, "SELECT '1'")
	stop(t, c)
	if listens(c.socket) {
		t.Error("an adopted server is not stopped")
	}
}

func TestStartsAfterTheServerWasKilled(t *testing.T) {
	dir := clusterDir(t, "pg")
	c := start(t, dir)
	query(t, c, "CREATE TABLE kept (n int)", "INSERT INTO kept VALUES (7)")
	if err := syscall.Kill(c.pid, syscall.SIGKILL); err != nil {
		t.Fatal(err)
	}
	<-c.Gone()
	stop(t, c) // finds nothing to stop
	again := start(t, dir)
	if again.adopted || again.pid == c.pid {
		t.Error("a dead server was adopted")
	}
	if got := query(t, again, "SELECT n::text FROM kept"); got != "7" {
		t.Errorf("read %q back after recovery", got)
	}
}

// A server that is killed under a daemon comes up again by itself, on the same
// socket and with what it held; one that another process has started meanwhile is
// joined; and nothing starts after the daemon has ended.
func TestKeptUp(t *testing.T) {
	dir := clusterDir(t, "pg")
	c := start(t, dir)
	query(t, c, "CREATE TABLE kept (n int)", "INSERT INTO kept VALUES (7)")
	kill := func() int {
		pid := c.pid
		p, _ := readPostmaster(c.data())
		if err := syscall.Kill(p.pid, syscall.SIGKILL); err != nil {
			t.Fatal(err)
		}
		for listens(c.socket) {
			time.Sleep(5 * time.Millisecond)
		}
		return pid
	}
	keep := func(until func() bool) {
		ctx, cancel := context.WithCancel(testContext(t))
		ended := make(chan struct{})
		go func() { defer close(ended); c.Keep(ctx) }()
		for !until() && ctx.Err() == nil {
			time.Sleep(20 * time.Millisecond)
		}
		time.Sleep(300 * time.Millisecond) // Keep sees it too
		cancel()
		<-ended
	}
	up := func() bool {
		p, ok := readPostmaster(c.data())
		return ok && p.ready && listens(c.socket)
	}
	was, socket := kill(), c.socket
	keep(up)
	if c.pid == was || c.adopted || c.socket != socket || query(t, c, "SELECT n::text FROM kept") != "7" {
		t.Errorf("after a kill: server %d (before %d), adopted %v, on %s", c.pid, was, c.adopted, c.socket)
	}
	kill()
	other := start(t, dir)
	if err := c.again(testContext(t)); err != nil || !c.adopted || c.pid != other.pid {
		t.Errorf("another process started it: adopted %v, server %d of %d, %v", c.adopted, c.pid, other.pid, err)
	}
	stop(t, other)
	stop(t, c)
	keep(func() bool { return true })
	if listens(c.socket) {
		t.Error("it runs after everybody has ended")
	}
}

// What was committed before the server was killed is there when it has come up
// again, and nothing of what was not.
func TestKilledUnderWrites(t *testing.T) {
	ctx := testContext(t)
	dir := clusterDir(t, "pg")
	c := start(t, dir)
	query(t, c, "CREATE TABLE kept (n int PRIMARY KEY, pair int NOT NULL)")
	done := 0
	for round := range 4 {
		conn, err := pgx.Connect(ctx, c.URL())
		if err != nil {
			t.Fatal(err)
		}
		pid, before := c.pid, done
		for {
			// Two rows in one transaction, so that half of one would show.
			if _, err := conn.Exec(ctx, fmt.Sprintf("BEGIN; INSERT INTO kept VALUES (%d, 1); INSERT INTO kept VALUES (%d, 2); COMMIT", 2*done+1, 2*done+2)); err != nil {
				break
			}
			if done++; done == before+1 {
				time.AfterFunc(time.Duration(5+7*round)*time.Millisecond, func() { _ = syscall.Kill(pid, syscall.SIGKILL) })
			}
		}
		_ = conn.Close(ctx)
		<-c.Gone()
		stop(t, c)
		c = start(t, dir)
		var rows int
		if _, err := fmt.Sscan(query(t, c, "SELECT count(*)::text FROM kept"), &rows); err != nil {
			t.Fatal(err)
		}
		if rows != 2*done && rows != 2*done+2 {
			t.Fatalf("round %d: %d rows for %d writes that were answered", round, rows, done)
		}
		done = rows / 2
	}
}

func TestConcurrentStarts(t *testing.T) {
	dir := clusterDir(t, "pg")
	pids := make(chan int, 4)
	for range cap(pids) {
		go func() {
			c, err := Start(testContext(t), Options{Dir: dir})
			if err != nil {
				t.Error(err)
				pids <- 0
				return
			}
			t.Cleanup(func() { stop(t, c) })
			pids <- c.pid
		}()
	}
	first := <-pids
	for range cap(pids) - 1 {
		if p := <-pids; p != first {
			t.Errorf("two servers on one cluster: %d and %d", first, p)
		}
	}
}

func TestLongDirectoryGetsAShortSocket(t *testing.T) {
	dir := clusterDir(t, strings.Repeat("long-name-", 12), "pg")
	c := start(t, dir)
	if len(socketFile(c.socket)) > longestSocket {
		t.Errorf("socket path of %d bytes: %s", len(socketFile(c.socket)), c.socket)
	}
	t.Cleanup(func() { os.RemoveAll(c.socket) })
	query(t, c, "SELECT '1'")
	if joined := start(t, dir); joined.socket != c.socket {
		t.Errorf("joined over %s, want %s", joined.socket, c.socket)
	}
}

func TestSocketDirectoryOfSomebodyElseIsRefused(t *testing.T) {
	if os.Geteuid() != 0 {
		t.Skip("needs root to make a directory of another user")
	}
	dir := clusterDir(t, strings.Repeat("long-name-", 12), "pg")
	own, err := ownerFor(dir, filepath.Join(dir, "data"))
	if err != nil {
		t.Fatal(err)
	}
	run, err := socketDir(dir, own)
	if err != nil {
		t.Fatal(err)
	}
	defer os.RemoveAll(run)
	if err := os.Chown(run, 65534, 65534); err != nil {
		t.Fatal(err)
	}
	if _, err := socketDir(dir, own); err == nil {
		t.Error("a socket directory of another user was taken")
	}
}

func TestRefusals(t *testing.T) {
	write := func(t *testing.T, path, text string) {
		t.Helper()
		if err := os.MkdirAll(filepath.Dir(path), 0o755); err != nil {
			t.Fatal(err)
		}
		if err := os.WriteFile(path, []byte(text), 0o644); err != nil {
			t.Fatal(err)
		}
	}
	tests := []struct {
		name    string
		prepare func(t *testing.T, dir string)
		want    []string
	}{
		{"another major version", func(t *testing.T, dir string) { write(t, filepath.Join(dir, "data", "PG_VERSION"), "9\n") },
			[]string{"made by PostgreSQL 9", "Nothing was touched", "postgresql-9"}},
		{"no cluster", func(t *testing.T, dir string) { write(t, filepath.Join(dir, "data", "holiday.jpg"), "x") },
			[]string{"no PostgreSQL cluster", "nothing was touched"}},
		{"unreadable version", func(t *testing.T, dir string) { write(t, filepath.Join(dir, "data", "PG_VERSION"), "new\n") },
			[]string{`holds "new"`, "nothing was touched"}},
		{"parent closed to the server's user", func(t *testing.T, dir string) {
			if os.Geteuid() != 0 {
				t.Skip("only root drops to another user")
			}
			if err := os.MkdirAll(filepath.Dir(dir), 0o700); err != nil {
				t.Fatal(err)
			}
		}, []string{"chmod o+x", "user \"postgres\""}},
	}
	for _, test := range tests {
		t.Run(test.name, func(t *testing.T) {
			root := clusterDir(t)
			dir := filepath.Join(root, "deeper", "pg")
			test.prepare(t, dir)
			before := listing(t, root)
			_, err := Start(testContext(t), Options{Dir: dir})
			if err == nil {
				t.Fatal("started")
			}
			for _, w := range test.want {
				if !strings.Contains(err.Error(), w) {
					t.Errorf("error lacks %q: %v", w, err)
				}
			}
			if after := listing(t, root); after != before {
				t.Errorf("something was touched:\n%s\nbefore:\n%s", after, before)
			}
		})
	}
}

// listing describes every file below root.
func listing(t *testing.T, root string) string {
	t.Helper()
	var b strings.Builder
	err := filepath.Walk(root, func(p string, info os.FileInfo, err error) error {
		if err == nil {
			fmt.Fprintln(&b, p, info.Mode(), info.Size(), info.ModTime().UnixNano())
		}
		return err
	})
	if err != nil {
		t.Fatal(err)
	}
	return b.String()
}

func TestChoose(t *testing.T) {
	installed := func(majors ...int) (all []binaries) {
		for _, m := range majors {
			all = append(all, binaries{dir: fmt.Sprintf("/pg/%d/bin", m), major: m})
		}
		return all
	}
	tests := []struct {
		installed []binaries
		made      string
		want      int
		wantErr   string
	}{
		{installed(17, 15), "", 17, ""},
		{installed(17, 15), "15", 15, ""},
		{installed(17, 15), "16", 0, "made by PostgreSQL 16, and only 17 in /pg/17/bin, 15 in /pg/15/bin is installed"},
		{installed(13), "", 0, "too old: 13 in /pg/13/bin"},
		{nil, "", 0, "apt-get install postgresql"},
		{nil, "15", 0, "apt-get install postgresql"},
	}
	for _, test := range tests {
		data := filepath.Join(t.TempDir(), "data")
		if test.made != "" {
			if err := os.Mkdir(data, 0o700); err != nil {
				t.Fatal(err)
			}
			if err := os.WriteFile(filepath.Join(data, "PG_VERSION"), []byte(test.made+"\n"), 0o600); err != nil {
				t.Fatal(err)
			}
		}
		got, err := choose(test.installed, data)
		if test.wantErr == "" && (err != nil || got.major != test.want) {
			t.Errorf("choose(%v, made %q) = %d, %v; want %d", test.installed, test.made, got.major, err, test.want)
		}
		if test.wantErr != "" && (err == nil || !strings.Contains(err.Error(), test.wantErr)) {
			t.Errorf("choose(%v, made %q): error %v; want %q", test.installed, test.made, err, test.wantErr)
		}
	}
	var missing *MissingError
	if _, err := choose(nil, filepath.Join(t.TempDir(), "data")); !errors.As(err, &missing) {
		t.Errorf("no installation gives %T", err)
	}
}

func TestParseMajor(t *testing.T) {
	for in, want := range map[string]int{
		"postgres (PostgreSQL) 15.18 (Debian 15.18-0+deb12u1)\n": 15,
		"postgres (PostgreSQL) 18beta1\n":                        18,
		"postgres (PostgreSQL) 16":                               16,
		"postgres (EnterpriseDB) 16.1":                           0,
		"":                                                       0,
	} {
		if got := parseMajor(in); got != want {
			t.Errorf("parseMajor(%q) = %d, want %d", in, got, want)
		}
	}
}
