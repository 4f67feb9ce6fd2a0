package plandoc

import (
	"potlife/rooms"
)

// daysOf writes working days.
func daysOf(d rooms.Days) *Days {
	out := &Days{Week: []int{}, Off: []string{}, On: []string{}}
	for n := 1; n <= 7; n++ {
		if d.Week[n%7] {
			out.Week = append(out.Week, n)
		}
	}
	for _, x := range d.Off {
		out.Off = append(out.Off, x.String())
	}
	for _, x := range d.On {
		out.On = append(out.On, x.String())
	}
	return out
}

// someDays are days that somebody has named, nil where nobody has.
func someDays(d rooms.Days) *Days {
	if !d.Any() {
		return nil
	}
	return daysOf(d)
}

// openDays are those of a site's hours less those on which it is closed.
func openDays(s *rooms.Site) *Days {
	if len(s.Hours) == 0 && len(s.Closed) == 0 {
		return nil
	}
	var d rooms.Days
	for k := range d.Week {
		d.Week[k] = len(s.Hours) == 0
	}
	for _, h := range s.Hours {
		d.Week[h.Weekday] = true
	}
	d.Off = s.Closed
	return daysOf(d)
}
