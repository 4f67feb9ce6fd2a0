package takeoff

import (
	"cmp"
	"fmt"
	"slices"

	"potlife/rooms"
)

// The search for the best origin of a pattern whose directions depend on each
// other: herringbone, basket weave, hexagons, anything turned.
//
// The pieces of a layout change in kind where a corner of a tile passes an edge
// of the cover, where the width that an edge leaves of a tile passes a limit
// (the floor, a third, half), and where a side of a tile passes a corner of the
// cover. With edges of the cover along x and y, the first two kinds of place
// depend on x alone or on y alone: the critical offsets of an axis are the
// distances from each edge across it to the corners of the tiles near it, moved
// on by the limits. Between two neighbouring ones no piece at an edge changes in
// kind, so one origin from every cell of the arrangement is: every critical
// offset itself, and one place between every two, across, with the same upwards.
// Where the tiles' sides lie along x and y too, the third kind falls together
// with the first (a side passes a corner where it passes that corner's edges),
// so that the arrangement is complete; a test holds it against a dense grid.
// Where they lie at an angle, or an edge of the cover does, the third kind adds
// cells that differ from their neighbours in the pieces at the cover's corners
// and slanting edges only; those are judged where they are laid, and not
// searched for.
//
// The arrangement of a bathroom wall has thousands of cells and each takes a
// layout, so at most mostLaid are laid: the most promising by the edges across
// each axis alone, which are measured for every critical offset. The answer says
// how many there were and how many of them were laid.

const (
	// mostLaid is how many origins are laid in full, twice as many where tiles
	// lie at an angle to the axes.
	mostLaid = 36
	// mostPlaces is how many places along an axis are measured; nearer to each
	// other than a millimetre they count as one.
	mostPlaces = 240
	// spreadPlaces is how many are tried where no edge lies across an axis.
	spreadPlaces = 6
)

// searchOrigin finds the best origin; of an axis whose place is given the other
// alone is searched.
func (z *zoneLayer) searchOrigin(s *rooms.Surface, d rooms.Datum) (rooms.Point, string, error) {
	most := mostLaid
	if !z.lay.turn.square() {
		most *= 2
	}
	tried, cells, err := z.tryOrigins(s, d, most)
	if err != nil {
		return rooms.Point{}, "", err
	}
	list := []rooms.Point{tried[0].at}
	for _, t := range tried[1:] {
		if slices.Equal(t.rank[:rankRest], tried[0].rank[:rankRest]) {
			list = append(list, t.at)
		}
	}
	k, tie, err := z.breakTie(list)
	if err != nil {
		return rooms.Point{}, "", err
	}
	w := tried[k]
	ahead := ""
	for i, r := range tried {
		if len(z.runners) == 3 {
			break
		}
		if i != k && z.farFrom(w.at, r.at) && !slices.ContainsFunc(z.runners, func(o RunnerUp) bool { return !z.farFrom(o.Origin, r.at) }) {
			if len(z.runners) == 0 {
				ahead = w.rank.ahead(r.rank)
			}
			if err := z.runnerUp(r.at, r.words()); err != nil {
				return w.at, "", err
			}
		}
	}
	what := "places at which a cut changes"
	if bestWanted(d.Across) && len(z.across(s, false)) == 0 || bestWanted(d.Up) && len(z.across(s, true)) == 0 {
		what = "places, spread evenly where no edge lies across"
	}
	how := fmt.Sprintf("best of all %d %s", cells, what)
	if cells > len(tried) {
		how = fmt.Sprintf("best of the %d most promising of %d %s, each laid in full", len(tried), cells, what)
	}
	return w.at, how + ": " + w.words() + ahead + tie, nil
}

// farFrom reports whether two origins are not the same but for whole cells.
func (z *zoneLayer) farFrom(p, q rooms.Point) bool {
	l := z.lay
	for i := -2; i <= 2; i++ {
		for j := -2; j <= 2; j++ {
			c := l.turn.apply(l.cell(i, j))
			if absLen(p.X-q.X-c.X) < distinct && absLen(p.Y-q.Y-c.Y) < distinct {
				return false
			}
		}
	}
	return true
}

// triedOrigin is an origin with how good its pieces are, less is better: the
// criteria are those of axisRank.
type triedOrigin struct {
	at   rooms.Point
	rank axisRank
}

// words says what decided.
func (t triedOrigin) words() string {
	r := t.rank
	return fmt.Sprintf("%s under the least strip, %d under a third, %d under half, %d cut", count(int(r[0]), "piece"), r[1], r[2], r[9])
}

