package app

import (
	"slices"
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
		got := WorkDates(hours, zone, fired, NextFire(s, zone, fired), tt.now)
		if tt.due && (len(got) != 1 || got[0].String() != tt.want) || !tt.due && len(got) > 0 {
			t.Errorf("%s: %v, expected %s %v", tt.name, got, tt.want, tt.due)
		}
	}
}

// A schedule that does not fire on every evening issues all working days up to
// the one on which it fires next, so that none is left out.
func TestSeldomSchedules(t *testing.T) {
	zone := zoneOf(t, "Europe/Berlin")
	var hours []Span // Monday to Saturday
	for i := range 60 {
		if d := (rooms.Date{Year: 2026, Month: 11, Day: 1}).AddDays(i); d.Weekday() != time.Sunday {
			hours = append(hours, Span{d.In(zone).Add(7 * time.Hour), d.In(zone).Add(16 * time.Hour)})
		}
	}
	friday := time.Date(2026, 12, 4, 17, 30, 0, 0, zone)
	for _, tt := range []struct {
		spec string
		now  time.Time
		want []string
	}{
		{"0 17 * * *", friday, []string{"2026-12-05"}},
		{"0 17 * * *", friday.AddDate(0, 0, 1), []string{"2026-12-07"}},
		{"0 17 * * 1-5", friday, []string{"2026-12-05", "2026-12-07"}},
		{"0 17 * * 1-5", friday.AddDate(0, 0, 2), []string{"2026-12-07"}}, // Saturday is over
		{"0 17 * * 5", friday, []string{"2026-12-05", "2026-12-07", "2026-12-08", "2026-12-09", "2026-12-10", "2026-12-11"}},
		{"0 17 4 * *", friday, []string{"2026-12-05", "2026-12-07", "2026-12-08", "2026-12-09", "2026-12-10", "2026-12-11", "2026-12-12"}},
	} {
		s, err := ParseSpec(tt.spec)
		if err != nil {
			t.Fatal(err)
		}
		fired, ok := LastFire(s, zone, tt.now)
		if !ok {
			t.Fatalf("%s never fired", tt.spec)
		}
		var got []string
		for _, d := range WorkDates(hours, zone, fired, NextFire(s, zone, fired), tt.now) {
			got = append(got, d.String())
		}
		if !slices.Equal(got, tt.want) {
			t.Errorf("%s at %v: %v, want %v", tt.spec, tt.now, got, tt.want)
		}
	}
}

// New work begins no earlier than what can still be issued: today until the
// evening, tomorrow after it.
func TestNotBefore(t *testing.T) {
	zone := zoneOf(t, "America/New_York")
	at := func(day, hour, minute int) time.Time { return time.Date(2026, 12, day, hour, minute, 0, 0, zone) }
	for _, tt := range []struct{ fired, now, want time.Time }{
		{at(1, 17, 0), at(2, 9, 7), at(2, 9, 15)},
		{at(1, 17, 0), at(2, 9, 15), at(2, 9, 15)},
		{at(2, 17, 0), at(2, 17, 0), at(3, 0, 0)},
		{at(2, 17, 0), at(3, 0, 1), at(3, 0, 15)},
		{at(4, 17, 0), at(6, 12, 1), at(6, 12, 15)},
	} {
		if got := NotBefore(zone, tt.fired, tt.now); !got.Equal(tt.want) {
			t.Errorf("fired %v, now %v: %v, want %v", tt.fired, tt.now, got, tt.want)
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
	for now, end := start.AddDays(1).In(zone), start.AddDays(9).In(zone); now.Before(end); now = now.Add(19 * time.Minute) {
		fired, ok := LastFire(scheduleFunc(next), zone, now)
		if !ok {
			t.Fatalf("%s: no fire before %v", what, now)
		}
		days := WorkDates(hours, zone, fired, NextFire(scheduleFunc(next), zone, fired), now)
		if len(days) == 0 {
			continue
		}
		if len(days) > 1 || days[0].Before(last) {
			t.Fatalf("%s: %v falls due after %v", what, days, last)
		}
		last, due[days[0]] = days[0], true
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
