package scheduler

import (
	"time"

	"potlife/rooms"
)

// orderDay is the day on which an order sent now still goes out: today while the
// office is open, or before it opens; else the next day on which it works. Where
// now is not given, or the firm has no office hours, it is today.
func orderDay(f *Firm, today rooms.Date, now time.Time) rooms.Date {
	if len(f.Office) == 0 {
		return today
	}
	minute := 0
	if local := now.In(f.Zone); !now.IsZero() && rooms.DateOf(local) == today {
		minute = local.Hour()*60 + local.Minute()
	}
	for n := range 400 { // a firm that never works again orders today
		d := today.AddDays(n)
		if n > 0 {
			minute = 0
		}
		if closes := officeCloses(f, d); minute < closes {
			return d
		}
	}
	return today
}

// officeCloses is the minute after midnight at which the office closes on a day, 0
// where it does not open.
func officeCloses(f *Firm, d rooms.Date) int {
	closes := 0
	if !f.Days.Works(d) {
		return 0
	}
	weekday := int(d.Weekday())
	for _, h := range f.Office {
		if h.Weekday == weekday {
			closes = max(closes, h.End)
		}
	}
	return closes
}
