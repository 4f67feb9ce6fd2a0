package scheduler

import (
	"fmt"
	"slices"

	"potlife/rooms"
	"potlife/takeoff"
)

// Words for surfaces that a step may name beside a surface's kind and its key.
const (
	OnWalls  = "walls"  // all that stands or hangs
	OnFloors = "floors" // all that lies
	OnWet    = "wet"    // all that gets a membrane
)

// on reports whether a step is done on a surface.
func (s Step) on(f *rooms.Surface) bool {
	switch s.Kind {
	case setWalls, setLower:
		return !flat(f.Kind)
	case setFloor:
		return flat(f.Kind)
	}
	return len(s.On) == 0 || slices.ContainsFunc(s.On, func(w string) bool {
		return w == OnWalls && !flat(f.Kind) || w == OnFloors && flat(f.Kind) || w == OnWet && f.Wet || w == f.Kind || w == f.Key
	})
}

// Circle returns two kinds of step that a recipe has on a surface in an order
// which contradicts the trade's, so that they would wait for each other, "" where
// it has none.
func (c Recipe) Circle(f *rooms.Surface) (first, then string) {
	top := -1
	for _, s := range c.Steps {
		p := phase(s.Kind)
		if p < 0 || !s.on(f) {
			continue
		}
		if p < top {
			return first, s.Kind
		}
		top, first = p, s.Kind
	}
	return "", ""
}

// Twice returns a set step that stands in a recipe a second time, or "".
func (c Recipe) Twice() string {
	had := map[string]bool{}
	for _, s := range c.Steps {
		if isSet(s.Kind) {
			if had[s.Kind] {
				return s.Kind
			}
			had[s.Kind] = true
		}
	}
	return ""
}

// stepNeeds are the products that steps of the jobs' recipes name, surface by
// surface.
func stepNeeds(f *Firm, jobs []rooms.Job) []takeoff.StepNeed {
	var out []takeoff.StepNeed
	for i := range f.Recipes {
		c := &f.Recipes[i]
		if !slices.ContainsFunc(c.Steps, func(s Step) bool { return s.Product != "" }) {
			continue
		}
		for _, j := range jobs {
			for _, site := range j.Sites {
				for k := range site.Rooms {
					if r := &site.Rooms[k]; r.Recipe == c.Key {
						out = append(out, c.needs(f, j.Key+"/"+r.Key, r)...)
					}
				}
			}
		}
	}
	return out
}

// needs are the products that the steps name on the surfaces of a room. A step of
// the trade's own kind uses its product where that work is asked for, one of
// another kind on all its surfaces.
func (c *Recipe) needs(f *Firm, room string, r *rooms.Room) []takeoff.StepNeed {
	var out []takeoff.StepNeed
	for _, s := range c.Steps {
		if s.Product == "" {
			continue
		}
		own := worksOf[f.kindOf(s.Product)] == s.Kind
		for i := range r.Surfaces {
			if at := &r.Surfaces[i]; s.on(at) && (!own || asks(at, s.Kind)) {
				out = append(out, takeoff.StepNeed{Surface: room + "/" + at.Key, Product: s.Product, Step: s.Kind})
			}
		}
	}
	return out
}

// on are those of the surfaces on which a step is done.
func (b *builder) on(s Step, in []*surfaceWork) []*surfaceWork {
	if len(s.On) == 0 {
		return in
	}
	return pickSurfaces(in, func(f *surfaceWork) bool { return s.on(f.src) })
}

// slotOf names the activity of a step in its room: steps of a kind that has stood
// before have a letter behind it.
func (b *builder) slotOf(s Step, name string) string {
	n := 0
	for _, o := range b.r.recipe[:min(b.at, len(b.r.recipe))] {
		if o.Kind == s.Kind {
			n++
		}
	}
	if n == 0 {
		return name
	}
	return fmt.Sprintf("%s-%c", name, 'a'+n)
}

// gangFor is the gang of a step: as fast as the room allows, or as many people as
// the step asks for, where the crew has them and the room holds them.
func (b *builder) gangFor(s Step) gang {
	if s.Setters == 0 && s.Helpers == 0 {
		return b.gang
	}
	setters := max(1, s.Setters)
	switch {
	case setters > b.crew.Setters || s.Helpers > b.crew.Helpers:
		b.fail(fmt.Errorf("%s: %q asks for %s, and %s has %s: name another crew for the room, or ask for fewer in the recipe",
			b.called.room(b.r.key), s.Kind, people(setters, s.Helpers), b.called.crew(b.crew.Key), people(b.crew.Setters, b.crew.Helpers)))
	case b.r.people > 0 && setters+s.Helpers > b.r.people:
		b.fail(fmt.Errorf("%s: %q asks for %s, and %d fit in the room: raise its people, or ask for fewer in the recipe",
			b.called.room(b.r.key), s.Kind, people(setters, s.Helpers), b.r.people))
	}
	return gang{setters, s.Helpers, speedOf(setters, s.Helpers, b.rates.SingleSetter)}
}

// fail keeps the first reason for which a crew cannot do the room.
func (b *builder) fail(err error) {
	if b.err == nil {
		b.err = err
	}
}

// people says how many they are.
func people(setters, helpers int) string {
	return fmt.Sprintf("%s and %s", several(setters, "setter"), several(helpers, "helper"))
}
