package scheduler

import (
	"fmt"
	"math"
	"slices"

	"potlife/rooms"
)

// segment is a run of blocks that becomes one setting area.
type segment struct{ from, to int } // blocks [from, to)

// How much harm a stop does; common practice ranks the corner least.
const (
	harmCorner = 0
	harmJoint  = 1
	harmCourse = 2
	harmWithin = 3
)

// caps are the most minutes of an area: of one without loud work, and of one with,
// which keeps to its site's hours for that.
type caps struct{ quiet, loud float64 }

func (c caps) of(loud bool) float64 {
	if loud {
		return c.loud
	}
	return c.quiet
}

// splitBlocks divides blocks into the fewest areas of at most so many minutes,
// then those whose stops do least harm, then the most even ones, by dynamic
// programming over the places where a stop is possible. Blocks with another
// bed, under a ledger or left out on purpose never share an area with others.
// A block longer than the limit stands alone and is split by the caller.
func splitBlocks(blocks []block, most caps) []segment {
	n := len(blocks)
	type best struct {
		areas, harm int
		spread      float64
		from        int
	}
	at := make([]best, n+1)
	for end := 1; end <= n; end++ {
		at[end].areas = math.MaxInt
		sum, loud := 0.0, false
		for from := end - 1; from >= 0; from-- {
			if from < end-1 && !together(blocks[from], blocks[from+1]) {
				break
			}
			sum, loud = sum+blocks[from].minutes, loud || blocks[from].loud
			limit := most.of(loud)
			if from < end-1 && sum > limit {
				break
			}
			c := best{at[from].areas + pieces(sum, limit), at[from].harm + harmOf(blocks, end), at[from].spread + float64(sum*sum), from}
			b := at[end]
			if c.areas != b.areas {
				if c.areas < b.areas {
					at[end] = c
				}
			} else if c.harm != b.harm {
				if c.harm < b.harm {
					at[end] = c
				}
			} else if c.spread < b.spread-1e-6 {
				at[end] = c
			}
		}
	}
	var out []segment
	for end := n; end > 0; end = at[end].from {
		out = append(out, segment{at[end].from, end})
	}
	slices.Reverse(out)
	return out
}

// pieces is how many areas a run of that many minutes needs.
func pieces(minutes, limit float64) int {
	return max(1, int(math.Ceil(minutes/limit-1e-9)))
}

// harmOf is the harm of a stop before block end.
func harmOf(blocks []block, end int) int {
	if end == len(blocks) || blocks[end].first {
		return harmCorner
	}
	if blocks[end].joint {
		return harmJoint
	}
	if blocks[end].course > 0 {
		return harmWithin
	}
	return harmCourse
}

// areasAtLeast is a lower bound on the number of areas: per run of blocks that
// may share one, its minutes over the limit.
func areasAtLeast(blocks []block, limit float64) int {
	n, sum := 0, 0.0
	for i, b := range blocks {
		if i > 0 && !together(blocks[i-1], b) {
			n += pieces(sum, limit)
			sum = 0
		}
		sum += b.minutes
	}
	if len(blocks) > 0 {
		n += pieces(sum, limit)
	}
	return n
}

// together reports whether two neighbouring blocks may share an area.
func together(a, b block) bool {
	return a.bed == b.bed && a.lower == b.lower && a.late == b.late && a.chosen == b.chosen && a.until == b.until
}

// patchPlan is a patch with its offsets from the start of its activity.
type patchPlan struct {
	items      []*item
	start, set int
	m2, kg     float64
}

// areaPlan is an area before it has a date.
type areaPlan struct {
	id       string
	items    []*item
	bed      bed
	lower    bool
	late     bool
	until    rooms.Date // of what was left out: the first day
	by       hands      // of the crew, who are there
	loud     bool       // held to the site's hours for loud work
	surfaces []string
	patches  []patchPlan
	minutes  int // of the whole activity, setting up and cleaning up included
	field    int // offset at which the last piece is in
	open     int
	limits   string
	grout    due
	stopAt   string
	m2, kg   float64
	run      *areaRun // that it is part of
}

// spread is what bounds patches.
type spread struct {
	open       int     // minutes as used
	capM2      float64 // 0: none
	bucket     float64 // kg
	speed      float64 // of the gang
	setUp, end int     // minutes before the first and after the last patch
	charge     bool    // cutting ahead is charged to the area: nobody else cuts
	apart      bool    // but for what is cut with a power tool, which is work of its own
}

// charged is what cutting a piece ahead adds to its area, in minutes of one setter.
func (s spread) charged(it *item) float64 {
	if !s.charge || s.apart && power(it.piece) {
		return 0
	}
	return it.ahead
}

// patchesOf spreads the items of an area in order.
func patchesOf(items []*item, s spread) (patches []patchPlan, finish int) {
	t := s.setUp
	var few [16]patchPlan
	out := few[:0]
	for i := 0; i < len(items); {
		var p patchPlan
		set, pre := 0.0, 0.0
		j := i
		for ; j < len(items); j++ {
			it := items[j]
			m2 := it.piece.AreaMM2 / 1e6
			kg := m2 * it.bed.kgPerM2
			if j > i && s.full(set+it.set/s.speed, p.m2+m2, p.kg+kg) {
				break
			}
			set += it.set / s.speed
			pre += it.cut / s.speed
			pre += s.charged(it) / s.speed
			p.m2 += m2
			p.kg += kg
		}
		p.items = items[i:j]
		p.start = t + ceilMinutes(pre)
		whole := max(1, ceilMinutes(set))
		p.set = p.start + min(whole, s.open)
		t = p.start + whole
		out = append(out, p)
		i = j
	}
	return slices.Clone(out), t
}

