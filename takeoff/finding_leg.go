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
// again is surely the same but for rounding.
//
// What is shrunk of a convex one is what all its sides moved inwards have on their
// left, for the point of the border nearest to a place inside always lies square to
// it. Where all the sides are left, they meet in the same order, and moved back they
// are those of the ring, as long as no corner is so sharp that growing cuts it off
// (see rooms.Inset). Of another ring the same holds side by side and corner by
// corner where sides that do not meet are further apart than all that shrinking and
// growing do at them. A side of which a millimetre is left turns so little by
// rounding that what is lost is far less than a leg.
func growsBack(r rooms.Ring, by rooms.Length) bool {
	if len(r) < 3 || !r.Convex() && !sidesApart(r, 6*by+rooms.Millimetre) {
		return false
	}
	// What of a side goes at its end: by over the tangent of half the corner's angle;
	// negative where the corner juts in.
	ends := func(a, b, c rooms.Point) (float64, bool) {
		ux, uy, vx, vy := float64(a.X-b.X), float64(a.Y-b.Y), float64(c.X-b.X), float64(c.Y-b.Y)
		dot, cross := float64(ux*vx)+float64(uy*vy), float64(vx*uy)-float64(vy*ux)
		if cross == 0 {
			return 0, false
		}
		t := (math.Sqrt(float64(dot*dot)+float64(cross*cross)) + dot) / cross
		const sharpest = 2.5 // about 44°: no tip lies further than 2.7 times by
		return float64(by) * t, t < sharpest && t > -sharpest
	}
	n := len(r)
	before, ok := ends(r[n-1], r[0], r[1])
	for i, a := range r {
		b, after := r[(i+1)%n], 0.0
		if !ok {
			return false
		}
		after, ok = ends(a, b, r[(i+2)%n])
		if float64(rooms.Distance(a, b)) < before+after+float64(rooms.Millimetre) {
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
