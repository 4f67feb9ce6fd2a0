package takeoff

import (
	"cmp"
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
	chainWalls(works)
	out := make([]Layout, len(works))
	done := make([]bool, len(works))
	for left := len(works); left > 0; {
		var ready []int
		for i, w := range works {
			if done[i] {
				continue
			}
			ok, err := w.carryOn(works, done)
			if err != nil {
				return nil, err
			}
			if ok {
				ready = append(ready, i)
			}
		}
		if len(ready) == 0 {
			return nil, fmt.Errorf("room %s: the walls that carry round go in a circle; give one of them a datum of its own", works[0].in.Room.Key)
		}
		if err := layTogether(works, ready, out); err != nil {
			return nil, err
		}
		for _, i := range ready {
			done[i] = true
		}
		left -= len(ready)
	}
	return out, nil
}

// layTogether lays surfaces that do not wait for each other, as many at once as there
// are processors; an error is that of the first that has one.
func layTogether(works []*surfaceWork, list []int, out []Layout) error {
	errs := make([]error, len(list))
	Each(len(list), 1, func(k int) { out[list[k]], errs[k] = works[list[k]].lay() })
	return cmp.Or(errs...)
}

// corner is an edge that a wall shares with another: where it lies on this wall
// and on that one.
type corner struct {
	other        int // index of the other wall
	mine, theirs rooms.Length
	inside       bool
}

// follow says that a zone goes on from one of the wall beyond a corner unless
// that would cut worse.
type follow struct {
	corner
	layer int // of the other wall
}

// chainWalls lets walls in an offset pattern go on from each other round inside
// corners, so that the offcut of one's last piece is the next one's first. In a
// chain of walls set alike the one that is met first from the door leads, or the
// first that has a place of its own, or the first of all; the others follow from
// it to either side. A zone whose datum names a place across, be it its own best,
// leads and does not follow.
func chainWalls(works []*surfaceWork) {
	type place struct{ wall, layer int }
	var queue, free []place
	placed := map[place]bool{}
	for i, w := range works {
		for k, z := range w.layers {
			if !z.carries(w) {
				continue
			}
			p := place{i, k}
			_, locked := z.in.Locks[z.key]
			if z.ground.zone.Datum.Across != "" || locked {
				queue, placed[p] = append(queue, p), true
			} else if w.surface.Key == z.view.focal {
				free = append([]place{p}, free...)
			} else {
				free = append(free, p)
			}
		}
	}
	for len(queue) > 0 || len(free) > 0 {
		if len(queue) == 0 {
			if placed[free[0]] {
				free = free[1:]
				continue
			}
			queue, placed[free[0]] = append(queue, free[0]), true
		}
		from := queue[0]
		queue = queue[1:]
		lead := works[from.wall].layers[from.layer]
		for _, c := range works[from.wall].corners(works) {
			for k, z := range works[c.other].layers {
				to := place{c.other, k}
				if placed[to] || !c.inside || !z.carries(works[c.other]) || !sameCourses(lead, z) || z.ground.zone.Datum.Up != lead.ground.zone.Datum.Up {
					continue
				}
				z.follows = &follow{corner{from.wall, c.theirs, c.mine, true}, from.layer}
				queue, placed[to] = append(queue, to), true
			}
		}
	}
}

// carries reports whether a zone's courses can go round a corner: a wall in a
// pattern whose courses are offset along it.
func (z *zoneLayer) carries(w *surfaceWork) bool {
	if z == nil || len(z.ground.cover) == 0 || !standing(w.surface) || z.ground.zone.Datum.Across == rooms.Carry {
		return false
	}
	across, _, ok := z.axesOnly()
	return ok && len(across.shifts) > 1
}

// carryOn gives the zones that carry round their origin, and reports whether
// what they carry on from is laid.
func (w *surfaceWork) carryOn(works []*surfaceWork, done []bool) (bool, error) {
	for i, z := range w.layers {
		if z == nil {
			continue
		}
		if z.follows != nil {
			if !done[z.follows.other] {
				return false, nil
			}
			if z.carried == nil && works[z.follows.other].laid[z.follows.layer] != nil {
				w.followOn(z, works[z.follows.other])
			}
		}
		if z.ground.zone.Datum.Across != rooms.Carry {
			continue
		}
		list := w.corners(works)
		if len(list) == 0 {
			return false, w.fail(i, fmt.Errorf("it is to carry round a corner, but no edge is shared with another wall of the room"))
		}
		c := list[0]
		if !done[c.other] {
			return false, nil
		}
		o := works[c.other]
		j := slices.IndexFunc(o.layers, func(o *zoneLayer) bool { return o != nil && sameCourses(o, z) })
		if j < 0 {
			return false, w.fail(i, fmt.Errorf("it is to carry on from %s, which has no zone in the same tile, pattern and joint", o.surface.Key))
		}
		if o.laid[j] == nil {
			return false, w.fail(i, fmt.Errorf("it is to carry on from %s, of which nothing is tiled", o.surface.Key))
		}
		z.carried = c.unfold(o, o.laid[j].Origin)
	}
	return true, nil
}

