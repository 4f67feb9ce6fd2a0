package scheduler

import (
	"strings"
	"testing"
)

// A plan that is proved best for its crews says how much better others could be at
// most, and claims no more where nobody else is left to do it.
func TestStatusOfOtherCrews(t *testing.T) {
	others, alone := 0, 0
	for seed := uint64(1); seed <= 4; seed++ {
		in := small(t, seed, 3)
		in.Firm.Limits.Schedules = 400
		p := made(t, in)
		if !strings.HasPrefix(p.Status, "optimal") {
			continue
		}
		could := strings.Contains(p.Status, "sooner")
		if want := p.Finish > p.Bound; could != want {
			t.Errorf("seed %d: %q for a plan done at %d, not before %d", seed, p.Status, p.Finish, p.Bound)
		} else if want {
			others++
		}
		in.Firm.Crews = in.Firm.Crews[1:]
		if q := made(t, in); strings.HasPrefix(q.Status, "optimal") {
			alone++
			if q.Status != "optimal for these areas and crews" {
				t.Errorf("seed %d: %q where there is one crew", seed, q.Status)
			}
		}
	}
	if others == 0 || alone == 0 {
		t.Errorf("%d plans that others could do sooner, %d with one crew: the test shows nothing", others, alone)
	}
	if a, b, c := daysUp(61), daysUp(48*60), daysUp(48*60+1); a != "2 hours" || b != "48 hours" || c != "3 days" {
		t.Errorf("%s, %s, %s", a, b, c)
	}
}
