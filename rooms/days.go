package rooms

import "time"

// Days says which days of the year count as working days: a weekday mask and
// dated exceptions, both of which the user can edit. It serves crews,
// companies and suppliers alike.
type Days struct {
	// Week[time.Monday] … Week[time.Sunday]; true is a working day.
	Week [7]bool
	// Off are dated days without work: holidays and absences.
	Off []Date
	// On are dated days with work although the week says none.
	On []Date
}

// MondayToFriday is the usual working week without any holiday.
func MondayToFriday() Days {
	var d Days
	for w := time.Monday; w <= time.Friday; w++ {
		d.Week[w] = true
	}
	return d
}

// Works reports whether d is a working day. An entry in Off wins over one in
// On, and both over the week.
func (c Days) Works(d Date) bool {
	for _, o := range c.Off {
		if o == d {
			return false
		}
	}
	for _, o := range c.On {
		if o == d {
			return true
		}
	}
	return c.Week[d.Weekday()]
}

// Any reports whether there is any working weekday or dated working day.
func (c Days) Any() bool { return c.Week != [7]bool{} || len(c.On) > 0 }

// Add returns the date n working days after d (before it when n is negative),
// and d itself when n is 0. It gives up after 3 660 days without reaching
// one, and then reports false.
func (c Days) Add(d Date, n int) (Date, bool) {
	step := 1
	if n < 0 {
		step, n = -1, -n
	}
	for range 3660 {
		if n == 0 {
			return d, true
		}
		d = d.AddDays(step)
		if c.Works(d) {
			n--
		}
	}
	return d, n == 0
}
