package scheduler

import (
	"fmt"
	"slices"
	"strings"

	"potlife/rooms"
	"potlife/takeoff"
)

// Lack is work that surfaces of a room ask for, and for which goods are taken
// off, while no step of the room's recipe does it.
type Lack struct {
	Work     string   // a kind of step
	Surfaces []string // keys of the room's surfaces
}

// String says what lacks, without the recipe's name.
func (l Lack) String() string {
	return fmt.Sprintf("no step does %q, and %s %s for it", l.Work, strings.Join(l.Surfaces, ", "), map[bool]string{true: "asks", false: "ask"}[len(l.Surfaces) == 1])
}

// worksOf are the kinds of step that use a kind of product by themselves. A step
// of another name that takes such a product does that work too.
var worksOf = map[string]string{takeoff.KindMembrane: kindMembrane, takeoff.KindPrimer: kindPrime, takeoff.KindLeveller: kindLevel,
	takeoff.KindBoard: kindBoard, takeoff.KindSealant: kindSeal}

// Lacks lists the work that a room asks for and the recipe leaves out, in the
// order of work; what others do (see Recipe.Others) does not lack. Without it a
// shower would be tiled on bare board though its membrane is bought. kindOf is
// the kind of a product by its key.
func (c Recipe) Lacks(room *rooms.Room, kindOf func(product string) string) []Lack {
	var out []Lack
	for _, work := range []string{kindBoard, kindPrime, kindLevel, kindMembrane, kindFlood, kindGrout, kindSeal} {
		l := Lack{Work: work}
		for i := range room.Surfaces {
			f := &room.Surfaces[i]
			if !slices.Contains(c.Others, work) && asks(f, work) && !slices.ContainsFunc(c.Steps, func(s Step) bool { return s.on(f) && s.does(work, kindOf) }) {
				l.Surfaces = append(l.Surfaces, f.Key)
			}
		}
		if len(l.Surfaces) > 0 {
			out = append(out, l)
		}
	}
	return out
}

// does reports whether a step does a kind of work.
func (s Step) does(work string, kindOf func(product string) string) bool {
	return s.Kind == work || s.Product != "" && worksOf[kindOf(s.Product)] == work
}

// asks reports whether a surface asks for a kind of work. A leveller wants a
// primer under it (TileLetter, October 2019), which is taken off with it.
func asks(f *rooms.Surface, work string) bool {
	switch work {
	case kindMembrane:
		return f.Wet || slices.Contains(f.Prepare, work)
	case kindPrime:
		return slices.Contains(f.Prepare, work) || slices.Contains(f.Prepare, kindLevel)
	case kindGrout:
		return len(f.Zones) > 0
	case kindSeal:
		return slices.ContainsFunc(f.Edges, func(e rooms.Edge) bool { return e.Fill == rooms.FillSealant }) ||
			slices.ContainsFunc(f.Openings, func(o rooms.Opening) bool { return o.Fill == rooms.FillSealant })
	}
	return slices.Contains(f.Prepare, work)
}

// meetsTub reports whether a surface stands on a tub's rim.
func meetsTub(f *rooms.Surface) bool {
	return slices.ContainsFunc(f.Edges, func(e rooms.Edge) bool { return e.Meets == rooms.AtTub })
}

// kindOf is the kind of a product of the firm, "" for none.
func (f *Firm) kindOf(product string) string {
	for i := range f.Catalogue.Products {
		if f.Catalogue.Products[i].Key == product {
			return f.Catalogue.Products[i].Kind
		}
	}
	return ""
}
