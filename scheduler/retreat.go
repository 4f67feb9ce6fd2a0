package scheduler

import (
	"cmp"
	"math"
	"slices"

	"potlife/rooms"
	"potlife/takeoff"
)

// walked says on what one stands while setting it: fresh tile may not be stepped on.
func walked(kind string) bool { return kind == rooms.Floor || kind == rooms.ShowerFloor }

// stepAcross is the widest joint that still lets two pieces count as neighbours underfoot.
const stepAcross = 30 * rooms.Millimetre

// walk is a floor as one leaves it: its pieces, joined where they lie side by side, and the runs they form. A run is
// what hangs together of a row.
type walk struct {
	rows   []block
	items  []*item
	next   [][]int32 // neighbours of an item
	runOf  []int32   // of an item
	runs   []walkRun
	alongX bool
	sign   rooms.Length // the way out counts up along the axis times sign
}

type walkRun struct {
	row      int
	items    []int32
	far      rooms.Length // middle, along the way out
	depth    rooms.Length // from the door, across the runs
	parent   int32        // the run by which one leaves it, -1 at the door
	children int
	placed   bool
}

// retreat puts the rows of a floor, of all its zones, into an order in which the setter always has a way to the door
// over what is not set yet: each run goes before the run by which one leaves it, and within a run what has no way on
// but along the run goes before that neighbour. In a plain rectangle these are the strips from the far wall to the
// door, each from the crossing of the lines outward, and the last along the wall towards the door.
func retreat(rows []block, s *rooms.Surface, l *takeoff.Layout) []block {
	if len(rows) == 0 {
		return rows
	}
	w := newWalk(rows, s, l)
	door := w.doorItems(doorway(s, l))
	w.measure(door)
	out := w.order()
	w.within(out, door)
	return out
}

func newWalk(rows []block, s *rooms.Surface, l *takeoff.Layout) *walk {
	w := &walk{rows: rows}
	w.alongX, w.sign = wayOut(s, l)
	var rowOf []int32
	for r := range rows {
		for _, it := range rows[r].items {
			w.items = append(w.items, it)
			rowOf = append(rowOf, int32(r))
		}
	}
	w.join()
	w.findRuns(rowOf)
	return w
}

// join finds the neighbours of each item: boxes no farther apart than a joint, side by side for more than a corner.
// The boxes of pieces that lie turned overlap, which serves as well.
func (w *walk) join() {
	w.next = make([][]int32, len(w.items))
	order := make([]int32, len(w.items))
	for i := range order {
		order[i] = int32(i)
	}
	slices.SortFunc(order, func(a, b int32) int {
		return cmp.Or(cmp.Compare(w.items[a].lo.Y, w.items[b].lo.Y), cmp.Compare(w.items[a].lo.X, w.items[b].lo.X), cmp.Compare(a, b))
	})
	for k, i := range order {
		a := w.items[i]
		for _, j := range order[k+1:] {
			b := w.items[j]
			if b.lo.Y > a.hi.Y+stepAcross {
				break
			}
			if besides(a, b) {
				w.next[i] = append(w.next[i], j)
				w.next[j] = append(w.next[j], i)
			}
		}
	}
}

func besides(a, b *item) bool {
	x, y := min(a.hi.X, b.hi.X)-max(a.lo.X, b.lo.X), min(a.hi.Y, b.hi.Y)-max(a.lo.Y, b.lo.Y)
	return x > -stepAcross && y > -stepAcross && max(x, y) > overlapLeast
}

// findRuns parts the rows into what hangs together.
func (w *walk) findRuns(rowOf []int32) {
	w.runOf = make([]int32, len(w.items))
	for i := range w.runOf {
		w.runOf[i] = -1
	}
	for i := range w.items {
		if w.runOf[i] >= 0 {
			continue
		}
		r := walkRun{row: int(rowOf[i]), items: []int32{int32(i)}, parent: -1}
		w.runOf[i] = int32(len(w.runs))
		for k := 0; k < len(r.items); k++ {
			for _, j := range w.next[r.items[k]] {
				if w.runOf[j] < 0 && rowOf[j] == rowOf[i] {
					w.runOf[j] = w.runOf[i]
					r.items = append(r.items, j)
				}
			}
		}
		sum := rooms.Length(0)
		for _, j := range r.items {
			sum += w.sign * mid(w.items[j], w.alongX)
		}
		r.far = sum / rooms.Length(len(r.items))
		w.runs = append(w.runs, r)
	}
}

