package integration

import (
	"errors"
	"os"
	"os/exec"
	"path/filepath"
	"strings"
	"testing"
)

// need runs .ci/need on a machine that has a shell and nothing else.
func need(t *testing.T, parts ...string) (text string, code int) {
	t.Helper()
	bin := t.TempDir()
	for _, name := range []string{"bash", "id", "ls", "cat"} {
		path, err := exec.LookPath(name)
		if err != nil {
			t.Skipf("this machine has no %s: %v", name, err)
		}
		if err := os.Symlink(path, filepath.Join(bin, name)); err != nil {
			t.Fatal(err)
		}
	}
	cmd := exec.Command("../.ci/need", parts...)
	cmd.Env = []string{"PATH=" + bin}
	out, err := cmd.CombinedOutput()
	var exit *exec.ExitError
	if errors.As(err, &exit) {
		return string(out), exit.ExitCode()
	}
	if err != nil {
		t.Fatal(err)
	}
	return string(out), 0
}

// What a target needs and cannot be installed is named as it has to be installed,
// all of it at once; no Docker engine is no trouble, since tests fall back.
func TestWhatIsMissingIsNamed(t *testing.T) {
	for _, tt := range []struct {
		parts []string
		code  int
		want  string
	}{
		{[]string{"chromium"}, 1, "please install: chromium (on Debian: apt-get install chromium)"},
		{[]string{"pdf"}, 1, "please install: poppler-utils zbar-tools (on Debian: apt-get install poppler-utils zbar-tools)"},
		{[]string{"chromium", "pdf", "image"}, 1, "apt-get install chromium poppler-utils zbar-tools)"},
		{[]string{"image"}, 0, ""},
		{[]string{"trowel"}, 2, "need: unknown part trowel"},
	} {
		got, code := need(t, tt.parts...)
		if code != tt.code || !strings.Contains(got, tt.want) {
			t.Errorf("need %v: exit %d, %q; want %d, %q", tt.parts, code, got, tt.code, tt.want)
		}
	}
}
