package takeoff

import (
	"fmt"
	"math"

	"potlife/rooms"
)

// bareReach is how far from the nearest tile a point of a surface may lie: more
// is no joint any more. Where several tiles meet, a joint's middle lies further
// from them than half its width.
func bareReach(joint rooms.Length) rooms.Length { return (joint + checkBare) * 3 / 2 }

// checkBareSpots refuses a lattice that leaves more than joints between its
// tiles, such as the hexagon's with a rectangular tile.
//
// Every tile owns the strip of half a joint round it: its girth times half a
// joint, and a disc of that radius at the corners. No two such strips overlap, as
// the tiles lie a joint apart. Round the middle of a bare spot a disc lies outside
// all of them. Where the cell holds less beyond the tiles and their strips than
// such a disc, there is no room for one; else points spread over it are tried.
func (l *lattice) checkBareSpots(name string) error {
	joint := l.joint.Millimetres()
	left := max(l.det(), -l.det()) / (8000 * 8000)
	for _, t := range l.tiles {
		left -= t.whole.MM2() + float64(t.girth/8000*joint/2) + float64(math.Pi/4*joint*joint)
	}
	if reach := bareReach(l.joint).Millimetres() - joint/2; left < float64(math.Pi*reach*reach) {
		return nil
	}
	const steps = 61
	for i := range steps {
		for k := range steps {
			a, b := float64(2*i+1)/(2*steps), float64(2*k+1)/(2*steps)
			at := rooms.Point{X: round(float64(a*float64(l.u.X)) + float64(b*float64(l.v.X))), Y: round(float64(a*float64(l.u.Y)) + float64(b*float64(l.v.Y)))}
			if !l.tileWithin(at, bareReach(l.joint)) {
				return fmt.Errorf("pattern %q: places wider than any joint stay bare between these tiles; it is made for tiles of another shape or other sizes", name)
			}
		}
	}
	return nil
}

// tileWithin reports whether a tile lies no further than reach from a point of
// cell 0, 0.
func (l *lattice) tileWithin(at rooms.Point, reach rooms.Length) bool {
	for _, i := range [7]int{0, -1, 1, -2, 2, -3, 3} { // the nearest cells first
		for _, j := range [7]int{0, -1, 1, -2, 2, -3, 3} {
			d := l.cell(i, j)
			q := rooms.Point{X: at.X - d.X, Y: at.Y - d.Y}
			for k := range l.tiles {
				if t := &l.tiles[k]; boxDistance(t.box, q) <= reach && ringDistance(t.ring, q) <= reach {
					return true
				}
			}
		}
	}
	return false
}

// boxDistance is no more than the distance of q from what the box holds.
func boxDistance(b rooms.Box, q rooms.Point) rooms.Length {
	return max(b.Min.X-q.X, q.X-b.Max.X, b.Min.Y-q.Y, q.Y-b.Max.Y, 0)
}

// ringDistance is the distance of q from the area of a ring, 0 inside it.
func ringDistance(r rooms.Ring, q rooms.Point) rooms.Length {
	inside := true
	for i, a := range r {
		inside = inside && rooms.Side(a, r[(i+1)%len(r)], q) >= 0
	}
	if inside {
		return 0
	}
	best := rooms.Length(1 << 62)
	for i, a := range r {
		best = min(best, pointToSegment(q, a, r[(i+1)%len(r)]))
	}
	return best
}
