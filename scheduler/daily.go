package scheduler

import (
	"slices"

	"potlife/scheduler/rcpsp"
)

// daily is a plan of which it is known who does what of the rooms' work on its days,
// and when: where the next one starts from.
type daily struct {
	manned  map[string]manning // by room, of crews that are short of people for a time
	starts  map[string]int     // by task
	byPiece map[string]int     // of setting
	score   *rcpsp.Score       // of the plan in force, nil where others are to be tried in any case
}

// open is the same where others are to be tried besides.
func (d *daily) open() *daily {
	o := *d
	o.score = nil
	return &o
}

func newDaily() *daily {
	return &daily{manned: map[string]manning{}, starts: map[string]int{}, byPiece: map[string]int{}}
}

// room is what is known of a room.
func (d *daily) room(key string) manning {
	m := d.manned[key]
	if m == nil {
		m = manning{}
		d.manned[key] = m
	}
	return m
}

// start is when a task begins, or its first piece where areas are divided otherwise;
// -1 where it is not known.
func (d *daily) start(t *task) int {
	start, ok := 0, false
	if t.area != nil {
		start, ok = d.byPiece[t.area.items[0].piece.ID]
	} else {
		start, ok = d.starts[t.id]
	}
	if !ok {
		return -1
	}
	return start
}

func (d *daily) note(t *task, start int) {
	d.starts[t.id] = start
	if t.area != nil {
		for _, it := range t.area.items {
			d.byPiece[it.piece.ID] = start
		}
	}
}

// noteBy notes by whom a task is done.
func (d *daily) noteBy(t *task, by hands) {
	switch m := d.room(t.room.key); {
	case t.area != nil:
		for _, it := range t.area.items {
			m.note(it.piece.ID, by)
		}
	case t.work != "":
		m.noteWork(t.work, t.surfaces, by)
	}
}

// daily is the choice as it is dated.
func (c *choice) daily() *daily {
	d := newDaily()
	for _, t := range c.net.tasks {
		d.note(t, t.start)
		if t.fixed == nil && t.crew != "" && c.w.short(t.crew) {
			d.noteBy(t, t.by)
		}
	}
	return d
}

// projected is the choice as its work would be done by those who are there.
func (c *choice) projected() *daily {
	x, d := c.net.project(), newDaily()
	for _, t := range c.net.tasks {
		d.note(t, x.start[t])
		if by, ok := x.by[t]; ok && c.w.short(t.crew) {
			d.noteBy(t, by)
		}
	}
	return d
}

// priorDaily is the plan in force: what is planned by so many as are there on its day,
// as far as its gangs are of that many.
func (m *maker) priorDaily() *daily {
	p, d, w := m.in.Prior, newDaily(), m.works
	people := map[string]int{}
	for _, r := range m.rooms {
		people[r.key] = r.people
	}
	by := map[string]hands{}
	for i := range p.Activities {
		a := &p.Activities[i]
		d.starts[a.ID] = a.Start
		crew := w.crews[a.Crew]
		if _, known := people[a.Room]; !known || crew == nil || !w.short(a.Crew) || len(a.ID) <= len(a.Room)+1 {
			continue
		}
		if a.There != nil && crew.roll != nil {
			by[a.ID] = hands{a.There.Setters, a.There.Helpers, who{a.There.OfSetters, a.There.OfHelpers}}
		} else {
			by[a.ID] = w.handsOf(crew, a, people[a.Room])
		}
		d.room(a.Room).noteWork(partOf(a.ID[len(a.Room)+1:]), a.Surfaces, by[a.ID])
	}
	for i := range p.Areas {
		a := &p.Areas[i]
		h, ok := by[a.Activity]
		for _, id := range a.Pieces {
			d.byPiece[id] = a.Start
			if ok {
				d.room(roomOfSurface(a.Surfaces[0])).note(id, h)
			}
		}
	}
	return d
}

// partOf is the slot of whose work one is a part.
func partOf(slot string) string {
	end := len(slot)
	for end > 0 && slot[end-1] >= '0' && slot[end-1] <= '9' {
		end--
	}
	if end > 1 && end < len(slot) && slot[end-1] == '.' {
		return slot[:end-1]
	}
	return slot
}

// handsOf are those of a crew that an activity was planned for: who is there on its
// day, where its gang is theirs, else another strength of the crew with such a gang.
func (w *works) handsOf(crew *team, a *Activity, people int) hands {
	there := w.clock.there(crew, a.Start, a.Finish)
	has := func(h hands) bool {
		g := gangOf(crew.reduced(h).Crew, people, w.rates)
		return h.setters > 0 && g.setters == a.Setters && g.helpers == a.Helpers
	}
	if has(there) {
		return there
	}
	list := w.strengths(crew)
	if i := slices.IndexFunc(list, has); i >= 0 {
		return list[i]
	}
	if there.setters == 0 {
		return w.whole(a.Crew).hands()
	}
	return there
}
