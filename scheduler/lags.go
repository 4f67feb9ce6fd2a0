package scheduler

import (
	"fmt"
	"slices"
	"strings"

	"potlife/rooms"
	"potlife/takeoff"
)

// chain joins the tasks of a room: one after the other in its order of work,
// and with the cures between them.
func (b *builder) chain() {
	var last, lastFixed *task
	longest := map[*task]int{}
	var all []lag // of a task before they are pruned
	for i, t := range b.seq {
		if t.kind == kindCut { // in no order with the work in the room but its own area's
			continue
		}
		if t.fixed == nil {
			t.after = append(all[:0], t.after...)
			for _, u := range []*task{last, lastFixed} {
				if u != nil {
					t.wait(u, due{}, -1, "order of work in the room")
				}
			}
			for k := range b.seq[:i] {
				b.join(k, t)
			}
			for k := i + 1; k < len(b.seq); k++ { // done already, though later in the order
				u := b.seq[k]
				if u.fixed == nil {
					continue
				}
				if m, why := b.walkOnce(k); why != "" {
					t.wait(u, m, -1, why)
				} else if u.fixed.Finish > b.opens(b.crew.Key) {
					t.wait(u, due{}, -1, "order of work in the room")
				}
			}
			all = t.after
			t.after = pruned(all, longest)
			last = t
		} else {
			lastFixed = t
		}
	}
	b.cover()
	b.recipeWaits()
}

// pruned leaves out waits that follow from others: where an earlier task of the order
// waits as long on the same work, those after it need not. longest is how long they
// do, by the task waited for.
func pruned(after []lag, longest map[*task]int) []lag {
	kept := after[:0]
	for k, l := range after {
		if had, ok := longest[l.task]; ok && l.most < 0 && len(l.due.cures) == 0 && l.due.fixed <= had && k > 0 {
			continue
		}
		kept = append(kept, l)
	}
	kept = slices.Clone(kept)
	for _, l := range kept {
		if had, ok := longest[l.task]; !ok || l.due.fixed > had {
			longest[l.task] = l.due.fixed
		}
	}
	return kept
}

// join adds the waits that task k, earlier in the order of work, asks of t: what the
// work on it waits for, and what keeps everybody off a floor.
func (b *builder) join(k int, t *task) {
	u := b.seq[k]
	if share(u, t) {
		b.joinShared(u, t)
	}
	if m, why := b.walkOnce(k); why != "" && !(u.kind == kindSet && t.kind == kindSet && onlyFlat(b, t) && !late(t)) && !(u.kind == kindGrout && t.kind == kindGrout) {
		t.wait(u, m, -1, why)
	}
}

// joinShared adds the waits of work on a surface of both.
func (b *builder) joinShared(u, t *task) {
	b.both = b.common(b.both[:0], u, t)
	on := b.both
	switch u.kind {
	case kindPrime:
		if t.kind != kindPrime {
			t.wait(u, b.worst(b.r, takeoff.KindPrimer, on, defaultPrimerDry, func(s takeoff.DataSheet) int { return longestWait(s.RecoatAfter, s.TileAfter) }), -1, "primer dries")
		}
	case kindLevel:
		if t.kind == kindSet || t.kind == kindMembrane || t.kind == kindBoard {
			t.wait(u, b.worst(b.r, takeoff.KindLeveller, on, defaultLevelTile, func(s takeoff.DataSheet) int { return s.TileAfter }), -1, "leveller cures")
		}
	case kindMembrane:
		b.joinMembrane(u, t, on)
	case kindFlatten:
		if t.kind != kindFlatten {
			t.wait(u, b.cure(b.r, defaultFlatDry, 0, &takeoff.DataSheet{}), -1, "what was filled dries")
		}
	case kindFlood:
		if t.kind == kindFlood && strings.Contains(u.id, "/flood-fill") {
			t.wait(u, fixed(b.limits.FloodMinutes), -1, "the flood test stands "+words(b.limits.FloodMinutes))
		}
	case kindSet:
		b.joinSet(u, t, on)
	case kindGrout:
		b.joinGrout(u, t, on)
	case kindSeal:
		if t.kind == kindHandOver || t.kind == kindEmptyTub {
			t.wait(u, b.worst(b.r, takeoff.KindSealant, on, defaultSealWet, func(s takeoff.DataSheet) int { return longestWait(s.WetAfter, s.FullAfter) }), -1, "sealant cures")
		}
	}
	if u.own != "" {
		b.joinOwn(u, t)
	}
}

func late(t *task) bool { return t.area != nil && t.area.late }

func share(u, t *task) bool {
	return slices.ContainsFunc(u.surfaces, func(k string) bool { return slices.Contains(t.surfaces, k) })
}

// common appends the surfaces of both.
func (b *builder) common(on []*surfaceWork, u, t *task) []*surfaceWork {
	for _, f := range b.r.surfaces {
		if slices.Contains(u.surfaces, f.key) && slices.Contains(t.surfaces, f.key) {
			on = append(on, f)
		}
	}
	return on
}

