package scheduler

import (
	"slices"
)

// usesOwn lets a task take the product that its recipe's step names, where the
// step's own kind does not take it already.
func (b *builder) usesOwn(t *task, s Step, on []*surfaceWork, share func(surface string) float64, kinds []string) {
	kind := b.products[s.Product].Kind
	if s.Product == "" || slices.Contains(kinds, kind) {
		return
	}
	if worksOf[kind] != s.Kind {
		t.own = s.Product
	}
	b.deliver(t, s.Product)
	for _, n := range b.r.needOf(kind, on, share) {
		if n.Product != s.Product {
			continue
		}
		u := Use{n.Product, round3(n.Net), b.products[n.Product].Unit}
		t.takes(u)
		if onTheSpot(b.products[n.Product]) {
			t.mixed = append(t.mixed, u)
		}
	}
}

// joinOwn adds the waits of the product that a recipe's step of its own kind
// takes: before anything goes on it, and the latest time for tile.
func (b *builder) joinOwn(u, t *task) {
	s := b.products[u.own].Sheet
	most := -1
	if t.kind == kindSet && s.CoverWithin > 0 {
		most = b.within(u, t, s.CoverWithin)
	}
	after := longestWait(s.RecoatAfter, s.TileAfter)
	switch {
	case t.own == u.own && t.kind == u.kind:
		return // parts of one step
	case t.kind == kindHandOver:
		after = longestWait(after, s.FullAfter)
	case t.kind == kindFlood:
		after = longestWait(after, s.WetAfter)
	}
	if most >= 0 || after > 0 {
		t.wait(u, b.cure(b.r, after, 0, &s), most, u.title+" dries")
	}
}

// flatten adds grinding and filling under large tile, as the findings on flatness
// ask, where no leveller and no new board makes the ground.
func (b *builder) flatten(s Step) {
	note := ""
	on := b.unset(s.Kind, pickSurfaces(b.r.surfaces, func(f *surfaceWork) bool {
		ask := b.flatness(f)
		if note == "" && ask != "" {
			note = "F" + ask[1:] + "; what is filled wants the time its sheet says."
		}
		return ask != ""
	}))
	for _, t := range b.plain(s, on, b.rates.FlattenPerM2, "flatten the ground for large tile") {
		if t.fixed == nil && note != "" {
			t.notes = append(t.notes, note)
		}
	}
}

// flatness is what a finding asks of the ground under large tile, or "".
func (b *builder) flatness(f *surfaceWork) string {
	if slices.Contains(f.src.Prepare, kindLevel) || slices.Contains(f.src.Prepare, kindBoard) {
		return ""
	}
	for i := range f.layout.Findings {
		if g := &f.layout.Findings[i]; g.Rule == "flatness" && g.Waived == "" && g.Value >= largeSide.Millimetres() {
			return g.Message
		}
	}
	return ""
}

// unset leaves out surfaces on which tile is set already, unless the plan in force
// has work of the kind that stands.
func (b *builder) unset(kind string, in []*surfaceWork) []*surfaceWork {
	if slices.ContainsFunc(b.r.fixed, func(a *Activity) bool { return a.Kind == kind }) {
		return in
	}
	return pickSurfaces(in, func(f *surfaceWork) bool {
		return !slices.ContainsFunc(b.r.fixed, func(a *Activity) bool { return a.Kind == kindSet && slices.Contains(a.Surfaces, f.key) })
	})
}

// tubs are the surfaces that meet a tub: a filled tub sinks, and a joint that is
// sealed while it is empty tears when it is used.
func (b *builder) tubs() []*surfaceWork {
	return pickSurfaces(b.r.surfaces, func(f *surfaceWork) bool { return meetsTub(f.src) })
}
