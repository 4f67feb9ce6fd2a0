package main

import (
	"bytes"
	"context"
	"encoding/json"
	"errors"
	"os"
	"path/filepath"
	"testing"
	"time"
)

// twoJobs is a hand-made instance: two jobs of 3 and 4 that share one unit.
const twoJobs = `2 1 0 0
0 1 2 1 2 [0] [0]
1 1 1 3 [3]
2 1 1 3 [4]
3 1 0
0 1 0 0
1 1 3 1
2 1 4 1
3 1 0 0
1
`

func TestRCPSPPrintsOneLinePerFile(t *testing.T) {
	path := filepath.Join(t.TempDir(), "two.sch")
	if err := os.WriteFile(path, []byte(twoJobs), 0o600); err != nil {
		t.Fatal(err)
	}
	var out bytes.Buffer
	if err := runRCPSP([]string{"-schedules", "100", path, path}, &out); err != nil {
		t.Fatal(err)
	}
	decode := json.NewDecoder(&out)
	for range 2 {
		var line rcpspLine
		if err := decode.Decode(&line); err != nil {
			t.Fatal(err)
		}
		if line.Instance != "two.sch" || line.Status != "optimal" || line.Makespan != 7 || line.LowerBound != 7 ||
			line.CriticalPath != 4 || len(line.Start) != 4 {
			t.Errorf("got %+v", line)
		}
	}
}

func TestRCPSPRefusesBadCalls(t *testing.T) {
	for _, args := range [][]string{{}, {"-schedules", "5", "-seconds", "1", "x.sm"}, {"-nonsense"}} {
		if err := runRCPSP(args, &bytes.Buffer{}); !errors.Is(err, errUsage) {
			t.Errorf("%v: got %v, want a usage error", args, err)
		}
	}
	if err := runRCPSP([]string{"absent.txt"}, &bytes.Buffer{}); err == nil {
		t.Error("an absent file is accepted")
	}
}

// TestProcessorTimeIsWhatCounts: the context ends, and not before this process has used the time it was given.
func TestProcessorTimeIsWhatCounts(t *testing.T) {
	const limit = 20 * time.Millisecond
	began := cpuTime()
	ctx, cancel := withProcessorTime(context.Background(), limit)
	defer cancel()
	for ctx.Err() == nil {
	}
	if used := cpuTime() - began; used < limit {
		t.Errorf("ended after %v of processor time, want at least %v", used, limit)
	}
}
