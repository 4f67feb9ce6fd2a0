package jobfile

import "potlife/rooms"

// alcove is the quick form of a tub between three walls. Its walls are seen
// from inside; they stand on the tub's rim.
type alcove struct {
	v                     *value
	key                   string
	length, depth, height rooms.Length
	walls                 surface
	back, left, right     surface
}

var alcoveObject = object[alcove]{
	name: "tub_alcove", doc: "a tub between three walls, which become tub surrounds named tub-back, tub-left and tub-right",
	start: func() alcove { return alcove{key: "tub"} },
	fields: []field[alcove]{
		keep("key", "what the names begin with (tub if left out)", keyForm, func(a *alcove) *string { return &a.key }),
		keep("length", "of the tub: width of the back wall", sideLength, func(a *alcove) *rooms.Length { return &a.length }).needed(),
		keep("depth", "of the tub: width of the walls at its ends", sideLength, func(a *alcove) *rooms.Length { return &a.depth }).needed(),
		keep("height", "height of tile above the rim", sideLength, func(a *alcove) *rooms.Length { return &a.height }).needed(),
		keep("walls", "what holds for the three walls", of(&faceObject), func(a *alcove) *surface { return &a.walls }),
		keep("back", "the long wall; none: not tiled", of(&faceObject), func(a *alcove) *surface { return &a.back }),
		keep("left", "the wall at the left end, facing the back wall", of(&faceObject), func(a *alcove) *surface { return &a.left }),
		keep("right", "the wall at the right end", of(&faceObject), func(a *alcove) *surface { return &a.right }),
	},
	check: func(r *reader, v *value, a *alcove) { a.v = v },
}

// expand makes the three walls; the corners between them are shared.
func (a *alcove) expand(roomKey string) []surface {
	if a.length == 0 || a.depth == 0 || a.height == 0 {
		return nil // reported already
	}
	var b built
	b.start(a.v, roomKey+"/"+a.key+"-")
	b.add("back", rooms.TubSurround, a.length, a.height, a.back.over(a.walls))
	b.add("left", rooms.TubSurround, a.depth, a.height, a.left.over(a.walls))
	b.add("right", rooms.TubSurround, a.depth, a.height, a.right.over(a.walls))
	b.join("back", 3, "left", 1)
	b.join("back", 1, "right", 3)
	b.meets("left", 3, rooms.FreeEdge)
	b.meets("right", 1, rooms.FreeEdge)
	return b.surfaces(a.key + "-")
}

// built collects the rectangles of a quick form.
type built struct {
	v     *value
	path  string // of a surface's name: "room/prefix-"
	names []string
	made  map[string]*surface
}

func (b *built) start(v *value, path string) { b.v, b.path, b.made = v, path, map[string]*surface{} }

// add takes a rectangle with what is said about it; what is derived comes
// first, so that it gives way.
func (b *built) add(name, kind string, width, height rooms.Length, said surface) {
	said.kind, said.region = kind, region{width: &width, height: &height}
	if said.v == nil {
		said.v = b.v
	}
	b.names, b.made[name] = append(b.names, name), &said
}

// derive puts an edge before those that are written.
func (b *built) derive(name string, side int, e edge) {
	s := b.made[name]
	s.edges = append([]bySide[edge]{{sideNames[side], b.v, e}}, s.edges...)
}

// meets says what a side meets.
func (b *built) meets(name string, side int, what string) {
	b.derive(name, side, edge{v: b.v, meets: &what})
}

// join shares a corner between two rectangles that are both tiled.
func (b *built) join(one string, side int, other string, otherSide int) {
	if b.made[one].skip || b.made[other].skip {
		return
	}
	b.derive(one, side, edge{v: b.v, shared: ptr(b.path + other + "#" + string(rune('0'+otherSide)))})
	b.derive(other, otherSide, edge{v: b.v, shared: ptr(b.path + one + "#" + string(rune('0'+side)))})
}

// surfaces are those that are tiled.
func (b *built) surfaces(prefix string) []surface {
	var out []surface
	for _, name := range b.names {
		s := *b.made[name]
		if s.key = prefix + name; !s.skip {
			out = append(out, s)
		}
	}
	return out
}
