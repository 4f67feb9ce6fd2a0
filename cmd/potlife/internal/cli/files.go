package cli

import (
	"errors"
	"fmt"
	"io"
	"io/fs"
	"os"

	"potlife/cmd/potlife/internal/jobfile"
	"potlife/scheduler"
)

// readFiles reads and checks job files; "-" is standard input. The error lists
// everything that is wrong in them.
func readFiles(known *scheduler.Firm, names []string) (*jobfile.File, error) {
	file, _, err := readSources(known, names)
	return file, err
}

// readSources is readFiles with the text of the files.
func readSources(known *scheduler.Firm, names []string) (*jobfile.File, []jobfile.Source, error) {
	var sources []jobfile.Source
	var problems jobfile.Problems
	for _, name := range names {
		text, err := readFile(name)
		if err != nil {
			problems = append(problems, jobfile.Problem{File: name, What: reason(err), Expected: "a job file that can be read"})
			continue
		}
		sources = append(sources, jobfile.Source{Name: name, Text: text})
	}
	file, more := jobfile.ParseAll(known, sources...)
	if problems = append(problems, more...); len(problems) > 0 {
		return nil, nil, problems
	}
	return file, sources, nil
}

// longestInput is where reading standard input stops: beyond it no job file
// is accepted anyway.
const longestInput = 32 << 20

func readFile(name string) ([]byte, error) {
	if name == "-" {
		return io.ReadAll(io.LimitReader(os.Stdin, longestInput))
	}
	info, err := os.Stat(name)
	if err != nil {
		return nil, err
	}
	if info.IsDir() {
		return nil, errors.New("it is a directory")
	}
	if info.Size() > longestInput {
		return nil, fmt.Errorf("it has %d MB, and %d at most are read", (info.Size()+1<<20-1)>>20, longestInput>>20)
	}
	return os.ReadFile(name)
}

// reason is an error's cause without the path, which stands before it.
func reason(err error) string {
	var path *fs.PathError
	switch {
	case errors.Is(err, fs.ErrNotExist):
		return "there is no such file"
	case errors.Is(err, fs.ErrPermission):
		return "the file may not be read"
	case errors.As(err, &path):
		return path.Err.Error()
	}
	return err.Error()
}
