package integration

import (
	"encoding/json"
	"errors"
	"io"
	"os/exec"
	"slices"
	"strings"
	"testing"
)

// listed is what `go list -json` says of a package.
type listed struct {
	ImportPath string
	Imports    []string
}

// pure packages and what of ours each may import: the dependency arrow points
// one way.
var pure = map[string][]string{
	"potlife/rooms":           nil,
	"potlife/takeoff/nest":    nil,
	"potlife/takeoff":         {"potlife/rooms", "potlife/takeoff/nest"},
	"potlife/scheduler/rcpsp": nil,
	"potlife/scheduler":       {"potlife/rooms", "potlife/takeoff", "potlife/scheduler/rcpsp"},
}

// forbidden in the pure packages: clocks, files, processes, networks and
// databases. time itself is allowed for instants and zones; reading the clock
// is caught by TestNoClock.
var forbidden = []string{"os", "os/exec", "net", "net/http", "database/sql", "log", "log/slog", "math/rand"}

func TestImportDirection(t *testing.T) {
	seen := map[string]bool{}
	for _, p := range list(t, "./...") {
		allowed, ok := pure[p.ImportPath]
		if !ok {
			continue
		}
		seen[p.ImportPath] = true
		for _, imp := range p.Imports {
			switch {
			case strings.HasPrefix(imp, "potlife/"):
				if !slices.Contains(allowed, imp) {
					t.Errorf("%s imports %s; it may import only %v of ours", p.ImportPath, imp, allowed)
				}
			case strings.Contains(strings.SplitN(imp, "/", 2)[0], "."):
				t.Errorf("%s imports %s; the trade's packages take the standard library only", p.ImportPath, imp)
			case slices.Contains(forbidden, imp):
				t.Errorf("%s imports %s; it holds no files, clocks, networks or global generators", p.ImportPath, imp)
			}
		}
	}
	for p := range pure {
		if !seen[p] {
			t.Errorf("%s was not listed", p)
		}
	}
}

// adapters under cmd/potlife/internal stand side by side; only app, cli and web
// wire others together, and only the store speaks to pgx.
func TestAdaptersStandSideBySide(t *testing.T) {
	const home = "potlife/cmd/potlife/internal/"
	wires := map[string]bool{"app": true, "cli": true}
	shared := map[string]bool{"plandoc": true, "onceprinted": true}
	n := 0
	for _, p := range list(t, "./cmd/...") {
		name, ok := strings.CutPrefix(p.ImportPath, home)
		if !ok {
			continue
		}
		n++
		for _, imp := range p.Imports {
			other, ours := strings.CutPrefix(imp, home)
			if ours && !wires[name] && !shared[other] && !strings.HasPrefix(other, name+"/") && !allowedPair(name, other) {
				t.Errorf("%s imports %s; adapters do not import each other", name, other)
			}
			if strings.HasPrefix(imp, "github.com/jackc/pgx") && name != "store" && name != "app" && name != "localpg" {
				t.Errorf("%s imports %s; only the store speaks to the database", name, imp)
			}
		}
	}
	if n < 5 {
		t.Errorf("only %d adapters were listed", n)
	}
}

// allowedPair names the few pairs that belong together: pages show sheets and
// take in price lists.
func allowedPair(from, to string) bool {
	return from == "web" && (to == "sheet" || to == "pricelist")
}

func TestOnlyConfigReadsViper(t *testing.T) {
	for _, p := range list(t, "./...") {
		if slices.Contains(p.Imports, "github.com/spf13/viper") && p.ImportPath != "potlife/config" {
			t.Errorf("%s imports viper; only config reads it", p.ImportPath)
		}
	}
}

func TestNoClock(t *testing.T) {
	out, err := exec.Command("grep", "-rnE", `time\.(Now|Since|Until|After|Tick|NewTimer|Sleep)\(`, "--include=*.go", "--exclude=*_test.go",
		"../rooms", "../takeoff", "../scheduler").CombinedOutput()
	var exit *exec.ExitError
	if err == nil {
		t.Errorf("the trade's packages read a clock:\n%s", out)
	} else if !errors.As(err, &exit) || exit.ExitCode() != 1 {
		t.Fatalf("grep: %v\n%s", err, out)
	}
}

func list(t *testing.T, pattern string) []listed {
	t.Helper()
	cmd := exec.Command("go", "list", "-json=ImportPath,Imports", pattern)
	cmd.Dir = ".."
	out, err := cmd.Output()
	if err != nil {
		t.Fatalf("go list: %v", err)
	}
	var all []listed
	for d := json.NewDecoder(strings.NewReader(string(out))); ; {
		var p listed
		if err := d.Decode(&p); errors.Is(err, io.EOF) {
			return all
		} else if err != nil {
			t.Fatal(err)
		}
		all = append(all, p)
	}
}
