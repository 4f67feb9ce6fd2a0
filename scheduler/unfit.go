package scheduler

import (
	"cmp"
	"errors"
	"fmt"
	"slices"
	"strings"

	"potlife/takeoff"
)

// unfit tells of each crew that can take none of the rooms that are still to be begun,
// and why: it stands idle, and nobody planned that.
func (c *choice) unfit() (out []takeoff.Finding) {
	if len(c.w.firm.Crews) < 2 {
		return nil
	}
	for k := range c.w.firm.Crews {
		crew := &c.w.firm.Crews[k]
		if why := c.whyNone(crew.Key); why != "" {
			out = append(out, takeoff.Finding{Rule: "crew", Severity: takeoff.Warn, Where: crew.Key, Source: "the crews, rooms and sites",
				Message: fmt.Sprintf("%s can take no room: %s", c.w.called.crew(crew.Key), why)})
		}
	}
	return out
}

// whyNone says why a crew may do none of the rooms in which something is left to do,
// and is "" where it may do one, or there is none.
func (c *choice) whyNone(key string) string {
	var reasons []string
	of := map[string]int{}
	for room := range c.rooms {
		if want := c.wanted(room); want != "" && want != key {
			continue // named for it, or begun by it
		}
		err := c.unfitFor(room, key)
		if err == nil { // also of a room in which all is done
			return ""
		}
		why := c.reasonOf(room, err)
		if of[why]++; of[why] == 1 {
			reasons = append(reasons, why)
		}
	}
	for i, why := range reasons {
		if len(c.rooms) > 1 {
			reasons[i] = fmt.Sprintf("%s (%s)", why, several(of[why], "room"))
		}
	}
	return firstFew(reasons)
}

// firstFew are the first reasons; what would be left out alone is told too.
func firstFew(reasons []string) string {
	const most = 4
	if n := len(reasons) - most; n > 1 {
		reasons = append(slices.Clip(reasons[:most]), fmt.Sprintf("and %d more reasons", n))
	}
	return strings.Join(reasons, "; ")
}

// unfitFor is why a crew may not do a room, whether all of it is there or not.
func (c *choice) unfitFor(room int, crew string) (first error) {
	for k := range c.w.teams {
		if c.w.teams[k].Key != crew {
			continue
		}
		err := c.shape(room, k).err
		if err == nil {
			return nil
		}
		first = cmp.Or(first, err)
	}
	return first
}

// unable is why a crew may not do a room: as an error of the room, and short, of
// the crew.
type unable struct{ text, short string }

func (e *unable) Error() string { return e.text }

// reasonOf is why a crew may not do a room, without the room: it is the same of many.
func (c *choice) reasonOf(room int, err error) string {
	var e *unable
	if errors.As(err, &e) {
		return e.short
	}
	return strings.TrimPrefix(err.Error(), c.w.called.room(c.rooms[room].key)+": ")
}
