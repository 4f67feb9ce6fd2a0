package scheduler

import (
	"fmt"
	"slices"

	"potlife/rooms"
	"potlife/takeoff"
)

// onGround are the kinds of work that new ground has to be dry for: what seals
// or covers it.
var onGround = []string{kindPrime, kindLevel, kindMembrane, kindSet}

// dried holds a task back until the new ground under its surfaces is dry by its
// age, or released by a moisture test.
func (b *builder) dried(t *task) {
	if t.fixed != nil || !slices.Contains(onGround, t.kind) {
		return
	}
	for _, f := range b.r.surfaces {
		base := f.src.Base
		if base == nil || !slices.Contains(t.surfaces, f.key) {
			continue
		}
		if at := b.clock.DayStart(base.Ready()); at > t.release {
			t.release, t.why = at, baseWords(f.src)
		}
	}
}

func baseWords(s *rooms.Surface) string {
	b := s.Base
	if !b.Tested.IsZero() {
		return fmt.Sprintf("the %s under %s is released by its moisture test on %s", b.Kind, nameOf(s), b.Tested.Words())
	}
	days, rule := b.Days()
	return fmt.Sprintf("the %s under %s, laid on %s, dries %d days (%s); a moisture test releases it", b.Kind, nameOf(s), b.Laid.Words(), days, rule)
}

// groundFindings says of which new ground the plan only knows the age.
func (w *works) groundFindings(r *roomWork) []takeoff.Finding {
	var out []takeoff.Finding
	for _, f := range r.surfaces {
		base := f.src.Base
		if base == nil || !base.Tested.IsZero() || w.clock.DayStart(base.Ready().AddDays(1)) <= w.begin {
			continue
		}
		days, _ := base.Days()
		out = append(out, takeoff.Finding{Rule: "new ground", Severity: takeoff.Warn, Where: f.key,
			Message: fmt.Sprintf("%s, on %s at the earliest: test before anything is laid on it, in rooms colder or damper than 20 °C and 65 %% it takes longer", baseWords(f.src), base.Ready().Words()),
			Value:   float64(days), Source: "age of the ground by kind and depth; its own sheet goes before"})
	}
	return out
}
