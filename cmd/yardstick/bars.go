package main

import (
	"encoding/json"
	"flag"
	"fmt"
	"io"
	"math"
	"os"
	"path/filepath"
	"strconv"
	"strings"

	"potlife/takeoff/nest"
)

func init() { register("bars", runBars) }

// barLine is one line of output.
type barLine struct {
	Instance   string  `json:"instance"`
	Status     string  `json:"status"`
	Bins       int     `json:"bins"`
	LowerBound int     `json:"lower_bound"`
	Seconds    float64 `json:"seconds"` // of processor time
	Assignment []int   `json:"assignment"`
}

// runBars packs one-dimensional files: number of items, capacity, sizes.
func runBars(args []string, out io.Writer) error {
	flags := flag.NewFlagSet("bars", flag.ContinueOnError)
	seconds := flags.Float64("seconds", 10, "limit of processor time for each file")
	if err := flags.Parse(args); err != nil {
		return fmt.Errorf("%w: %v", errUsage, err)
	}
	lines := json.NewEncoder(out)
	for _, file := range flags.Args() {
		p, err := readBars(file)
		if err != nil {
			return err
		}
		start := cpuTime()
		ctx, cancel := withCPULimit(*seconds)
		r, err := nest.SolveBars(ctx, p, nest.Options{Steps: math.MaxInt64})
		cancel()
		if err != nil {
			return fmt.Errorf("%s: %w", file, err)
		}
		took := (cpuTime() - start).Seconds()
		if err := nest.CheckBars(p, r); err != nil {
			return fmt.Errorf("%s: %w", file, err)
		}
		if err := lines.Encode(barLine{stem(file), r.Status.String(), r.Bars, r.Bound, took, r.Bar}); err != nil {
			return err
		}
	}
	return nil
}

func readBars(file string) (nest.BarProblem, error) {
	f, err := readNumbers(file)
	if err != nil {
		return nest.BarProblem{}, err
	}
	if len(f) < 2 || int64(len(f)-2) < f[0] {
		return nest.BarProblem{}, fmt.Errorf("%s: %d numbers, want the count, the capacity and that many sizes", file, len(f))
	}
	return nest.BarProblem{Capacity: f[1], Items: f[2 : 2+f[0]]}, nil
}

// readNumbers reads whole numbers parted by white space.
func readNumbers(file string) ([]int64, error) {
	text, err := os.ReadFile(file)
	if err != nil {
		return nil, err
	}
	var list []int64
	for i, word := range strings.Fields(string(text)) {
		n, err := strconv.ParseInt(word, 10, 64)
		if err != nil {
			return nil, fmt.Errorf("%s: word %d: %w", file, i+1, err)
		}
		list = append(list, n)
	}
	return list, nil
}

// stem is a file's name without folder and ending.
func stem(file string) string {
	base := filepath.Base(file)
	return strings.TrimSuffix(base, filepath.Ext(base))
}
