package scheduler

import (
	"fmt"
	"sort"

	"potlife/rooms"
)

// WhyIdle says why a crew has no work on a day: what its next work waits for,
// or that it is off or has none left. It is "" where the crew works that day.
func WhyIdle(p *Plan, crew string, date rooms.Date) string {
	clock := clockOf(p)
	start, end := clock.DayStart(date), clock.DayStart(date.AddDays(1))
	byID := map[string]*Activity{}
	var next *Activity
	for i := range p.Activities {
		a := &p.Activities[i]
		byID[a.ID] = a
		if a.Crew != crew || a.Finish <= start {
			continue
		}
		if a.Start < end {
			return ""
		}
		if next == nil || a.Start < next.Start {
			next = a
		}
	}
	hours := p.Hours[crew]
	i := sort.Search(len(hours), func(k int) bool { return hours[k].End > start })
	switch {
	case i < len(hours) && hours[i].Start >= end:
		return "the crew does not work on this day"
	case next == nil:
		return "no work is left for the crew"
	}
	until, why := 0, ""
	for _, l := range next.After {
		b := byID[l.Activity]
		if b != nil && b.Finish+l.Least > until {
			until, why = b.Finish+l.Least, l.Why
		}
	}
	if until <= start && next.Because != "" {
		return fmt.Sprintf("%s; next is %s in %s on %s", next.Because, next.Title, called(&p.Firm, p.Jobs).room(next.Room), clock.DayWords(next.Start))
	}
	if until <= start {
		why, until = "rooms, deliveries or other crews are awaited", next.Start
	}
	return fmt.Sprintf("%s until %s; next is %s in %s on %s", why, clock.Words(until), next.Title, called(&p.Firm, p.Jobs).room(next.Room), clock.DayWords(next.Start))
}
