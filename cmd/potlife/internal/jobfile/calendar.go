package jobfile

import (
	"fmt"
	"regexp"
	"sort"
	"strconv"
	"strings"
	"time"

	"potlife/rooms"
)

var weekdays = []string{"sunday", "monday", "tuesday", "wednesday", "thursday", "friday", "saturday"}

// parseDays reads "monday", "monday-friday", "monday, wednesday"; days may be
// cut to three letters.
func parseDays(s string) ([7]bool, error) {
	var week [7]bool
	for part := range strings.SplitSeq(s, ",") {
		from, to, isRange := strings.Cut(strings.TrimSpace(part), "-")
		a, b := weekday(from), weekday(to)
		if !isRange {
			b = a
		}
		if a < 0 || b < 0 {
			return week, fmt.Errorf("%q names no days; expected such as monday, or monday-friday", s)
		}
		for d := a; ; d = (d + 1) % 7 {
			week[d] = true
			if d == b {
				break
			}
		}
	}
	return week, nil
}

func weekday(s string) int {
	s = strings.ToLower(strings.TrimSpace(s))
	for i, w := range weekdays {
		if len(s) >= 3 && strings.HasPrefix(w, s) {
			return i
		}
	}
	return -1
}

// weekForm is a set of weekdays.
var weekForm = form[[7]bool]{
	read: func(r *reader, v *value) ([7]bool, bool) {
		if v.isWord("none") {
			return [7]bool{}, true
		}
		var week [7]bool
		items := v.items
		if v.kind != sequence {
			items = []*value{v}
		}
		for _, in := range items {
			if in.kind != scalar {
				r.failf(in.place, "weekdays such as monday-friday", "this is %s", in.kind)
				return week, false
			}
			got, err := parseDays(in.text)
			if err != nil {
				what, expected, _ := strings.Cut(err.Error(), "; expected ")
				r.fail(in.place, what, expected)
				return week, false
			}
			for d := range got {
				week[d] = week[d] || got[d]
			}
		}
		return week, true
	},
	write: func(week [7]bool) any {
		var days []any
		for d := range week {
			if week[d] {
				days = append(days, weekdays[d])
			}
		}
		return days
	},
	schema: func(*schemas) any {
		return ordered{{"description", "weekdays: monday-friday, or a list of days; none for no day"}, {"type", []any{"string", "array"}}, {"items", ordered{{"type", "string"}}}}
	},
}

var spanPattern = regexp.MustCompile(`^([0-2]?\d):([0-5]\d)\s*(?:-|–|to)\s*([0-2]?\d):([0-5]\d)$`)

// parseSpan reads 07:00-12:00 into minutes after midnight.
func parseSpan(s string) (start, end int, err error) {
	m := spanPattern.FindStringSubmatch(strings.TrimSpace(s))
	if m == nil {
		return 0, 0, fmt.Errorf("%q is no span of hours; expected such as 07:00-12:00", s)
	}
	var n [4]int
	for i := range n {
		n[i], _ = strconv.Atoi(m[i+1])
	}
	start, end = n[0]*60+n[1], n[2]*60+n[3]
	if start >= end || end > 1440 {
		return 0, 0, fmt.Errorf("%q ends before it begins, or after midnight; expected such as 07:00-12:00, the end later and at most 24:00", s)
	}
	return start, end, nil
}

func writeSpan(h rooms.DayHours) string {
	return fmt.Sprintf("%02d:%02d-%02d:%02d", h.Start/60, h.Start%60, h.End/60, h.End%60)
}

// hoursForm is working hours by weekday: {monday-thursday: [07:00-12:00,
// 12:30-16:00], friday: 07:00-13:00}.
var hoursForm = form[[]rooms.DayHours]{read: readHours, write: writeHours, schema: func(*schemas) any {
	return ordered{{"description", "hours by weekday: {monday-thursday: [07:00-12:00, 12:30-16:00], friday: 07:00-13:00}"},
		{"type", "object"}, {"additionalProperties", ordered{{"type", []any{"string", "array"}}, {"items", ordered{{"type", "string"}}}}}}
}}

