package integration

import (
	"bytes"
	"os"
	"os/exec"
	"path/filepath"
	"strings"
	"testing"
	"time"
)

// planCheck is a re-check of plan documents that knows nothing of this
// project's code; it needs Debian's python3-shapely.
const planCheck = "../../shared/checks/plan_check"

// TestDemosHoldAgainstPlanCheck plans both demonstration jobs as a user would,
// without a database, and hands the documents to a stranger.
func TestDemosHoldAgainstPlanCheck(t *testing.T) {
	t.Parallel()
	if _, err := os.Stat(planCheck); err != nil {
		t.Skip("skipped: ../shared/checks/plan_check is absent")
	}
	for _, which := range [][]string{nil, {"inches"}} {
		p := &program{t, os.Environ()}
		text, err := p.command(append([]string{"demo", "--print"}, which...)...).Output()
		if err != nil {
			t.Fatal(err)
		}
		file := filepath.Join(t.TempDir(), "job.yaml")
		if err := os.WriteFile(file, text, 0o600); err != nil {
			t.Fatal(err)
		}
		doc, err := p.command("plan", file, "--json").Output()
		if err != nil {
			t.Fatal(err)
		}
		again, err := p.command("plan", file, "--json").Output()
		if err != nil {
			t.Fatal(err)
		}
		if !bytes.Equal(doc, again) {
			t.Errorf("demo %v: two runs give two plans", which)
		}
		cmd := exec.Command("/usr/bin/python3", planCheck, "-")
		cmd.Stdin = bytes.NewReader(doc)
		out, err := cmd.CombinedOutput()
		if strings.Contains(string(out), "No module named 'shapely'") {
			t.Skip("skipped: python3-shapely is not installed")
		}
		if err != nil || !strings.Contains(string(out), "no breach") {
			t.Errorf("demo %v: %v\n%s", which, err, out)
		}
	}
}

// TestKilledAnywhere kills the program at instants spread over import, planning
// and issuing on a private cluster: each time the next run finds the old or
// the new state and goes on.
func TestKilledAnywhere(t *testing.T) {
	dir, err := os.MkdirTemp("/tmp", "potlife-kill")
	if err != nil {
		t.Fatal(err)
	}
	t.Cleanup(func() { os.RemoveAll(dir) })
	if err := os.Chmod(dir, 0o755); err != nil { // the server's own user must get in
		t.Fatal(err)
	}
	p := &program{t: t}
	for _, e := range os.Environ() {
		if !strings.HasPrefix(e, "POTLIFE_") {
			p.env = append(p.env, e)
		}
	}
	p.env = append(p.env, "POTLIFE_DATA_DIR="+filepath.Join(dir, "data"), "POTLIFE_LISTEN=127.0.0.1:0")
	if out, code := p.try("export"); code == 1 && strings.Contains(out, "install") {
		t.Skip("skipped: " + out)
	}
	file := p.demoFile("inches")
	for i, args := range [][]string{{"import", file}, {"import", file}, {"import", file}, {"serve"}, {"serve"}, {"serve"}} {
		cmd := p.command(args...)
		if err := cmd.Start(); err != nil {
			t.Fatal(err)
		}
		timer := time.AfterFunc(time.Duration(50+i*170)*time.Millisecond, func() { _ = cmd.Process.Kill() })
		_ = cmd.Wait() // killed, or done before
		timer.Stop()
	}
	p.run("import", file)
	if out := p.run("import", file); !strings.Contains(out, "nothing changes") {
		t.Errorf("after the kills an import of the same file says %q", out)
	}
	d := p.serve()
	boss := d.signIn("Mara", "contractor", "")
	eventually(t, "a plan", func() bool { _, code := boss.get("/api/v1/plan"); return code == 200 })
	d.stop()
	info, err := os.Stat(filepath.Join(dir, "data", "postgres", "data"))
	if err != nil || info.Mode().Perm() != 0o700 {
		t.Errorf("the cluster's folder: %v, %v", info, err)
	}
	if out, err := exec.Command("pgrep", "-f", filepath.Join(dir, "data")).Output(); err == nil {
		t.Errorf("a server is still running after the last use: %s", out)
	}
}
