package jobfile

import "potlife/rooms"

// obstacle as it is written.
type obstacle struct {
	v         *value
	key, name string
	region    region
	tall      bool
}

var obstacleObject = object[obstacle]{
	name: "obstacle", doc: "what stands on the floor, in the floor's coordinates: a rectangle, an outline or a circle; its floor is not in view, nor what is behind it",
	fields: append(append([]field[obstacle]{
		keep("key", "its key", keyForm, func(o *obstacle) *string { return &o.key }).needed(),
		keep("name", "what it is", textForm, func(o *obstacle) *string { return &o.name }),
	}, regionFields(func(o *obstacle) *region { return &o.region })...),
		keep("diameter", "of a circle whose centre is x, y", maybe(sideLength), func(o *obstacle) **rooms.Length { return &o.region.diameter }),
		keep("tall", "higher than the eye: walls behind it are not in view either", flagForm, func(o *obstacle) *bool { return &o.tall }),
	),
	check: func(r *reader, v *value, o *obstacle) { o.v = v },
}

// expandObstacles places the obstacles on the room's first floor.
func (m *room) expandObstacles(r *reader, out *rooms.Room) {
	r.unique("obstacles", m.v.get("obstacles"))
	var floor *rooms.Surface
	for i := range out.Surfaces {
		if out.Surfaces[i].Kind == rooms.Floor {
			floor = &out.Surfaces[i]
			break
		}
	}
	for _, o := range m.obstacles {
		ring, ok := o.region.ring(r, o.v, "obstacle")
		if !ok {
			continue
		}
		switch {
		case floor == nil:
			r.failf(o.v.place, "a floor among the room's surfaces", "obstacle %s has no floor to stand on", o.key)
		case !ring.Box().Meets(floor.Outline.Box()):
			r.failf(o.v.place, "a place on the floor, which is "+r.sizeText(floor.Outline), "obstacle %s (%s) stands beside the floor", o.key, r.placeText(ring))
		}
		out.Obstacles = append(out.Obstacles, rooms.Obstacle{Key: o.key, Name: o.name, Outline: ring, Tall: o.tall})
	}
}
