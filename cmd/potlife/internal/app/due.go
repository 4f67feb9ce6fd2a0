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

// NextFire is when the schedule fires after it has fired. Asked at midnight of a
// day on which clocks change by half an hour the schedule passes over a day, so
// it is asked again from later on.
func NextFire(s cron.Schedule, zone *time.Location, fired time.Time) time.Time {
	next := s.Next(fired.In(zone))
	if later := s.Next(fired.In(zone).Add(6 * time.Hour)); !later.IsZero() && later.Before(next) {
		return later
	}
	return next
}

// Span is a stretch of a crew's working hours.
type Span struct{ From, To time.Time }

// mostAhead is how many days ahead a schedule that fires seldom reaches.
const mostAhead = 8

// WorkDates are the working days that are due to be issued to a crew with these
// hours (in order of time) since the schedule last fired: each after that day up
// to the day on which it fires next, or where there is none the first after it.
// Days whose work is over are left out.
func WorkDates(hours []Span, zone *time.Location, fired, next, now time.Time) []rooms.Date {
	evening := rooms.DateOf(fired.In(zone))
	last := evening.AddDays(1)
	if !next.IsZero() {
		last = rooms.DateOf(next.In(zone))
	}
	if limit := evening.AddDays(mostAhead); limit.Before(last) {
		last = limit
	}
	var out []rooms.Date
	first := true
	for _, h := range hours {
		day := rooms.DateOf(h.From.In(zone))
		if !evening.Before(day) || len(out) > 0 && out[len(out)-1] == day {
			continue
		}
		if last.Before(day) && !first {
			break
		}
		if first = false; stillUseful(hours, zone, day, now) {
			out = append(out, day)
		} else if last.Before(day) {
			break
		}
	}
	return out
}

// quarter is the step to which the beginning of new work is rounded up.
const quarter = 15 * time.Minute

// NotBefore is the instant before which no new work is planned: now, or where
// the schedule fired today the next day, since what is not issued for today can
// no longer be.
func NotBefore(zone *time.Location, fired, now time.Time) time.Time {
	at := now.In(zone).Truncate(quarter)
	if at.Before(now) {
		at = at.Add(quarter)
	}
	if open := rooms.DateOf(fired.In(zone)).AddDays(1).In(zone); at.Before(open) {
		return open
	}
	return at
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