// ceilMinutes rounds up, after rounding to a millionth so that processors agree.
func ceilMinutes(m float64) int { return int(math.Ceil(math.Round(m*1e6)/1e6 - 1e-6)) }

// tooLong is a piece that no working interval holds.
type tooLong struct {
	item    *item
	minutes int
	loud    bool
}

func (e *tooLong) Error() string {
	return fmt.Sprintf("piece %s takes %d min without a stop", e.item.piece.ID, e.minutes)
}

// areasOf turns a run into even areas of at most limit minutes, activity overhead
// included; longest is what a single piece may take at most.
func areasOf(run *areaRun, limit, longest caps) ([]*areaPlan, error) {
	scaled, s := run.blocks, run.spread
	room := caps{max(1, limit.quiet-float64(s.setUp+s.end)), max(1, limit.loud-float64(s.setUp+s.end))}
	var out []*areaPlan
	for try, part := 0, 0.97; ; try, part = try+1, part*0.93 {
		out = out[:0]
		target := caps{room.quiet * part, room.loud * part}
		for _, g := range splitBlocks(scaled, target) {
			loud := slices.ContainsFunc(scaled[g.from:g.to], func(k block) bool { return k.loud })
			for _, a := range cutAreas(scaled, g, s, target.of(loud)) {
				a.loud = loud
				out = append(out, a)
			}
		}
		several := slices.DeleteFunc(slices.Clone(out), func(a *areaPlan) bool { return len(a.items) == 1 })
		if try < 12 && longestOver(several, limit) != nil {
			continue
		}
		worst := longestOver(out, longest)
		if worst == nil {
			return out, nil
		}
		return nil, &tooLong{worst.items[0], worst.minutes, worst.loud}
	}
}

// longestOver is the area that is furthest over what it may take, nil where none is.
func longestOver(areas []*areaPlan, most caps) *areaPlan {
	var w *areaPlan
	over := 0.0
	for _, a := range areas {
		if v := float64(a.minutes) - most.of(a.loud); v > over {
			w, over = a, v
		}
	}
	return w
}

// cutAreas makes the areas of one segment: one, unless a single block is
// longer than the limit.
func cutAreas(blocks []block, g segment, s spread, limit float64) []*areaPlan {
	items := ordered(blocks[g.from:g.to])
	total := 0.0
	for _, b := range blocks[g.from:g.to] {
		total += b.minutes
	}
	n := pieces(total, limit)
	var out []*areaPlan
	done, sum := 0, 0.0
	for i, it := range items {
		m := (it.set + it.cut + s.charged(it)) / s.speed
		if i > done && (sum+m > limit+1e-6 || sum+m > total/float64(n)+1e-6 && len(out) < n-1) {
			out = append(out, newArea(items[done:i], blocks[g.from], s, "within a course: it is longer than an area may be"))
			done, sum = i, 0
		}
		sum += m
	}
	return append(out, newArea(items[done:], blocks[g.from], s, stopWords(blocks, g.to)))
}

func stopWords(blocks []block, end int) string {
	switch {
	case end == len(blocks):
		return "the end of the work in this room"
	case blocks[end].first:
		return "the corner: the surface is full"
	case blocks[end].joint:
		return "the movement joint"
	case blocks[end].course > 0:
		return "within a course: the time until a break or the evening is used up"
	case blocks[end].late:
		return "the end of the field: what was left out follows"
	}
	return "a whole course"
}

// ordered puts the items of blocks in setting order, surface by surface.
func ordered(blocks []block) []*item {
	var out []*item
	for i := 0; i < len(blocks); {
		j := i
		n := 0
		for k := i; k < len(blocks) && blocks[k].surface == blocks[i].surface; k++ {
			n += len(blocks[k].items)
		}
		part := make([]*item, 0, n)
		for ; j < len(blocks) && blocks[j].surface == blocks[i].surface; j++ {
			part = append(part, blocks[j].items...)
		}
		if !blocks[i].flat {
			r := relate(part)
			part = r.sawnLast(r.steps())
		}
		out = append(out, part...)
		i = j
	}
	return out
}

func newArea(items []*item, b block, s spread, stop string) *areaPlan {
	a := &areaPlan{items: items, bed: b.bed, lower: b.lower, late: b.late, until: b.until, stopAt: stop, open: s.open}
	a.patches, a.field = patchesOf(items, s)
	a.minutes = a.field + s.end
	for _, it := range items {
		a.m2 += it.piece.AreaMM2 / 1e6
		if !slices.Contains(a.surfaces, it.surface) {
			a.surfaces = append(a.surfaces, it.surface)
		}
	}
	a.kg = a.m2 * a.bed.kgPerM2
	return a
}
