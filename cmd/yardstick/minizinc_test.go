package main

import (
	"bytes"
	"encoding/json"
	"os"
	"os/exec"
	"path/filepath"
	"slices"
	"testing"
)

func TestBesideAGeneralSolver(t *testing.T) {
	if _, err := exec.LookPath("minizinc"); err != nil {
		t.Skip("minizinc is not installed")
	}
	path := filepath.Join(t.TempDir(), "two.sch")
	if err := os.WriteFile(path, []byte(twoJobs), 0o600); err != nil {
		t.Fatal(err)
	}
	var out bytes.Buffer
	if err := runBeside([]string{"-seconds", "5", path}, &out); err != nil {
		t.Fatal(err)
	}
	var line besideLine
	if err := json.Unmarshal(out.Bytes(), &line); err != nil {
		t.Fatal(err)
	}
	if line.Ours != 7 || line.Theirs != 7 || line.OurStatus != "optimal" || line.TheirStatus != "optimal" {
		t.Errorf("got %+v, want 7 proved by both", line)
	}
}

func TestLastSchedule(t *testing.T) {
	for _, c := range []struct {
		text   string
		start  []int
		status string
	}{
		{"[0,4]\n----------\n[0,3]\n----------\n==========\n", []int{0, 3}, "optimal"},
		{"[0,4]\n----------\n% time\n", []int{0, 4}, "feasible"},
		{"=====UNSATISFIABLE=====\n", nil, "infeasible"},
		{"=====UNKNOWN=====\n", nil, "unknown"},
	} {
		start, status, err := lastSchedule(c.text, 2)
		if err != nil || !slices.Equal(start, c.start) || status != c.status {
			t.Errorf("%q: got %v, %q, %v", c.text, start, status, err)
		}
	}
	if _, _, err := lastSchedule("[1]\n", 2); err == nil {
		t.Error("a schedule of one activity passes for two")
	}
}
