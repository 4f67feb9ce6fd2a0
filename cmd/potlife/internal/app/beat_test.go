package app

import (
	"context"
	"fmt"
	"log/slog"
	"testing"
	"testing/synctest"
	"time"

	"github.com/robfig/cron/v3"

	"potlife/rooms"
)

// ledger is what the database is to the loop: one issue a day, whoever asks.
type ledger struct {
	at    map[rooms.Date]time.Time
	tries int
}

// clerk issues what is due at the instant of a tick, as IssueDue does with the
// real ledger.
func (l *ledger) clerk(s cron.Schedule, zone *time.Location, hours []Span) func() {
	return func() {
		now := time.Now()
		fired, ok := LastFire(s, zone, now)
		if !ok {
			return
		}
		for _, day := range WorkDates(hours, zone, fired, NextFire(s, zone, fired), now) {
			l.tries++
			if _, done := l.at[day]; !done {
				l.at[day] = now
			}
		}
	}
}

// TestTheLoopOverClockChanges runs the daemon's own loop on a clock that jumps
// from wait to wait, over both clock changes, a leap day and the turn of the year,
// from UTC-11 to UTC+14, with issue times that a clock change skips or doubles.
// Every working day is issued once, on the evening before it or the last one that
// comes, and no day of rest is.
func TestTheLoopOverClockChanges(t *testing.T) {
	starts := []rooms.Date{{Year: 2028, Month: 2, Day: 25}, {Year: 2026, Month: 3, Day: 25}, {Year: 2026, Month: 10, Day: 21}, {Year: 2026, Month: 12, Day: 28}}
	zones := []string{"Europe/Berlin", "America/New_York", "Pacific/Pago_Pago", "Pacific/Kiritimati", "Australia/Lord_Howe"}
	specs := []string{"0 17 * * *", "30 2 * * *", "0 0 * * *"}
	for i, start := range starts {
		for k, name := range zones {
			spec := specs[(i+k)%len(specs)] // each zone meets each of them
			t.Run(fmt.Sprint(start, " ", name, " ", spec), func(t *testing.T) {
				zone := zoneOf(t, name)
				synctest.Test(t, func(t *testing.T) { overNineDays(t, zone, spec, start) })
			})
		}
	}
}

func overNineDays(t *testing.T, zone *time.Location, spec string, start rooms.Date) {
	s, err := ParseSpec(spec)
	if err != nil {
		t.Fatal(err)
	}
	hours := weekdays(zone, start, 16)
	time.Sleep(time.Until(start.In(zone).Add(12 * time.Hour)))
	l := &ledger{at: map[rooms.Date]time.Time{}}
	a := &App{log: slog.New(slog.DiscardHandler)}
	ctx, stop := context.WithCancel(context.Background())
	done := make(chan struct{})
	go func() { a.beat(ctx, l.clerk(s, zone, hours), func() {}); close(done) }()
	time.Sleep(9 * 24 * time.Hour)
	stop()
	<-done
	for i := 1; i <= 9; i++ {
		d := start.AddDays(i)
		at, issued := l.at[d]
		rest := d.Weekday() == time.Saturday || d.Weekday() == time.Sunday
		switch {
		case rest && issued:
			t.Errorf("%v, a day of rest, was issued", d)
		case !rest && !issued:
			t.Errorf("%v was never issued", d)
		case issued && !at.Before(d.In(zone).Add(7*time.Hour)):
			t.Errorf("%v was issued at %v, after work began", d, at.In(zone))
		case issued && rooms.DateOf(at.In(zone)).Before(start):
			t.Errorf("%v was issued at %v, before the loop began", d, at.In(zone))
		}
	}
}

// A daemon that stands still over its issue time catches the day up at its start,
// as long as some of the day is left, and issues it once.
func TestTheLoopCatchesUp(t *testing.T) {
	zone := zoneOf(t, "Europe/Berlin")
	tuesday := rooms.Date{Year: 2026, Month: 12, Day: 1}
	for _, tt := range []struct {
		from, to time.Duration // since Tuesday's midnight, the daemon stands still
		want     bool
	}{
		{-8 * time.Hour, -2 * time.Hour, true},              // back the same evening
		{-8 * time.Hour, 11 * time.Hour, true},              // back at eleven: the afternoon is left
		{-8 * time.Hour, 16*time.Hour + 1, false},           // back when work is over
		{-6 * time.Hour, 10 * time.Hour, true},              // stopped after it had issued
		{-8 * time.Hour, 24*time.Hour - 1*time.Hour, false}, // the whole day
	} {
		synctest.Test(t, func(t *testing.T) {
			s, err := ParseSpec("")
			if err != nil {
				t.Fatal(err)
			}
			l := &ledger{at: map[rooms.Date]time.Time{}}
			a := &App{log: slog.New(slog.DiscardHandler)}
			hours := weekdays(zone, tuesday.AddDays(-1), 10)
			run := func(until time.Time) {
				ctx, stop := context.WithCancel(context.Background())
				done := make(chan struct{})
				go func() { a.beat(ctx, l.clerk(s, zone, hours), func() {}); close(done) }()
				time.Sleep(time.Until(until))
				stop()
				<-done
			}
			midnight := tuesday.In(zone)
			time.Sleep(time.Until(midnight.Add(-12 * time.Hour)))
			run(midnight.Add(tt.from))
			time.Sleep(time.Until(midnight.Add(tt.to)))
			run(midnight.Add(max(tt.to, 23*time.Hour) + time.Minute))
			if _, got := l.at[tuesday]; got != tt.want {
				t.Errorf("standing still from %v to %v of Tuesday: issued %v, want %v", tt.from, tt.to, got, tt.want)
			}
			if _, got := l.at[tuesday.AddDays(1)]; !got {
				t.Errorf("standing still from %v to %v: Wednesday is not issued", tt.from, tt.to)
			}
		})
	}
}

// A tick that panics does not stop the ones after it, and one that takes long is
// not overtaken by the next.
func TestTheLoopOutlivesPanicsAndSlowTicks(t *testing.T) {
	synctest.Test(t, func(t *testing.T) {
		a := &App{log: slog.New(slog.DiscardHandler)}
		ctx, stop := context.WithCancel(context.Background())
		ticks, running, nights := 0, 0, 0
		done := make(chan struct{})
		go func() {
			a.beat(ctx, func() {
				running++
				if running > 1 {
					t.Error("two ticks run at once")
				}
				defer func() { running-- }()
				ticks++
				switch ticks {
				case 1, 3:
					panic("the third wall is missing")
				case 5:
					time.Sleep(10 * time.Minute)
				}
			}, func() { nights++ })
			close(done)
		}()
		time.Sleep(26 * time.Hour)
		stop()
		<-done
		if want := 26*60 - 10; ticks < want-2 || ticks > want+2 {
			t.Errorf("%d ticks in 26 h, want about %d", ticks, want)
		}
		if nights < 1 || nights > 2 {
			t.Errorf("%d nights in 26 h", nights)
		}
	})
}