func onlyFlat(b *builder, t *task) bool {
	return !slices.ContainsFunc(t.surfaces, func(k string) bool { return !b.isFlat(k) })
}

// keepOff is how long nobody may walk on what a task leaves behind, and why.
type keepOff struct {
	long  due
	why   string
	known bool
}

// walkOnce is walk of task k, worked out once however many come after it.
func (b *builder) walkOnce(k int) (due, string) {
	if b.walks == nil {
		b.walks = make([]keepOff, len(b.seq))
	}
	w := &b.walks[k]
	if !w.known {
		w.long, w.why = b.walk(b.seq[k])
		w.known = true
	}
	return w.long, w.why
}

// walk is how long nobody may walk on what a task leaves behind on a floor, and
// why; 0 where it leaves nothing on a floor.
func (b *builder) walk(u *task) (due, string) {
	var on []*surfaceWork
	for _, f := range b.r.surfaces {
		if flat(f.src.Kind) && f.src.Kind != rooms.Bench && slices.Contains(u.surfaces, f.key) {
			on = append(on, f)
		}
	}
	if len(on) == 0 {
		return due{}, ""
	}
	switch u.kind {
	case kindLevel:
		return b.worst(b.r, takeoff.KindLeveller, on, defaultLevelWalk, func(s takeoff.DataSheet) int { return s.WalkAfter }), "leveller sets before it is walked on"
	case kindPrime:
		return b.worst(b.r, takeoff.KindPrimer, on, defaultPrimerDry, func(s takeoff.DataSheet) int { return s.RecoatAfter }), "primer on the floor dries before it is walked on"
	case kindMembrane:
		return b.worst(b.r, takeoff.KindMembrane, on, defaultRecoat, func(s takeoff.DataSheet) int { return longestWait(s.RecoatAfter, s.WalkAfter) }), "membrane on the floor dries before it is walked on"
	case kindSet:
		var m due
		for _, f := range on {
			for _, z := range f.layout.Zones {
				s := b.products[z.Zone.Mortar].Sheet
				m = m.with(b.cure(b.r, s.WalkAfter, defaultWalkAfter, &s))
			}
		}
		return m, "floor tile holds before it is walked on"
	case kindGrout:
		return b.worst(b.r, takeoff.KindGrout, on, defaultGroutWalk, func(s takeoff.DataSheet) int { return s.WalkAfter }), "grout on the floor hardens before it is walked on"
	case kindFlatten:
		return b.cure(b.r, defaultFlatDry, 0, &takeoff.DataSheet{}), "what was filled dries before it is walked on"
	}
	if s := b.products[u.own].Sheet; u.own != "" && s.WalkAfter > 0 {
		return b.cure(b.r, s.WalkAfter, 0, &s), u.title + " dries before it is walked on"
	}
	return due{}, ""
}

func (b *builder) joinMembrane(u, t *task, on []*surfaceWork) {
	switch {
	case t.kind == kindMembrane && t.coat == u.coat+1:
		within := b.tightest(b.r, takeoff.KindMembrane, on, func(s takeoff.DataSheet) int { return s.RecoatWithin })
		t.wait(u, b.worst(b.r, takeoff.KindMembrane, on, defaultRecoat, func(s takeoff.DataSheet) int { return s.RecoatAfter }), b.within(u, t, within), "membrane dries before the next coat")
		t.spareAfter(u)
	case t.kind == kindFlood && u.coat == u.coats:
		t.wait(u, b.worst(b.r, takeoff.KindMembrane, on, defaultMembraneDry, func(s takeoff.DataSheet) int { return longestWait(s.WetAfter, s.TileAfter) }), -1, "membrane cures before it stands under water")
	case t.kind == kindLayOut && u.coat == u.coats:
		t.wait(u, b.worst(b.r, takeoff.KindMembrane, on, defaultRecoat, func(s takeoff.DataSheet) int { return s.RecoatAfter }), -1, "membrane dries before lines are drawn on it")
	case t.kind == kindSet && u.coat == u.coats:
		within := b.tightest(b.r, takeoff.KindMembrane, on, func(s takeoff.DataSheet) int { return s.CoverWithin })
		t.wait(u, b.worst(b.r, takeoff.KindMembrane, on, defaultMembraneDry, func(s takeoff.DataSheet) int { return s.TileAfter }), b.within(u, t, within), "membrane cures before it is tiled")
	}
}

func (b *builder) joinSet(u, t *task, on []*surfaceWork) {
	switch t.kind {
	case kindGrout:
		var m due
		if u.area != nil {
			m = u.area.grout
		}
		for _, a := range u.areas {
			m = m.with(b.groutAfter(a))
		}
		t.wait(u, m, b.within(u, t, b.groutWithin(on)), "mortar cures before grout")
	case kindHandOver:
		b.useAfter(u, t, on)
	case kindLedger:
		for _, f := range on {
			t.wait(u, b.holdOf(f), -1, "the field holds before its ledger comes off")
		}
	case kindSet: // also what was set above since the ledger came off
		upper := u.area != nil && !u.area.lower || u.fixed != nil && b.stepOf(u.fixed) == setWalls
		if t.area == nil || !t.area.lower || !upper {
			return
		}
		for _, f := range on {
			t.wait(u, b.holdOf(f), -1, "the field holds before the course under it is set")
		}
	}
}

