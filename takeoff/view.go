package takeoff

import (
	"math"

	"potlife/rooms"
)

// How much the eye goes to a line: not at all, in sight of who comes in, or
// seen by itself.
const (
	unseen = iota
	inSight
	seenFirst
)

// view is what who stands in a room's door sees: the lines that want whole
// tiles. Cuts go behind the door, under fixtures and to the other corners.
type view struct {
	floor *rooms.Surface
	eye   rooms.Point // the middle of the door
	ahead rooms.Point // a point straight in from it
	focal string      // the wall that is met first straight ahead
	sight map[sightKey]bool

	screens []screen
}

// sightKey is an edge of a surface.
type sightKey struct {
	surface string
	edge    int
}

// halfSight is half the angle that is taken in from the door without turning
// the head: common practice.
const halfSight = 60

// viewOf looks into a room from its door: a doorway among the floor's edges, or
// a door in one of the walls that share an edge with the floor. A room without
// either has no line of sight.
func viewOf(r *rooms.Room) *view {
	v := &view{sight: map[sightKey]bool{}}
	for i := range r.Surfaces {
		f := &r.Surfaces[i]
		if f.Kind != rooms.Floor || len(f.Outline) < 3 || f.Outline.Validate() != nil {
			continue
		}
		if v.enter(r, f) {
			v.screen(r)
			v.look(r)
			return v
		}
	}
	return v
}

// enter finds the floor's door.
func (v *view) enter(r *rooms.Room, f *rooms.Surface) bool {
	v.floor = f
	for i, a := range f.Outline {
		if edgeAt(f, i).Meets == rooms.Doorway {
			v.stand(a, f.Outline[(i+1)%len(f.Outline)], 1, 2)
			return true
		}
	}
	for k := range r.Surfaces {
		w := &r.Surfaces[k]
		if !standing(w) {
			continue
		}
		for _, o := range w.Openings {
			if a, b, ok := footOf(r, f, w); ok && o.Kind == "door" && len(o.Outline) >= 3 {
				box, wall := o.Outline.Box(), w.Outline.Box()
				if wall.Width() <= 0 {
					continue
				}
				// The wall is read from its left end, which is the end of the floor's edge.
				v.stand(b, a, box.Min.X+box.Width()/2-wall.Min.X, wall.Width())
				v.ahead = rooms.Point{X: 2*v.eye.X - v.ahead.X, Y: 2*v.eye.Y - v.ahead.Y}
				return true
			}
		}
	}
	return false
}

func standing(s *rooms.Surface) bool { return s.Kind == rooms.Wall || s.Kind == rooms.TubSurround }

// stand puts the eye on a→b, part/whole of the way along, and looks to the left
// of it.
func (v *view) stand(a, b rooms.Point, part, whole rooms.Length) {
	at := func(p, q rooms.Length) rooms.Length { return p + round(float64(q-p)*float64(part)/float64(whole)) }
	v.eye = rooms.Point{X: at(a.X, b.X), Y: at(a.Y, b.Y)}
	long := float64(max(rooms.Distance(a, b), 1))
	step := float64(100 * rooms.Millimetre)
	v.ahead = rooms.Point{X: v.eye.X - round(float64(float64(b.Y-a.Y)/long)*step), Y: v.eye.Y + round(float64(float64(b.X-a.X)/long)*step)}
}

// footOf is the straight run of the floor's outline on which a wall stands, from
// the wall's right end a to its left end b.
func footOf(r *rooms.Room, f, w *rooms.Surface) (a, b rooms.Point, ok bool) {
	i := footEdge(r, f, w)
	n := len(f.Outline)
	if i < 0 || i >= n {
		return a, b, false
	}
	first, last := i, i
	straight := func(p, q int) bool { // edges p and q = p+1 lie on one line
		return rooms.Side(f.Outline[p], f.Outline[q], f.Outline[(q+1)%n]) == 0
	}
	for k := 0; k < n && straight((first+n-1)%n, first); k++ {
		first = (first + n - 1) % n
	}
	for k := 0; k < n && straight(last, (last+1)%n); k++ {
		last = (last + 1) % n
	}
	return f.Outline[first], f.Outline[(last+1)%n], true
}

// footEdge is the floor's edge that a wall shares, by either one's word; -1 if
// there is none.
func footEdge(r *rooms.Room, f, w *rooms.Surface) int {
	for _, e := range w.Edges {
		if key, i := splitShared(r.Key, e.Shared); key == f.Key {
			return i
		}
	}
	for i, e := range f.Edges {
		if key, _ := splitShared(r.Key, e.Shared); key == w.Key && key != "" {
			return i
		}
	}
	return -1
}

