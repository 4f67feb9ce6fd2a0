package scheduler

import (
	"cmp"
	"math"
	"slices"
)

// areaRun is what areas are divided from: rows of one bed that follow each other,
// with the minutes that the gang takes for them, and what bounds an area of them. An
// area keeps it, so that the run can be divided anew when it has dates.
type areaRun struct {
	blocks []block
	spread spread
	most   caps // minutes of an area
}

func newAreaRun(blocks []block, s spread, most caps) *areaRun {
	r := &areaRun{blocks: slices.Clone(blocks), spread: s, most: most}
	for i := range r.blocks {
		k := &r.blocks[i]
		k.minutes = 0
		for _, it := range k.items {
			k.minutes += it.set + it.cut + s.charged(it)
		}
		k.minutes /= s.speed
	}
	return r
}

// key names a run by the piece that it begins with.
func (r *areaRun) key() string { return r.blocks[0].items[0].piece.ID }

// stopped are the areas of the run that end where parts says, by piece: rows of one
// number share an area, a row of which nothing is said goes with its neighbour. nil
// where nothing is said of the run, or an area would be longer than one may be.
func (r *areaRun) stopped(parts map[string]int, flatBlocks func(string) bool) []*areaPlan {
	var list []segment
	from, part, known := 0, 0, false
	for i, k := range r.blocks {
		n, ok := parts[k.items[0].piece.ID]
		if ok && known && n != part {
			list = append(list, segment{from, i})
			from = i
		}
		if ok {
			part, known = n, true
		}
	}
	if !known {
		return nil
	}
	var out []*areaPlan
	for _, g := range append(list, segment{from, len(r.blocks)}) {
		rows := r.blocks[g.from:g.to]
		a := newArea(ordered(rows, flatBlocks), rows[0], r.spread, stopWords(r.blocks, g.to))
		a.loud = slices.ContainsFunc(rows, func(k block) bool { return k.loud })
		out = append(out, a)
	}
	if longestOver(out, r.most) != nil {
		return nil
	}
	return out
}

// What ending an area costs when a run is divided by what is left of shifts, in
// minutes by which its end may come later instead; common practice ranks the stops.
const (
	costOfArea  = 5  // leaving, coming back, finding the line again
	leastFilled = 40 // of an area, unless it is all of the run
	leastGain   = 10 // of end and costs together, for which a run is divided anew
)

// costOfStop is what a stop costs beside, by its harm: a corner and a movement joint
// are where one is wanted.
func costOfStop(harm int) int { return [...]int{harmCorner: 0, harmJoint: 4, harmCourse: 24}[harm] }

// division is where a run's areas end and when they begin.
type division struct {
	stops, starts []int // stops: rows that areas end before
	finish, cost  int
}

// runHours are the minutes at which a run's gang is free for it: for any of its areas,
// and for those with loud work.
type runHours struct{ quiet, loud []Interval }

func (h runHours) of(loud bool) []Interval {
	if loud {
		return h.loud
	}
	return h.quiet
}

// stopLabel is one way to come to a row: when the area before it ends, at what cost,
// and from which row and way that area was begun.
type stopLabel struct{ finish, cost, start, from, label int }

// stopLabels is how many ways to a row are looked at.
const stopLabels = 4

// fill divides the run so that it ends soonest where its areas begin no earlier than
// ready says of their surfaces and lie in hours: areas then fill what shifts leave.
// Later is accepted for fewer areas and better stops, by their costs.
func (r *areaRun) fill(hours runHours, ready map[string]int) (division, bool) {
	n := len(r.blocks)
	at := make([][]stopLabel, n+1)
	at[0] = []stopLabel{{}}
	for from := range n {
		if len(at[from]) == 0 {
			continue
		}
		p, loud, begin := patching{spread: &r.spread, at: r.spread.setUp}, false, 0
		for end := from + 1; end <= n; end++ {
			k := &r.blocks[end-1]
			for _, it := range k.items {
				p.add(it)
			}
			loud, begin = loud || k.loud, max(begin, ready[k.surface])
			minutes := p.finish() + r.spread.end
			if minutes += 1 + minutes/100; float64(minutes) > r.most.of(loud) { // in setting order patches end elsewhere
				break
			}
			if minutes < leastFilled && (from > 0 || end < n) {
				continue
			}
			cost := costOfArea + costOfStop(harmOf(r.blocks, end))
			for i, l := range at[from] {
				if s, ok := earliest(hours.of(loud), max(l.finish, begin), minutes); ok {
					at[end] = withLabel(at[end], stopLabel{s + minutes, l.cost + cost, s, from, i})
				}
			}
		}
	}
	return r.traced(at)
}

// withLabel adds a way to a row unless another is as soon at no more cost.
func withLabel(list []stopLabel, l stopLabel) []stopLabel {
	if slices.ContainsFunc(list, func(o stopLabel) bool { return o.finish <= l.finish && o.cost <= l.cost }) {
		return list
	}
	list = slices.DeleteFunc(list, func(o stopLabel) bool { return o.finish >= l.finish && o.cost >= l.cost })
	i, _ := slices.BinarySearchFunc(list, l, func(a, b stopLabel) int { return cmp.Compare(a.finish, b.finish) })
	list = slices.Insert(list, i, l)
	return list[:min(len(list), stopLabels)]
}

// traced is the division that leads to the best way to the end.
func (r *areaRun) traced(at [][]stopLabel) (d division, ok bool) {
	end, best := len(r.blocks), -1
	for i, l := range at[end] {
		if best < 0 || l.finish+l.cost < at[end][best].finish+at[end][best].cost {
			best = i
		}
	}
	if best < 0 {
		return d, false
	}
	d.finish, d.cost = at[end][best].finish, at[end][best].cost
	for end > 0 {
		l := at[end][best]
		d.stops, d.starts = append(d.stops, end), append(d.starts, l.start)
		end, best = l.from, l.label
	}
	slices.Reverse(d.stops)
	slices.Reverse(d.starts)
	return d, true
}

// patching counts what patches of pieces added one by one take, as patchesOf does.
type patching struct {
	spread           *spread
	at               int // minute at which the patch begins
	set, pre, m2, kg float64
	any              bool
}

func (p *patching) add(it *item) {
	s := p.spread
	m2 := it.piece.AreaMM2 / 1e6
	kg := m2 * it.bed.kgPerM2
	if p.any && s.full(p.set+it.set/s.speed, p.m2+m2, p.kg+kg) {
		*p = patching{spread: s, at: p.finish()}
	}
	p.set += it.set / s.speed
	p.pre += (it.cut + s.charged(it)) / s.speed
	p.m2 += m2
	p.kg += kg
	p.any = true
}

func (p *patching) finish() int {
	if !p.any {
		return p.at
	}
	return p.at + ceilMinutes(p.pre) + max(1, ceilMinutes(p.set))
}

// full reports whether so much is more than one patch holds.
func (s *spread) full(set, m2, kg float64) bool {
	return set > float64(s.open) || s.capM2 > 0 && m2 > s.capM2+1e-9 || kg > s.bucket+1e-9
}

// atMost are the most minutes of an area by a firm's limit and the longest intervals.
func atMost(limit int, quiet, loud shift) caps {
	return caps{math.Min(float64(limit), float64(quiet.longest)), math.Min(float64(limit), float64(loud.longest))}
}
