package jobfile

import (
	"slices"
	"sort"
	"strings"

	"potlife/rooms"
	"potlife/scheduler"
)

var toolObject = object[scheduler.Tool]{
	name: "tool", doc: "a tool that crews share",
	fields: []field[scheduler.Tool]{
		keep("key", list(scheduler.Tools())+", or one that a recipe's step names", textForm, func(t *scheduler.Tool) *string { return &t.Key }).needed(),
		keep("count", "how many the firm has", whole(1, 1000, "tools"), func(t *scheduler.Tool) *int { return &t.Count }).needed(),
	},
}

// absenceObject is one person away for a time.
var absenceObject = object[scheduler.Absence]{
	name: "absence", doc: "one person of a crew away for some days; the others work on",
	fields: []field[scheduler.Absence]{
		keep("who", "the person's name, as among the crew's people where they are named", textForm, func(a *scheduler.Absence) *string { return &a.Who }),
		keep("helper", "a helper; a setter if left out and the crew's people do not say", flagForm, func(a *scheduler.Absence) *bool { return &a.Helper }),
		{key: "on", doc: "the day YYYY-MM-DD, or the days YYYY-MM-DD..YYYY-MM-DD", must: true,
			read: func(r *reader, v *value, a *scheduler.Absence) {
				if from, to, ok := readSpan(r, v); ok {
					a.From, a.To = from, to
				}
			},
			write: func(a *scheduler.Absence) (any, bool) {
				if a.From == a.To {
					return raw(a.From.String()), true
				}
				return a.From.String() + ".." + a.To.String(), true
			},
			schema: func(*schemas) any { return ordered{{"type", "string"}} }},
		{key: "hours", doc: "the hours of those days, such as 13:00-16:00; all day if left out",
			read: func(r *reader, v *value, a *scheduler.Absence) {
				from, to, err := parseSpan(v.text)
				if err != nil {
					what, expected, _ := strings.Cut(err.Error(), "; expected ")
					r.fail(v.place, what, expected)
					return
				}
				a.Start, a.End = from, to
			},
			write: func(a *scheduler.Absence) (any, bool) {
				return writeSpan(rooms.DayHours{Start: a.Start, End: a.End}), a.End > 0
			},
			schema: func(*schemas) any { return ordered{{"type", "string"}} }},
	},
}

// datedForm is hours by date: {2026-12-24: 07:00-12:00, 2026-12-19..2026-12-20:
// [07:00-12:00, 12:30-18:00]}.
var datedForm = form[[]scheduler.DatedHours]{read: readDated, write: writeDated, schema: func(*schemas) any {
	return ordered{{"description", "hours by date: {2026-12-24: 07:00-12:00, 2026-12-19: [07:00-12:00, 12:30-18:00]}"},
		{"type", "object"}, {"additionalProperties", ordered{{"type", []any{"string", "array"}}, {"items", ordered{{"type", "string"}}}}}}
}}

func readDated(r *reader, v *value) ([]scheduler.DatedHours, bool) {
	if v.kind != mapping {
		r.failf(v.place, "{2026-12-24: 07:00-12:00}", "the hours are %s", v.kind)
		return nil, false
	}
	var out []scheduler.DatedHours
	seen := map[rooms.Date]bool{}
	for _, p := range v.pairs {
		first, last, ok := readSpan(r, &value{kind: scalar, text: p.key, place: p.place})
		if !ok {
			continue
		}
		items := p.value.items
		if p.value.kind != sequence {
			items = []*value{p.value}
		}
		for d := first; !last.Before(d); d = d.AddDays(1) {
			if seen[d] {
				r.failf(p.place, "each date once", "%s has hours already", d)
				return nil, false
			}
			seen[d] = true
			end := -1
			for _, in := range items {
				from, to, err := parseSpan(in.text)
				if err != nil {
					what, expected, _ := strings.Cut(err.Error(), "; expected ")
					r.fail(in.place, what, expected)
					return nil, false
				}
				if from < end {
					r.failf(in.place, "spans in order that do not overlap", "%s begins before the span before it ends", in.text)
					return nil, false
				}
				end = to
				out = append(out, scheduler.DatedHours{On: d, Start: from, End: to})
			}
		}
	}
	sortDated(out)
	return out, true
}

func sortDated(hours []scheduler.DatedHours) {
	sort.SliceStable(hours, func(i, j int) bool {
		if a, b := hours[i], hours[j]; a.On != b.On {
			return a.On.Before(b.On)
		}
		return hours[i].Start < hours[j].Start
	})
}

func writeDated(hours []scheduler.DatedHours) any {
	hours = slices.Clone(hours)
	sortDated(hours)
	var out ordered
	for _, h := range hours {
		day, span := h.On.String(), writeSpan(rooms.DayHours{Start: h.Start, End: h.End})
		if n := len(out); n > 0 && out[n-1].key == day {
			out[n-1].value = append(out[n-1].value.([]any), span)
			continue
		}
		out = append(out, entry{day, []any{span}})
	}
	return out
}

// checkSkills refuses a skill that no work asks for, and a step's tool that the
// firm does not have.
func checkSkills(r *reader, v *value, f *firm) {
	known, tools := scheduler.Skills(), map[string]bool{}
	for _, c := range f.Recipes {
		for _, s := range c.Steps {
			if s.Skill != "" {
				known = append(known, s.Skill)
			}
		}
	}
	for _, t := range f.Tools {
		tools[t.Key] = true
	}
	for i, in := range itemsOf(v, "crews") {
		if skills := in.get("skills"); skills != nil && i < len(f.Crews) {
			for k, s := range f.Crews[i].Skills {
				if !slices.Contains(known, s) && k < len(skills.items) {
					r.failf(skills.items[k].place, list(known), "no work asks for the skill %q", s)
				}
			}
		}
	}
	for _, c := range itemsOf(v, "recipes") {
		for _, s := range itemsOf(c, "steps") {
			if t := s.get("tool"); t != nil && !tools[scalarText(t)] {
				r.failf(t.place, "a tool of the firm's tools", "the firm has no tool %q", scalarText(t))
			}
		}
	}
}

func itemsOf(v *value, key string) []*value {
	if in := v.get(key); in != nil {
		return in.items
	}
	return nil
}
