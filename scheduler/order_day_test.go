package scheduler

import (
	"testing"
	"time"
)

// The office of the invented firm works 8 to 12 and 12:30 to 17, Monday to Friday.
// The 16th of March 2026 is a Monday.
func TestOrderDay(t *testing.T) {
	z := zone(t, "Europe/Berlin")
	for _, c := range []struct {
		name, today, now string
		off              []string
		want             string
	}{
		{"in the morning", "2026-03-16", "2026-03-16 09:00", nil, "2026-03-16"},
		{"before it opens", "2026-03-16", "2026-03-16 05:00", nil, "2026-03-16"},
		{"over lunch", "2026-03-16", "2026-03-16 12:15", nil, "2026-03-16"},
		{"a minute before it closes", "2026-03-16", "2026-03-16 16:59", nil, "2026-03-16"},
		{"when it closes", "2026-03-16", "2026-03-16 17:00", nil, "2026-03-17"},
		{"on Friday evening", "2026-03-20", "2026-03-20 18:30", nil, "2026-03-23"},
		{"on Friday evening before a holiday", "2026-03-20", "2026-03-20 18:30", []string{"2026-03-23"}, "2026-03-24"},
		{"on Sunday", "2026-03-22", "2026-03-22 10:00", nil, "2026-03-23"},
		{"without a time of day", "2026-03-16", "", nil, "2026-03-16"},
		{"planned for a day to come", "2026-03-18", "2026-03-16 18:00", nil, "2026-03-18"},
	} {
		t.Run(c.name, func(t *testing.T) {
			f := firm(z)
			for _, d := range c.off {
				f.Days.Off = append(f.Days.Off, day(d))
			}
			var now time.Time
			if c.now != "" {
				var err error
				if now, err = time.ParseInLocation("2006-01-02 15:04", c.now, z); err != nil {
					t.Fatal(err)
				}
			}
			if got := orderDay(&f, day(c.today), now); got != day(c.want) {
				t.Errorf("orders go out on %s, want %s", got, c.want)
			}
		})
	}
	f := firm(z)
	f.Office = nil
	if got := orderDay(&f, day("2026-03-22"), time.Time{}); got != day("2026-03-22") {
		t.Errorf("without office hours orders go out on %s, want that day", got)
	}
}

// After the office has closed what is ordered comes a day later, and so does the
// work that waits for it.
func TestEveningOrderMovesTheSchedule(t *testing.T) {
	in := small(t, 3, 1)
	in.Jobs[0].Start = in.Today
	in.Firm.Catalogue.Suppliers[0].LeadDays = 8
	z := in.Firm.Zone
	in.Now = time.Date(2026, 3, 16, 10, 0, 0, 0, z)
	morning := made(t, in)
	in.Now = time.Date(2026, 3, 16, 17, 30, 0, 0, z)
	evening := made(t, in)
	first := func(p *Plan) int {
		least := p.Horizon
		for _, a := range p.Areas {
			least = min(least, a.Start)
		}
		return least
	}
	if first(evening) <= first(morning) || evening.Orders[0].Delivery.Compare(morning.Orders[0].Delivery) <= 0 {
		t.Errorf("ordered in the evening the tile comes on %s and is set from minute %d; in the morning on %s, minute %d",
			evening.Orders[0].Delivery, first(evening), morning.Orders[0].Delivery, first(morning))
	}
}