// groutWithin is the latest time for grout on the surfaces, by the sheets of
// their mortars, or -1.
func (b *builder) groutWithin(on []*surfaceWork) int {
	least := -1
	for _, f := range on {
		for _, z := range f.layout.Zones {
			if v := b.products[z.Zone.Mortar].Sheet.GroutWithin; v > 0 && (least < 0 || v < least) {
				least = v
			}
		}
	}
	return least
}

// groutAfter is how long an area that is set waits for grout: as the plan in
// force says, and longer where the days since were colder than it knew.
func (b *builder) groutAfter(a *Area) due {
	d := fixed(a.GroutAfter)
	if len(b.r.air) > 0 && a.Mortar != "" {
		s := b.products[a.Mortar].Sheet
		d = d.with(b.cure(b.r, s.GroutAfter, defaultGroutAfter, &s))
	}
	return d
}

func (b *builder) joinGrout(u, t *task, on []*surfaceWork) {
	switch t.kind {
	case kindSeal:
		// Those for wet use and full load are longer, and not what a sealant waits
		// for.
		t.wait(u, b.worst(b.r, takeoff.KindGrout, on, defaultGroutDry, func(s takeoff.DataSheet) int { return s.SealAfter }), -1, "grout dries before sealing")
	case kindHandOver:
		if wet := pickSurfaces(on, wetInUse); len(wet) > 0 {
			t.wait(u, b.worst(b.r, takeoff.KindGrout, wet, defaultGroutWet, func(s takeoff.DataSheet) int { return s.WetAfter }), -1, "grout cures before it gets wet")
		}
		if floors := pickSurfaces(on, func(f *surfaceWork) bool { return walked(f.src.Kind) }); len(floors) > 0 {
			t.wait(u, b.worst(b.r, takeoff.KindGrout, floors, defaultGroutWalk, func(s takeoff.DataSheet) int { return longestWait(s.WalkAfter, s.FullAfter) }), -1, "grout cures before the floor is in full use")
		}
	}
}

// within is the latest time after u at which t may start. When the work before
// it is done already and no plan keeps it, it is only noted, and the plan says
// that it is missed.
func (b *builder) within(u, t *task, most int) int {
	if most < 0 || u.fixed == nil {
		return most
	}
	b.held = true
	if b.relax {
		b.missed = append(b.missed, missed{u, t, most})
		return -1
	}
	return most
}

// missed is a latest time that no plan keeps.
type missed struct {
	from, to *task
	most     int
}

// cover holds what follows a primer to the primer's latest time.
func (b *builder) cover() {
	for i, u := range b.seq {
		if u.kind != kindPrime {
			continue
		}
		for _, t := range b.seq[i+1:] {
			if t.kind == kindPrime || t.kind == kindLayOut || !share(u, t) || t.kind == kindHold {
				continue
			}
			within := b.tightest(b.r, takeoff.KindPrimer, b.common(nil, u, t), func(s takeoff.DataSheet) int { return s.RecoatWithin })
			if within > 0 {
				t.wait(u, due{}, b.within(u, t, within), "primer is to be covered in time")
			}
			break
		}
	}
}

// named are the tasks of a kind or step; "" names none.
func (b *builder) named(h rooms.Hold, kind string) ([]*task, error) {
	if kind == "" {
		return nil, nil
	}
	var out []*task
	var kinds []string
	for _, t := range b.seq {
		k := t.kind
		if t.kind == kindSet && kind != kindSet {
			k = setWalls
			if onlyFlat(b, t) {
				k = setFloor
			}
		}
		if k == kind {
			out = append(out, t)
		}
		if !slices.Contains(kinds, t.kind) && t.kind != kindHold && t.kind != kindCut {
			kinds = append(kinds, t.kind)
		}
	}
	if len(out) == 0 {
		return nil, fmt.Errorf("%s, hold %s: no activity %q in this room; it has %s", b.called.room(b.r.key), h.Key, kind, strings.Join(kinds, ", "))
	}
	return out, nil
}

// circular finds tasks that wait for each other in a circle.
func circular(room string, seq []*task) error {
	const fresh, open, closed = 0, 1, 2
	state := map[*task]int{}
	var path []*task
	var visit func(t *task) []*task
	visit = func(t *task) []*task {
		state[t] = open
		path = append(path, t)
		for _, l := range t.after {
			switch state[l.task] {
			case open:
				return path[slices.Index(path, l.task):]
			case fresh:
				if c := visit(l.task); c != nil {
					return c
				}
			}
		}
		path = path[:len(path)-1]
		state[t] = closed
		return nil
	}
	for _, t := range seq {
		if state[t] != fresh {
			continue
		}
		if c := visit(t); c != nil {
			var names []string
			for _, u := range c {
				names = append(names, u.title)
			}
			return fmt.Errorf("%s: the sequence is circular: %s wait for each other; look at the holds' after and before", room, strings.Join(names, " → "))
		}
	}
	return nil
}