// tryOrigins lays the most promising cells of the arrangement, at most a number,
// and ranks them; cells is how many there are.
func (z *zoneLayer) tryOrigins(s *rooms.Surface, d rooms.Datum, most int) (tried []triedOrigin, cells int, err error) {
	b := rooms.BoxOf(z.ground.cover)
	centre := rooms.Point{X: b.Min.X + b.Width()/2, Y: b.Min.Y + b.Height()/2}
	xs := z.placesAlong(s, d.Across, rooms.FullLeft, rooms.FullRight, false, b.Min.X, b.Max.X, d.X, centre)
	ys := z.placesAlong(s, d.Up, rooms.FullLow, rooms.FullHigh, true, b.Min.Y, b.Max.Y, d.Y, centre)
	cells = len(xs) * len(ys)
	for _, o := range promising(xs, ys, most) {
		got, err := z.fill.fill(o)
		if err != nil {
			return nil, 0, err
		}
		tried = append(tried, triedOrigin{o, z.judge(s, got)})
	}
	slices.SortFunc(tried, func(a, b triedOrigin) int {
		return cmp.Or(a.rank.compare(b.rank), cmp.Compare(a.at.X, b.at.X), cmp.Compare(a.at.Y, b.at.Y))
	})
	return tried, cells, nil
}

// promising pairs places of both axes: half of the number are those with the
// least sums of their places in the two orders, the others are spread over the
// places that are as good as the first by their counts, because corners and
// slanting edges may tell them apart. If the number is that of all pairs, it is
// all.
func promising(xs, ys []rankedOffset, most int) []rooms.Point {
	var out []rooms.Point
	seen := map[[2]int]bool{}
	add := func(i, k int) {
		if !seen[[2]int{i, k}] && len(out) < most {
			seen[[2]int{i, k}] = true
			out = append(out, rooms.Point{X: xs[i].o, Y: ys[k].o})
		}
	}
	pairs := func(upTo int) {
		for sum := 0; sum < len(xs)+len(ys)-1 && len(out) < upTo; sum++ {
			for i := max(0, sum-len(ys)+1); i <= min(sum, len(xs)-1) && len(out) < upTo; i++ {
				add(i, sum-i)
			}
		}
	}
	pairs((most + 1) / 2)
	nx, ny := alike(xs), alike(ys)
	side := 1
	for side < max(nx, ny) && (side+1)*(side+1) <= most-len(out) {
		side++
	}
	for i := range side {
		for k := range side {
			add(i*nx/side, k*ny/side)
		}
	}
	pairs(most)
	return out
}

// alike is how many places at the head of the list count the same pieces.
func alike(list []rankedOffset) int {
	n := 1
	for n < len(list) && slices.Equal(list[n].rank[:rankBalance], list[0].rank[:rankBalance]) {
		n++
	}
	return n
}

// placesAlong lists the places of the origin along an axis, the most promising
// first; the only one where it is given.
func (z *zoneLayer) placesAlong(s *rooms.Surface, policy, fullLow, fullHigh string, up bool, low, high, at rooms.Length, centre rooms.Point) []rankedOffset {
	if !bestWanted(policy) {
		box := z.lay.turn.ring(z.lay.tiles[0].ring).Box()
		t0, t1 := box.Min.X, box.Max.X
		if up {
			t0, t1 = box.Min.Y, box.Max.Y
		}
		o, _ := axisOrigin(policy, fullLow, fullHigh, low, high, t1-t0, z.lay.joint, at+t0)
		return []rankedOffset{{o: o - t0}}
	}
	var out []rankedOffset
	edges := z.across(s, up)
	for _, o := range z.criticalPlaces(edges, up, low) {
		p := centre
		if up {
			p.Y = o
		} else {
			p.X = o
		}
		out = append(out, rankedOffset{o, z.measureEdges(edges, p, up)})
	}
	slices.SortStableFunc(out, func(a, b rankedOffset) int { return cmp.Or(a.rank.compare(b.rank), cmp.Compare(a.o, b.o)) })
	return out
}

// coverEdge is an edge of the cover with how much the eye goes to it.
type coverEdge struct {
	p, q rooms.Point
	eye  int
}

// across lists the edges of the cover across an axis, the longest first.
func (z *zoneLayer) across(s *rooms.Surface, up bool) []coverEdge {
	var list []coverEdge
	for i, e := range z.fill.edges {
		dx, dy := absLen(e[1].X-e[0].X), absLen(e[1].Y-e[0].Y)
		if up {
			dx, dy = dy, dx
		}
		if dy < 30*rooms.Millimetre || 10*dx > dy {
			continue
		}
		x := coverEdge{p: e[0], q: e[1]}
		if k := z.made[i]; k >= 0 {
			x.eye = z.view.eyeOn(s, z.ground.lines[k])
		}
		list = append(list, x)
	}
	slices.SortStableFunc(list, func(a, b coverEdge) int { return cmp.Compare(rooms.Distance(b.p, b.q), rooms.Distance(a.p, a.q)) })
	return list[:min(len(list), mostEdges)]
}

