package takeoff

import (
	"math"
	"slices"

	"potlife/rooms"
)

// legs looks for pieces with a part so thin that it breaks off: a leg beside an
// opening, or a bridge. The least is that of a strip. It is what a piece loses
// when it is shrunk by half the least all round and grown again.
func (f *finder) legs(z *zoneLayer, out *ZoneLayout) {
	floor := absoluteFloor(z.tiles[0])
	n, id := 0, ""
	for _, p := range out.Pieces {
		if slices.ContainsFunc(p.Cuts, func(c Cut) bool { return c.Side == "shape" }) && thinPart(p.Polygon, floor) {
			if n++; id == "" {
				id = p.Label
			}
		}
	}
	if n > 0 {
		f.add("thin leg", Warn, float64(n), floor.Millimetres(), srcPractice,
			"%s a leg or bridge thinner than %s beside a cut-out, the first is piece %s: move the origin or the opening", several(n, "piece has", "pieces have"), f.length(floor, 0, rooms.Up), id)
	}
}

// thinPart reports whether a part of p longer than least is thinner than least.
func thinPart(p rooms.Polygon, least rooms.Length) bool {
	return (len(p.Holes) > 0 || !growsBack(p.Outer, least/2)) && losesPart(p, least)
}

// losesPart is thinPart for every polygon.
func losesPart(p rooms.Polygon, least rooms.Length) bool {
	half := make([]rooms.Length, len(p.Outer))
	for i := range half {
		half[i] = least / 2
	}
	core, err := rooms.Inset(p, half, least/2)
	if err != nil {
		return false
	}
	var grown []rooms.Polygon
	for _, c := range core {
		g, err := rooms.Grow(c, least/2)
		if err != nil {
			return false
		}
		grown = append(grown, g...)
	}
	lost, err := rooms.Subtract([]rooms.Polygon{p}, grown)
	if err != nil {
		return false
	}
	// Rounded-off corners are lost too; a leg is longer than it is thick.
	return slices.ContainsFunc(lost, func(q rooms.Polygon) bool {
		b := q.Outer.Box()
		return max(b.Width(), b.Height()) > least && q.AreaMM2() > least.Millimetres()*least.Millimetres()/4
	})
}

// growsBack reports whether a ring that is shrunk by as much all round and grown
// again surely loses nothing but what rounding makes.
func growsBack(r rooms.Ring, by rooms.Length) bool {
	if len(r) < 3 {
		return false
	}
	if r.Convex() {
		return convexGrowsBack(r, float64(by))
	}
	return cornersGrowBack(r, float64(by)) && sidesApart(r, 6*by+rooms.Millimetre)
}

const (
	// sharpest is how much of a side goes at a corner at most, in widths of what is
	// shrunk: at 44°. Its tip lies 2.7 widths away, and growing cuts none off that
	// lies within four (see rooms.Inset).
	sharpest = 2.5
	// leastSide is the least side that keeps its direction in spite of rounding.
	leastSide = float64(rooms.Millimetre)
)

// convexGrowsBack is growsBack for a convex ring. What is shrunk of it is what all
// its sides moved inwards have on their left, for the point of the border nearest to
// a place inside always lies square to it. Grown again it is what the sides that are
// left, moved back, have on theirs: all of the ring, as long as no corner is sharp.
// Each side must be clearly left or gone.
func convexGrowsBack(r rooms.Ring, by float64) bool {
	core, other := make([]xy, 0, len(r)+4), make([]xy, 0, len(r)+4)
	for _, p := range r {
		core = append(core, xy{float64(p.X), float64(p.Y)})
	}
	lines := make([]plane, len(r))
	for i, p := range r {
		lines[i] = planeLeft(p, r[(i+1)%len(r)])
		core, other = cutBy(other[:0], core, lines[i].nx, lines[i].ny, -lines[i].c-by), core
	}
	n := len(core)
	for i, b := range core {
		a, c := core[(i+n-1)%n], core[(i+1)%n]
		t, ok := goesAt(a, b, c)
		if dx, dy := c.x-b.x, c.y-b.y; !ok || t > sharpest || float64(dx*dx)+float64(dy*dy) < leastSide*leastSide {
			return false
		}
	}
	for i := range lines {
		near, on := 0, 0
		for _, p := range core {
			switch d := float64(lines[i].nx*p.x) + float64(lines[i].ny*p.y) - lines[i].c - by; {
			case d <= 4:
				on++
			case d <= leastSide/8:
				near++
			}
		}
		if near > 0 || on == 1 {
			return false
		}
	}
	return n >= 3
}

// goesAt is how much of a side goes at the corner b, in widths of what is shrunk;
// negative where the corner juts in. ok is false where there is no corner.
func goesAt(a, b, c xy) (t float64, ok bool) {
	ux, uy, vx, vy := a.x-b.x, a.y-b.y, c.x-b.x, c.y-b.y
	dot, cross := float64(ux*vx)+float64(uy*vy), float64(vx*uy)-float64(vy*ux)
	if cross == 0 {
		return 0, false
	}
	return (math.Sqrt(float64(dot*dot)+float64(cross*cross)) + dot) / cross, true
}

// cornersGrowBack reports whether all sides of a ring are left when it is shrunk and
// no corner is sharp: then, side by side and corner by corner, it grows back as a
// convex one does, where sides that do not meet are further apart than all that
// shrinking and growing do at them.
func cornersGrowBack(r rooms.Ring, by float64) bool {
	n := len(r)
	at := func(i int) xy { return xy{float64(r[i%n].X), float64(r[i%n].Y)} }
	before, ok := goesAt(at(n-1), at(0), at(1))
	for i := range r {
		if !ok || math.Abs(before) > sharpest {
			return false
		}
		var after float64
		after, ok = goesAt(at(i), at(i+1), at(i+2))
		if float64(rooms.Distance(r[i], r[(i+1)%n])) < float64(by*(before+after))+leastSide {
			return false
		}
		before = after
	}
	return true
}

// sidesApart reports whether all sides of a ring that do not meet are as far apart.
func sidesApart(r rooms.Ring, far rooms.Length) bool {
	n := len(r)
	for i, a := range r {
		b := r[(i+1)%n]
		for k, p := range r { // each corner from the sides that it does not end
			if k != i && k != (i+1)%n && spanDistance(a, b, p) < far {
				return false
			}
		}
	}
	return true
}
