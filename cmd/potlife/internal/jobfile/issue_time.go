package jobfile

import (
	"fmt"
	"time"

	"github.com/robfig/cron/v3"
)

// issueForm is the cron line at which a day is issued.
var issueForm = form[string]{
	read:   single(parseIssueTime, func(s string) any { return s }, nil).read,
	write:  func(s string) any { return s },
	schema: textForm.schema,
}

// parseIssueTime refuses a line that no clock can follow: one that cannot be
// read, and one whose day never comes. The reader of cron lines panics on some
// broken zones, which is bad input like any other.
func parseIssueTime(s string) (line string, err error) {
	const expected = "minute, hour, day, month, weekday, such as 0 17 * * *"
	defer func() {
		if p := recover(); p != nil {
			line, err = "", fmt.Errorf("issue time %q cannot be read; expected %s", s, expected)
		}
	}()
	at, err := cron.ParseStandard(s)
	if err != nil {
		return "", fmt.Errorf("issue time %q: %v; expected %s", s, err, expected)
	}
	if at.Next(time.Date(2026, 1, 1, 0, 0, 0, 0, time.UTC)).IsZero() {
		return "", fmt.Errorf("issue time %q never comes; expected %s", s, expected)
	}
	return s, nil
}
