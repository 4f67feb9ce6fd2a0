package app

import (
	"fmt"
	"time"

	"github.com/robfig/cron/v3"

	"potlife/rooms"
)

// DefaultSpec issues the next working day at five in the afternoon.
const DefaultSpec = "0 17 * * *"

// ParseSpec reads a five-field cron spec. A spec that never fires is refused,
// and so is one on which the parser itself panics: both come from users.
func ParseSpec(spec string) (s cron.Schedule, err error) {
	if spec == "" {
		spec = DefaultSpec
	}
	defer func() {
		if p := recover(); p != nil {
			s, err = nil, fmt.Errorf("issue time %q cannot be read: %v", spec, p)
		}
	}()
	s, err = cron.ParseStandard(spec)
	if err != nil {
		return nil, fmt.Errorf("issue time %q: %w; expected minute, hour, day, month, weekday, such as %q", spec, err, DefaultSpec)
	}
	if s.Next(time.Date(2026, 1, 1, 0, 0, 0, 0, time.UTC)).IsZero() {
		return nil, fmt.Errorf("issue time %q never comes", spec)
	}
	return s, nil
}

// LastFire is the latest time at or before now at which the schedule fired, in
// zone; none in the last 400 days reports false. It asks the schedule alone and
// no timer, so a run that was missed is found again.
func LastFire(s cron.Schedule, zone *time.Location, now time.Time) (time.Time, bool) {
	now = now.In(zone)
	for back := time.Hour; back <= 400*24*time.Hour; back *= 5 {
		t := s.Next(now.Add(-back))
		if t.IsZero() || t.After(now) {
			continue
		}
		for n := s.Next(t); !n.IsZero() && !n.After(now); n = s.Next(n) {
			t = n
		}
		return t, true
	}
	return time.Time{}, false
}

// Span is a stretch of a crew's working hours.
type Span struct{ From, To time.Time }

// WorkDate is the working day that is due to be issued to a crew with these
// hours (in order of time): the first after the day on which the schedule last
// fired, as long as its work is not over. It reports false when nothing is due.
func WorkDate(hours []Span, zone *time.Location, fired, now time.Time) (rooms.Date, bool) {
	evening := rooms.DateOf(fired.In(zone))
	for _, h := range hours {
		day := rooms.DateOf(h.From.In(zone))
		if !evening.Before(day) {
			continue
		}
		return day, stillUseful(hours, zone, day, now)
	}
	return rooms.Date{}, false
}

// stillUseful reports whether some of the day's working time lies ahead.
func stillUseful(hours []Span, zone *time.Location, day rooms.Date, now time.Time) bool {
	for _, h := range hours {
		if rooms.DateOf(h.From.In(zone)) == day && h.To.After(now) {
			return true
		}
	}
	return false
}
