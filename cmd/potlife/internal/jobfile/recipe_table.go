package jobfile

import (
	"fmt"
	"slices"
	"strings"

	"potlife/rooms"
	"potlife/scheduler"
)

// recipe is a scheduler.Recipe as it is written: a step may name what it
// follows instead of standing in its place.
type recipe struct {
	key    string
	steps  []step
	others []string
	// written are the steps in the order of the file, before what they follow moved
	// them.
	written []step
}

type step struct {
	scheduler.Step
	follows []string
}

// leavable is the work that others may do.
var leavable = []string{"level", "prime", "board", "membrane", "flood test", "seal"}

var recipeObject = object[recipe]{
	name: "recipe", doc: "a sequence of activities, in order; a step with follows comes after the steps it names",
	fields: []field[recipe]{
		keep("key", "the recipe's key", keyForm, func(c *recipe) *string { return &c.key }).needed(),
		keep("steps", "the activities", listOf(of(&stepObject)), func(c *recipe) *[]step { return &c.steps }).needed(),
		keep("by_others", "work that surfaces ask for and somebody else does, so that no step lacks: "+list(leavable)+"; its goods are still counted, and a hold of the room says when it is done", listOf(word(leavable...)), func(c *recipe) *[]string { return &c.others }),
	},
	check: func(r *reader, v *value, c *recipe) {
		if in := v.get("steps"); in != nil && len(c.steps) == 0 {
			r.fail(in.place, "a recipe without steps", "at least one")
		}
		c.written = c.steps
		orderSteps(r, v, c)
		checkTrade(r, v, c)
	},
}

func recipeOf(c recipe) scheduler.Recipe {
	out := scheduler.Recipe{Key: c.key, Others: c.others}
	for _, s := range c.steps {
		out.Steps = append(out.Steps, s.Step)
	}
	return out
}

// recipeForm turns the written form into the domain's.
var recipeForm = mapped(of(&recipeObject), recipeOf, func(from scheduler.Recipe) recipe {
	out := recipe{key: from.Key, others: from.Others}
	for _, s := range from.Steps {
		out.steps = append(out.steps, step{Step: s})
	}
	return out
})

var stepObject = object[step]{
	name: "step", doc: "one activity of a recipe",
	fields: []field[step]{
		keep("kind", list(activities)+", set walls, set floor, set lower course, or a name of your own", textForm, func(s *step) *string { return &s.Kind }).needed(),
		keep("follows", "kinds of steps of this recipe that come before it", listOf(textForm), func(s *step) *[]string { return &s.follows }),
		keep("per_m2", "minutes of work per m2", amount(0, 10_000, "minutes"), func(s *step) *float64 { return &s.MinutesPerM2 }),
		keep("minutes", "minutes of work whatever the area, for a setter with a helper (a step of one setter and no helper takes longer by rates: single_setter)", amount(0, 100_000, "minutes"), func(s *step) *float64 { return &s.Minutes }),
		keep("setters", "setters it takes", whole(0, 50, "setters"), func(s *step) *int { return &s.Setters }),
		keep("helpers", "helpers it takes", whole(0, 50, "helpers"), func(s *step) *int { return &s.Helpers }),
		keep("cure", "wait on the clock before the next step, such as 24h", minutesForm, func(s *step) *int { return &s.AfterMinutes }),
		keep("next_within", "latest start of the next step, such as 3d", minutesForm, func(s *step) *int { return &s.WithinMinutes }),
		keep("on", "surfaces it is done on: walls, floors, wet, kinds of surface, or keys of surfaces; all that ask for it if left out", listOf(textForm), func(s *step) *[]string { return &s.On }),
		keep("product", "what it takes: of the kind that such a step uses, instead of the firm's first of that kind; else so much to the m2 as its sheet says", keyForm, func(s *step) *string { return &s.Product }),
		keep("skill", "a skill that the crew must list, if it lists any", textForm, func(s *step) *string { return &s.Skill }),
		keep("tool", "a tool of the firm that it takes", textForm, func(s *step) *string { return &s.Tool }),
		keep("loud", "keeps to the site's hours for loud work", flagForm, func(s *step) *bool { return &s.Loud }),
	},
	check: func(r *reader, v *value, s *step) {
		if s.WithinMinutes > 0 && s.WithinMinutes < s.AfterMinutes {
			r.fail(v.at("next_within"), "the next step must start before the cure ends", "next_within no shorter than cure")
		}
		r.product(v.get("product"), s.Product)
		if in := v.get("on"); in != nil && (s.Kind == "set" || strings.HasPrefix(s.Kind, "set ")) {
			r.fail(in.place, "a step of setting names no surfaces", "the steps set walls and set floor, each in its place")
		}
	},
}