// criticalPlaces lists the critical offsets of an axis and one place between
// every two, over an interval that holds every origin but for whole cells.
func (z *zoneLayer) criticalPlaces(edges []coverEdge, up bool, low rooms.Length) []rooms.Length {
	l := z.lay
	axis := func(p rooms.Point) rooms.Length {
		if up {
			return p.Y
		}
		return p.X
	}
	u, v := axis(l.turn.apply(l.u)), axis(l.turn.apply(l.v))
	span := absLen(u) + absLen(v)
	var list []rooms.Length
	for _, e := range edges {
		at := axis(e.p) + (axis(e.q)-axis(e.p))/2
		for _, m := range l.tiles {
			width := narrowSide(m.ring)
			limits := []rooms.Length{0, absoluteFloor(z.tiles[m.tile]), (width + 2) / 3, (width + 1) / 2}
			for _, p := range m.ring {
				c := at - axis(l.turn.apply(p))
				for _, d := range limits {
					list = append(list, cellShifts(c+d, u, v, low, span)...)
					list = append(list, cellShifts(c-d, u, v, low, span)...)
				}
			}
		}
	}
	if len(list) == 0 { // nothing lies across: a few places spread over the cell
		for k := range rooms.Length(spreadPlaces) {
			list = append(list, low+span*k/spreadPlaces)
		}
		return list
	}
	return thinned(list)
}

// cellShifts moves an offset by cells of the lattice, u and v along the axis,
// into low … low + span.
func cellShifts(c, u, v, low, span rooms.Length) []rooms.Length {
	var out []rooms.Length
	for j := rooms.Length(-4); j <= 4; j++ {
		w := c + j*v
		if u == 0 {
			if w >= low && w < low+span {
				out = append(out, w)
			}
			continue
		}
		step := absLen(u)
		r := (w - low) % step
		if r < 0 {
			r += step
		}
		for o := low + r; o < low+span; o += step {
			out = append(out, o)
		}
	}
	return out
}

// thinned joins critical places nearer than a millimetre, adds those between,
// and of too many keeps every second, third …
func thinned(list []rooms.Length) []rooms.Length {
	slices.Sort(list)
	var kept []rooms.Length
	for _, o := range list {
		if n := len(kept); n == 0 || o-kept[n-1] >= rooms.Millimetre {
			kept = append(kept, o)
		}
	}
	var out []rooms.Length
	for i, o := range kept {
		out = append(out, o)
		if i+1 < len(kept) {
			out = append(out, o+(kept[i+1]-o)/2)
		}
	}
	if step := (len(out) + mostPlaces - 1) / mostPlaces; step > 1 {
		n := 0
		for i := 0; i < len(out); i += step {
			out[n] = out[i]
			n++
		}
		out = out[:n]
	}
	return out
}

// measureEdges judges the tiles that edges across an axis cut with the lattice
// at an origin, edge by edge. What happens at the ends of the edges is left to
// the layout itself.
func (z *zoneLayer) measureEdges(edges []coverEdge, o rooms.Point, up bool) axisRank {
	f := z.fill
	f.origin = o
	var r axisRank
	var near, far float64 // mm² cut away at either hand
	for _, e := range edges {
		a0, b0 := f.toLattice(e.p)
		a1, b1 := f.toLattice(e.q)
		for m := range f.spread {
			f.cellsAt([4]float64{a0, b0, a1, b1}, m, func(row, index int) {
				ring := f.tileAt(row, m, index)
				part := keepLeft(ring, e.p, e.q)
				if len(part) < 3 || len(part) == len(ring) && slices.Equal(part, ring) {
					return
				}
				whole := z.lay.tiles[m].whole.MM2()
				lost := whole - part.AreaMM2()
				if lost < whole*1e-6 || whole-lost < whole*1e-6 {
					return
				}
				z.rankPart(&r, m, part, lost, e.eye)
				if (e.q.Y < e.p.Y) != up || up && e.q.X > e.p.X {
					near += lost
				} else {
					far += lost
				}
			})
		}
	}
	r[rankBalance] = int64(max(near-far, far-near) / 1000)
	return r
}

