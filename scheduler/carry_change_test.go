package scheduler

import "testing"

func TestCarryChange(t *testing.T) {
	for _, c := range []struct {
		was, is float64
		want    string
	}{
		{6, 0, "carry no White any more (6 boxes before)"},
		{1, 0, "carry no White any more (1 box before)"},
		{0, 2, "carry 2 boxes of White too"},
		{6, 1, "carry 1 box of White instead of 6"},
		{0.5, 1.5, "carry 1.5 boxes of White instead of 0.5"},
	} {
		if got := carryChange("White", "box", c.was, c.is); got != c.want {
			t.Errorf("%g → %g: %q, want %q", c.was, c.is, got, c.want)
		}
	}
}
