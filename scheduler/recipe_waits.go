package scheduler

// recipeWaits adds the cures and latest times that a recipe's steps name: all of
// the next step that has work waits for all of the step before it, and begins in
// time after it. Setting is one step, whatever it is split into.
func (b *builder) recipeWaits() {
	for i := 0; i < len(b.r.recipe); i++ {
		s := b.r.recipe[i]
		j := i + 1
		for isSet(s.Kind) && j < len(b.r.recipe) && isSet(b.r.recipe[j].Kind) {
			i, j = j, j+1
		}
		if s.AfterMinutes == 0 && s.WithinMinutes == 0 {
			continue
		}
		before := b.byStep(s.Kind)
		for ; j < len(b.r.recipe); j++ {
			if next := b.byStep(b.r.recipe[j].Kind); len(next) > 0 && len(before) > 0 {
				b.between(s, before, next)
				break
			}
		}
	}
}

// byStep are the tasks of a step; of any set step all setting.
func (b *builder) byStep(kind string) []*task {
	if isSet(kind) {
		kind = kindSet
	}
	var out []*task
	for _, t := range b.seq {
		if t.kind == kind {
			out = append(out, t)
		}
	}
	return out
}

func (b *builder) between(s Step, before, next []*task) {
	wait := b.cure(b.r, s.AfterMinutes, 0, 0)
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
