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
	ceiling              *bool
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
		keep("to_ceiling", "the tile ends at the ceiling (left out: where the room's rectangle is no higher than the tile; it ends free elsewhere)", maybe(flagForm), func(s *shower) **bool { return &s.ceiling }),
		keep("side", "left or right: on which hand the wall beside is, facing the back wall", word("left", "right"), func(s *shower) *string { return &s.side }).needed(),
		keep("drain", "diameter of a drain in the middle of the floor; the floor's falls say how it falls there: floor: {falls: {kind: to a point, slope: 20, cut: yes}}", sideLength, func(s *shower) *rooms.Length { return &s.drain }),
		keep("floor", "the shower floor, drawn with the back wall at its top; none: a tray, not tiled", of(&faceObject), func(s *shower) *surface { return &s.floor }),
		keep("walls", "what holds for both walls", of(&faceObject), func(s *shower) *surface { return &s.walls }),
		keep("back", "the back wall", of(&faceObject), func(s *shower) *surface { return &s.back }),
		keep("beside", "the wall beside it", of(&faceObject), func(s *shower) *surface { return &s.beside }),
		keep("niche", "a niche in one of the walls", maybe(of(&nicheObject)), func(s *shower) **niche { return &s.niche }),
	},
	check: func(r *reader, v *value, s *shower) { s.v = v },
}

// fallingFloor is what is said about the floor; where it falls to a point that is
// not named, that is the drain in its middle.
func (s *shower) fallingFloor() surface {
	floor := s.floor
	if f := floor.extras.falls; f != nil && f.Kind == rooms.ToPoint && f.A == (rooms.Point{}) {
		to := *f
		to.A = rooms.Point{X: s.width / 2, Y: s.depth / 2}
		floor.extras.falls = &to
	}
	return floor
}

// expand makes the shower's surfaces, all of them wet unless said otherwise.
func (s *shower) expand(r *reader, roomKey string, roomHigh rooms.Length) []surface {
	if s.width == 0 || s.depth == 0 || s.height == 0 || s.side == "" {
		return nil // reported already
	}
	form := rooms.ShowerForm{Room: roomKey, Key: s.key, Width: s.width, Depth: s.depth, Height: s.height, Right: s.side == "right", Drain: s.drain,
		Ceiling: valueOr(s.ceiling, roomHigh > 0 && s.height >= roomHigh)}
	said := map[string]surface{"floor": s.fallingFloor(), "back": s.back.over(s.walls), "side": s.beside.over(s.walls)}
	at := map[string]*value{}
	if n := s.niche; n != nil && n.width > 0 && n.height > 0 && n.depth > 0 {
		form.Niche = &rooms.NicheForm{Beside: n.wall == "side", X: n.x, Y: n.y, W: n.width, H: n.height, Depth: n.depth}
		at["niche"] = n.v
		for _, face := range []string{"back", "sill", "head", "left", "right"} {
			said["niche-"+face] = n.faces.at(n.v)
		}
	}
	return formed(r, s.v, s.key+"-", said, at, func() ([]rooms.Surface, error) { return form.Surfaces() }, &form.None)
}
