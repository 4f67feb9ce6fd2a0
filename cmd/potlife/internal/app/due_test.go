package app

import (
	"testing"
	"time"

	"potlife/rooms"
)

func zoneOf(t *testing.T, name string) *time.Location {
	t.Helper()
	z, err := time.LoadLocation(name)
	if err != nil {
		t.Fatal(err)
	}
	return z
}

func TestParseSpec(t *testing.T) {
	for _, good := range []string{"", "0 17 * * *", "30 2 * * *", "15 16 * * MON-FRI", "@daily"} {
		if _, err := ParseSpec(good); err != nil {
			t.Errorf("%q: %v", good, err)
		}
	}
	for _, bad := range []string{"0 0 31 2 *", "TZ=", "CRON_TZ=x", "61 * * * *", "soon", "0 17 * *"} {
		if _, err := ParseSpec(bad); err == nil {
			t.Errorf("%q was taken", bad)
		}
	}
}

// weekdays are working hours from 7 to 16 on each weekday of n days.
func weekdays(zone *time.Location, from rooms.Date, n int) []Span {
	var out []Span
	for i := range n {
		d := from.AddDays(i)
		if w := d.Weekday(); w == time.Saturday || w == time.Sunday {
			continue
		}
		out = append(out, Span{d.In(zone).Add(7 * time.Hour), d.In(zone).Add(16 * time.Hour)})
	}
	return out
}

func TestWorkDate(t *testing.T) {
	zone := zoneOf(t, "Europe/Berlin")
	s, err := ParseSpec("0 17 * * *")
	if err != nil {
		t.Fatal(err)
	}
	hours := weekdays(zone, rooms.Date{Year: 2026, Month: 11, Day: 1}, 60)
	at := func(day, hour, minute int) time.Time { return time.Date(2026, 12, day, hour, minute, 0, 0, zone) }
	tests := []struct {
		name string
		now  time.Time
		want string
		due  bool
	}{
		{"Tuesday before five: today's sheet, from Monday evening", at(1, 12, 0), "2026-12-01", true},
		{"Tuesday at five: Wednesday's", at(1, 17, 0), "2026-12-02", true},
		{"Tuesday after work, before five: today is over", at(1, 16, 30), "2026-12-01", false},
		{"Friday evening: Monday's", at(4, 17, 1), "2026-12-07", true},
		{"Sunday evening: Monday's", at(6, 20, 0), "2026-12-07", true},
		{"Monday at six in the morning, started late: Monday's", at(7, 6, 0), "2026-12-07", true},
	}
	for _, tt := range tests {
		fired, ok := LastFire(s, zone, tt.now)
		if !ok {
			t.Fatalf("%s: no fire found", tt.name)
		}
		got, due := WorkDate(hours, zone, fired, tt.now)
		if got.String() != tt.want || due != tt.due {
			t.Errorf("%s: %v %v, expected %s %v", tt.name, got, due, tt.want, tt.due)
		}
	}
}

// TestEveryDayOnce walks minute by minute over both clock changes, a leap day
// and the turn of the year in zones from -11 to +14 and with a spec that the
// clock change skips or doubles: each working day falls due, and none twice in
// another order.
func TestEveryDayOnce(t *testing.T) {
	starts := []rooms.Date{{Year: 2026, Month: 3, Day: 4}, {Year: 2026, Month: 3, Day: 25}, {Year: 2026, Month: 10, Day: 21},
		{Year: 2026, Month: 10, Day: 28}, {Year: 2028, Month: 2, Day: 25}, {Year: 2026, Month: 12, Day: 28}, {Year: 2026, Month: 4, Day: 1}}
	for _, name := range []string{"Europe/Berlin", "America/New_York", "Pacific/Pago_Pago", "Pacific/Kiritimati", "Asia/Kolkata", "Australia/Lord_Howe"} {
		zone := zoneOf(t, name)
		for _, spec := range []string{"0 17 * * *", "30 2 * * *", "30 1 * * *", "0 0 * * *"} {
			s, err := ParseSpec(spec)
			if err != nil {
				t.Fatal(err)
			}
			for _, start := range starts {
				walk(t, name+" "+spec+" "+start.String(), zone, s.Next, start)
			}
		}
	}
}

func walk(t *testing.T, what string, zone *time.Location, next func(time.Time) time.Time, start rooms.Date) {
	t.Helper()
	hours := weekdays(zone, start, 14)
	due := map[rooms.Date]bool{}
	last := rooms.Date{}
	for now, end := start.AddDays(1).In(zone), start.AddDays(9).In(zone); now.Before(end); now = now.Add(7 * time.Minute) {
		fired, ok := LastFire(scheduleFunc(next), zone, now)
		if !ok {
			t.Fatalf("%s: no fire before %v", what, now)
		}
		day, yes := WorkDate(hours, zone, fired, now)
		if !yes {
			continue
		}
		if day.Before(last) {
			t.Fatalf("%s: %v falls due after %v", what, day, last)
		}
		last, due[day] = day, true
	}
	for i := 2; i < 9; i++ {
		d := start.AddDays(i)
		if w := d.Weekday(); w != time.Saturday && w != time.Sunday && !due[d] {
			t.Errorf("%s: %v never falls due", what, d)
		}
	}
}

type scheduleFunc func(time.Time) time.Time

func (f scheduleFunc) Next(t time.Time) time.Time { return f(t) }
