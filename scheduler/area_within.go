package scheduler

// A course may be longer than what a shift has left of it: whoever sets it stops within
// it for the break or the evening, and goes on where he stopped.

const (
	longCourse = 45 // minutes from which on a row is set in parts, where that fills a shift
	partCourse = 12 // minutes of work in such a part, as a rule
)

// minutesOf is what the gang takes for items, patches and overheads left out.
func (s spread) minutesOf(items []*item) float64 {
	sum := 0.0
	for _, it := range items {
		sum += it.set + it.cut + s.charged(it)
	}
	return sum / s.speed
}

// inParts are the rows of the run, the long ones in parts of some minutes.
func (r *areaRun) inParts() []block {
	if r.fine != nil {
		return r.fine
	}
	r.fine = make([]block, 0, len(r.blocks))
	for _, k := range r.blocks {
		if k.minutes < longCourse {
			r.fine = append(r.fine, k)
			continue
		}
		part := k.minutes / float64(int(k.minutes/partCourse))
		r.fine = r.inPieces(r.fine, k, func(_ *item, done float64) bool { return done >= part-1e-6 })
	}
	return r.fine
}

// inAreas are the rows of the run, in parts those of which pieces are to be in several
// areas, by their numbers.
func (r *areaRun) inAreas(area map[string]int) []block {
	out := make([]block, 0, len(r.blocks))
	for _, k := range r.blocks {
		if k.minutes < longCourse/2 || !inSeveral(k.items, area) {
			out = append(out, k)
			continue
		}
		now := 0
		out = r.inPieces(out, k, func(next *item, _ float64) bool {
			n, was := area[next.piece.ID], now
			now = max(now, n)
			return was > 0 && now > was
		})
	}
	return out
}

// inSeveral reports whether items are to be in more than one area.
func inSeveral(items []*item, area map[string]int) bool {
	first := 0
	for _, it := range items {
		n := area[it.piece.ID]
		if first == 0 {
			first = n
		} else if n > 0 && n != first {
			return true
		}
	}
	return false
}

// inPieces adds a row in parts: where ends says so of the next item of its setting
// order, and the minutes of the part until then, one ends.
func (r *areaRun) inPieces(out []block, k block, ends func(next *item, done float64) bool) []block {
	items := ordered([]block{k})
	from, done := 0, 0.0
	add := func(to int) {
		part := k
		part.items, part.minutes = items[from:to:to], done
		if from > 0 {
			part.first, part.joint, part.course = false, false, k.minutes
		}
		out, from, done = append(out, part), to, 0
	}
	for i, it := range items {
		if ends(it, done) && i > from {
			add(i)
		}
		done += r.spread.minutesOf(items[i : i+1])
	}
	add(len(items))
	return out
}
