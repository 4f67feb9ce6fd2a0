package app

import (
	"context"
	"slices"
	"testing"

	"potlife/rooms"
	"potlife/takeoff"
)

// Sheets that are out days ahead, and days that are over, stay plannable although nobody booked in, or even ordered,
// the goods that their work takes. Seen in time the work is put off; seen afterwards its goods count as come, which
// the plan says. Every plan is held to its rules before it is used.
func TestGoodsThatNobodyBookedIn(t *testing.T) {
	for _, c := range []struct {
		name   string
		placed bool
		looks  int // at which of the days issued somebody looks first
		told   bool
	}{
		{"ordered, looked at all along", true, -4, false},
		{"not ordered, looked at all along", false, -4, false},
		{"ordered, looked at when three days are over", true, 3, true},
		{"not ordered, looked at when three days are over", false, 3, true},
	} {
		t.Run(c.name, func(t *testing.T) {
			monday := rooms.Date{Year: 2027, Month: 1, Day: 18}
			f := demoFirm(t, twoBaths, monday.AddDays(-14), monday)
			if c.placed {
				f.placeAll()
			}
			ctx := context.Background()
			var days []rooms.Date
			for _, s := range f.plan().Sheets {
				days = append(days, s.Date)
			}
			days = slices.Compact(days)[:5]
			for _, d := range days {
				if _, err := f.IssueDay(ctx, d, true); err != nil {
					t.Fatalf("issuing %s: %v", d, err)
				}
			}
			for d := days[0].AddDays(c.looks); !days[4].AddDays(2).Before(d); d = d.AddDays(1) {
				for _, hour := range []int{10, 18} {
					f.set(clockTimes(f.zone, d, hour, 0))
					if _, err := f.Replan(ctx, "a look"); err != nil {
						t.Errorf("%s at %d:00: %v", d, hour, err)
					}
				}
			}
			told := slices.ContainsFunc(f.plan().Findings, func(x takeoff.Finding) bool { return x.Rule == "used and not booked in" })
			if told != c.told {
				t.Errorf("the plan says that goods were used and not booked in: %v, want %v", told, c.told)
			}
		})
	}
}
