package jobfile

import (
	"os"
	"strings"
	"testing"

	"github.com/google/go-cmp/cmp"

	"potlife/rooms"
)

// fallsFile is the good file with a shower floor of 900 × 1200 mm that falls.
func fallsFile(t *testing.T, falls string) string {
	t.Helper()
	text, err := os.ReadFile("testdata/good.yaml")
	if err != nil {
		t.Fatal(err)
	}
	head, _, ok := strings.Cut(string(text), "          surfaces:\n")
	if !ok {
		t.Fatal("the good file has no surfaces")
	}
	return head + "          surfaces:\n            - {key: tray, kind: shower floor, wet: no, width: 900, height: 1200, falls: " + falls + "}\n"
}

// TestFallsReadBack: falls are read, written and read again as they were, and
// falls that do not divide their floor are refused in their line.
func TestFallsReadBack(t *testing.T) {
	mm := rooms.Millimetre
	for falls, want := range map[string]rooms.Falls{
		"{kind: one plane, slope: 20}":                                {Kind: rooms.OneFall, PerMille: 20},
		"{kind: to a point, at: [450, 600], slope: 21, cut: yes}":     {Kind: rooms.ToPoint, A: rooms.Point{X: 450 * mm, Y: 600 * mm}, PerMille: 21, Cut: true},
		"{kind: two planes, at: [450, 0], to: [450, 1200]}":           {Kind: rooms.TwoFalls, A: rooms.Point{X: 450 * mm}, B: rooms.Point{X: 450 * mm, Y: 1200 * mm}},
		"{kind: to a line, at: [450, 300], to: [450, 900], cut: yes}": {Kind: rooms.ToLine, A: rooms.Point{X: 450 * mm, Y: 300 * mm}, B: rooms.Point{X: 450 * mm, Y: 900 * mm}, Cut: true},
	} {
		f, problems := Parse("x", []byte(fallsFile(t, falls)))
		if len(problems) > 0 {
			t.Errorf("%s: %v", falls, problems)
			continue
		}
		out, err := Write(f)
		if err != nil {
			t.Fatal(err)
		}
		back, problems := Parse("y", out)
		if len(problems) > 0 {
			t.Errorf("%s does not read back: %v", falls, problems)
			continue
		}
		for _, g := range []*File{f, back} {
			if got := g.Jobs[0].Sites[0].Rooms[0].Surfaces[0].Falls; got == nil || *got != want {
				t.Errorf("%s: %+v, want %+v", falls, got, want)
			}
		}
		if diff := cmp.Diff(f, back, sameFile); diff != "" {
			t.Errorf("%s changes by export and import:\n%s", falls, diff)
		}
	}
	for falls, says := range map[string]string{
		"{kind: to a point, at: [2000, 600]}":          "does not see",
		"{kind: two planes, at: [450, 0]}":             "does not divide",
		"{kind: downhill}":                             "one plane",
		"{kind: two planes, at: [-9, 0], to: [-9, 5]}": "does not divide",
	} {
		_, problems := Parse("x", []byte(fallsFile(t, falls)))
		if len(problems) != 1 || problems[0].Line == 0 || !strings.Contains(problems.Error(), says) {
			t.Errorf("%s: %v, want %q with a line", falls, problems, says)
		}
	}
}
