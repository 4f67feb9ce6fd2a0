package web

import (
	"fmt"
	"slices"
	"strings"
	"time"

	"potlife/cmd/potlife/internal/plandoc"
)

// checkAway checks a report that somebody is away from a day on.
func checkAway(in *RecordIn, day, now time.Time) error {
	bad := func(field, format string, args ...any) error {
		return &Error{Kind: Invalid, Field: field, Text: fmt.Sprintf(format, args...)}
	}
	if in.Who == "" {
		return bad("who", "Say who is away.")
	}
	if day.After(now.AddDate(1, 0, 0)) {
		return bad("date", "The day %s lies more than a year ahead.", in.Date)
	}
	if in.Until == "" {
		in.Until = in.Date
	}
	until, err := time.Parse(time.DateOnly, in.Until)
	switch {
	case err != nil:
		return bad("until", "The last day %q is not of the form 2026-03-04.", in.Until)
	case until.Before(day):
		return bad("until", "The last day, %s, lies before the first, %s.", in.Until, in.Date)
	}
	if in.AwayFrom == "" && in.AwayTo == "" {
		return nil
	}
	if in.AwayFrom == "" {
		in.AwayFrom = "00:00"
	}
	if in.AwayTo == "" {
		in.AwayTo = "24:00"
	}
	for _, n := range []struct{ field, text string }{{"away_from", in.AwayFrom}, {"away_to", in.AwayTo}} {
		if _, err := time.Parse("15:04", n.text); err != nil && n.text != "24:00" {
			return bad(n.field, "The time %q is not of the form 14:30.", n.text)
		}
	}
	if in.AwayFrom >= in.AwayTo {
		return bad("away_to", "Who is away from %s is not back by %s.", in.AwayFrom, in.AwayTo)
	}
	return nil
}

// awayText says who is away and when: "Ida from Wed 4 Mar until Fri 6 Mar, 13:00–15:30".
func awayText(w plandoc.Writing, in RecordIn) string {
	text := in.Who
	if in.Who == "setter" || in.Who == "helper" {
		text = "a " + in.Who
	}
	if in.Until == in.Date {
		text += " on " + w.ShortDay(in.Date)
	} else {
		text += " from " + w.ShortDay(in.Date) + " until " + w.ShortDay(in.Until)
	}
	if in.AwayFrom != "" {
		at := func(t string) string { return in.Date + "T" + t + ":00Z" }
		of := plandoc.Writing{Imperial: w.Imperial} // times of day, of no zone
		switch {
		case in.AwayTo == "24:00":
			text += ", from " + of.Clock(at(in.AwayFrom)) + " on"
		case in.AwayFrom == "00:00":
			text += ", until " + of.Clock(at(in.AwayTo))
		default:
			text += ", " + of.Span(at(in.AwayFrom), at(in.AwayTo))
		}
	}
	return text
}

// mayBeAway are those of a crew who can be said to be away: by their names, setters
// first, and a setter or a helper where these have none.
func mayBeAway(x *plandoc.Index, crew string) (out []choice) {
	c := x.Crews[crew]
	if c == nil {
		return nil
	}
	for _, role := range []struct {
		key    string
		has    int
		helper bool
	}{{"setter", c.Setters, false}, {"helper", c.Helpers, true}} {
		named := false
		for _, p := range c.People {
			if p.Helper == role.helper {
				named = true
				out = append(out, choice{Key: p.Name, Name: p.Name + map[bool]string{true: " (helper)"}[p.Helper]})
			}
		}
		if !named && role.has > 0 {
			out = append(out, choice{Key: role.key, Name: "a " + role.key})
		}
	}
	return out
}

// chosen marks the one that a report names, also where the crew has no such name.
func chosen(list []choice, key string) []choice {
	i := slices.IndexFunc(list, func(c choice) bool { return strings.EqualFold(c.Key, key) })
	if i < 0 {
		return append(list, choice{Key: key, Name: key, Chosen: true})
	}
	list[i].Chosen = true
	return list
}
