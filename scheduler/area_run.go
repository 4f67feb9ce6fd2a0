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
	most   caps    // minutes of an area
	wanted int     // minutes of an area over which a shorter one is better
	fine   []block // see inParts
}

func newAreaRun(blocks []block, s spread, most caps, wanted int) *areaRun {
	r := &areaRun{blocks: slices.Clone(blocks), spread: s, most: most, wanted: wanted}
	for i := range r.blocks {
		r.blocks[i].minutes = s.minutesOf(r.blocks[i].items)
	}
	return r
}

// key names a run by the piece that it begins with.
func (r *areaRun) key() string { return r.blocks[0].items[0].piece.ID }

// stopped are the areas of the run that end where parts says, by piece: rows of one
// number share an area, a row of which nothing is said goes with its neighbour. nil
// where nothing is said of the run, or an area would be longer than one may be.
func (r *areaRun) stopped(parts map[string]int) []*areaPlan {
	if len(parts) == 0 {
		return nil
	}
	var list []segment
	from, part, known := 0, 0, false
	blocks := r.inAreas(parts)
	for i, k := range blocks {
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
	for _, g := range append(list, segment{from, len(blocks)}) {
		rows := blocks[g.from:g.to]
		a := newArea(ordered(rows), rows[0], r.spread, stopWords(blocks, g.to))
		a.loud = slices.ContainsFunc(rows, func(k block) bool { return k.loud })
		out = append(out, a)
	}
	if longestOver(out, r.most) != nil || r.tooShort(out, blocks, list) {
		return nil
	}
	return out
}

// tooShort reports whether an area beside a stop within a course takes too little to
// stop there: it was planned for fewer.
func (r *areaRun) tooShort(areas []*areaPlan, blocks []block, ends []segment) bool {
	for i, g := range ends {
		if harmOf(blocks, g.to) == harmWithin && min(areas[i].minutes, areas[i+1].minutes) < leastKept {
			return true
		}
	}
	return false
}

// What ending an area costs when a run is divided by what is left of shifts, in
// minutes by which its end may come later instead; common practice ranks the stops.
const (
	costOfArea  = 5  // leaving, coming back, finding the line again
	costOfOver  = 10 // minutes over what is wanted of an area that cost one
	leastFilled = 40 // of an area, unless it is all of the run
	leastKept   = 30 // of one beside a stop within a course, when it is planned again for others
	leastGain   = 10 // of end and costs together, for which a run is divided anew
)

// aim is what a run is divided for: what stops cost beside, by their harm, and whether the
// time in which nobody works counts until its end. A corner and a movement joint are where
// a stop is wanted.
type aim struct {
	stops   [harmWithin + 1]int
	working bool
}

var (
	// toEndSoon finds the days of a first plan.
	toEndSoon = aim{stops: [...]int{harmCorner: 0, harmJoint: 4, harmCourse: 24, harmWithin: 40}}
	// toStopKindly lets an area end at a corner or a movement joint up to 40 min before it
	// is due to stop, rather than at a course.
	toStopKindly = aim{stops: [...]int{harmCorner: 0, harmJoint: 2, harmCourse: 44, harmWithin: 70}, working: true}
)

// costOf is what an area of so many minutes costs that ends at a stop of some harm.
func (r *areaRun) costOf(minutes, harm int, to *aim) int {
	return costOfArea + to.stops[harm] + max(0, minutes-r.wanted)/costOfOver
}

// by is what an end at a minute costs.
func (a *aim) by(finish int, hours runHours) int {
	if a.working {
		return Working(hours.quiet, 0, finish)
	}
	return finish
}

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
func (r *areaRun) fill(hours runHours, ready map[string]int, to *aim) (division, bool) {
	blocks := r.inParts()
	n := len(blocks)
	at := make([][]stopLabel, n+1)
	at[0] = []stopLabel{{}}
	for from := range n {
		if len(at[from]) == 0 {
			continue
		}
		p, loud, begin := patching{spread: &r.spread, at: r.spread.setUp}, false, 0
		for end := from + 1; end <= n; end++ {
			k := &blocks[end-1]
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
			cost := r.costOf(minutes, harmOf(blocks, end), to)
			for i, l := range at[from] {
				if s, ok := earliest(hours.of(loud), max(l.finish, begin), minutes); ok {
					at[end] = withLabel(at[end], stopLabel{s + minutes, l.cost + cost, s, from, i})
				}
			}
		}
	}
	return traced(at, func(l *stopLabel) int { return to.by(l.finish, hours) + l.cost })
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

// traced is the division that leads to the best way to the end, that of least cost.
func traced(at [][]stopLabel, cost func(*stopLabel) int) (d division, ok bool) {
	end, best, least := len(at)-1, -1, 0
	for i := range at[end] {
		if v := cost(&at[end][i]); best < 0 || v < least {
			best, least = i, v
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

// atMost are the most minutes of an area by the longest intervals, and by the firm's
// limit where it gives one: else an area may be longer than one is wanted.
func atMost(given int, quiet, loud shift) caps {
	if given <= 0 {
		given = math.MaxInt
	}
	return caps{float64(min(given, quiet.longest)), float64(min(given, loud.longest))}
}
