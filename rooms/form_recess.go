package rooms

import "slices"

// A doorway set back into its wall leaves a recess in a floor's outline: the ground
// under the door leaf, between the wall's face and the threshold. A border keeps the line
// of the wall across it, and the recess is tiled by itself (common practice). Its reveals
// may splay; beside a corner of the room one of them is the other wall, which runs on.

// deepestRecess is how deep a recess is at most that belongs to a doorway: a thick wall.
const deepestRecess = 500 * Millimetre

// PastRecesses is an outline that runs straight on where doorways are set back into
// their walls, and the recesses it leaves out, each a side of its own. An outline
// without any comes back as it is.
func PastRecesses(outline Ring, edges []Edge) (straight Ring, recesses []Ring) {
	n := len(outline)
	drop, instead := make([]bool, n), make([]*Point, n)
	for i := range outline {
		if n < 6 || i >= len(edges) || edges[i].Meets != Doorway {
			continue
		}
		x, ok := recessAt(outline, i)
		if !ok || slices.ContainsFunc(x.corners, func(k int) bool { return drop[k] }) {
			continue
		}
		for _, k := range x.corners {
			drop[k] = true
		}
		instead[x.corners[0]], recesses = x.instead, append(recesses, x.ring)
	}
	for i, p := range outline {
		switch {
		case instead[i] != nil:
			straight = append(straight, *instead[i])
		case !drop[i]:
			straight = append(straight, p)
		}
	}
	return straight, recesses
}

// recess is a doorway's: the corners of the outline that the wall's line leaves out, and
// of one at a corner of the room the corner that takes their place.
type recess struct {
	corners []int
	instead *Point
	ring    Ring
}

// recessAt is the recess whose threshold is edge i, if there is one.
func recessAt(r Ring, i int) (recess, bool) {
	n := len(r)
	before, a, p := (i+n-2)%n, (i+n-1)%n, i
	q, b, after := (i+1)%n, (i+2)%n, (i+3)%n
	if !turnsLeft(r, p) || !turnsLeft(r, q) {
		return recess{}, false
	}
	into, out := Side(r[before], r[a], r[p]) < 0, Side(r[q], r[b], r[after]) < 0 // of the wall
	x := recess{corners: []int{p, q}, ring: Ring{r[a], r[p], r[q], r[b]}}
	switch {
	case into && out:
		if Side(r[before], r[a], r[b]) != 0 || Side(r[a], r[b], r[after]) != 0 {
			return recess{}, false // the wall does not run on in one line
		}
	case out: // the wall before it is the other wall of a corner
		at, ok := wallMeets(r[b], r[after], r[a], r[p])
		if !ok {
			return recess{}, false
		}
		x = recess{corners: []int{p, q, b}, instead: &at, ring: Ring{at, r[p], r[q], r[b]}}
	case into:
		at, ok := wallMeets(r[before], r[a], r[q], r[b])
		if !ok {
			return recess{}, false
		}
		x = recess{corners: []int{a, p, q}, instead: &at, ring: Ring{r[a], r[p], r[q], at}}
	default:
		return recess{}, false
	}
	return x, x.shallow(r[p], r[q]) && x.ring.Validate() == nil
}

// wallMeets is where the line of a level or upright wall meets another wall that stands
// square to it, between that one's ends.
func wallMeets(a, b, p, q Point) (Point, bool) {
	at := foot(p, a, b)
	level := a.Y == b.Y && p.X == q.X
	if !level && (a.X != b.X || p.Y != q.Y) {
		return Point{}, false
	}
	inside := Distance(p, at)+Distance(at, q) == Distance(p, q) && at != p && at != q
	return at, inside
}

// shallow reports whether the threshold lies no deeper in the wall than one is thick.
func (x *recess) shallow(p, q Point) bool {
	a, b := x.ring[0], x.ring[3]
	long := Distance(a, b).Millimetres()
	deep := func(p Point) float64 { return 2 * abs(Ring{a, b, p}.AreaMM2()) / long }
	return max(deep(p), deep(q)) <= deepestRecess.Millimetres()+1e-6
}
