package scheduler

import (
	"cmp"
	"fmt"
	"maps"
	"slices"

	"potlife/rooms"
	"potlife/takeoff"
)

// way is a way between two sites, either way.
type way struct{ from, to string }

func wayOf(a, b string) way { return way{min(a, b), max(a, b)} }

// unnamedWay is a way that crews take and that the firm does not name.
type unnamedWay struct {
	days map[rooms.Date]bool
	room string // one that is gone to
}

// waysTaken lists the ways that a crew takes within a day and that are not named.
func (m *maker) waysTaken(p *Plan) map[way]*unnamedWay {
	named := map[way]bool{}
	for _, t := range m.in.Firm.Travel {
		named[wayOf(t.From, t.To)] = true
	}
	list := make([]*Activity, len(p.Activities))
	for i := range p.Activities {
		list[i] = &p.Activities[i]
	}
	slices.SortStableFunc(list, func(a, b *Activity) int { return cmp.Compare(a.Start, b.Start) })
	last, out := map[string]*Activity{}, map[way]*unnamedWay{}
	for _, is := range list {
		was := last[is.Crew]
		last[is.Crew] = is
		if is.Crew == "" || was == nil || was.Site == is.Site || m.clock.Day(was.Start) != m.clock.Day(is.Start) {
			continue
		}
		k := wayOf(was.Site, is.Site)
		if named[k] {
			continue
		}
		if out[k] == nil {
			out[k] = &unnamedWay{days: map[rooms.Date]bool{}, room: is.Room}
		}
		out[k].days[m.clock.Day(is.Start)] = true
	}
	return out
}

// unnamedWays warns of ways between sites that count as no time at all.
func (m *maker) unnamedWays(p *Plan) (out []takeoff.Finding) {
	taken := m.waysTaken(p)
	for _, k := range slices.SortedFunc(maps.Keys(taken), func(a, b way) int { return cmp.Or(cmp.Compare(a.from, b.from), cmp.Compare(a.to, b.to)) }) {
		n := len(taken[k].days)
		out = append(out, takeoff.Finding{Rule: "way between sites", Severity: takeoff.Warn, Where: taken[k].room,
			Message: fmt.Sprintf("on %s a crew goes between %s and %s; the firm's travel does not name that way, so it counts as no time", dayCount(n), m.works.called.site(k.from), m.works.called.site(k.to)),
			Value:   float64(n), Source: "the firm's travel"})
	}
	return out
}
