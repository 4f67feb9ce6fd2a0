package jobfile

import (
	"fmt"
	"sort"
	"strings"
)

// Problem is one thing that is wrong with a file.
type Problem struct {
	File      string `json:"file"`
	Line, Col int    // from 1; 0 where the file as a whole is meant
	// What is wrong, and what was expected instead.
	What     string `json:"what"`
	Expected string `json:"expected"`
}

// String prints "file:line:col: what is wrong; expected what".
func (p Problem) String() string {
	var b strings.Builder
	b.WriteString(p.File)
	if p.Line > 0 {
		fmt.Fprintf(&b, ":%d:%d", p.Line, p.Col)
	}
	b.WriteString(": ")
	b.WriteString(p.What)
	if p.Expected != "" {
		b.WriteString("; expected ")
		b.WriteString(p.Expected)
	}
	return b.String()
}

// Problems is everything that is wrong, in the order of the files and their
// lines. As an error it prints one problem a line.
type Problems []Problem

// Error implements error; an empty list is no error and must not be returned
// as one (see Err).
func (ps Problems) Error() string {
	lines := make([]string, len(ps))
	for i, p := range ps {
		lines[i] = p.String()
	}
	return strings.Join(lines, "\n")
}

// Err returns ps as an error, nil where there is none.
func (ps Problems) Err() error {
	if len(ps) == 0 {
		return nil
	}
	return ps
}

// maxProblems bounds the report: a file that is wrong in more places is wrong
// in one way, repeated.
const maxProblems = 200

// sorted orders the problems by file and place and drops repeats.
func sorted(ps Problems, files []string) Problems {
	rank := make(map[string]int, len(files))
	for i, f := range files {
		rank[f] = i
	}
	sort.SliceStable(ps, func(i, j int) bool {
		a, b := ps[i], ps[j]
		if rank[a.File] != rank[b.File] {
			return rank[a.File] < rank[b.File]
		}
		if a.Line != b.Line {
			return a.Line < b.Line
		}
		return a.Col < b.Col
	})
	var out Problems
	for i, p := range ps {
		if i == 0 || p != ps[i-1] {
			out = append(out, p)
		}
	}
	if len(out) > maxProblems {
		more := len(out) - maxProblems
		out = append(out[:maxProblems:maxProblems], Problem{File: out[maxProblems-1].File, What: fmt.Sprintf("and %d more problems", more)})
	}
	return out
}

// nearest returns the known word that text is most likely a slip of, "" where
// none is near.
func nearest(text string, known []string) string {
	best, word := 1+max(1, min(3, len(text)/3)), ""
	for _, k := range known {
		if d := distance(strings.ToLower(text), strings.ToLower(k)); d < best {
			best, word = d, k
		}
	}
	return word
}

// distance is the number of insertions, deletions, replacements and swaps of
// neighbours that turn a into b (optimal string alignment).
func distance(a, b string) int {
	x, y := []rune(a), []rune(b)
	if len(x) > 64 || len(y) > 64 {
		return 64
	}
	rows := [3][]int{make([]int, len(y)+1), make([]int, len(y)+1), make([]int, len(y)+1)}
	for j := range rows[1] {
		rows[1][j] = j
	}
	for i := 1; i <= len(x); i++ {
		before, last, row := rows[(i+2)%3], rows[i%3], rows[(i+1)%3]
		row[0] = i
		for j := 1; j <= len(y); j++ {
			swap := 1
			if x[i-1] == y[j-1] {
				swap = 0
			}
			row[j] = min(last[j]+1, row[j-1]+1, last[j-1]+swap)
			if i > 1 && j > 1 && x[i-1] == y[j-2] && x[i-2] == y[j-1] {
				row[j] = min(row[j], before[j-2]+1)
			}
		}
	}
	return rows[(len(x)+1)%3][len(y)]
}