// unfold is the origin that goes on from another wall's: both walls in one
// plane, corner on corner.
func (c corner) unfold(o *surfaceWork, from rooms.Point) *carried {
	return &carried{rooms.Point{X: from.X - c.theirs + c.mine, Y: from.Y}, "carried round the corner from " + o.surface.Key}
}

// carryStrip is the narrowest piece for which courses are carried round a corner:
// narrower strips of porcelain do not snap (common practice: 20 mm).
const carryStrip = 20 * rooms.Millimetre

// followOn carries a zone round, unless more pieces than from its own best place
// would come out too narrow.
func (w *surfaceWork) followOn(z *zoneLayer, o *surfaceWork) {
	c := z.follows.unfold(o, o.laid[z.follows.layer].Origin)
	across, _, ok := z.axes(w.surface)
	if !ok {
		return
	}
	low := z.lay.turn.ring(z.lay.tiles[0].ring).Box().Min.X
	own := across.best()[0]
	across.floor = max(across.floor, carryStrip)
	own.rank = across.rank(own.o)
	if got := across.rank(c.origin.X + low); got[0] > own.rank[0] {
		z.declined = fmt.Sprintf("; not carried round from %s, where %s more would be under %s or in a gap too wide",
			cmp.Or(o.surface.Name, o.surface.Key), count(int(got[0]-own.rank[0]), "piece"), z.figures().limit(across.floor))
		return
	}
	z.carried = c
}

// sameCourses reports whether two zones are set alike.
func sameCourses(a, b *zoneLayer) bool {
	if b == nil {
		return false
	}
	x, y := a.ground.zone, b.ground.zone
	return x.Tile == y.Tile && x.Pattern == y.Pattern && x.Joint == y.Joint && x.Turn == y.Turn && x.Sideways == y.Sideways
}

// corners lists the side edges that a wall shares with others, the left ones
// first, so that walls carry on from left to right.
func (w *surfaceWork) corners(works []*surfaceWork) []corner {
	var out []corner
	box := w.ground.outline.Outer.Box()
	for _, left := range []bool{true, false} {
		for i := range w.surface.Edges {
			if i >= len(w.surface.Outline) {
				break
			}
			a, b := w.surface.Outline[i], w.surface.Outline[(i+1)%len(w.surface.Outline)]
			if down := b.Y < a.Y; absLen(b.Y-a.Y) <= absLen(b.X-a.X) || down != left {
				continue
			}
			for k, o := range works {
				if o == w || !standing(o.surface) || !sharedWith(w.surface.Edges[i].Shared, o, w, i) {
					continue
				}
				other := o.ground.outline.Outer.Box()
				c := corner{k, box.Max.X, other.Min.X, w.surface.Edges[i].Meets == rooms.InsideCorner}
				if left {
					c.mine, c.theirs = box.Min.X, other.Max.X
				}
				out = append(out, c)
			}
		}
	}
	return out
}

// sharedWith reports whether edge i of w and an edge of o are named as one, on
// either side.
func sharedWith(name string, o, w *surfaceWork, i int) bool {
	if s, _ := splitShared(w.in.Room.Key, name); s == o.surface.Key {
		return true
	}
	for _, e := range o.surface.Edges {
		if s, k := splitShared(w.in.Room.Key, e.Shared); s == w.surface.Key && k == i {
			return true
		}
	}
	return false
}

// splitShared takes "room/surface#3" apart; the room may be missing, and a side
// in another room is none of this one's.
func splitShared(room, name string) (surface string, edge int) {
	s, n, ok := strings.Cut(name, "#")
	if !ok {
		return "", -1
	}
	if in, key, two := strings.Cut(s, "/"); two {
		if in != room {
			return "", -1
		}
		s = key
	}
	edge, err := strconv.Atoi(n)
	if err != nil {
		return "", -1
	}
	return s, edge
}
