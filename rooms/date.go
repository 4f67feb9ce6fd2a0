package rooms

import (
	"fmt"
	"time"
)

// Date is a civil date without a time zone. The zero Date means none.
type Date struct {
	Year  int
	Month time.Month
	Day   int
}

// DateOf returns the civil date of t in t's own location.
func DateOf(t time.Time) Date {
	y, m, d := t.Date()
	return Date{y, m, d}
}

// ParseDate reads YYYY-MM-DD.
func ParseDate(s string) (Date, error) {
	t, err := time.Parse(time.DateOnly, s)
	if err != nil {
		return Date{}, fmt.Errorf("%q is no date; expected YYYY-MM-DD", s)
	}
	return DateOf(t), nil
}

// String prints YYYY-MM-DD, and nothing for the zero Date.
func (d Date) String() string {
	if d.IsZero() {
		return ""
	}
	return fmt.Sprintf("%04d-%02d-%02d", d.Year, d.Month, d.Day)
}

// IsZero reports whether d is no date at all.
func (d Date) IsZero() bool { return d == Date{} }

// In returns the first instant of d in loc.
func (d Date) In(loc *time.Location) time.Time {
	return time.Date(d.Year, d.Month, d.Day, 0, 0, 0, 0, loc)
}

// AddDays returns the date n days after d.
func (d Date) AddDays(n int) Date {
	return DateOf(time.Date(d.Year, d.Month, d.Day+n, 0, 0, 0, 0, time.UTC))
}

// Weekday returns the day of the week of d.
func (d Date) Weekday() time.Weekday { return d.In(time.UTC).Weekday() }

// Compare is negative, zero or positive as d lies before, on or after e.
func (d Date) Compare(e Date) int { return d.In(time.UTC).Compare(e.In(time.UTC)) }

// Before reports whether d lies before e.
func (d Date) Before(e Date) bool { return d.Compare(e) < 0 }

// MarshalText writes YYYY-MM-DD.
func (d Date) MarshalText() ([]byte, error) { return []byte(d.String()), nil }

// UnmarshalText reads YYYY-MM-DD, or nothing for the zero Date.
func (d *Date) UnmarshalText(b []byte) error {
	if len(b) == 0 {
		*d = Date{}
		return nil
	}
	got, err := ParseDate(string(b))
	*d = got
	return err
}
