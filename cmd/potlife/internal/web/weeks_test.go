package web

import (
	"strings"
	"testing"

	"potlife/cmd/potlife/internal/plandoc"
)

// The schedule is folded by calendar weeks; the first that is not over is open, the
// last where all are.
func TestScheduleIsFoldedByWeeks(t *testing.T) {
	v := &view{w: plandoc.Writing{}}
	one := []scheduleLine{{}}
	days := []scheduleDay{{Date: "2026-03-01", Work: one}, {Date: "2026-03-02", Work: one}, {Date: "2026-03-08", Work: append(one, one...)}, {Date: "2026-03-09", Work: one}}
	say := func(today string) string {
		var out []string
		for _, w := range v.weeks(days, today) {
			s := strings.TrimPrefix(w.Text, "Week of ") + ": " + w.Count
			if w.Open {
				s += ", open"
			}
			out = append(out, s)
		}
		return strings.Join(out, "; ")
	}
	for today, want := range map[string]string{
		"2026-02-01": "Mon 23 Feb 2026: 1 start, open; Mon 2 Mar 2026: 3 starts; Mon 9 Mar 2026: 1 start",
		"2026-03-05": "Mon 23 Feb 2026: 1 start; Mon 2 Mar 2026: 3 starts, open; Mon 9 Mar 2026: 1 start",
		"2027-01-01": "Mon 23 Feb 2026: 1 start; Mon 2 Mar 2026: 3 starts; Mon 9 Mar 2026: 1 start, open",
	} {
		if got := say(today); got != want {
			t.Errorf("on %s: %s", today, got)
		}
	}
	if got := v.weeks(nil, "2026-03-05"); got != nil {
		t.Errorf("no days come to %v", got)
	}
}
