package jobfile

import (
	"fmt"
	"slices"

	"potlife/rooms"
	"potlife/scheduler"
)

// checkAway refuses one person absent twice at a time, and more people absent at once
// than a crew has: the crew would be planned with fewer than nobody.
func checkAway(r *reader, v *value, c *crew) {
	in := v.get("away")
	if in == nil || r.told(in) || len(in.items) != len(c.Away) {
		return
	}
	for i, a := range c.Away {
		for k, b := range c.Away[:i] {
			if d := laterOf(a.From, b.From); a.Who != "" && a.Who == b.Who && a.Helper == b.Helper && absent(a, d, max(a.Start, b.Start)) && absent(b, d, max(a.Start, b.Start)) {
				r.failf(in.items[i].place, "one entry for the same days", "%s of crew %s is away twice on %s (first in line %d)", a.Who, c.Key, d, in.items[k].line)
				return
			}
		}
	}
	for _, helper := range []bool{false, true} {
		has, role := c.Setters, "setter"
		if helper {
			has, role = c.Helpers, "helper"
		}
		if i, d, n := mostAway(c.Away, helper); n > has {
			r.failf(in.items[i].place, fmt.Sprintf("no more than %d absent at once, or more %ss in the crew", has, role),
				"%d %s of crew %s %s away on %s, and it has %d", n, rooms.Plural(role, float64(n)), c.Key, isAre(n), d, has)
		}
	}
}

// mostAway is the greatest number of setters or helpers who are absent at once, the day
// and the last absence that adds to it. As many are absent at the beginning of one's
// days and at the beginning of one's hours as at any time.
func mostAway(all []scheduler.Absence, helper bool) (last int, day rooms.Date, most int) {
	for _, a := range all {
		for _, b := range all {
			n, at := 0, 0
			for i, x := range all {
				if x.Helper == helper && absent(x, a.From, b.Start) {
					n, at = n+1, i
				}
			}
			if n > most {
				last, day, most = at, a.From, n
			}
		}
	}
	return last, day, most
}

// absent reports whether somebody is away at a minute of a day.
func absent(a scheduler.Absence, d rooms.Date, minute int) bool {
	return !d.Before(a.From) && !a.To.Before(d) && (a.End == 0 || a.Start <= minute && minute < a.End)
}

func laterOf(a, b rooms.Date) rooms.Date {
	if a.Before(b) {
		return b
	}
	return a
}

// checkBoth refuses a date that is both a day without work and one with: the day
// without wins, and what was meant for the day would be lost without a word.
func checkBoth(r *reader, v *value, who string, off []rooms.Date, offKey string, on []rooms.Date, onKey string) {
	for _, d := range on {
		if slices.Contains(off, d) {
			r.failf(v.at(onKey), "the date in one of the two", "%s stands in %s and in %s of %s", d, offKey, onKey, who)
			return
		}
	}
}

// datesOf are the dates of hours of single dates.
func datesOf(list []scheduler.DatedHours) []rooms.Date {
	var out []rooms.Date
	for _, h := range list {
		out = append(out, h.On)
	}
	return out
}

// isAre is the verb of so many.
func isAre(n int) string {
	if n == 1 {
		return "is"
	}
	return "are"
}
