package takeoff

import (
	"cmp"
	"slices"

	"potlife/rooms"
)

// What the cuts of a straight or an offset pattern are judged against.
//
// Where the ends of its courses leave a third of a tile at every course, a cut below
// that counts as too narrow. Mostly those of an offset pattern do not: thirds with a
// joint leave 97 of 297 even at a single edge, and between two edges the width decides.
// Of a straight one the strip below a window or in a step may be narrower than a third
// whatever is done. Were those pieces counted against a third all the same, fewer cuts,
// but slivers, would count as better than the widest that can be had. So each stretch of
// courses between two edges that face each other is judged against its own best: a wall
// beside a window, below it, in a step of two fingers' width. A stretch that leaves
// little lowers its own limit and none of the others'.
//
// Stretches whose bests lie at different places compete; so what counts is not how many
// pieces are below their limits but by how much, all together: a sliver weighs more
// than a piece a little under, and many courses more than a few. That is a linear
// function of the origin between the places where a cut reaches its limit or jumps,
// which are among the offsets tried.

// lineSpan is a part of a line.
type lineSpan struct{ from, to rooms.Length }

// axisSpan is where courses run between a near and a far edge that face each other;
// -1 where there is none.
type axisSpan struct {
	near, far int
	long      rooms.Length // how much of the two there is
	limit     rooms.Length // of its cuts
}

// judgeSpans finds the spans, and what each is judged against.
func (a *axis) judgeSpans() {
	a.spans = a.facing()
	for i := range a.spans {
		x := &a.spans[i]
		x.limit = (a.size + 2) / 3
		if widest := a.widest(x); 3*widest < a.size {
			x.limit = max(widest-rooms.Length(a.grain()), 1)
		}
	}
}

// facing lists the spans, in the order in which they are met.
func (a *axis) facing() []axisSpan {
	order := make([]int, len(a.edges))
	for i := range order {
		order[i] = i
	}
	slices.SortStableFunc(order, func(i, k int) int {
		return cmp.Or(cmp.Compare(a.edges[i].at, a.edges[k].at), compareBool(a.edges[k].near, a.edges[i].near))
	})
	var list []axisSpan
	for _, band := range a.bands() {
		note := func(near, far int) {
			k := slices.IndexFunc(list, func(x axisSpan) bool { return x.near == near && x.far == far })
			if k < 0 {
				k, list = len(list), append(list, axisSpan{near: near, far: far})
			}
			list[k].long += band.to - band.from
		}
		near := -1
		for _, k := range order {
			e := &a.edges[k]
			if !e.passes(band) {
				continue
			}
			if near >= 0 && e.near { // its far edge is not among those weighed
				note(near, -1)
			}
			if !e.near {
				note(near, k)
			}
			if near = -1; e.near {
				near = k
			}
		}
		if near >= 0 {
			note(near, -1)
		}
	}
	return list
}

// bands are the stretches across the axis in which no edge begins or ends.
func (a *axis) bands() []lineSpan {
	var at []rooms.Length
	for _, e := range a.edges {
		for _, o := range e.reach() {
			at = append(at, o.from, o.to)
		}
	}
	slices.Sort(at)
	at = slices.Compact(at)
	var list []lineSpan
	for i := 1; i < len(at); i++ {
		list = append(list, lineSpan{at[i-1], at[i]})
	}
	return list
}

// reach is where the edge lies along itself.
func (e *axisEdge) reach() []lineSpan {
	if len(e.over) == 0 {
		return []lineSpan{{0, e.long}}
	}
	return e.over
}

// passes reports whether an edge bounds a band that none ends in.
func (e *axisEdge) passes(band lineSpan) bool {
	return slices.ContainsFunc(e.reach(), func(o lineSpan) bool { return o.from <= band.from && band.to <= o.to })
}

// widest is the widest least cut that a span can have by itself, at the places with
// the fewest pieces that are too narrow or in a gap too wide.
func (a *axis) widest(x *axisSpan) rooms.Length {
	own := axis{size: a.size, joint: a.joint, shifts: a.shifts, pitch: a.pitch, floor: a.floor, unit: a.unit}
	for _, k := range [2]int{x.near, x.far} {
		if k >= 0 {
			own.edges = append(own.edges, a.edges[k])
		}
	}
	if x.near >= 0 && x.far >= 0 {
		own.span = a.edges[x.far].at - a.edges[x.near].at
	}
	best := axisRank{1 << 62}
	for _, o := range own.offsets() {
		if r := own.measure(o); r[0] < best[0] || r[0] == best[0] && r[8] < best[8] {
			best = r
		}
	}
	return rooms.Length(-best[8])
}

// lacking is by how much all pieces at the ends of the spans are under their limits.
func (a *axis) lacking(o rooms.Length) int64 {
	sum := int64(0)
	for i := range a.spans {
		x := &a.spans[i]
		n := int64((x.long + a.pitch - 1) / a.pitch)
		for _, k := range [2]int{x.near, x.far} {
			if k < 0 || a.edges[k].margin {
				continue
			}
			for _, s := range a.shifts {
				c, _ := a.cut(a.edges[k], o+s)
				sum += n * int64(max(x.limit-c, 0))
			}
		}
	}
	return sum
}
