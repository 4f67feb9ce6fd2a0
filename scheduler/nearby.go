package scheduler

import "slices"

// A plan in force has its areas, and who reads it has seen them: only what begins soon
// is divided anew. Areas that were divided for fewer people or hours than there are
// now, as an absence is taken back or overtime is worked, would stay too small until
// then, and each of them costs its setting up and cleaning up.

// nearby are the runs of areas at which a plan looks that is divided anew: those that
// begin before a minute, and those for which there is more than before.
type nearby struct {
	until int
	more  map[string]bool // by piece: it begins an area for which there is more
	only  *roomWork       // nil: in all rooms
	over  int             // minutes by which a run may end later, before work that begins then
}

func (n nearby) has(r *setRun) bool {
	return (n.only == nil || n.only == r.tasks[0].room) && (r.start() < n.until || n.grew(r))
}

func (n nearby) grew(r *setRun) bool {
	return slices.ContainsFunc(r.tasks, func(t *task) bool { return n.more[t.area.items[0].piece.ID] })
}

// rooms are the first so many in which a run has more than before, or any where nothing
// was before.
func (n nearby) rooms(c *choice, most int) (out []*roomWork) {
	for _, r := range c.runs() {
		if room := r.tasks[0].room; len(out) < most && (n.more == nil || n.grew(r)) && !slices.Contains(out, room) {
			out = append(out, room)
		}
	}
	return out
}

// nearby are the runs that begin within refillDays.
func (m *maker) nearby() nearby {
	n := nearby{}
	for _, c := range m.in.Firm.Crews {
		n.until = max(n.until, m.works.opens(c.Key)+refillDays*1440)
	}
	return n
}

// grown are the areas that have larger gangs than in the plan in force, or whose crews
// have hours that they had not, by the pieces they begin with.
func (m *maker) grown() map[string]bool {
	out, longer, was := map[string]bool{}, m.longer(), m.gangsBefore()
	for _, t := range m.choice.net.tasks {
		if t.area == nil {
			continue
		}
		first := t.area.items[0].piece.ID
		if g, ok := was[first]; ok && (longer[t.crew] || t.gang.setters > g.setters || t.gang.helpers > g.helpers) {
			out[first] = true
		}
	}
	return out
}

// longer are the crews that have hours which the plan in force had not for them.
func (m *maker) longer() map[string]bool {
	out, p := map[string]bool{}, m.in.Prior
	for crew, now := range m.works.hours {
		if was, ok := p.Hours[crew]; ok {
			from := m.works.opens(crew)
			out[crew] = len(Common(now, Outside(was, from, p.Horizon))) > 0
		}
	}
	return out
}

// gangsBefore are those of the areas of the plan in force that are still to be set, by
// the pieces they begin with.
func (m *maker) gangsBefore() map[string]hands {
	p := m.in.Prior
	by := make(map[string]hands, len(p.Activities))
	for i := range p.Activities {
		if a := &p.Activities[i]; a.Kind == kindSet {
			by[a.ID] = hands{setters: a.Setters, helpers: a.Helpers}
		}
	}
	out := make(map[string]hands, len(p.Areas))
	for i := range p.Areas {
		if a := &p.Areas[i]; len(a.Pieces) > 0 {
			out[a.Pieces[0]] = by[a.Activity]
		}
	}
	return out
}
