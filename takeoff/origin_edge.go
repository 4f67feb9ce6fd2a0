package takeoff

import (
	"math"

	"potlife/rooms"
)

// plane is a half-plane: how far inside it p lies is nx·x + ny·y − c.
type plane struct{ nx, ny, c float64 }

// planeLeft is what lies left of p→q.
func planeLeft(p, q rooms.Point) plane {
	dx, dy := float64(q.X-p.X), float64(q.Y-p.Y)
	long := math.Sqrt(float64(dx*dx) + float64(dy*dy))
	h := plane{nx: -dy / long, ny: dx / long}
	h.c = h.at(p.X, p.Y)
	return h
}

func (h *plane) at(x, y rooms.Length) float64 {
	return float64(h.nx*float64(x)) + float64(h.ny*float64(y))
}

// reach is the least and the most of nx·x + ny·y over a window.
func (h *plane) reach(w rooms.Box) (low, high float64) { return reach(h.nx, h.ny, w) }

func reach(nx, ny float64, w rooms.Box) (low, high float64) {
	x0, x1 := float64(nx*float64(w.Min.X)), float64(nx*float64(w.Max.X))
	y0, y1 := float64(ny*float64(w.Min.Y)), float64(ny*float64(w.Max.Y))
	return min(x0, x1) + min(y0, y1), max(x0, x1) + max(y0, y1)
}

// upright and level planes are those whose distance depends on x or on y alone.
func (h *plane) upright() bool { return h.ny == 0 }
func (h *plane) level() bool   { return h.nx == 0 }

// coverEdge is an edge of the cover as the search for an origin sees it.
type coverEdge struct {
	plane
	a, b rooms.Point
	box  rooms.Box
	// run numbers the edges that are joined by corners which jut into the cover:
	// they bound one block that is not tiled.
	run   int
	round int // the round hole it belongs to, or -1
	part  int // the part of the cover it bounds
	side  side
	depth []depthTable // by member
	// over is how far it reaches along the normals of each member's sides, of those
	// members that are not rectangles along the axes.
	over [][]float64
	// From the window looked from last: the least and the most of its distance.
	low, high float64
	looked    int
}

// manySided is a hole of many sides, between two polygons of few.
type manySided struct {
	outer, inner []plane // inside the cover, as of an edge
	corners      rooms.Ring
	box          rooms.Box
	eye          int
	part         int // of the cover
}

// mostSides is how many sides a hole has that is taken as it is; roundSides how
// many those have that a rounder one is held between.
const (
	mostSides  = 8
	roundSides = 24
)

// coverEdges prepares the cover's edges.
func (z *zoneLayer) coverEdges(s *rooms.Surface) (list []coverEdge, holes []manySided) {
	sides := z.sides(s)
	list = make([]coverEdge, len(z.fill.edges))
	runs := 0
	parts := z.partOfRing()
	for at, r := range z.fill.rings {
		round := -1
		if h, ok := manySidedOf(r.plain()); ok {
			round, h.part = len(holes), parts[at]
			for _, v := range r {
				h.eye = max(h.eye, sides[v.tag].eye)
			}
			holes = append(holes, h)
		}
		first, n := 0, len(r)
		bends := func(i int) bool { // where edge i begins
			return rooms.Side(r[(i+n-1)%n].p, r[i%n].p, r[(i+1)%n].p) < 0
		}
		for first < n-1 && bends(first) {
			first++
		}
		for k := range n {
			i := (first + k) % n
			if k > 0 && !bends(i) {
				runs++
			}
			p, q := r[i].p, r[(i+1)%n].p
			list[r[i].tag] = coverEdge{plane: planeLeft(p, q), a: p, b: q, side: sides[r[i].tag],
				box: rooms.Ring{p, q}.Box(), run: runs, round: round, part: parts[at]}
		}
		runs++
	}
	return list, holes
}

// partOfRing tells which part of the cover each of its rings belongs to.
func (z *zoneLayer) partOfRing() []int {
	var list []int
	for i, p := range z.fill.cover {
		for range p.Rings() {
			list = append(list, i)
		}
	}
	return list
}

// manySidedOf holds a convex hole of many sides between two polygons of few.
func manySidedOf(r rooms.Ring) (manySided, bool) {
	if len(r) <= mostSides || r.Area().Sign() > 0 {
		return manySided{}, false
	}
	h := hull(r)
	if more := h.AreaMM2() + r.AreaMM2(); more > h.AreaMM2()/1000 {
		return manySided{}, false
	}
	x := manySided{box: h.Box()}
	for k := range roundSides {
		c, s := cosSin(k * 360 / roundSides)
		o := plane{nx: c, ny: s, c: math.Inf(-1)}
		for _, p := range h {
			o.c = max(o.c, o.at(p.X, p.Y))
		}
		x.outer = append(x.outer, o)
		if p := h[k*len(h)/roundSides]; len(x.corners) == 0 || x.corners[len(x.corners)-1] != p {
			x.corners = append(x.corners, p)
		}
	}
	for i, p := range x.corners { // the hole is on the left, the cover on the right
		x.inner = append(x.inner, planeLeft(x.corners[(i+1)%len(x.corners)], p))
	}
	return x, true
}
