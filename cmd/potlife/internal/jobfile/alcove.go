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
func (a *alcove) expand(r *reader, roomKey string) []surface {
	if a.length == 0 || a.depth == 0 || a.height == 0 {
		return nil // reported already
	}
	form := rooms.TubForm{Room: roomKey, Key: a.key, Length: a.length, Depth: a.depth, Height: a.height}
	said := map[string]surface{"back": a.back.over(a.walls), "left": a.left.over(a.walls), "right": a.right.over(a.walls)}
	return formed(r, a.v, a.key+"-", said, nil, func() ([]rooms.Surface, error) { return form.Surfaces() }, &form.None)
}
