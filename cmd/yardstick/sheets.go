package main

import (
	"encoding/json"
	"flag"
	"fmt"
	"io"
	"math"

	"potlife/takeoff/nest"
)

func init() { register("sheets", runSheets) }

// sheetLine is one line of output.
type sheetLine struct {
	Instance   string      `json:"instance"`
	Status     string      `json:"status"`
	Bins       int         `json:"bins"`
	LowerBound int         `json:"lower_bound"`
	Seconds    float64     `json:"seconds"` // of processor time
	Placements []placement `json:"placements"`
}

// placement is one item: its number counts copies in file order.
type placement struct {
	Bin  int   `json:"bin"`
	X    int64 `json:"x"`
	Y    int64 `json:"y"`
	W    int64 `json:"w"`
	H    int64 `json:"h"`
	Item int   `json:"item"`
}

// runSheets packs two-dimensional files: sheet width and height, number of types, then width, height and copies of each.
func runSheets(args []string, out io.Writer) error {
	flags := flag.NewFlagSet("sheets", flag.ContinueOnError)
	seconds := flags.Float64("seconds", 5, "limit of processor time for each file")
	steps := flags.Int64("steps", math.MaxInt64, "step limit for each file")
	rotate := flags.Bool("rotate", false, "pieces may be turned")
	if err := flags.Parse(args); err != nil {
		return fmt.Errorf("%w: %v", errUsage, err)
	}
	lines := json.NewEncoder(out)
	for _, file := range flags.Args() {
		p, err := readSheets(file)
		if err != nil {
			return err
		}
		p.Rotate = *rotate
		start := cpuTime()
		ctx, cancel := withCPULimit(*seconds)
		r, err := nest.SolveSheets(ctx, p, nest.Options{Steps: *steps})
		cancel()
		if err != nil {
			return fmt.Errorf("%s: %w", file, err)
		}
		took := (cpuTime() - start).Seconds()
		if err := nest.CheckSheets(p, r); err != nil {
			return fmt.Errorf("%s: %w", file, err)
		}
		line := sheetLine{Instance: stem(file), Status: r.Status.String(), Bins: r.Sheets, LowerBound: r.Bound, Seconds: took}
		for i, q := range r.Places {
			line.Placements = append(line.Placements, placement{q.Sheet, q.X, q.Y, q.W, q.H, i})
		}
		if err := lines.Encode(line); err != nil {
			return err
		}
	}
	return nil
}

func readSheets(file string) (nest.SheetProblem, error) {
	f, err := readNumbers(file)
	if err != nil {
		return nest.SheetProblem{}, err
	}
	if len(f) < 3 || int64(len(f)-3) < 3*f[2] {
		return nest.SheetProblem{}, fmt.Errorf("%s: %d numbers, want width, height, types and three numbers a type", file, len(f))
	}
	p := nest.SheetProblem{W: f[0], H: f[1]}
	for t := range f[2] {
		for range f[3+3*t+2] {
			p.Items = append(p.Items, nest.SheetItem{W: f[3+3*t], H: f[3+3*t+1]})
		}
	}
	return p, nil
}
