package main

import (
	"context"
	"encoding/json"
	"flag"
	"fmt"
	"io"
	"os"
	"path/filepath"
	"runtime"
	"time"

	"potlife/scheduler/rcpsp"
)

func init() { register("rcpsp", runRCPSP) }

// rcpspLine is one result; starts are in file order, dummies included. Seconds are of processor time.
type rcpspLine struct {
	Instance     string  `json:"instance"`
	Status       string  `json:"status"`
	Makespan     int     `json:"makespan"`
	LowerBound   int     `json:"lower_bound"`
	CriticalPath int     `json:"critical_path"`
	Schedules    int64   `json:"schedules"`
	Seconds      float64 `json:"seconds"`
	Start        []int   `json:"start,omitempty"`
}

// runRCPSP solves each file on one core, by a budget of schedules or for a processor time.
func runRCPSP(args []string, out io.Writer) error {
	flags := flag.NewFlagSet("rcpsp", flag.ContinueOnError)
	flags.SetOutput(io.Discard)
	schedules := flags.Int64("schedules", 0, "budget in schedules per instance")
	seconds := flags.Float64("seconds", 0, "processor time per instance")
	seed := flags.Uint64("seed", 1, "seed of the search")
	if err := flags.Parse(args); err != nil {
		return fmt.Errorf("%w: %v", errUsage, err)
	}
	if flags.NArg() == 0 || *schedules < 0 || *seconds < 0 || *schedules > 0 && *seconds > 0 {
		return fmt.Errorf("%w: yardstick rcpsp [-schedules N | -seconds S] [-seed K] FILE…", errUsage)
	}
	runtime.GOMAXPROCS(1)
	encode := json.NewEncoder(out)
	for _, path := range flags.Args() {
		p, err := readInstance(path)
		if err != nil {
			return fmt.Errorf("%s: %w", path, err)
		}
		line, err := solveInstance(p, *schedules, *seconds, *seed)
		if err != nil {
			return fmt.Errorf("%s: %w", path, err)
		}
		line.Instance = filepath.Base(path)
		if err := encode.Encode(line); err != nil {
			return err
		}
	}
	return nil
}

func readInstance(path string) (rcpsp.Problem, error) {
	file, err := os.Open(path)
	if err != nil {
		return rcpsp.Problem{}, err
	}
	defer file.Close()
	switch filepath.Ext(path) {
	case ".sm":
		return rcpsp.ReadSM(file)
	case ".sch":
		return rcpsp.ReadSCH(file)
	}
	return rcpsp.Problem{}, fmt.Errorf("expected a .sm or .sch file")
}

func solveInstance(p rcpsp.Problem, schedules int64, seconds float64, seed uint64) (rcpspLine, error) {
	ctx := context.Background()
	if seconds > 0 {
		schedules = 1 << 50
		limited, cancel := withProcessorTime(ctx, time.Duration(seconds*float64(time.Second)))
		defer cancel()
		ctx = limited
	}
	began := cpuTime()
	r, err := rcpsp.Solve(ctx, p, rcpsp.Options{Schedules: schedules, Seed: seed})
	if err != nil {
		return rcpspLine{}, err
	}
	line := rcpspLine{Status: r.Status.String(), Makespan: r.Makespan, LowerBound: r.Bound, CriticalPath: rcpsp.CriticalPath(p),
		Schedules: r.Schedules, Seconds: (cpuTime() - began).Seconds(), Start: r.Start}
	if r.Start != nil {
		if err := rcpsp.Check(p, r.Start); err != nil {
			return rcpspLine{}, err
		}
	}
	return line, nil
}

// withProcessorTime ends the context once this process has used so much more processor time. It sleeps as long as is
// left and looks again: a busy machine gives less time than passes, so it wakes at most a few times.
func withProcessorTime(ctx context.Context, limit time.Duration) (context.Context, context.CancelFunc) {
	ctx, cancel := context.WithCancel(ctx)
	began := cpuTime()
	go func() {
		for left := limit; left > 0; left = limit - (cpuTime() - began) {
			select {
			case <-ctx.Done():
				return
			case <-time.After(max(left, time.Millisecond)):
			}
		}
		cancel()
	}()
	return ctx, cancel
}
