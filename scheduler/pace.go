package scheduler

import (
	"cmp"
	"fmt"
	"maps"
	"slices"
	"strings"

	"potlife/rooms"
	"potlife/takeoff"
)

// rateKey is what minutes are recorded by: a kind of work, or what of it is done
// on a class of tile, or how a crew or one of its people does it.
type rateKey struct{ kind, class, crew, person string }

// pace is how much longer than at the given rates a kind of work takes on a class
// of tile: as recorded for the class or, where that is too little, for the kind.
func (w *works) pace(kind, class string) float64 {
	for _, k := range []rateKey{{kind: kind, class: class}, {kind: kind}} {
		if f := w.factor[k]; f > 0 {
			return f
		}
	}
	return 1
}

// crewPace is how much longer than others a gang of the crew takes for a kind of work,
// with those of it who are there.
func (b *builder) crewPace(kind string, g gang) float64 {
	f := b.crew.paceOf(b.crew.who, kind, g, b.rates.SingleSetter)
	if shown := b.factor[rateKey{kind: kind, crew: b.crew.Key}]; shown > 0 {
		f *= shown
	}
	return f
}

// rateKindOf is the kind of work that a task counts as.
func (w *works) rateKindOf(t *task) string {
	return rateKind(t.kind, !slices.ContainsFunc(t.surfaces, func(k string) bool { return !t.room.isFlat(k) }))
}

func (r *roomWork) isFlat(surface string) bool {
	i := slices.IndexFunc(r.surfaces, func(f *surfaceWork) bool { return f.key == surface })
	return i >= 0 && flat(r.surfaces[i].src.Kind)
}

// paceWords tells crews apart that differ in what was recorded of them.
func (w *works) paceWords(crew string) string {
	var out []string
	for k, f := range w.factor {
		if k.crew == crew && k.person == "" {
			out = append(out, fmt.Sprintf(" %s %g", k.kind, f))
		}
	}
	slices.Sort(out)
	return strings.Join(out, "")
}

// zoneRate is what the time of all pieces of one tile in a zone depends on.
type zoneRate struct {
	zone         *takeoff.ZoneLayout
	key          string
	tile         takeoff.Tile
	size, class  string
	factor, pace float64
}

// rateOf looks up what setting a tile in a zone goes by; the last one is kept, as
// pieces come zone by zone.
func (b *builder) rateOf(f *surfaceWork, z *takeoff.ZoneLayout, key string) *zoneRate {
	if b.rate.zone != z || b.rate.key != key {
		t := b.tiles[key]
		class := classOf(&t, &z.Zone)
		b.rate = zoneRate{z, key, t, sizeClass(&t), class, patternFactor(b.rates, &z.Zone), b.pace(rateKind(kindSet, flat(f.src.Kind)), class)}
	}
	return &b.rate
}

// classOf is the class that minutes are recorded by: the size of the tile, and its
// pattern where that is no straight one.
func classOf(t *takeoff.Tile, z *rooms.Zone) string {
	class := sizeClass(t)
	if family := familyOf(z); family != "straight" && family != "mosaic sheets" {
		class += ", " + family
	}
	return class
}

// classOn is the class of most of the tile that is grouted on the surfaces; ""
// for work that does not go by it.
func (b *builder) classOn(kind string, on []*surfaceWork) string {
	if kind != kindGrout {
		return ""
	}
	m2 := map[string]float64{}
	for _, f := range on {
		for class, v := range b.classesOf(f) {
			m2[class] += v
		}
	}
	return mostOf(m2)
}

// classesOf is how much of a surface is tile of each class of size, in mm². It is
// worked out once: a room's tasks are built for one crew after the other.
func (b *builder) classesOf(f *surfaceWork) map[string]float64 {
	if f.classes == nil {
		f.classes = map[string]float64{}
		for i := range f.layout.Zones {
			z := &f.layout.Zones[i]
			for k := range z.Pieces {
				p := &z.Pieces[k]
				f.classes[b.rateOf(f, z, p.Tile).size] += p.AreaMM2
			}
		}
	}
	return f.classes
}

// mostOf is the key of the largest value, of equals the first by the alphabet.
func mostOf(in map[string]float64) string {
	keys := slices.Sorted(maps.Keys(in))
	if len(keys) == 0 {
		return ""
	}
	return slices.MaxFunc(keys, func(a, b string) int { return cmp.Or(cmp.Compare(in[a], in[b]), cmp.Compare(b, a)) })
}

// class is that of most of the area's tile.
func (a *areaPlan) class() string {
	if len(a.items) > 0 && !slices.ContainsFunc(a.items, func(it *item) bool { return it.class != a.items[0].class }) {
		return a.items[0].class
	}
	m2 := map[string]float64{}
	for _, it := range a.items {
		m2[it.class] += it.piece.AreaMM2
	}
	return mostOf(m2)
}

// pace is how much longer than at the given rates the area is planned, before its
// crew is looked at.
func (a *areaPlan) pace() float64 {
	given, planned := 0.0, 0.0
	for _, it := range a.items {
		m := it.set + it.cut + it.ahead
		given, planned = given+m/it.pace, planned+m
	}
	if given == 0 {
		return 1
	}
	return planned / given
}
