package scheduler

import (
	"context"
	"maps"
)

// A firm of one crew waits for nobody, and what its areas take in setting up, cleaning up
// and ends before a break is lost to all that follows. Divided by what shifts have left,
// areas of two and a half hours do not always grow into those that would be best, so a
// small first plan is made from longer ones as well.

// longAreas are the minutes wanted of an area then: three hours, and half a day, which
// whoever works alone sets without a stop.
var longAreas = [...]int{180, 240}

// longRooms is how many rooms such a plan has at most: of more it takes too long.
const longRooms = 4

// longerAreas makes the plan once more from longer areas, and takes it where it is better.
func (m *maker) longerAreas(ctx context.Context, rounds int, near nearby) error {
	if len(m.works.teams) > 1 || m.choice.manned != nil || len(m.rooms) > longRooms || m.in.Firm.Limits.AreaMinutes > 0 {
		return nil
	}
	defer func(wanted int) { m.works.limits.AreaMinutes = wanted }(m.works.limits.AreaMinutes)
	for _, m.works.limits.AreaMinutes = range longAreas {
		if err := m.tryLonger(ctx, rounds, near); err != nil {
			return err
		}
	}
	return nil
}

// tryLonger makes the plan from areas as they are wanted now, and keeps the better one.
func (m *maker) tryLonger(ctx context.Context, rounds int, near nearby) error {
	was, parts := m.choice, make([]map[string]int, len(m.rooms))
	for i, r := range m.rooms {
		parts[i], r.parts = r.parts, nil
	}
	better, err := m.fromLonger(ctx, rounds, near)
	if err == nil && better != nil && better.betterThan(was) {
		better.keepAreas()
		return nil
	}
	m.choice = was
	for i, r := range m.rooms {
		r.parts = parts[i]
	}
	was.back()
	return ctx.Err()
}

// fromLonger is the plan made so, nil where there is none.
func (m *maker) fromLonger(ctx context.Context, rounds int, near nearby) (*choice, error) {
	m.works.quick = true // dividing it anew searches on
	chooser := newChooser(m.works, m.rooms)
	chooser.prepare(nil, nil)
	c, err := chooser.choose(ctx, nil, nil)
	m.works.quick = false
	if err != nil {
		return nil, nil // there is a plan already
	}
	m.choice = c
	_, err = m.divideAnew(ctx, rounds, near)
	return m.choice, err
}

// keepAreas notes the areas of a plan, so that its rooms keep them whatever is wanted.
func (c *choice) keepAreas() {
	for _, r := range c.runs() {
		room := c.rooms[r.room]
		if room.parts = maps.Clone(room.parts); room.parts == nil {
			room.parts = map[string]int{}
		}
		for i, t := range r.tasks {
			for _, it := range t.area.items {
				room.parts[it.piece.ID] = i + 1
			}
		}
	}
}
