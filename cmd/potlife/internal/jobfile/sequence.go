package jobfile

import (
	"fmt"
	"slices"

	"potlife/rooms"
)

// recipe checks that the firm has the recipe.
func (r *reader) recipe(v *value, name string) {
	if v == nil || name == "" {
		return
	}
	r.later = append(r.later, func(c *catalog) {
		if c.firm == nil {
			return
		}
		var known []string
		for _, q := range c.firm.Recipes {
			known = append(known, q.Key)
		}
		if !slices.Contains(known, name) {
			r.unknown(v.place, "recipe", name, known)
		}
	})
}

// checkLacks refuses a recipe that leaves out what a room's surfaces ask for: its
// goods would be bought and the work never done.
func (m *room) checkLacks(r *reader, out rooms.Room) {
	if m.Recipe == "" {
		return
	}
	r.later = append(r.later, func(c *catalog) {
		if c.firm == nil {
			return
		}
		kindOf := func(product string) string {
			if p := c.goods[product]; p != nil {
				return p.Kind
			}
			return ""
		}
		for _, q := range c.firm.Recipes {
			if q.Key != m.Recipe {
				continue
			}
			for i := range out.Surfaces {
				if first, then := q.Circle(&out.Surfaces[i]); then != "" {
					r.failf(m.v.at("recipe"), fmt.Sprintf("%q before %q there, or no such surface in the step's on", then, first),
						"recipe %s puts %q before %q on surface %s of room %s, which must be done first: together they run in a circle", m.Recipe, first, then, out.Surfaces[i].Key, m.Key)
					return
				}
			}
			for _, l := range q.Lacks(&out, kindOf) {
				r.failf(m.v.at("recipe"), fmt.Sprintf("a step %q in the recipe, by_others: [%s] there, or surfaces that ask for none", l.Work, l.Work),
					"recipe %s leaves out what room %s asks for: %s", m.Recipe, m.Key, l)
			}
		}
	})
}

// checkHolds holds a room's stops to its sequence of activities: one that ends
// before it begins would make the sequence run in a circle.
func checkHolds(r *reader, v *value, m *room) {
	in := v.get("holds")
	if in == nil {
		return
	}
	r.later = append(r.later, func(c *catalog) {
		sequence, ok := c.sequence(m.Recipe, m.Order)
		if !ok {
			return
		}
		for i, h := range m.Holds {
			at := in.place
			if i < len(in.items) {
				at = in.items[i].place
			}
			r.checkHold(at, m.Key, h, sequence)
		}
	})
}

func (r *reader) checkHold(at place, room string, h rooms.Hold, sequence []string) {
	after, before := -1, len(sequence)
	for _, name := range []string{h.After, h.Before} {
		if name != "" && !slices.Contains(sequence, name) {
			r.failf(at, "one of "+list(sequence), "hold %s of room %s names %q, which is no activity of its sequence", h.Key, room, name)
			return
		}
	}
	if h.After != "" {
		after = lastIndex(sequence, h.After)
	}
	if h.Before != "" {
		before = slices.Index(sequence, h.Before)
	}
	if after >= before {
		r.failf(at, fmt.Sprintf("after an activity that comes before %q", h.Before), "the activities of room %s run in a circle: hold %s comes after %q and before %q, which precedes it", room, h.Key, h.After, h.Before)
	}
}

func lastIndex(words []string, w string) int {
	for i := len(words) - 1; i >= 0; i-- {
		if words[i] == w {
			return i
		}
	}
	return -1
}

// sequence lists the kinds of a room's activities in order.
func (c *catalog) sequence(recipe, order string) ([]string, bool) {
	if recipe == "" {
		return activities, true
	}
	if c.firm == nil {
		return nil, false
	}
	for _, q := range c.firm.Recipes {
		if q.Key == recipe {
			var out []string
			for _, s := range q.Steps {
				out = append(out, s.Kind)
			}
			return out, true
		}
	}
	return nil, false
}

// checkTrips refuses a way from a site to itself and two times for one way.
func checkTrips(r *reader, travel *value) {
	if travel == nil {
		return
	}
	first := map[[2]string]int{}
	for _, in := range travel.items {
		from, to := scalarText(in.get("from")), scalarText(in.get("to"))
		key := [2]string{min(from, to), max(from, to)}
		line, twice := first[key]
		switch {
		case from == "" || to == "": // reported already
		case from == to:
			r.failf(in.place, "two different sites", "travel from %s to itself", from)
		case twice:
			r.failf(in.place, "each way once, either way counts", "the way between %s and %s stands a second time (first in line %d)", key[0], key[1], line)
		default:
			first[key] = in.line
		}
	}
}
