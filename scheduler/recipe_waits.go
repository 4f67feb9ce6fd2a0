package scheduler

import "potlife/takeoff"

// recipeWaits adds the cures and latest times that a recipe's steps name: all of
// the next step that has work waits for all of the step before it, and begins in
// time after it. Setting is one step, whatever it is split into.
func (b *builder) recipeWaits() {
	for i := 0; i < len(b.r.recipe); i++ {
		s := b.r.recipe[i]
		first, j := i, i+1
		for isSet(s.Kind) && j < len(b.r.recipe) && isSet(b.r.recipe[j].Kind) {
			i, j = j, j+1
		}
		if s.AfterMinutes == 0 && s.WithinMinutes == 0 {
			continue
		}
		before := b.ofSteps(first, j)
		for ; j < len(b.r.recipe); j++ {
			if next := b.ofSteps(j, j+1); len(next) > 0 && len(before) > 0 {
				b.between(s, before, next)
				break
			}
		}
	}
}

// ofSteps are the tasks of some steps that follow one another.
func (b *builder) ofSteps(from, to int) []*task {
	var out []*task
	for _, t := range b.seq {
		if t.step >= from && t.step < to && t.kind != kindHold {
			out = append(out, t)
		}
	}
	return out
}

func (b *builder) between(s Step, before, next []*task) {
	wait := b.cure(b.r, s.AfterMinutes, 0, &takeoff.DataSheet{})
	for k, t := range next {
		for _, u := range before {
			most := -1
			if s.WithinMinutes > 0 && k == 0 && u == before[len(before)-1] {
				most = b.within(u, t, s.WithinMinutes)
			}
			t.wait(u, wait, most, "the recipe's wait after "+s.Kind)
		}
	}
}
