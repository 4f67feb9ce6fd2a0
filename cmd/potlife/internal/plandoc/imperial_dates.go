package plandoc

import (
	"regexp"
	"strings"
	"time"

	"potlife/rooms"
)

// moments are days and hours as rooms.Date.Words and rooms.MomentWords name them,
// with a year or without, and hours that stand alone.
var moments = regexp.MustCompile(`\b(Mon|Tue|Wed|Thu|Fri|Sat|Sun) (\d{1,2}) (Jan|Feb|Mar|Apr|May|Jun|Jul|Aug|Sep|Oct|Nov|Dec)\b(?: (\d{4})\b)?(?: (\d{2}:\d{2})\b)?|\b\d{2}:\d{2}\b(?: [ap]m\b| h\b)?`)

// imperialDates writes the days and hours of a sentence as a firm that works in
// inches does: "Mon, Dec 7 7:30 am".
func imperialDates(s string) string {
	return moments.ReplaceAllStringFunc(s, func(m string) string {
		at := moments.FindStringSubmatch(m)
		if at[1] == "" {
			return imperialHour(m)
		}
		out := at[1] + ", " + at[3] + " " + at[2]
		if at[4] != "" {
			out += ", " + at[4]
		}
		if at[5] != "" {
			out += " " + imperialHour(at[5])
		}
		return out
	})
}

// imperialHour turns "07:30"; hours of work ("07:30 h") and what is turned
// already stay.
func imperialHour(s string) string {
	t, err := time.Parse("15:04", s)
	if err != nil {
		return s
	}
	return t.Format(hour12)
}

// imperialGroups writes the thousands of figures with a comma.
func imperialGroups(s string) string { return strings.ReplaceAll(s, rooms.GroupMark, ",") }