// doorItems are the items at the door: those nearest to its line less its ends, so that a piece that begins beside the
// opening is none.
func (w *walk) doorItems(door [2]rooms.Point) []bool {
	away := make([]rooms.Length, len(w.items))
	least := rooms.Length(math.MaxInt64)
	for i, it := range w.items {
		away[i] = max(awayFrom(it.lo.X, it.hi.X, door[0].X, door[1].X), awayFrom(it.lo.Y, it.hi.Y, door[0].Y, door[1].Y))
		least = min(least, away[i])
	}
	at := make([]bool, len(w.items))
	for i := range at {
		at[i] = away[i] <= least+overlapLeast
	}
	return at
}

// awayFrom is how far the span from lo to hi lies from that between two ends, less a little at each.
func awayFrom(lo, hi, a, b rooms.Length) rooms.Length {
	a, b = min(a, b), max(a, b)
	trim := min(overlapLeast, (b-a)/2)
	return max(0, lo-b+trim, a+trim-hi)
}

// doorway is the line by which one leaves a floor: its first doorway or, where it has none, its front as drawn.
func doorway(s *rooms.Surface, l *takeoff.Layout) [2]rooms.Point {
	for i, e := range s.Edges {
		if e.Meets == rooms.Doorway && i < len(s.Outline) {
			return [2]rooms.Point{s.Outline[i], s.Outline[(i+1)%len(s.Outline)]}
		}
	}
	lo, hi := bounds(l.Outline.Outer)
	return [2]rooms.Point{lo, {X: hi.X, Y: lo.Y}}
}

// measure finds, for each run, how deep it lies behind the door and by which run one leaves it: of ways equally short
// one that stays in the zone. Runs that nothing joins to the door keep their place along the axis and no way out.
func (w *walk) measure(door []bool) {
	const unknown = rooms.Length(math.MaxInt64)
	front := w.runs[0].far
	for r := range w.runs {
		w.runs[r].depth = unknown
		front = max(front, w.runs[r].far)
	}
	for i, at := range door {
		if r := &w.runs[w.runOf[i]]; at && r.depth == unknown {
			r.depth = 0
		}
	}
	known := make([]bool, len(w.runs))
	for range w.runs {
		at := -1
		for r := range w.runs {
			if !known[r] && w.runs[r].depth < unknown && (at < 0 || w.runs[r].depth < w.runs[at].depth) {
				at = r
			}
		}
		if at < 0 {
			break
		}
		known[at] = true
		w.reach(int32(at), known)
	}
	for r := range w.runs {
		if w.runs[r].depth == unknown {
			w.runs[r].depth = front - w.runs[r].far
		}
		if p := w.runs[r].parent; p >= 0 {
			w.runs[p].children++
		}
	}
}

// reach offers the run's neighbours a way out through it.
func (w *walk) reach(at int32, known []bool) {
	from := &w.runs[at]
	for _, i := range from.items {
		for _, j := range w.next[i] {
			to := &w.runs[w.runOf[j]]
			if known[w.runOf[j]] {
				continue
			}
			depth := from.depth + max(rooms.Millimetre, to.far-from.far, from.far-to.far)
			if depth < to.depth || depth == to.depth && w.sameZone(at, w.runOf[j]) && (to.parent < 0 || !w.sameZone(to.parent, w.runOf[j])) {
				to.depth, to.parent = depth, at
			}
		}
	}
}

func (w *walk) sameZone(a, b int32) bool {
	return w.items[w.runs[a].items[0]].zone == w.items[w.runs[b].items[0]].zone
}

// order sets the deepest run first and goes on to where one leaves it as long as nothing else has to be set before
// that; so an arm of a room or a zone is finished in one go. Runs of one row that follow each other are one block.
func (w *walk) order() []block {
	var out []block
	last := -1
	for range w.runs {
		at := w.follow(last)
		r := &w.runs[at]
		r.placed = true
		if r.parent >= 0 {
			w.runs[r.parent].children--
		}
		if last < 0 || w.runs[last].row != r.row {
			b := w.rows[r.row]
			b.items = nil
			out = append(out, b)
		}
		b := &out[len(out)-1]
		for _, i := range r.items {
			b.items = append(b.items, w.items[i])
			w.items[i].row = len(out) - 1
		}
		last = at
	}
	return out
}

