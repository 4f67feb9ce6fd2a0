package jobfile

import "potlife/rooms"

// shower is the quick form of a shower in a corner: a floor with fall, the
// back wall, the wall beside it, and a niche in one of them.
type shower struct {
	v                    *value
	key, side            string
	width, depth, height rooms.Length
	drain                rooms.Length
	floor, back, beside  surface
	walls                surface
	niche                *niche
}

// niche is a box let into a wall.
type niche struct {
	v                    *value
	wall                 string
	x, y                 rooms.Length
	width, height, depth rooms.Length
	faces                surface
}

var nicheObject = object[niche]{
	name: "niche", doc: "a box let into a wall of a corner shower: an opening and five faces",
	fields: []field[niche]{
		keep("wall", "back or side", word("back", "side"), func(n *niche) *string { return &n.wall }).needed(),
		keep("x", "left side, from the wall's left", zeroLength, func(n *niche) *rooms.Length { return &n.x }).needed(),
		keep("y", "lower side, from the wall's foot", zeroLength, func(n *niche) *rooms.Length { return &n.y }).needed(),
		keep("width", "width", sideLength, func(n *niche) *rooms.Length { return &n.width }).needed(),
		keep("height", "height", sideLength, func(n *niche) *rooms.Length { return &n.height }).needed(),
		keep("depth", "depth", sideLength, func(n *niche) *rooms.Length { return &n.depth }).needed(),
		keep("faces", "what holds for its five faces", of(&faceObject), func(n *niche) *surface { return &n.faces }),
	},
	check: func(r *reader, v *value, n *niche) { n.v = v },
}

var showerObject = object[shower]{
	name: "corner_shower", doc: "a shower in a corner: surfaces named shower-floor, shower-back, shower-side and, with a niche, shower-niche-back, -sill, -head, -left and -right",
	start: func() shower { return shower{key: "shower"} },
	fields: []field[shower]{
		keep("key", "what the names begin with (shower if left out)", keyForm, func(s *shower) *string { return &s.key }),
		keep("width", "along the back wall", sideLength, func(s *shower) *rooms.Length { return &s.width }).needed(),
		keep("depth", "along the wall beside it", sideLength, func(s *shower) *rooms.Length { return &s.depth }).needed(),
		keep("height", "height of tile", sideLength, func(s *shower) *rooms.Length { return &s.height }).needed(),
		keep("side", "left or right: on which hand the wall beside is, facing the back wall", word("left", "right"), func(s *shower) *string { return &s.side }).needed(),
		keep("drain", "diameter of a drain in the middle of the floor", sideLength, func(s *shower) *rooms.Length { return &s.drain }),
		keep("floor", "the shower floor, drawn with the back wall at its top; none: a tray, not tiled", of(&faceObject), func(s *shower) *surface { return &s.floor }),
		keep("walls", "what holds for both walls", of(&faceObject), func(s *shower) *surface { return &s.walls }),
		keep("back", "the back wall", of(&faceObject), func(s *shower) *surface { return &s.back }),
		keep("beside", "the wall beside it", of(&faceObject), func(s *shower) *surface { return &s.beside }),
		keep("niche", "a niche in one of the walls", maybe(of(&nicheObject)), func(s *shower) **niche { return &s.niche }),
	},
	check: func(r *reader, v *value, s *shower) { s.v = v },
}

// expand makes the shower's surfaces, all of them wet unless said otherwise.
func (s *shower) expand(roomKey string) []surface {
	if s.width == 0 || s.depth == 0 || s.height == 0 || s.side == "" {
		return nil // reported already
	}
	var b built
	b.start(s.v, roomKey+"/"+s.key+"-")
	b.add("floor", rooms.ShowerFloor, s.width, s.depth, s.withDrain())
	b.add("back", rooms.Wall, s.width, s.height, s.wetWall(s.back, "back"))
	b.add("side", rooms.Wall, s.depth, s.height, s.wetWall(s.beside, "side"))
	left, right := 3, 1 // sides of a wall; the floor's hands are the same
	corner, open := left, right
	if s.side == "right" {
		corner, open = right, left
	}
	b.join("back", corner, "side", open)
	b.meets("back", open, rooms.FreeEdge)
	b.meets("side", corner, rooms.FreeEdge)
	b.join("floor", 2, "back", 0)
	b.join("floor", corner, "side", 0)
	b.meets("floor", 0, rooms.FreeEdge)
	b.meets("floor", open, rooms.FreeEdge)
	if s.floor.skip {
		b.meets("back", 0, rooms.AtTray)
		b.meets("side", 0, rooms.AtTray)
	}
	out := b.surfaces(s.key + "-")
	if s.niche != nil {
		out = append(out, s.nicheFaces(roomKey)...)
	}
	return out
}

// withDrain is the floor with its drain.
func (s *shower) withDrain() surface {
	floor := s.floor
	if s.drain > 0 && !floor.skip {
		x, y := s.width/2, s.depth/2
		drain := opening{v: s.v, key: "drain", kind: "drain", region: region{x: &x, y: &y, diameter: &s.drain}}
		floor.openings = append([]opening{drain}, floor.openings...)
	}
	return floor
}

// wetWall is a wall of the shower, with the niche where it is in this one.
func (s *shower) wetWall(said surface, name string) surface {
	w := said.over(s.walls)
	w.wet = first(w.wet, ptr(true))
	if n := s.niche; n != nil && n.wall == name && !w.skip {
		w.openings = append(w.openings, opening{v: n.v, key: "niche", kind: "niche", region: region{x: &n.x, y: &n.y, width: &n.width, height: &n.height}})
	}
	return w
}

// nicheFaces are the five faces, each seen from inside the niche: the sill from
// above with the niche's back at its top, the head from below likewise.
func (s *shower) nicheFaces(roomKey string) []surface {
	n := s.niche
	if n.width == 0 || n.height == 0 || n.depth == 0 {
		return nil // reported already
	}
	said := n.faces
	said.wet = first(said.wet, ptr(true))
	var b built
	b.start(n.v, roomKey+"/"+s.key+"-niche-")
	b.add("back", rooms.NicheFace, n.width, n.height, said)
	b.add("sill", rooms.NicheFace, n.width, n.depth, said)
	b.add("head", rooms.NicheFace, n.width, n.depth, said)
	b.add("left", rooms.NicheFace, n.depth, n.height, said)
	b.add("right", rooms.NicheFace, n.depth, n.height, said)
	b.join("back", 0, "sill", 2)
	b.join("back", 2, "head", 0)
	b.join("back", 3, "left", 1)
	b.join("back", 1, "right", 3)
	b.join("sill", 3, "left", 0)
	b.join("sill", 1, "right", 0)
	b.join("head", 3, "left", 2)
	b.join("head", 1, "right", 2)
	b.meets("sill", 0, rooms.OutsideCorner)
	b.meets("head", 2, rooms.OutsideCorner)
	b.meets("left", 3, rooms.OutsideCorner)
	b.meets("right", 1, rooms.OutsideCorner)
	return b.surfaces(s.key + "-niche-")
}