// look notes what is in sight: edges of the floor, and the corners of walls.
func (v *view) look(r *rooms.Room) {
	f := v.floor
	nearest := math.Inf(1)
	focal := -1
	for i, a := range f.Outline {
		b := f.Outline[(i+1)%len(f.Outline)]
		visible := 0
		for k := rooms.Length(1); k < 6; k++ {
			if v.sees(rooms.Point{X: a.X + (b.X-a.X)*k/6, Y: a.Y + (b.Y-a.Y)*k/6}, false) {
				visible++
			}
		}
		v.sight[sightKey{f.Key, i}] = visible >= 3
		if d, hit := v.meets(a, b); hit && d < nearest {
			nearest, focal = d, i
		}
	}
	for k := range r.Surfaces {
		w := &r.Surfaces[k]
		if !standing(w) {
			continue
		}
		a, b, ok := footOf(r, f, w)
		if !ok {
			continue
		}
		for i, p := range w.Outline {
			q := w.Outline[(i+1)%len(w.Outline)]
			if absLen(q.Y-p.Y) <= absLen(q.X-p.X) {
				continue
			}
			end := a // the right end
			if q.Y < p.Y {
				end = b
			}
			v.sight[sightKey{w.Key, i}] = v.sees(end, true)
		}
		if focal >= 0 && on(a, b, f.Outline[focal]) && on(a, b, f.Outline[(focal+1)%len(f.Outline)]) {
			v.focal = w.Key
		}
	}
}

// on reports whether p lies on the segment a–b.
func on(a, b, p rooms.Point) bool {
	return rooms.Side(a, b, p) == 0 && spanDistance(a, b, p) == 0
}

// sees reports whether a point of the floor's outline is in sight of the eye:
// within the angle, and nothing of the outline between, nor what stands in the
// room; of a wall above the point only what is tall hides it. The door's own wall
// is not.
func (v *view) sees(p rooms.Point, wall bool) bool {
	ax, ay := float64(v.ahead.X-v.eye.X), float64(v.ahead.Y-v.eye.Y)
	px, py := float64(p.X-v.eye.X), float64(p.Y-v.eye.Y)
	dot := float64(ax*px) + float64(ay*py)
	c, _ := cosSin(halfSight)
	if dot < c*math.Sqrt(float64(ax*ax)+float64(ay*ay))*math.Sqrt(float64(px*px)+float64(py*py)) {
		return false
	}
	// From a little inside the door to a little before the point.
	eye := v.ahead
	q := rooms.Point{X: p.X + (eye.X-p.X)/64, Y: p.Y + (eye.Y-p.Y)/64}
	for i, a := range v.floor.Outline {
		if crosses(a, v.floor.Outline[(i+1)%len(v.floor.Outline)], eye, q) {
			return false
		}
	}
	return !v.hidden(eye, q, wall)
}

// crosses reports whether two segments cross or touch.
func crosses(a, b, c, d rooms.Point) bool {
	return rooms.Side(a, b, c) != rooms.Side(a, b, d) && rooms.Side(c, d, a) != rooms.Side(c, d, b)
}

// meets is how far straight ahead of the eye an edge of the floor is crossed.
func (v *view) meets(a, b rooms.Point) (float64, bool) {
	dx, dy := float64(v.ahead.X-v.eye.X), float64(v.ahead.Y-v.eye.Y)
	ex, ey := float64(b.X-a.X), float64(b.Y-a.Y)
	det := float64(dx*ey) - float64(dy*ex)
	if det == 0 {
		return 0, false
	}
	fx, fy := float64(a.X-v.eye.X), float64(a.Y-v.eye.Y)
	far, at := (float64(fx*ey)-float64(fy*ex))/det, (float64(fx*dy)-float64(fy*dx))/det
	return far, far > 0.001 && at >= 0 && at <= 1
}

// eyeOn is how much the eye goes to a line of a surface. What the surface says
// itself comes first (windows and niches are marked as seen by the forms that
// make them); doorways, outside corners and free edges are seen wherever they
// are; what stands at a fixture is not; of the rest the line of sight decides.
func (v *view) eyeOn(s *rooms.Surface, b border) int {
	switch b.kind {
	case borderEdge:
		e := edgeAt(s, b.edge)
		switch {
		case e.Hidden:
			return unseen
		case e.Seen, e.Meets == rooms.Doorway, e.Meets == rooms.OutsideCorner, e.Meets == rooms.FreeEdge:
			return seenFirst
		case e.Meets != rooms.Fixture && v.sight[sightKey{s.Key, b.edge}]:
			return inSight
		}
	case borderOpening:
		o := s.Openings[b.edge]
		if o.Seen && !o.Hidden {
			return seenFirst
		}
	case borderFree:
		return seenFirst
	}
	return unseen
}