func (w *walk) follow(last int) int {
	if last >= 0 {
		if p := w.runs[last].parent; p >= 0 && w.runs[p].children == 0 {
			return int(p)
		}
	}
	best := -1
	for r := range w.runs {
		if w.runs[r].placed || w.runs[r].children > 0 {
			continue
		}
		if best < 0 || w.runs[r].depth > w.runs[best].depth {
			best = r
		}
	}
	return best
}

// within orders the items of each row. Those with a way on into a later row, or at the door, grow outward from the
// crossing of the lines as they did. Where others have none, these come first, each stretch of them from its far end.
func (w *walk) within(rows []block, door []bool) {
	index := make(map[*item]int32, len(w.items))
	for i, it := range w.items {
		index[it] = int32(i)
	}
	steps := w.stepsToExit(door)
	for r := range rows {
		row := rows[r].items
		slices.SortStableFunc(row, func(a, b *item) int { return cmp.Compare(a.hops, b.hops) })
		if slices.ContainsFunc(row, func(it *item) bool { return steps[index[it]] > 0 }) {
			rows[r].items = w.sweep(row, index, steps)
		}
		for k, it := range rows[r].items {
			it.hops = k
		}
	}
}

// stepsToExit counts, for each item, the neighbours along its row to one that has a way on: 0 for such itself.
func (w *walk) stepsToExit(door []bool) []int {
	steps := make([]int, len(w.items))
	var queue []int32
	for i, it := range w.items {
		steps[i] = -1
		if door[i] || slices.ContainsFunc(w.next[i], func(j int32) bool { return w.items[j].row > it.row }) {
			steps[i] = 0
			queue = append(queue, int32(i))
		}
	}
	for k := 0; k < len(queue); k++ {
		for _, j := range w.next[queue[k]] {
			if steps[j] < 0 && w.items[j].row == w.items[queue[k]].row {
				steps[j] = steps[queue[k]] + 1
				queue = append(queue, j)
			}
		}
	}
	return steps
}

// sweep puts the stretches without a way on first, the longest of them first and each from its far end, then the rest
// away from the last of them, so that the row is closed as seldom as may be between two pieces that are set.
func (w *walk) sweep(row []*item, index map[*item]int32, steps []int) []*item {
	stretch := make(map[*item]int, len(row))
	var deep []int
	for _, it := range row {
		if steps[index[it]] > 0 && stretch[it] == 0 {
			deep = append(deep, w.fill(it, len(deep)+1, stretch, index, steps))
		}
	}
	slices.SortStableFunc(row, func(a, b *item) int {
		x, y := stretch[a], stretch[b]
		switch {
		case x == 0 && y == 0:
			return 0
		case x == 0 || y == 0:
			return cmp.Compare(y, x)
		}
		return cmp.Or(cmp.Compare(deep[y-1], deep[x-1]), cmp.Compare(x, y), cmp.Compare(steps[index[b]], steps[index[a]]))
	})
	n := 0
	for n < len(row) && stretch[row[n]] > 0 {
		n++
	}
	from := mid(row[max(0, n-1)], !w.alongX)
	rest := row[n:]
	slices.SortStableFunc(rest, func(a, b *item) int {
		x, y := mid(a, !w.alongX)-from, mid(b, !w.alongX)-from
		return cmp.Compare(max(x, -x), max(y, -y))
	})
	return row
}

// fill marks the stretch an item lies in and returns how deep it is.
func (w *walk) fill(it *item, mark int, stretch map[*item]int, index map[*item]int32, steps []int) (deep int) {
	queue := []*item{it}
	stretch[it] = mark
	for k := 0; k < len(queue); k++ {
		i := index[queue[k]]
		deep = max(deep, steps[i])
		for _, j := range w.next[i] {
			if o := w.items[j]; steps[j] > 0 && o.row == it.row && stretch[o] == 0 {
				stretch[o] = mark
				queue = append(queue, o)
			}
		}
	}
	return deep
}
