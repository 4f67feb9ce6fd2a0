package rooms

import "time"

// Sentences name days and hours in one way, "Mon 7 Dec" and "Mon 7 Dec 07:30",
// which whatever shows them to people may turn into theirs.
const (
	dayWords    = "Mon 2 Jan"
	momentWords = "Mon 2 Jan 15:04"
)

// Words writes d as a sentence names a day that is near: "Mon 7 Dec".
func (d Date) Words() string {
	if d.IsZero() {
		return ""
	}
	return d.In(time.UTC).Format(dayWords)
}

// MomentWords writes the day and hour of t, in its own zone, as a sentence names
// them: "Mon 7 Dec 07:30".
func MomentWords(t time.Time) string { return t.Format(momentWords) }
