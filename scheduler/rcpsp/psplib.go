package rcpsp

import (
	"bufio"
	"fmt"
	"io"
	"strconv"
	"strings"
)

// ReadSM reads a single-mode instance in the format of PSPLIB (Kolisch & Sprecher 1996). Activities come in file order,
// the dummies at both ends included.
func ReadSM(r io.Reader) (Problem, error) {
	lines, err := readLines(r)
	if err != nil {
		return Problem{}, err
	}
	var p Problem
	jobs := -1
	for k, line := range lines {
		switch {
		case strings.HasPrefix(line, "jobs"):
			if _, after, ok := strings.Cut(line, ":"); ok {
				jobs, err = strconv.Atoi(strings.TrimSpace(after))
			}
			if err != nil || jobs < 0 || jobs > 1<<16 {
				return p, fmt.Errorf("line %d: no number of jobs in %q", k+1, line)
			}
			p.Activities = make([]Activity, jobs)
		case strings.HasPrefix(line, "PRECEDENCE"):
			err = p.readSuccessors(lines, k+2)
		case strings.HasPrefix(line, "REQUESTS"):
			err = p.readRequests(lines, k+3)
		case strings.HasPrefix(line, "RESOURCEAVAIL"):
			err = p.readCapacities(lines, k+2)
		}
		if err != nil {
			return p, err
		}
	}
	if jobs < 0 {
		return p, fmt.Errorf("no line gives the number of jobs")
	}
	for k := range p.Lags {
		p.Lags[k].Min = p.Activities[p.Lags[k].From].Duration
	}
	return p, p.Validate()
}

func plainActivity() Activity { return Activity{Latest: -1, Due: -1, Site: -1, Room: -1, Fixed: -1} }

func (p *Problem) readSuccessors(lines []string, at int) error {
	for i := range p.Activities {
		f, err := integers(lines, at+i, 3)
		if err != nil {
			return err
		}
		if f[2] < 0 || len(f) < 3+f[2] {
			return fmt.Errorf("line %d: %d successors announced, %d given", at+i+1, f[2], len(f)-3)
		}
		for _, s := range f[3 : 3+f[2]] {
			p.Lags = append(p.Lags, Lag{From: i, To: s - 1})
			if s < 1 || s > len(p.Activities) {
				return fmt.Errorf("line %d: successor %d of %d jobs", at+i+1, s, len(p.Activities))
			}
		}
	}
	return nil
}

func (p *Problem) readRequests(lines []string, at int) error {
	for i := range p.Activities {
		f, err := integers(lines, at+i, 3)
		if err != nil {
			return err
		}
		p.Activities[i] = plainActivity()
		p.Activities[i].Duration = f[2]
		p.Activities[i].Demand = f[3:]
	}
	return nil
}

func (p *Problem) readCapacities(lines []string, at int) error {
	f, err := integers(lines, at, 1)
	if err != nil {
		return err
	}
	p.Resources = nil
	for _, c := range f {
		p.Resources = append(p.Resources, Resource{Capacity: c})
	}
	return nil
}

// ReadSCH reads an instance with minimum and maximum lags in the format of ProGen/max (Schwindt 1998).
func ReadSCH(r io.Reader) (Problem, error) {
	var p Problem
	lines, err := readLines(r)
	if err != nil {
		return p, err
	}
	kept := lines[:0]
	for _, line := range lines {
		if strings.TrimSpace(line) != "" {
			kept = append(kept, line)
		}
	}
	size, err := integers(kept, 0, 2)
	if err != nil {
		return p, err
	}
	n := size[0] + 2
	if n < 2 || n > 1<<16 || size[1] < 0 {
		return p, fmt.Errorf("line 1: %d activities, %d resources", size[0], size[1])
	}
	for i := range n {
		if err := p.readArcs(kept, 1+i, n); err != nil {
			return p, err
		}
	}
	p.Activities = make([]Activity, n)
	for i := range n {
		f, err := integers(kept, 1+n+i, 3+size[1])
		if err != nil {
			return p, err
		}
		if f[0] < 0 || f[0] >= n {
			return p, fmt.Errorf("line %d: activity %d of %d", 2+n+i, f[0], n)
		}
		a := plainActivity()
		a.Duration, a.Demand = f[2], f[3:3+size[1]]
		p.Activities[f[0]] = a
	}
	if size[1] > 0 {
		if err := p.readCapacities(kept, 1+2*n); err != nil {
			return p, err
		}
	}
	return p, p.Validate()
}

// readArcs reads "from modes count to… [lag]…".
func (p *Problem) readArcs(lines []string, at, n int) error {
	if at >= len(lines) {
		return fmt.Errorf("line %d is missing", at+1)
	}
	plain := strings.NewReplacer("[", " ", "]", " ").Replace(lines[at])
	f, err := integers([]string{plain}, 0, 3)
	if err != nil {
		return fmt.Errorf("line %d: %w", at+1, err)
	}
	k := f[2]
	if k < 0 || len(f) < 3+2*k || f[0] < 0 || f[0] >= n {
		return fmt.Errorf("line %d: activity %d announces %d arcs, %d numbers follow", at+1, f[0], k, len(f)-3)
	}
	for j := range k {
		to := f[3+j]
		if to < 0 || to >= n {
			return fmt.Errorf("line %d: arc to activity %d of %d", at+1, to, n)
		}
		p.Lags = append(p.Lags, Lag{From: f[0], To: to, Min: f[3+k+j]})
	}
	return nil
}

func readLines(r io.Reader) ([]string, error) {
	var lines []string
	scan := bufio.NewScanner(r)
	for scan.Scan() {
		lines = append(lines, scan.Text())
	}
	return lines, scan.Err()
}

// integers are the numbers of a line, at least least of them.
func integers(lines []string, at, least int) ([]int, error) {
	if at >= len(lines) {
		return nil, fmt.Errorf("line %d is missing", at+1)
	}
	var out []int
	for _, word := range strings.Fields(lines[at]) {
		v, err := strconv.Atoi(word)
		if err != nil {
			return nil, fmt.Errorf("line %d: %q is not a number", at+1, word)
		}
		out = append(out, v)
	}
	if len(out) < least {
		return nil, fmt.Errorf("line %d: %d numbers, want at least %d", at+1, len(out), least)
	}
	return out, nil
}

// CriticalPath is the longest path through the lags and releases alone, 0 where they contradict each other.
func CriticalPath(p Problem) int {
	bare := p
	bare.Resources = make([]Resource, len(p.Resources))
	for r := range bare.Resources {
		bare.Resources[r].Capacity = 1 << 20
	}
	m, bad := compile(bare)
	if bad != nil {
		return 0
	}
	length := 0
	for i := range m.head {
		length = max(length, m.head[i]+m.dur[i])
	}
	return length
}
