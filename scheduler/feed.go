package scheduler

import (
	"cmp"
	"math"
	"slices"

	"potlife/takeoff"
)

// feed is what is spread at once and must come from one mix: a patch of mortar,
// or some minutes of grouting, levelling or coating.
type feed struct {
	patch    MixPatch // of a patch
	work     bool     // no patch: minutes of an activity
	activity string
	site     string
	start    int // when it takes from the mix
	lead     int // minutes before that the mix is begun
	by       int // until when it takes from it
	kg       float64
	life     int // minutes for which a mix may be used where and when it is spread
	pot      int // its pot life there
}

// begun is when a mix is begun of which the feed is the first.
func (f feed) begun() int { return f.start - f.lead }

// feedLine are a crew's feeds of one product in order of time.
type feedLine struct {
	crew, product string
	work          bool
	feeds         []feed
}

// endless is the life of what has no pot life.
const endless = 1 << 29

// workStep is how finely work that mixes as it goes is divided, in minutes.
const workStep = 5

// feeds gathers all that new work takes from mixes.
func (m *maker) feeds() []*feedLine {
	type key struct {
		crew, product string
		work          bool
	}
	at := map[key]*feedLine{}
	var out []*feedLine
	line := func(crew, product string, work bool) *feedLine {
		k := key{crew, product, work}
		if at[k] == nil {
			at[k] = &feedLine{crew: crew, product: product, work: work}
			out = append(out, at[k])
		}
		return at[k]
	}
	for _, t := range m.byStart() {
		if t.fixed != nil {
			continue
		}
		if t.area != nil && t.area.bed.mortar != "" {
			l := line(t.crew, t.area.bed.mortar, false)
			l.feeds = m.works.patchFeeds(l.feeds, t)
		}
		for _, u := range t.mixed {
			l := line(t.crew, u.Product, true)
			l.feeds = append(l.feeds, m.works.workFeeds(t, u, m.sizeOf(m.products[u.Product]))...)
		}
	}
	for _, l := range out {
		slices.SortStableFunc(l.feeds, func(a, b feed) int { return cmp.Compare(a.start, b.start) })
	}
	return out
}

// patchFeeds appends the patches of an area.
func (w *works) patchFeeds(out []feed, t *task) []feed {
	p := w.products[t.area.bed.mortar]
	for i, q := range t.area.patches {
		f := feed{patch: MixPatch{t.area.id, i}, activity: t.id, site: t.room.site, start: t.start + q.start, lead: mixLead, kg: q.kg}
		f.by = f.start
		f.life, f.pot = w.life(p, t.room, f.begun(), f.start)
		out = append(out, f)
	}
	return out
}

// workFeeds divide an activity that mixes as it goes, less its cleaning up, into even
// parts of a few minutes, such that as few mixes as bucket and working life allow hold
// whole parts.
func (w *works) workFeeds(t *task, u Use, size mixSize) []feed {
	if u.Quantity <= 0 {
		return nil
	}
	p := w.products[u.Product]
	minutes := max(1, t.minutes-t.washing)
	life, pot := w.life(p, t.room, t.start, t.start+minutes)
	n := max(1, int(math.Ceil(u.Quantity/size.most()-1e-9)), (minutes+life-1)/max(1, life))
	n *= max(1, (minutes+workStep*n-1)/(workStep*n))
	if size.portion == 0 { // a tenth of a kg is the least that is weighed
		n = max(1, min(n, int(u.Quantity*10)))
	}
	out := make([]feed, n)
	for i := range out {
		f := feed{work: true, activity: t.id, site: t.room.site, start: t.start + minutes*i/n, kg: u.Quantity / float64(n), life: life, pot: pot}
		f.by = min(t.start+minutes*(i+1)/n, f.start+life)
		out[i] = f
	}
	return out
}

// life is how long a mix of p may be used in a room between two minutes, and its
// pot life there.
func (w *works) life(p takeoff.Product, r *roomWork, from, to int) (life, pot int) {
	if p.Sheet.ReadyMixed {
		return endless, 0
	}
	pot = p.Sheet.PotMinutes
	if pot == 0 {
		pot = defaultPot
		switch {
		case p.Sheet.Resin:
			pot = defaultResinPot
		case p.Kind == takeoff.KindGrout:
			pot = defaultGroutPot
		}
	}
	pot = max(1, WorkingMinutes(pot, usable(p.Sheet, r.warmestIn(from, to)), p.Sheet.Reference))
	life = int(math.Floor(float64(pot)*w.limits.PotSafety + 1e-9))
	if p.Kind == takeoff.KindMortar {
		life = max(life, mixLead)
	}
	return max(1, life), pot
}

// usable is a room's temperature as far as a product may be used in it: on days
// that are warmer nothing is planned with it.
func usable(s takeoff.DataSheet, celsius float64) float64 {
	if s.MaxCelsius > 0 {
		return min(celsius, s.MaxCelsius)
	}
	return celsius
}
