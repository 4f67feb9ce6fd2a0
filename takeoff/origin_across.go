package takeoff

import (
	"cmp"
	"slices"

	"potlife/rooms"
)

// axisEdge is an edge of the cover across the axis.
type axisEdge struct {
	at rooms.Length
	// near edges have the tile beyond them: a left wall, a floor.
	near bool
	// long is how much of the edge there is: pieces cut by it are counted by it.
	long rooms.Length
	// over is where it lies along itself; empty is from 0 on.
	over []lineSpan
	// eye is how much the eye goes to it.
	eye int
	// slack is how far the gap may grow beyond its nominal width, more how far it
	// may shrink: a tile that lacks no more than that stays whole when it is laid,
	// though a place where it lacks nothing is better.
	slack, more rooms.Length
	// bare edges are outside corners that nothing closes: a cut edge is seen there.
	bare bool
	// margin edges lie outside the part of the cover that other zones frame, which is
	// balanced by itself: a cut there need only be wide enough to be set.
	margin bool
	name   string
}

// mostEdges is how many edges of a cover are weighed along an axis: of a very
// ragged outline the longest.
const mostEdges = 16

// edgesAlong are the cover's edges across an axis: x where upright is false.
func (z *zoneLayer) edgesAlong(upright bool, s *rooms.Surface) []axisEdge {
	var list []axisEdge
	framed := z.framed()
	for i, e := range z.fill.edges {
		p, q := e[0], e[1]
		if upright { // swap the axes, and the way round with them
			p, q = rooms.Point{X: q.Y, Y: q.X}, rooms.Point{X: p.Y, Y: p.X}
		}
		dx, dy := absLen(q.X-p.X), absLen(q.Y-p.Y)
		if dy < 30*rooms.Millimetre || 10*dx > dy {
			continue
		}
		x := axisEdge{at: p.X + (q.X-p.X)/2, near: q.Y < p.Y, long: dy, over: between(p.Y, q.Y), name: "border"}
		if k := z.made[i]; k >= 0 {
			b := z.ground.lines[k]
			x.name, x.slack, x.more, x.eye = b.name, b.less, b.gives(), z.view.eyeOn(s, b)
			x.bare = b.kind == borderEdge && showsArris(z.in, s, b.edge)
		}
		if x.margin = framed != nil && !framed[i]; x.margin {
			x.eye = unseen
		}
		if dx < 100*rooms.Micrometre {
			list = append(list, x)
			continue
		}
		// A leaning edge counts half at either end: no tile may be flush with its
		// middle and leave a splinter beyond.
		x.long = dy / 2
		low, high := x, x
		low.at, high.at = p.X, q.X
		middle := p.Y + (q.Y-p.Y)/2
		low.over, high.over = between(p.Y, middle), between(middle, q.Y)
		list = append(list, low, high)
	}
	a := axis{edges: append(list, z.roundEdges(upright, s)...)}
	a.sortEdges()
	return a.edges
}

// roundEdges stand for round openings, which have no side across the axis: the
// two ends of each, as if half of it were straight there.
func (z *zoneLayer) roundEdges(upright bool, s *rooms.Surface) []axisEdge {
	var list []axisEdge
	cover := rooms.BoxOf(z.ground.cover)
	for k, o := range s.Openings {
		if len(o.Outline) < 8 {
			continue
		}
		b := o.Outline.Box()
		m := rooms.Point{X: b.Min.X + b.Width()/2, Y: b.Min.Y + b.Height()/2}
		if !cover.Meets(rooms.Box{Min: m, Max: m}) {
			continue
		}
		low, high, over := b.Min.X, b.Max.X, between(b.Min.Y+b.Height()/4, b.Max.Y-b.Height()/4)
		if upright {
			low, high, over = b.Min.Y, b.Max.Y, between(b.Min.X+b.Width()/4, b.Max.X-b.Width()/4)
		}
		less, _ := slack(o.Gap, o.GapMin, o.GapMax)
		x := axisEdge{long: (high - low) / 2, eye: z.view.eyeOn(s, border{kind: borderOpening, edge: k}), slack: less, name: "opening " + o.Key}
		x.over = over
		before, after := x, x
		before.at, after.at, after.near = low-o.Gap, high+o.Gap, true
		list = append(list, before, after)
	}
	return list
}

// between is the stretch between two places.
func between(p, q rooms.Length) []lineSpan { return []lineSpan{{min(p, q), max(p, q)}} }

// sortEdges puts the edges in order, joins those on one line and keeps the
// longest if there are many.
func (a *axis) sortEdges() {
	slices.SortStableFunc(a.edges, func(d, e axisEdge) int {
		return cmp.Or(cmp.Compare(d.at, e.at), compareBool(d.near, e.near))
	})
	a.edges = joinEdges(a.edges)
	if len(a.edges) > mostEdges {
		slices.SortStableFunc(a.edges, func(d, e axisEdge) int { return cmp.Compare(e.long, d.long) })
		a.edges = a.edges[:mostEdges]
	}
}

func compareBool(a, b bool) int {
	switch {
	case a == b:
		return 0
	case a:
		return -1
	}
	return 1
}

// joinEdges adds up edges that lie on one line, as near as 0.1 mm.
func joinEdges(list []axisEdge) []axisEdge {
	out := list[:0]
	for _, e := range list {
		if n := len(out); n > 0 && out[n-1].near == e.near && e.at-out[n-1].at < 100*rooms.Micrometre {
			out[n-1].long += e.long
			out[n-1].over = slices.Concat(out[n-1].over, e.over)
			out[n-1].eye, out[n-1].bare, out[n-1].margin = max(out[n-1].eye, e.eye), out[n-1].bare || e.bare, out[n-1].margin && e.margin
			out[n-1].slack, out[n-1].more = min(out[n-1].slack, e.slack), min(out[n-1].more, e.more)
			continue
		}
		out = append(out, e)
	}
	return out
}
