package scheduler

import (
	"fmt"
	"slices"

	"potlife/rooms"
	"potlife/takeoff"
)

// restore keeps a layout to what is set in it. Where new readings would move a
// piece that is set, the layout in force stays, and the pieces not set yet that
// would have moved are measured on site. Pieces left over get their reason. l may
// share its zones with the plan in force: what is written to is copied first.
func (k *kept) restore(s *rooms.Surface, l, prior *takeoff.Layout) {
	if !k.on[l.Surface] {
		return
	}
	if prior != nil && k.moves(l) {
		now := *l
		*l = copyLayout(prior)
		k.measure(l, &now)
	}
	copied := false
	for zi := range l.Zones {
		if !k.concerns(&l.Zones[zi]) {
			continue
		}
		if !copied {
			l.Zones, copied = slices.Clone(l.Zones), true
		}
		z := &l.Zones[zi]
		z.Pieces = slices.Clone(z.Pieces)
		for i := range z.Pieces {
			q := &z.Pieces[i]
			if why, ok := k.late[q.ID]; ok && !k.set[q.ID] {
				q.Late = why
			} else if was, ok := k.pieces[q.ID]; ok {
				q.Late = was.Late
			}
		}
		if !flat(s.Kind) && s.Kind != rooms.Ceiling {
			k.surrounded(s, z)
		}
	}
}

// concerns reports whether anything of a zone is set or left over.
func (k *kept) concerns(z *takeoff.ZoneLayout) bool {
	return slices.ContainsFunc(z.Pieces, func(q takeoff.Piece) bool {
		if k.set[q.ID] {
			return true
		}
		_, late := k.late[q.ID]
		return late
	})
}

// surrounded makes late what is not set yet and cannot go in as the field grows
// any more: a set piece lies above it, or set pieces on both sides of it.
func (k *kept) surrounded(s *rooms.Surface, z *takeoff.ZoneLayout) {
	const why = "left over, the field around it is up"
	items, late := zoneItems("", 0, z)
	for _, it := range late {
		if k.set[it.piece.ID] {
			items = append(items, it)
		}
	}
	if len(items) == 0 {
		return
	}
	rows := courseRows("", s, z, items)
	for _, r := range rows {
		for a := 0; a < len(r.items); {
			b := a + 1
			for b < len(r.items) && r.items[b].lo.X <= r.items[b-1].hi.X+z.Zone.Joint+neighbourSlack {
				b++
			}
			k.surroundedRun(r.items[a:b], why)
			a = b
		}
	}
	before := relate(items).after
	for i, up := range items {
		if !k.set[up.piece.ID] {
			continue
		}
		for _, j := range before[i] {
			low := items[j]
			if !k.set[low.piece.ID] && low.lo.Y < up.lo.Y && low.hi.Y <= up.lo.Y+z.Zone.Joint+neighbourSlack && !(s.Ledger && underLevel(low.lo.Y, z)) {
				low.piece.Late = why
			}
		}
	}
}

// moves reports whether a piece that is set lies otherwise in l.
func (k *kept) moves(l *takeoff.Layout) bool {
	for _, z := range l.Zones {
		for _, q := range z.Pieces {
			if was, ok := k.pieces[q.ID]; ok && !samePolygon(was.Polygon, q.Polygon) {
				return true
			}
		}
	}
	return false
}

// measure marks the pieces of l, not set yet, that lie otherwise in now.
func (k *kept) measure(l, now *takeoff.Layout) {
	is := map[string]rooms.Polygon{}
	for _, z := range now.Zones {
		for _, q := range z.Pieces {
			is[q.ID] = q.Polygon
		}
	}
	for zi := range l.Zones {
		for i := range l.Zones[zi].Pieces {
			q := &l.Zones[zi].Pieces[i]
			if !k.set[q.ID] && !samePolygon(is[q.ID], q.Polygon) && !q.Full {
				q.OnSite, q.OnSiteWhy = true, "the edge was measured again after part of it was set"
			}
		}
	}
}

func samePolygon(a, b rooms.Polygon) bool {
	return slices.Equal(a.Outer, b.Outer) && slices.EqualFunc(a.Holes, b.Holes, slices.Equal[rooms.Ring])
}

func copyLayout(l *takeoff.Layout) takeoff.Layout {
	c := *l
	c.Zones = slices.Clone(l.Zones)
	for i := range c.Zones {
		c.Zones[i].Pieces = slices.Clone(c.Zones[i].Pieces)
	}
	return c
}

// reconcile drops from carried areas what no layout has any more: the job was
// changed under work that is done.
func (k *kept) reconcile(layouts []takeoff.Layout) {
	have := map[string]bool{} // of the pieces of carried areas
	for _, a := range k.areas {
		for _, id := range a.Pieces {
			have[id] = false
		}
	}
	for i := range layouts {
		for _, z := range layouts[i].Zones {
			for p := range z.Pieces {
				if _, carried := have[z.Pieces[p].ID]; carried {
					have[z.Pieces[p].ID] = true
				}
			}
		}
	}
	for _, a := range k.areas {
		gone := map[string]bool{}
		for _, id := range a.Pieces {
			if !have[id] {
				gone[id] = true
				delete(k.set, id)
			}
		}
		if len(gone) == 0 {
			continue
		}
		a.Pieces = without(a.Pieces, gone)
		a.Patches = slices.Clone(a.Patches)
		for i := range a.Patches {
			a.Patches[i].Pieces = without(a.Patches[i].Pieces, gone)
		}
		k.findings = append(k.findings, takeoff.Finding{Rule: "changed after setting", Severity: takeoff.Warn, Where: a.ID,
			Message: fmt.Sprintf("%d pieces that were set here are no longer in the layout", len(gone)), Value: float64(len(gone)), Source: "the job as changed"})
	}
}

// surroundedRun looks at one run of a course: what lies between set pieces is
// late, and all of it where setting began elsewhere than at its start.
func (k *kept) surroundedRun(run []*item, why string) {
	first, last, begun := -1, -1, false
	for i, it := range run {
		if !k.set[it.piece.ID] {
			continue
		}
		if first < 0 {
			first = i
		}
		last = i
		begun = begun || it.hops == 0
	}
	for i, it := range run {
		if first >= 0 && !k.set[it.piece.ID] && (!begun || i > first && i < last) {
			it.piece.Late = why
		}
	}
}
