package main

import (
	"context"
	_ "embed"
	"encoding/json"
	"errors"
	"flag"
	"fmt"
	"io"
	"os"
	"os/exec"
	"path/filepath"
	"strings"
	"time"

	"potlife/scheduler/rcpsp"
)

func init() { register("beside", runBeside) }

// model states the problem for a general constraint solver.
//
//go:embed minizinc.mzn
var model string

// besideLine is one instance solved by both, each on one core for the same time.
type besideLine struct {
	Instance   string  `json:"instance"`
	Seconds    float64 `json:"seconds"`
	Ours       int     `json:"ours"`
	OurStatus  string  `json:"our_status"`
	OurSeconds float64 `json:"our_seconds"`
	// Theirs is 0 where the other solver found nothing.
	Theirs       int     `json:"theirs"`
	TheirStatus  string  `json:"their_status"`
	TheirSeconds float64 `json:"their_seconds"`
}

// runBeside solves each file with rcpsp and with MiniZinc's Gecode. A schedule of either is checked afresh. Our limit is
// processor time and theirs the clock's: compare on a machine that does nothing else.
func runBeside(args []string, out io.Writer) error {
	flags := flag.NewFlagSet("beside", flag.ContinueOnError)
	flags.SetOutput(io.Discard)
	seconds := flags.Float64("seconds", 10, "time per instance and solver")
	if err := flags.Parse(args); err != nil || flags.NArg() == 0 || *seconds <= 0 {
		return fmt.Errorf("%w: yardstick beside [-seconds S] FILE…", errUsage)
	}
	if _, err := exec.LookPath("minizinc"); err != nil {
		return errors.New("minizinc is not installed (on Debian: apt-get install minizinc)")
	}
	encode := json.NewEncoder(out)
	for _, path := range flags.Args() {
		line, err := beside(path, *seconds)
		if err != nil {
			return fmt.Errorf("%s: %w", path, err)
		}
		if err := encode.Encode(line); err != nil {
			return err
		}
	}
	return nil
}

func beside(path string, seconds float64) (besideLine, error) {
	p, err := readInstance(path)
	if err != nil {
		return besideLine{}, err
	}
	ours, err := solveInstance(p, 0, seconds, 1)
	if err != nil {
		return besideLine{}, err
	}
	line := besideLine{Instance: filepath.Base(path), Seconds: seconds, Ours: ours.Makespan, OurStatus: ours.Status, OurSeconds: ours.Seconds}
	began := time.Now()
	start, status, err := solveByMiniZinc(p, seconds)
	if err != nil {
		return besideLine{}, err
	}
	line.TheirStatus, line.TheirSeconds = status, time.Since(began).Seconds()
	if start == nil {
		return line, nil
	}
	if err := rcpsp.Check(p, start); err != nil {
		return besideLine{}, fmt.Errorf("the other solver's schedule: %w", err)
	}
	for i, s := range start {
		line.Theirs = max(line.Theirs, s+p.Activities[i].Duration)
	}
	return line, nil
}

// solveByMiniZinc returns the last schedule found in the time; nil for none.
func solveByMiniZinc(p rcpsp.Problem, seconds float64) ([]int, string, error) {
	folder, err := os.MkdirTemp("", "beside")
	if err != nil {
		return nil, "", err
	}
	defer os.RemoveAll(folder)
	rules, data := filepath.Join(folder, "rcpsp.mzn"), filepath.Join(folder, "data.dzn")
	if err := errors.Join(os.WriteFile(rules, []byte(model), 0o600), os.WriteFile(data, []byte(dataText(p)), 0o600)); err != nil {
		return nil, "", err
	}
	ctx, cancel := context.WithTimeout(context.Background(), time.Duration((seconds+60)*float64(time.Second)))
	defer cancel()
	text, err := exec.CommandContext(ctx, "minizinc", "--solver", "gecode", "-p", "1", "-a", "--time-limit", fmt.Sprint(int(seconds*1000)), rules, data).Output()
	if err != nil {
		return nil, "", fmt.Errorf("minizinc: %w", err)
	}
	return lastSchedule(string(text), len(p.Activities))
}

// lastSchedule reads the solver's answers: a line of starts for each, then what
// it proved.
func lastSchedule(text string, n int) (start []int, status string, err error) {
	status = "unknown"
	for l := range strings.Lines(text) {
		switch l = strings.TrimSpace(l); {
		case strings.HasPrefix(l, "["):
			start = nil
			if err := json.Unmarshal([]byte(l), &start); err != nil || len(start) != n {
				return nil, "", fmt.Errorf("a schedule of %d activities was expected, not %.60s", n, l)
			}
			status = "feasible"
		case strings.HasPrefix(l, "====="):
			switch {
			case strings.Contains(l, "UNSATISFIABLE"):
				return nil, "infeasible", nil
			case l == "==========":
				status = "optimal"
			}
		}
	}
	return start, status, nil
}

// dataText writes a problem as the model's data. Lags, and so precedences, are
// from start to start.
func dataText(p rcpsp.Problem) string {
	var b strings.Builder
	horizon := 0
	list := func(name string, n int, at func(int) int) {
		fmt.Fprintf(&b, "%s = [", name)
		for i := range n {
			fmt.Fprintf(&b, "%d,", at(i))
		}
		b.WriteString("];\n")
	}
	for _, a := range p.Activities {
		horizon += a.Duration
	}
	for _, l := range p.Lags {
		horizon += max(0, l.Min)
	}
	fmt.Fprintf(&b, "n = %d;\nm = %d;\nlags = %d;\nhorizon = %d;\n", len(p.Activities), len(p.Resources), len(p.Lags), horizon)
	list("duration", len(p.Activities), func(i int) int { return p.Activities[i].Duration })
	list("capacity", len(p.Resources), func(r int) int { return p.Resources[r].Capacity })
	b.WriteString("demand = array2d(1..m, 1..n, [")
	for r := range p.Resources {
		for _, a := range p.Activities {
			q := 0
			if r < len(a.Demand) {
				q = a.Demand[r]
			}
			fmt.Fprintf(&b, "%d,", q)
		}
	}
	b.WriteString("]);\n")
	list("before", len(p.Lags), func(i int) int { return p.Lags[i].From + 1 })
	list("after", len(p.Lags), func(i int) int { return p.Lags[i].To + 1 })
	list("least", len(p.Lags), func(i int) int { return p.Lags[i].Min })
	return b.String()
}