// checkTrade refuses a recipe that contradicts the trade's order on walls or on
// floors, or leaves out what makes a tiled room: with the order of the trade it
// would run in a circle.
func checkTrade(r *reader, v *value, c *recipe) {
	own := recipeOf(*c)
	sets, grouts := false, false
	for _, s := range c.steps {
		sets = sets || s.Kind == "set" || strings.HasPrefix(s.Kind, "set ")
		grouts = grouts || s.Kind == "grout"
	}
	for _, kind := range []string{rooms.Wall, rooms.Floor} {
		if first, then := own.Circle(&rooms.Surface{Kind: kind}); then != "" {
			expected := fmt.Sprintf("%q before %q", then, first)
			if then == "set walls" || then == "set floor" {
				expected += fmt.Sprintf("; where %q is done on walls and floor apart, a step for each with its on", first)
			}
			r.failf(v.at("steps"), expected, "recipe %s puts %q before %q, which must be done first: together they run in a circle", c.key, first, then)
			return
		}
	}
	if s := own.Twice(); s != "" {
		r.failf(v.at("steps"), "each step of setting once", "recipe %s has the step %q twice", c.key, s)
	}
	if len(c.steps) > 0 && (!sets || !grouts) {
		r.failf(v.at("steps"), "the steps set and grout among the others", "recipe %s never sets or never grouts", c.key)
	}
	for i, in := range itemsOf(v, "steps") {
		if on := in.get("on"); on != nil && i < len(c.written) {
			checkOn(r, on, c.key, c.written[i])
		}
	}
}

// checkOn refuses a word that names no surface of any room with the recipe, where
// rooms are read with it.
func checkOn(r *reader, at *value, recipe string, s step) {
	r.later = append(r.later, func(c *catalog) {
		used, known := false, map[string]bool{scheduler.OnWalls: true, scheduler.OnFloors: true, scheduler.OnWet: true}
		for _, k := range surfaceKinds {
			known[k] = true
		}
		for _, j := range c.jobs {
			for _, site := range j.Sites {
				for _, m := range site.Rooms {
					for _, f := range m.Surfaces {
						used, known[f.Key] = used || m.Recipe == recipe, known[f.Key] || m.Recipe == recipe
					}
				}
			}
		}
		for i, w := range s.On {
			if used && !known[w] && i < len(at.items) {
				r.failf(at.items[i].place, "walls, floors, wet, a kind of surface, or a surface of a room with this recipe", "the step %q is to be done on %q, which no room with the recipe %s has", s.Kind, w, recipe)
			}
		}
	})
}

// orderSteps puts the steps in an order that keeps every follows, nearest to
// the order written, and reports a sequence that runs in a circle.
func orderSteps(r *reader, v *value, c *recipe) {
	if !slices.ContainsFunc(c.steps, func(s step) bool { return len(s.follows) > 0 }) {
		return
	}
	kinds := map[string]bool{}
	for _, s := range c.steps {
		kinds[s.Kind] = true
	}
	for _, s := range c.steps {
		for _, f := range s.follows {
			if !kinds[f] {
				r.failf(v.at("steps"), "the kind of a step of this recipe", "%q follows %q, which is no step of the recipe", s.Kind, f)
				return
			}
		}
	}
	left, done := slices.Clone(c.steps), []step(nil)
	waits := func(s step) bool {
		return slices.ContainsFunc(left, func(o step) bool { return slices.Contains(s.follows, o.Kind) })
	}
	for len(left) > 0 {
		i := slices.IndexFunc(left, func(s step) bool { return !waits(s) })
		if i < 0 {
			r.failf(v.at("steps"), "an order in which every step comes after those it follows", "the activities run in a circle: %s", loop(left))
			return
		}
		done = append(done, left[i])
		left = slices.Delete(left, i, i+1)
	}
	c.steps = done
}

// loop names the steps of one loop among steps that all wait for another.
func loop(left []step) string {
	var path []string
	at := left[0]
	for !slices.Contains(path, at.Kind) {
		path = append(path, at.Kind)
		at = left[slices.IndexFunc(left, func(o step) bool { return slices.Contains(at.follows, o.Kind) })]
	}
	path = append(path[slices.Index(path, at.Kind):], at.Kind)
	slices.Reverse(path)
	return strings.Join(path, ", then ")
}
