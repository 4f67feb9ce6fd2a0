package scheduler

import (
	"math/rand/v2"
	"reflect"
	"testing"
	"time"

	"potlife/rooms"
)

func TestClockOverBothChanges(t *testing.T) {
	z := zone(t, "Europe/Berlin")
	cases := []struct {
		name   string
		day    string
		minute int // on the wall
		want   int // since midnight, elapsed
		long   int // minutes of the day
	}{
		{"plain day", "2026-03-28", 8 * 60, 480, 1440},
		{"summer time begins", "2026-03-29", 8 * 60, 420, 1380},
		{"the hour that is left out", "2026-03-29", 150, 150, 1380},
		{"summer time ends", "2026-10-25", 8 * 60, 540, 1500},
		{"before the change back", "2026-10-25", 60, 60, 1500},
		{"end of the day", "2026-10-25", 1440, 1500, 1500},
		{"leap day", "2028-02-29", 8 * 60, 480, 1440},
	}
	for _, c := range cases {
		t.Run(c.name, func(t *testing.T) {
			clock := NewClock(day(c.day), z)
			if got := clock.OnDay(day(c.day), c.minute); got != c.want {
				t.Errorf("minute %d, want %d", got, c.want)
			}
			if got := clock.DayStart(day(c.day).AddDays(1)); got != c.long {
				t.Errorf("the day has %d minutes, want %d", got, c.long)
			}
			if got := clock.Minute(clock.At(c.want)); got != c.want {
				t.Errorf("there and back gives %d, want %d", got, c.want)
			}
		})
	}
}

// Whatever the zone, working days of a crew have the same working minutes, also
// where a night between them is an hour longer or shorter.
func TestHoursKeepTheirLength(t *testing.T) {
	for _, name := range []string{"Europe/Berlin", "America/New_York", "Australia/Lord_Howe", "Pacific/Pago_Pago", "Pacific/Apia", "UTC"} {
		z := zone(t, name)
		clock := NewClock(day("2026-01-01"), z)
		crew := Crew{Key: "c", Hours: weekHours(7, 12, 12, 16)}
		hours := clock.CrewHours(Firm{}, crew, 0, 400*1440)
		days := map[rooms.Date]int{}
		for _, h := range hours {
			days[clock.Day(h.Start)] += h.End - h.Start
		}
		for d, m := range days {
			if m != 510 {
				t.Errorf("%s, %s: %d working minutes, want 510", name, d, m)
			}
		}
		if len(days) < 280 {
			t.Errorf("%s: %d working days in 400", name, len(days))
		}
	}
}

func TestCrewDays(t *testing.T) {
	clock := NewClock(day("2026-05-01"), time.UTC) // a Friday
	f := Firm{Days: rooms.MondayToFriday()}
	f.Days.Off = []rooms.Date{day("2026-05-01"), day("2026-05-14")}
	crew := Crew{Key: "c", Hours: weekHours(8, 12, 12, 17), Off: []rooms.Date{day("2026-05-05")}, On: []rooms.Date{day("2026-05-09"), day("2026-05-14")}}
	cases := []struct {
		day  string
		want int
		why  string
	}{
		{"2026-05-01", 0, "the firm's holiday"},
		{"2026-05-02", 0, "a Saturday"},
		{"2026-05-04", 510, "a Monday"},
		{"2026-05-05", 0, "the crew's absence"},
		{"2026-05-09", 510, "an extra Saturday with Monday's hours"},
		{"2026-05-14", 510, "an extra day on the firm's holiday"},
	}
	hours := clock.CrewHours(f, crew, 0, 30*1440)
	for _, c := range cases {
		at := clock.DayStart(day(c.day))
		if got := Working(hours, at, at+1440); got != c.want {
			t.Errorf("%s: %d minutes, want %d: %s", c.day, got, c.want, c.why)
		}
	}
}

func TestSiteHours(t *testing.T) {
	clock := NewClock(day("2026-05-04"), time.UTC)
	crew := clock.CrewHours(Firm{}, Crew{Hours: weekHours(7, 12, 12, 16)}, 0, 1440)
	site := clock.SiteHours(rooms.Site{Hours: []rooms.DayHours{{Weekday: 1, Start: 9 * 60, End: 15 * 60}}}, 0, 1440)
	want := []Interval{{540, 720}, {750, 900}}
	if got := Common(crew, site); !reflect.DeepEqual(got, want) {
		t.Errorf("got %v, want %v", got, want)
	}
	if got := clock.SiteHours(rooms.Site{}, 0, 1440); !reflect.DeepEqual(got, []Interval{{0, 1440}}) {
		t.Errorf("a site without hours is open %v", got)
	}
}

// Interval arithmetic against counting minutes one by one.
func TestIntervalsAgainstCounting(t *testing.T) {
	r := rand.New(rand.NewPCG(1, 2))
	draw := func() ([]Interval, [60]bool) {
		var out []Interval
		var on [60]bool
		for range r.IntN(6) {
			s := r.IntN(59)
			e := min(60, s+1+r.IntN(9))
			out = append(out, Interval{s, e})
			for i := s; i < e; i++ {
				on[i] = true
			}
		}
		return normal(out), on
	}
	lies := func(in []Interval, m int) bool {
		for _, v := range in {
			if v.Start <= m && m < v.End {
				return true
			}
		}
		return false
	}
	for range 2000 {
		a, x := draw()
		b, y := draw()
		common, outside := Common(a, b), Outside(a, 0, 60)
		work := 0
		for m := range 60 {
			if lies(common, m) != (x[m] && y[m]) || lies(outside, m) != !x[m] {
				t.Fatalf("minute %d of %v and %v: common %v, outside %v", m, a, b, common, outside)
			}
			if x[m] {
				work++
			}
		}
		if got := Working(a, 0, 60); got != work {
			t.Fatalf("%v: %d working, want %d", a, got, work)
		}
		d, from := 1+r.IntN(6), r.IntN(60)
		want, found := -1, false
		for s := from; s+d <= 60 && !found; s++ {
			found = true
			for m := s; m < s+d; m++ {
				found = found && x[m]
			}
			if found {
				want = s
			}
		}
		if got, ok := earliest(a, from, d); ok != found || ok && got != want {
			t.Fatalf("%v: earliest %d min from %d is %d %v, want %d %v", a, d, from, got, ok, want, found)
		}
	}
}