// rankPart counts a piece into a rank: by its width, and by what it lacks, in
// cm², where it is in view.
func (z *zoneLayer) rankPart(r *axisRank, member int, part rooms.Ring, lost float64, eye int) {
	w, full := z.partWidth(member, part)
	switch {
	case w < absoluteFloor(z.tiles[z.lay.tiles[member].tile]):
		r[0]++
	case 3*w < full:
		r[1]++
	case 2*w < full:
		r[2]++
	}
	if eye != unseen {
		k, lack := rankLacks, int64(lost/100)+1
		if eye == inSight {
			k += 2
		}
		r[k] = max(r[k], lack)
		r[k+1] += lack
	}
	if r[8] == 0 || -int64(w) > r[8] {
		r[8] = -int64(w)
	}
	r[9]++
}

// partWidth is how wide a piece is and its tile the same way: by the tile's own
// sides where it lies square, else between parallel lines.
func (z *zoneLayer) partWidth(member int, part rooms.Ring) (w, full rooms.Length) {
	m := &z.lay.tiles[member]
	if !z.lay.turn.square() || m.degrees%90 != 0 {
		return narrowSide(part), narrowSide(m.ring)
	}
	b, whole := part.Box(), m.box
	if z.lay.turn.degrees%180 != 0 {
		whole = rooms.Box{Max: rooms.Point{X: whole.Height(), Y: whole.Width()}}
	}
	if float64(float64(b.Width())*float64(whole.Height())) <= float64(float64(b.Height())*float64(whole.Width())) {
		return b.Width(), whole.Width()
	}
	return b.Height(), whole.Height()
}

// keepLeft is what of a convex ring lies left of p→q.
func keepLeft(ring rooms.Ring, p, q rooms.Point) rooms.Ring {
	var out rooms.Ring
	for i, a := range ring {
		b := ring[(i+1)%len(ring)]
		da, db := leftOf(p, q, a), leftOf(p, q, b)
		if da >= 0 {
			out = append(out, a)
		}
		if (da > 0 && db < 0) || (da < 0 && db > 0) {
			t := float64(da) / float64(da-db)
			out = append(out, rooms.Point{X: a.X + round(float64(t*float64(b.X-a.X))), Y: a.Y + round(float64(t*float64(b.Y-a.Y)))})
		}
	}
	return out
}

// judge ranks what was laid.
func (z *zoneLayer) judge(s *rooms.Surface, got laid) axisRank {
	var r axisRank
	for _, c := range got.cuts {
		whole := z.lay.tiles[c.member].whole.MM2()
		for _, q := range c.parts {
			z.rankPart(&r, c.member, q.outer.plain(), whole-q.polygon().AreaMM2(), z.eyeOnPart(s, q))
		}
	}
	r[rankBalance] = unbalance(got, rooms.BoxOf(z.ground.cover))
	return r
}

// unbalance compares what is cut on the left and the right, and below and above
// the middle, as the width of a strip along the cover in whole mm.
func unbalance(got laid, box rooms.Box) int64 {
	var side [4]float64
	mx, my := box.Min.X+box.Width()/2, box.Min.Y+box.Height()/2
	for _, c := range got.cuts {
		b := c.ring.Box()
		x, y := b.Min.X+b.Width()/2, b.Min.Y+b.Height()/2
		for _, q := range c.parts {
			a := q.polygon().AreaMM2()
			if x < mx {
				side[0] += a
			} else {
				side[1] += a
			}
			if y < my {
				side[2] += a
			} else {
				side[3] += a
			}
		}
	}
	w, h := max(box.Width().Millimetres(), 1), max(box.Height().Millimetres(), 1)
	return int64(max(side[0]-side[1], side[1]-side[0])/h+0.5) + int64(max(side[2]-side[3], side[3]-side[2])/w+0.5)
}

// eyeOnPart is how much the eye goes to the borders of a piece.
func (z *zoneLayer) eyeOnPart(s *rooms.Surface, q part) int {
	eye := unseen
	for _, v := range q.outer {
		if v.tag >= 0 && z.made[v.tag] >= 0 {
			eye = max(eye, z.view.eyeOn(s, z.ground.lines[z.made[v.tag]]))
		}
	}
	return eye
}

// narrowSide is the least distance of two parallel lines that hold the ring
// between them.
func narrowSide(r rooms.Ring) rooms.Length {
	h := hull(r)
	best := rooms.Length(1 << 62)
	for i, a := range h {
		width := rooms.Length(0)
		for _, p := range h {
			width = max(width, leftOf(a, h[(i+1)%len(h)], p))
		}
		best = min(best, width)
	}
	return best
}