func readHours(r *reader, v *value) ([]rooms.DayHours, bool) {
	if v.kind != mapping {
		r.failf(v.place, "{monday-friday: 07:00-16:00}", "the hours are %s", v.kind)
		return nil, false
	}
	var out []rooms.DayHours
	for _, p := range v.pairs {
		week, err := parseDays(p.key)
		if err != nil {
			what, expected, _ := strings.Cut(err.Error(), "; expected ")
			r.fail(p.place, what, expected)
			continue
		}
		items := p.value.items
		if p.value.kind != sequence {
			items = []*value{p.value}
		}
		for _, in := range items {
			start, end, err := parseSpan(in.text)
			if err != nil {
				what, expected, _ := strings.Cut(err.Error(), "; expected ")
				r.fail(in.place, what, expected)
				continue
			}
			for d := range week {
				if week[d] {
					out = append(out, rooms.DayHours{Weekday: d, Start: start, End: end})
				}
			}
		}
	}
	sortHours(out)
	for i := 1; i < len(out); i++ {
		if a, b := out[i-1], out[i]; a.Weekday == b.Weekday && b.Start < a.End {
			r.failf(v.place, "spans of a day that do not overlap", "on %s %s and %s overlap", weekdays[a.Weekday], writeSpan(a), writeSpan(b))
			return nil, false
		}
	}
	return out, true
}

func sortHours(hours []rooms.DayHours) {
	sort.SliceStable(hours, func(i, j int) bool {
		a, b := hours[i], hours[j]
		if a.Weekday != b.Weekday {
			return a.Weekday < b.Weekday
		}
		return a.Start < b.Start
	})
}

func writeHours(hours []rooms.DayHours) any {
	hours = append([]rooms.DayHours(nil), hours...)
	sortHours(hours)
	var out ordered
	for _, h := range hours {
		day := weekdays[h.Weekday]
		if n := len(out); n > 0 && out[n-1].key == day {
			out[n-1].value = append(out[n-1].value.([]any), writeSpan(h))
			continue
		}
		out = append(out, entry{day, []any{writeSpan(h)}})
	}
	return out
}

// datesForm is a list of dates; 2026-12-24..2027-01-02 stands for every day of
// the span.
var datesForm = form[[]rooms.Date]{read: readDates, write: func(dates []rooms.Date) any {
	out := make([]any, len(dates))
	for i, d := range dates {
		out[i] = raw(d.String())
	}
	return out
}, schema: func(*schemas) any {
	return ordered{{"description", "dates YYYY-MM-DD, or spans YYYY-MM-DD..YYYY-MM-DD"}, {"type", "array"}, {"items", ordered{{"type", "string"}}}}
}}

func readDates(r *reader, v *value) ([]rooms.Date, bool) {
	if v.kind != sequence {
		r.failf(v.place, "a list of dates: [2026-12-24, 2026-12-28..2026-12-31]", "this is %s", v.kind)
		return nil, false
	}
	var out []rooms.Date
	for _, in := range v.items {
		a, b, ok := readSpan(r, in)
		for d := a; ok && !b.Before(d); d = d.AddDays(1) {
			out = append(out, d)
		}
	}
	return out, true
}

// readSpan reads a date, or a span of dates with its first and last.
func readSpan(r *reader, v *value) (first, last rooms.Date, ok bool) {
	if v.kind != scalar {
		r.failf(v.place, "a date YYYY-MM-DD", "this is %s", v.kind)
		return first, last, false
	}
	from, to, isSpan := strings.Cut(v.text, "..")
	if !isSpan {
		to = from
	}
	first, err := rooms.ParseDate(strings.TrimSpace(from))
	last, err2 := rooms.ParseDate(strings.TrimSpace(to))
	if err != nil || err2 != nil || last.Before(first) || first.In(time.UTC).AddDate(3, 0, 0).Before(last.In(time.UTC)) {
		r.failf(v.place, "YYYY-MM-DD, or YYYY-MM-DD..YYYY-MM-DD over at most three years", "%q is no date and no span of dates", v.text)
		return first, last, false
	}
	return first, last, true
}
