package scheduler

import (
	"potlife/rooms"
	"potlife/takeoff"
)

// firstUse is the minute at which each product is first used in each room, and that at
// which setting begins there: products without an activity of their own count from it.
type firstUse struct {
	at  map[takeoff.Use]int
	set map[string]int
}

func newFirstUse() *firstUse { return &firstUse{map[takeoff.Use]int{}, map[string]int{}} }

// note takes down what an activity of some kind uses in a room.
func (f *firstUse) note(kind, room string, products []Use, start int) {
	for _, u := range products {
		f.use(u.Product, room, start)
	}
	if was, ok := f.set[room]; kind == kindSet && (!ok || start < was) {
		f.set[room] = start
	}
}

func (f *firstUse) use(product, room string, start int) {
	k := takeoff.Use{Product: product, Room: room}
	if was, ok := f.at[k]; !ok || start < was {
		f.at[k] = start
	}
}

// days are the days of the uses, also of what is needed without an activity of its own.
func (f *firstUse) days(needs []takeoff.Need, clock Clock) map[takeoff.Use]rooms.Date {
	out := make(map[takeoff.Use]rooms.Date, len(f.at))
	for k, at := range f.at {
		out[k] = clock.Day(at)
	}
	for _, n := range needs {
		k := takeoff.Use{Product: n.Product, Room: n.Room}
		if at, ok := f.set[n.Room]; ok && out[k].IsZero() {
			out[k] = clock.Day(at)
		}
	}
	return out
}

// firstUses are the days of the dated tasks, of tile also where an activity of its own
// cuts it before.
func (m *maker) firstUses(tasks []*task) map[takeoff.Use]rooms.Date {
	f := newFirstUse()
	for _, t := range tasks {
		products := t.products
		if t.fixed != nil {
			products = t.fixed.Products
		}
		f.note(t.kind, t.room.key, products, t.start)
		for _, tile := range t.cutTiles {
			f.use(tile, t.room.key, t.start)
		}
	}
	for _, r := range m.rooms {
		if _, ok := f.set[r.key]; !ok {
			f.set[r.key] = 0 // nothing is set there any more: at once
		}
	}
	return f.days(m.taken.Needs, m.clock)
}

// usedBefore are the days of the plan in force, by which its goods were ordered.
func (m *maker) usedBefore() map[takeoff.Use]rooms.Date {
	if m.in.Prior == nil {
		return nil
	}
	f := newFirstUse()
	for i := range m.in.Prior.Activities {
		a := &m.in.Prior.Activities[i]
		f.note(a.Kind, a.Room, a.Products, a.Start)
	}
	return f.days(m.taken.Needs, m.clock)
}
