package jobfile

import (
	"os"
	"strings"
	"testing"
)

// What a firm says does not happen is none, and not the default that 0 stands for;
// an export says 0 again.
func TestNoneIsKept(t *testing.T) {
	good, err := os.ReadFile("testdata/good.yaml")
	if err != nil {
		t.Fatal(err)
	}
	text := strings.Replace(string(good), "  crews:\n", "  uncertainty: {overrun: 0min, recut: 0min, break_chance: 0 %}\n  crews:\n", 1)
	f, problems := Parse("good.yaml", []byte(text))
	if len(problems) > 0 {
		t.Fatal(problems)
	}
	if u := f.Firm.Uncertainty; u.OverrunMinutes >= 0 || u.RecutMinutes >= 0 || u.BreakChance >= 0 {
		t.Errorf("%+v: the defaults would be taken", u)
	}
	out, err := Write(f)
	if err != nil {
		t.Fatal(err)
	}
	_, said, _ := strings.Cut(string(out), "uncertainty:")
	said, _, _ = strings.Cut(said, "crews:")
	for _, want := range []string{"overrun: 0", "recut: 0", "break_chance: 0"} {
		if !strings.Contains(said, want) {
			t.Errorf("the export does not say %q: %s", want, said)
		}
	}
}
