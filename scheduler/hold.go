package scheduler

import (
	"fmt"

	"potlife/rooms"
	"potlife/takeoff"
)

// holds adds the stops that others end.
func (b *builder) holds() error {
	for _, h := range b.r.room.Holds {
		t := &task{id: b.r.key + "/hold-" + slug(h.Key), slot: "hold", kind: kindHold, title: h.Why, room: b.r, minutes: h.Minutes, release: b.r.ready}
		if !h.Until.IsZero() {
			t.minutes = 0
			t.until = b.closing(b.crew.Key, h.Until)
		}
		before := h.Before
		if before == "" {
			before = kindHandOver
		}
		after, err := b.named(h, h.After)
		if err != nil {
			return err
		}
		held, err := b.named(h, before)
		if err != nil {
			return err
		}
		for _, u := range after {
			d, why := b.beforeOthers(u)
			t.wait(u, d, -1, why)
		}
		for _, u := range held {
			u.wait(t, due{}, -1, h.Why)
		}
		b.seq = append(b.seq, t)
	}
	return nil
}

// beforeOthers is how long what a task leaves behind is kept from those who come
// after it, and why: a membrane is looked at and measured when it has cured, common
// practice.
func (b *builder) beforeOthers(u *task) (due, string) {
	if u.kind != kindMembrane || u.coat != u.coats {
		return due{}, "the hold starts after it"
	}
	on := b.common(nil, u, u)
	return b.worst(b.r, takeoff.KindMembrane, on, defaultMembraneDry, func(s takeoff.DataSheet) int { return s.TileAfter }), "membrane cures before it is inspected"
}

// closing is the end of a day's work: what is released on a day is released by then,
// and work goes on with the next shift. On a day off the office's usual end is taken,
// and where it has none midnight.
func (w *works) closing(crew string, d rooms.Date) int {
	from, to := w.clock.DayStart(d), w.clock.DayStart(d.AddDays(1))
	end := 0
	for _, hours := range [][]Interval{w.clock.OfficeHours(*w.firm, from, to), Common(w.hours[crew], []Interval{{from, to}})} {
		if n := len(hours); n > 0 {
			end = max(end, hours[n-1].End)
		}
	}
	if end > 0 {
		return end
	}
	for _, h := range w.firm.Office {
		end = max(end, h.End)
	}
	if end == 0 {
		return to
	}
	return w.clock.OnDay(d, end)
}

// closings are the ends of a room's holds that end on a day, as a crew works on it.
func (w *works) closings(r *roomWork, crew string) string {
	text := ""
	for _, h := range r.room.Holds {
		if !h.Until.IsZero() {
			text += fmt.Sprint(w.closing(crew, h.Until), " ")
		}
	}
	return text
}
