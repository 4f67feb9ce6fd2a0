package takeoff

import (
	"os"
	"os/exec"
	"path/filepath"
	"runtime"
	"strings"
	"testing"
)

// TestGoldenOnArm64 builds this package's tests for arm64 and runs the golden
// drawings under Debian's user-mode emulator where it is installed: a processor
// that fuses multiplications and additions lays the same pieces to the last unit.
func TestGoldenOnArm64(t *testing.T) {
	qemu, err := exec.LookPath("qemu-aarch64")
	if err != nil || runtime.GOARCH == "arm64" || testing.Short() {
		t.Skip("qemu-aarch64 is not installed, or there is nothing to emulate")
	}
	goTool, err := exec.LookPath("go")
	if err != nil {
		t.Skip("the go command is not in the path")
	}
	binary := filepath.Join(t.TempDir(), "golden.test")
	build := exec.Command(goTool, "test", "-c", "-o", binary, ".")
	build.Env = append(os.Environ(), "GOARCH=arm64", "CGO_ENABLED=0", "GOFLAGS=")
	if out, err := build.CombinedOutput(); err != nil {
		t.Fatalf("building for arm64: %v\n%s", err, out)
	}
	out, err := exec.Command(qemu, binary, "-test.run", "^TestGoldenPatterns$", "-test.v").CombinedOutput()
	if err != nil || !strings.Contains(string(out), "--- PASS: TestGoldenPatterns") {
		t.Errorf("on arm64: %v\n%s", err, out)
	}
}
