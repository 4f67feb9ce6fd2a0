package takeoff

import "potlife/rooms"

// What stands in the way of the eye: the open leaf of the door, and what stands
// on the floor. What stands there hides the floor's edges beneath and behind it;
// what is tall, as the leaf is, also the corners of walls.

// screen is a line, or a closed line, that ends the sight.
type screen struct {
	ring rooms.Ring // two points are the line between them
	tall bool
}

// hidden reports whether a screen stands between the eye and p, or over p.
func (v *view) hidden(eye, p rooms.Point, wall bool) bool {
	for _, s := range v.screens {
		if wall && !s.tall {
			continue
		}
		if len(s.ring) > 2 && s.ring.Place(p) != rooms.Outside {
			return true
		}
		for i, a := range s.ring {
			b := s.ring[(i+1)%len(s.ring)]
			if crosses(a, b, eye, p) {
				return true
			}
		}
	}
	return false
}

// screen collects what stands in the room: leaves of doors that open into it,
// its obstacles and the fixtures that the floor is not tiled under.
func (v *view) screen(r *rooms.Room) {
	for i := range r.Surfaces {
		w := &r.Surfaces[i]
		if !standing(w) {
			continue
		}
		for _, o := range w.Openings {
			if leaf, ok := leafOf(r, v.floor, w, o); ok {
				v.screens = append(v.screens, screen{leaf, true})
			}
		}
	}
	for _, o := range v.floor.Openings {
		if o.Kind == "fixture" && len(o.Outline) > 2 {
			v.screens = append(v.screens, screen{o.Outline, false})
		}
	}
	for _, o := range r.Obstacles {
		if len(o.Outline) > 2 {
			v.screens = append(v.screens, screen{o.Outline, o.Tall})
		}
	}
}

// leafOf is the leaf of a door as it stands open, square to its wall.
func leafOf(r *rooms.Room, f, w *rooms.Surface, o rooms.Opening) (rooms.Ring, bool) {
	if o.Kind != "door" || len(o.Outline) < 3 || o.Hinge != rooms.HingeLeft && o.Hinge != rooms.HingeRight {
		return nil, false
	}
	a, b, ok := footOf(r, f, w)
	box, wall := o.Outline.Box(), w.Outline.Box()
	if !ok || wall.Width() <= 0 || a == b {
		return nil, false
	}
	// The wall is read from its left end, which is the end of the floor's edge.
	x := box.Min.X
	if o.Hinge == rooms.HingeRight {
		x = box.Max.X
	}
	long := float64(rooms.Distance(a, b))
	ux, uy := float64(a.X-b.X)/long, float64(a.Y-b.Y)/long // from the left end to the right
	along, wide := float64(x-wall.Min.X), float64(box.Width())
	at := rooms.Point{X: b.X + round(float64(ux*along)), Y: b.Y + round(float64(uy*along))}
	// Into the room is on the left of a→b, which is on the right of b→a.
	return rooms.Ring{at, {X: at.X + round(float64(uy*wide)), Y: at.Y - round(float64(ux*wide))}}, true
}
