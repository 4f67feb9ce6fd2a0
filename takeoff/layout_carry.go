package takeoff

import (
	"fmt"
	"slices"
	"strconv"
	"strings"

	"potlife/rooms"
)

// carried is an origin taken over from the wall beyond a corner.
type carried struct {
	origin rooms.Point
	why    string
}

// layInOrder lays the surfaces, those that carry on from another after it, and
// returns them in the order given.
func layInOrder(works []*surfaceWork) ([]Layout, error) {
	out := make([]Layout, len(works))
	done := make([]bool, len(works))
	for left := len(works); left > 0; {
		before := left
		for i, w := range works {
			if done[i] {
				continue
			}
			ready, err := w.carryOn(works, done)
			if err != nil {
				return nil, err
			}
			if !ready {
				continue
			}
			if out[i], err = w.lay(); err != nil {
				return nil, err
			}
			done[i] = true
			left--
		}
		if left == before {
			return nil, fmt.Errorf("room %s: the walls that carry round go in a circle; give one of them a datum of its own", works[0].in.Room.Key)
		}
	}
	return out, nil
}

// carryOn gives the zones that carry round their origin, and reports whether
// what they carry on from is laid.
func (w *surfaceWork) carryOn(works []*surfaceWork, done []bool) (bool, error) {
	for i, z := range w.layers {
		if z == nil || z.ground.zone.Datum.Across != rooms.Carry {
			continue
		}
		k, mine, theirs := w.neighbour(works)
		if k < 0 {
			return false, w.fail(i, fmt.Errorf("it is to carry round a corner, but no edge is shared with another wall of the room"))
		}
		if !done[k] {
			return false, nil
		}
		j := slices.IndexFunc(works[k].layers, func(o *zoneLayer) bool { return o != nil && sameCourses(o, z) })
		if j < 0 {
			return false, w.fail(i, fmt.Errorf("it is to carry on from %s, which has no zone in the same tile, pattern and joint", works[k].surface.Key))
		}
		if works[k].laid[j] == nil {
			return false, w.fail(i, fmt.Errorf("it is to carry on from %s, of which nothing is tiled", works[k].surface.Key))
		}
		o := works[k].laid[j].Origin
		// The walls unfolded into one plane: corner on corner.
		z.carried = &carried{rooms.Point{X: o.X - theirs + mine, Y: o.Y}, "carried round the corner from " + works[k].surface.Key}
	}
	return true, nil
}

// sameCourses reports whether two zones are set alike.
func sameCourses(a, b *zoneLayer) bool {
	x, y := a.ground.zone, b.ground.zone
	return x.Tile == y.Tile && x.Pattern == y.Pattern && x.Joint == y.Joint && x.Turn == y.Turn && x.Sideways == y.Sideways
}

// neighbour finds a wall that shares a side edge with this one: its index, and
// where the common corner lies on this wall and on that one. A left edge is
// looked for first, so that walls carry on from left to right.
func (w *surfaceWork) neighbour(works []*surfaceWork) (k int, mine, theirs rooms.Length) {
	box := w.ground.outline.Outer.Box()
	for _, left := range []bool{true, false} {
		for i := range w.surface.Edges {
			a, b := w.surface.Outline[i], w.surface.Outline[(i+1)%len(w.surface.Outline)]
			if down := b.Y < a.Y; absLen(b.Y-a.Y) <= absLen(b.X-a.X) || down != left {
				continue
			}
			for k, o := range works {
				if o == w || !sharedWith(w.surface.Edges[i].Shared, o, w, i) {
					continue
				}
				other := o.ground.outline.Outer.Box()
				if left {
					return k, box.Min.X, other.Max.X
				}
				return k, box.Max.X, other.Min.X
			}
		}
	}
	return -1, 0, 0
}

// sharedWith reports whether edge i of w and an edge of o are named as one, on
// either side.
func sharedWith(name string, o, w *surfaceWork, i int) bool {
	if s, _ := splitShared(name); s == o.surface.Key {
		return true
	}
	for _, e := range o.surface.Edges {
		if s, k := splitShared(e.Shared); s == w.surface.Key && k == i {
			return true
		}
	}
	return false
}

// splitShared takes "room/surface#3" apart; the room may be missing.
func splitShared(name string) (surface string, edge int) {
	s, n, ok := strings.Cut(name, "#")
	if !ok {
		return "", -1
	}
	if k := strings.LastIndex(s, "/"); k >= 0 {
		s = s[k+1:]
	}
	edge, err := strconv.Atoi(n)
	if err != nil {
		return "", -1
	}
	return s, edge
}
