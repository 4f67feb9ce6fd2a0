package localpg

import (
	"errors"
	"fmt"
	"io/fs"
	"os"
	"os/exec"
	"path/filepath"
	"slices"
	"strconv"
	"strings"
)

// oldest is the first major version whose SQL the schema is written for.
const oldest = 15

// binaries is one installation of the server programs.
type binaries struct {
	dir   string
	major int
}

func (b binaries) path(name string) string { return filepath.Join(b.dir, name) }

// MissingError says that no usable server programs are installed.
type MissingError struct {
	Found []string // installations that are too old, "14 in /usr/lib/postgresql/14/bin"
}

func (e *MissingError) Error() string {
	text := "no PostgreSQL server programs (initdb, postgres) of version %d or later were found%s. " +
		"Install them (Debian, Ubuntu: apt-get install postgresql; Fedora: dnf install postgresql-server postgresql-contrib; " +
		"macOS: brew install postgresql), or set database.url to a server that runs"
	found := ""
	if len(e.Found) > 0 {
		found = " (too old: " + strings.Join(e.Found, ", ") + ")"
	}
	return fmt.Sprintf(text, oldest, found)
}

// VersionError says that a cluster was made by a major version that is not
// installed. Nothing has been changed.
type VersionError struct {
	Data      string
	Made      int
	Installed []string
}

func (e *VersionError) Error() string {
	return fmt.Sprintf("the cluster in %s was made by PostgreSQL %d, and only %s is installed. Nothing was touched. "+
		"Install PostgreSQL %d again (Debian: apt-get install postgresql-%d) and carry the data over with pg_dump or pg_upgrade",
		e.Data, e.Made, strings.Join(e.Installed, ", "), e.Made, e.Made)
}

// places where distributions put the server programs, by pattern.
var places = []string{
	"/usr/lib/postgresql/*/bin",            // Debian, Ubuntu
	"/usr/pgsql-*/bin",                     // PostgreSQL's own RPMs
	"/opt/homebrew/opt/postgresql@*/bin",   // Homebrew on arm64
	"/usr/local/opt/postgresql@*/bin",      // Homebrew on amd64
	"/usr/lib/postgresql*/bin",             // SUSE, Alpine
	"/usr/libexec/postgresql*", "/usr/bin", // Alpine, Fedora
}

// binariesFor picks the installation for the cluster in data: its own major
// version where there is one already, the newest otherwise.
func binariesFor(data string) (binaries, error) {
	return choose(installations(), data)
}

func choose(all []binaries, data string) (binaries, error) {
	made, err := majorOf(data)
	if err != nil {
		return binaries{}, err
	}
	var names, old []string
	for _, b := range all {
		name := fmt.Sprintf("%d in %s", b.major, b.dir)
		if b.major < oldest {
			old = append(old, name)
			continue
		}
		if made == 0 || b.major == made {
			return b, nil
		}
		names = append(names, name)
	}
	if len(names) == 0 {
		return binaries{}, &MissingError{Found: old}
	}
	return binaries{}, &VersionError{Data: data, Made: made, Installed: names}
}

// installations lists what is installed, newest first.
func installations() []binaries {
	var dirs []string
	for _, p := range places {
		got, _ := filepath.Glob(p) // the patterns are well-formed
		dirs = append(dirs, got...)
	}
	if p, err := exec.LookPath("initdb"); err == nil {
		if p, err = filepath.EvalSymlinks(p); err == nil {
			dirs = append(dirs, filepath.Dir(p))
		}
	}
	slices.Sort(dirs)
	var all []binaries
	for _, d := range slices.Compact(dirs) {
		if b, ok := inspect(d); ok {
			all = append(all, b)
		}
	}
	slices.SortStableFunc(all, func(a, b binaries) int { return b.major - a.major })
	return all
}

// inspect asks the programs in dir for their version.
func inspect(dir string) (binaries, bool) {
	b := binaries{dir: dir}
	if _, err := os.Stat(b.path("initdb")); err != nil {
		return b, false
	}
	out, err := exec.Command(b.path("postgres"), "--version").Output()
	if err != nil {
		return b, false
	}
	b.major = parseMajor(string(out))
	return b, b.major > 0
}

// parseMajor reads "postgres (PostgreSQL) 15.18 (Debian …)"; 0 when it cannot.
func parseMajor(s string) int {
	_, rest, ok := strings.Cut(s, "(PostgreSQL) ")
	if !ok {
		return 0
	}
	end := strings.IndexFunc(rest, func(r rune) bool { return r < '0' || r > '9' })
	if end < 0 {
		end = len(rest)
	}
	n, _ := strconv.Atoi(rest[:end])
	return n
}

// majorOf returns the major version that made the cluster in data, 0 where
// there is no cluster. A directory with something else in it is refused.
func majorOf(data string) (int, error) {
	text, err := os.ReadFile(filepath.Join(data, "PG_VERSION"))
	if err == nil {
		n, err := strconv.Atoi(strings.TrimSpace(string(text)))
		if err != nil {
			return 0, fmt.Errorf("%s/PG_VERSION holds %q, which is no version this program knows; nothing was touched",
				data, strings.TrimSpace(string(text)))
		}
		return n, nil
	}
	if !errors.Is(err, fs.ErrNotExist) {
		return 0, err
	}
	if _, err := os.Lstat(data); errors.Is(err, fs.ErrNotExist) {
		return 0, nil
	}
	return 0, fmt.Errorf("%s is there but is no PostgreSQL cluster (it has no PG_VERSION); nothing was touched: "+
		"move it away or choose another directory", data)
}
