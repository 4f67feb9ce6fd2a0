package scheduler

import (
	"fmt"

	"potlife/takeoff"
)

// keepWarm is how long a room is to stay above a product's lowest temperature
// after it is used: 48 h, as one maker's advice for cold weather has it.
const keepWarm = 48 * 60

// coldCures says which products a room gets too cold for while they are young. The
// plan does not count that time as cure, but a cure that was interrupted may never
// come to its end. Each product is said once to a room, of its first use.
func (m *maker) coldCures(p *Plan) []takeoff.Finding {
	byKey := map[string]*roomWork{}
	for _, r := range m.rooms {
		byKey[r.key] = r
	}
	var out []takeoff.Finding
	said := map[takeoff.Use]bool{}
	for i := range p.Activities {
		a := &p.Activities[i]
		r := byKey[a.Room]
		if r == nil || len(r.air) == 0 || a.Finish+keepWarm < m.works.begin {
			continue
		}
		for _, u := range a.Products {
			product, key := m.products[u.Product], takeoff.Use{Product: u.Product, Room: a.Room}
			least := product.Sheet.MinCelsius
			at, celsius, cold := r.coldFrom(least, a.Finish, a.Finish+keepWarm)
			if least == 0 || !cold || said[key] {
				continue
			}
			said[key] = true
			out = append(out, takeoff.Finding{Rule: "temperature", Severity: takeoff.Warn, Where: a.Room, Value: celsius, Limit: least,
				Message: fmt.Sprintf("%s is used until %s, and on %s the room has %s: below %s it does not cure, what waits for it waits as much longer, and it may never get its strength; keep the room warm for two days after it, or do it later",
					product.Name, m.clock.Words(a.Finish), m.clock.DayWords(at), degrees(celsius), degrees(least)),
				Source: "data sheet; makers' advice for cold weather (24 h before and 48 h after)"})
		}
	}
	return out
}

// coldFrom is the first minute of a time at which the room is colder than least.
func (r *roomWork) coldFrom(least float64, from, to int) (minute int, celsius float64, cold bool) {
	for i, s := range r.air {
		end := to
		if i+1 < len(r.air) {
			end = min(to, r.air[i+1].from)
		}
		if start := max(from, s.from); start < end && s.celsius < least {
			return start, s.celsius, true
		}
	}
	return 0, 0, false
}
