package nest

import (
	"fmt"
	"math"
	"math/rand/v2"
	"os"
	"os/exec"
	"path/filepath"
	"regexp"
	"strconv"
	"strings"
	"testing"
)

func randomCover(r *rand.Rand, rows, cols int) *cover {
	c := &cover{over: func() bool { return false }, steps: new(int64), nodes: 100_000}
	for range rows {
		c.demand = append(c.demand, 1+r.Int64N(3))
	}
	for i := range rows {
		c.cols = append(c.cols, coverColumn{[]int32{int32(i)}, []int64{1}})
	}
	for range cols {
		var col coverColumn
		for i := range rows {
			if r.IntN(rows) < 3 {
				col.rows, col.count = append(col.rows, int32(i)), append(col.count, 1+r.Int64N(2))
			}
		}
		if len(col.rows) > 0 {
			c.cols = append(c.cols, col)
		}
	}
	return c
}

// bruteCover is the fewest columns by dynamic programming over what is left to cover.
func bruteCover(c *cover) int {
	seen := map[string]int{}
	var least func(left []int64) int
	least = func(left []int64) int {
		key := fmt.Sprint(left)
		if n, ok := seen[key]; ok {
			return n
		}
		first := -1
		for i, d := range left {
			if d > 0 {
				first = i
				break
			}
		}
		best := 0
		if first >= 0 {
			best = math.MaxInt32
			for _, col := range c.cols {
				next, helps := append([]int64(nil), left...), false
				for t, r := range col.rows {
					helps = helps || int(r) == first
					next[r] = max(0, next[r]-col.count[t])
				}
				if helps {
					best = min(best, 1+least(next))
				}
			}
		}
		seen[key] = best
		return best
	}
	return least(c.demand)
}

func TestCoverAgainstBruteForce(t *testing.T) {
	r := rand.New(rand.NewPCG(11, 1))
	for n := range 300 {
		c := randomCover(r, 2+r.IntN(4), r.IntN(8))
		want := bruteCover(c)
		for most := want - 1; most <= want+1; most++ {
			c.nodes = 100_000
			plan, proved := c.solve(most)
			if most < want {
				if plan != nil || !proved {
					t.Fatalf("case %d: with %d of %d: plan %v, proved none: %v", n, most, want, plan, proved)
				}
				continue
			}
			if plan == nil || len(plan) > most {
				t.Fatalf("case %d: with %d, of which %d do: plan %v", n, most, want, plan)
			}
			left := append([]int64(nil), c.demand...)
			for _, j := range plan {
				for i, row := range c.cols[j].rows {
					left[row] -= c.cols[j].count[i]
				}
			}
			for i, d := range left {
				if d > 0 {
					t.Fatalf("case %d: plan %v leaves %d of row %d", n, plan, d, i)
				}
			}
		}
	}
}

// The relaxation against GNU's linear programming kit, or COIN-OR's solver, where one is installed.
func TestRelaxationAgainstOutsideSolver(t *testing.T) {
	solve := outsideSolver(t)
	r := rand.New(rand.NewPCG(11, 2))
	for n := range 6 {
		c := randomCover(r, 10+10*n, 40+40*n)
		l := newCoverLP(c, 0)
		l.solve()
		want := solve(c.linearProgram())
		if got := l.s.objective(); math.Abs(got-want) > 1e-4*(1+want) {
			t.Errorf("case %d: relaxation %.6f, outside solver %.6f", n, got, want)
		}
	}
}

// The relaxation of bars by column generation, against the outside solver on all bars at once.
func TestBarRelaxationAgainstOutsideSolver(t *testing.T) {
	solve := outsideSolver(t)
	r := rand.New(rand.NewPCG(11, 3))
	for n := range 4 {
		p := BarProblem{Capacity: 100}
		for range 40 {
			p.Items = append(p.Items, 20+r.Int64N(60))
		}
		s := newBarSolver(t.Context(), p, Options{})
		m := s.newMaster(s.demand)
		m.solve(math.MaxInt)
		s.bound = len(p.Items)
		all, ok := s.listBars(nil, s.demand, s.bound, 1_000_000)
		if !ok {
			t.Fatal("too many bars to list")
		}
		c := &cover{over: func() bool { return false }, steps: new(int64)}
		for _, d := range s.demand {
			c.demand = append(c.demand, int64(d))
		}
		for _, bar := range all {
			c.cols = append(c.cols, bar.column())
		}
		want := solve(c.linearProgram())
		if got := m.lp.objective(); math.Abs(got-want) > 1e-4*(1+want) || m.bound > int(math.Ceil(want-1e-6)) {
			t.Errorf("case %d: relaxation %.6f with bound %d, outside solver %.6f over %d bars", n, got, m.bound, want, len(all))
		}
	}
}

// linearProgram writes the relaxation, no more of a row in a column than is demanded, in the LP file format.
func (c *cover) linearProgram() string {
	var b strings.Builder
	rows := make([]strings.Builder, len(c.demand))
	b.WriteString("Minimize\n obj:")
	for j, col := range c.cols {
		fmt.Fprintf(&b, " + x%d\n", j)
		for t, r := range col.rows {
			fmt.Fprintf(&rows[r], " + %d x%d\n", min(col.count[t], c.demand[r]), j)
		}
	}
	b.WriteString("Subject To\n")
	for r := range rows {
		fmt.Fprintf(&b, " r%d:%s >= %d\n", r, rows[r].String(), c.demand[r])
	}
	b.WriteString("End\n")
	return b.String()
}

// outsideSolver gives a function that solves a program by a solver of the system, or skips the test.
func outsideSolver(t *testing.T) func(program string) float64 {
	run := func(value *regexp.Regexp, name string, args ...string) float64 {
		out, err := exec.Command(name, args...).CombinedOutput()
		if err != nil {
			t.Fatalf("%s: %v\n%s", name, err, out)
		}
		m := value.FindSubmatch(out)
		if m == nil {
			t.Fatalf("%s printed no objective:\n%s", name, out)
		}
		v, err := strconv.ParseFloat(string(m[1]), 64)
		if err != nil {
			t.Fatal(err)
		}
		return v
	}
	file := filepath.Join(t.TempDir(), "p.lp")
	write := func(program string) {
		if err := os.WriteFile(file, []byte(program), 0o600); err != nil {
			t.Fatal(err)
		}
	}
	if _, err := exec.LookPath("glpsol"); err == nil {
		return func(program string) float64 {
			write(program)
			return run(regexp.MustCompile(`Objective:\s+obj = (\S+)`), "glpsol", "--lp", file, "--write", file+".out", "-o", "/dev/stdout")
		}
	}
	if _, err := exec.LookPath("cbc"); err == nil {
		return func(program string) float64 {
			write(program)
			return run(regexp.MustCompile(`Optimal - objective value (\S+)`), "cbc", file, "solve")
		}
	}
	t.Skip("neither glpsol (glpk-utils) nor cbc (coinor-cbc) is installed: the relaxation is not held against an outside solver")
	return nil
}
