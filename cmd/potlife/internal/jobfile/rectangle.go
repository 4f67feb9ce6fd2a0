package jobfile

import (
	"cmp"
	"fmt"
	"slices"

	"potlife/rooms"
)

// rectRoom is the quick form of a rectangular room, or of an L, which is a
// rectangle less a corner: it becomes a floor and its walls, common edges
// shared. Seen from above, length runs along the south and north walls, width
// along west and east; every wall is seen from inside the room, so its left end
// is the corner on the left hand.
type rectRoom struct {
	v                     *value
	length, width, height rooms.Length
	tileTo                rooms.Length
	less                  *corner
	doors, windows        []wallHole
	floor, ceiling, walls surface
	sides                 [len(rectSides)]surface
}

// corner is what an L room lacks of a rectangle.
type corner struct {
	which         string
	length, width rooms.Length
}

// wallHole is a door or window of a rectangular room.
type wallHole struct {
	v             *value
	key, wall     string
	at, sill      rooms.Length
	width, height rooms.Length
	hinge         string
}

// rectSides are the walls of a rectangular room in the order of the floor's
// edges, and after them the inner ones of an L.
var rectSides = [...]string{"south", "east", "north", "west", "south-inner", "east-inner", "north-inner", "west-inner"}

// corners of a rectangle; corners[i] ends side i.
var corners = []string{"south-east", "north-east", "north-west", "south-west"}

var cornerObject = object[corner]{
	name: "corner", doc: "the corner that an L room lacks",
	fields: []field[corner]{
		keep("corner", "one of "+list(corners), word(corners...), func(c *corner) *string { return &c.which }).needed(),
		keep("length", "along the south and north walls", sideLength, func(c *corner) *rooms.Length { return &c.length }).needed(),
		keep("width", "along the west and east walls", sideLength, func(c *corner) *rooms.Length { return &c.width }).needed(),
	},
}

var doorObject = object[wallHole]{
	name: "door", doc: "a door of a rectangular room",
	fields: holeFields(false), check: func(r *reader, v *value, h *wallHole) { h.v = v },
}

var windowObject = object[wallHole]{
	name: "window", doc: "a window of a rectangular room",
	fields: holeFields(true), check: func(r *reader, v *value, h *wallHole) { h.v = v },
}

func holeFields(window bool) []field[wallHole] {
	out := []field[wallHole]{
		keep("key", "its key; door-1, window-1 … if left out", keyForm, func(h *wallHole) *string { return &h.key }),
		keep("wall", "the wall: "+list(rectSides[:]), word(rectSides[:]...), func(h *wallHole) *string { return &h.wall }).needed(),
		keep("at", "distance from the wall's left end, seen from inside", zeroLength, func(h *wallHole) *rooms.Length { return &h.at }).needed(),
		keep("width", "width", sideLength, func(h *wallHole) *rooms.Length { return &h.width }).needed(),
		keep("height", "height", sideLength, func(h *wallHole) *rooms.Length { return &h.height }).needed(),
	}
	if !window {
		out = append(out, keep("hinge", hingeDoc, word(hinges...), func(h *wallHole) *string { return &h.hinge }))
	}
	if window {
		out = append(out, keep("sill", "height of the sill above the floor", zeroLength, func(h *wallHole) *rooms.Length { return &h.sill }).needed())
	}
	return out
}

var rectObject = object[rectRoom]{
	name: "rectangle", doc: "a rectangular or L-shaped room: a floor and its walls seen from inside, their common edges shared",
	fields: append([]field[rectRoom]{
		keep("length", "along the south and north walls", sideLength, func(q *rectRoom) *rooms.Length { return &q.length }).needed(),
		keep("width", "along the west and east walls", sideLength, func(q *rectRoom) *rooms.Length { return &q.width }).needed(),
		keep("height", "of the room", sideLength, func(q *rectRoom) *rooms.Length { return &q.height }).needed(),
		keep("less", "the corner that an L room lacks; its two walls are inner ones", maybe(of(&cornerObject)), func(q *rectRoom) **corner { return &q.less }),
		keep("tile_to", "height to which walls are tiled (the ceiling if left out)", sideLength, func(q *rectRoom) *rooms.Length { return &q.tileTo }),
		keep("doors", "its doors", listOf(of(&doorObject)), func(q *rectRoom) *[]wallHole { return &q.doors }),
		keep("windows", "its windows", listOf(of(&windowObject)), func(q *rectRoom) *[]wallHole { return &q.windows }),
		keep("floor", "the floor; none: not tiled", of(&faceObject), func(q *rectRoom) *surface { return &q.floor }),
		keep("ceiling", "the ceiling, where it is tiled: {} if there is nothing to say", of(&faceObject), func(q *rectRoom) *surface { return &q.ceiling }),
		keep("walls", "what holds for all walls", of(&faceObject), func(q *rectRoom) *surface { return &q.walls }),
	}, sideFields()...),
	check: checkRect,
}

func sideFields() []field[rectRoom] {
	var out []field[rectRoom]
	for i, name := range rectSides {
		out = append(out, keep(name, "the "+name+" wall; none: not tiled", of(&faceObject), func(q *rectRoom) *surface { return &q.sides[i] }))
	}
	return out
}

// leastRoom is a side that no room has: a shorter one is a slip of the pen or of the
// unit.
const leastRoom = 300 * rooms.Millimetre

func checkRect(r *reader, v *value, q *rectRoom) {
	q.v = v
	for _, side := range []struct {
		key string
		l   *rooms.Length
	}{{"length", &q.length}, {"width", &q.width}, {"height", &q.height}} {
		if *side.l > 0 && *side.l < leastRoom {
			text := scalarText(v.get(side.key))
			r.failf(v.at(side.key), "a length in mm, or with its unit, such as 2410, 2.41 m or 7' 11\"", "%s %s makes a room of %s", side.key, text, r.say(*side.l))
			*side.l = 0
		}
	}
	if q.tileTo == 0 {
		q.tileTo = q.height
	}
	if q.height > 0 && q.tileTo > q.height {
		r.failf(v.at("tile_to"), "at most the room's height", "tile_to %s is above the ceiling (%s)", r.say(q.tileTo), r.say(q.height))
		q.tileTo = q.height
	}
	if q.less != nil && q.length > 0 && q.width > 0 && (q.less.length >= q.length || q.less.width >= q.width) {
		r.failf(v.at("less"), "a corner smaller than the room", "the corner taken away is as large as the room")
		q.less = nil
	}
}

// footSide is a side of the floor with the wall that stands on it.
type footSide struct {
	wall int // index of rectSides
	a, b rooms.Point
}

func (s footSide) run() rooms.Length { return rooms.Distance(s.a, s.b) }

// along is the point of the side at a distance from its beginning; sides run
// along x or y.
func (s footSide) along(d rooms.Length) rooms.Point {
	sign := func(l rooms.Length) rooms.Length { return rooms.Length(cmp.Compare(l, 0)) }
	return rooms.Point{X: s.a.X + d*sign(s.b.X-s.a.X), Y: s.a.Y + d*sign(s.b.Y-s.a.Y)}
}

// outline goes round the floor counter-clockwise.
func (q *rectRoom) outline() []footSide {
	points := rooms.Rect(0, 0, q.length, q.width)
	var sides []footSide
	for i := range 4 {
		sides = append(sides, footSide{i, points[i], points[(i+1)%4]})
	}
	if q.less == nil {
		return sides
	}
	i := slices.Index(corners, q.less.which)
	if i < 0 {
		return sides // reported already
	}
	// The side before the corner and the one behind it give way, and between
	// them stand two inner walls that face the way those do.
	first, next := &sides[i], &sides[(i+1)%4]
	back, on := q.less.length, q.less.width
	if i%2 == 1 {
		back, on = on, back
	}
	first.b = first.along(first.run() - back)
	next.a = next.along(on)
	bend := rooms.Point{X: first.b.X + next.a.X - points[(i+1)%4].X, Y: first.b.Y + next.a.Y - points[(i+1)%4].Y}
	inner := []footSide{{4 + (i+1)%4, first.b, bend}, {4 + i, bend, next.a}}
	return slices.Insert(sides, i+1, inner...)
}

// expand makes the surfaces of the quick form.
func (q *rectRoom) expand(r *reader, roomKey string) []surface {
	if q.length == 0 || q.width == 0 || q.height == 0 {
		return nil // reported already
	}
	sides := q.outline()
	q.checkSides(r, sides)
	form := rooms.RoomForm{Room: roomKey, Height: q.height, TileTo: q.tileTo, Ceiling: q.ceiling.v != nil && !q.ceiling.skip}
	said := map[string]surface{"floor": q.floor, "ceiling": q.ceiling}
	for _, s := range sides {
		name := rectSides[s.wall]
		form.Floor, form.Walls = append(form.Floor, s.a), append(form.Walls, name)
		said[name] = q.sides[s.wall].over(q.walls)
	}
	holes := q.holes(r, sides)
	at := map[string]*value{}
	for _, h := range holes {
		kind := "window"
		if h.door {
			kind = "door"
		}
		form.Holes = append(form.Holes, rooms.Hole{Key: h.key, Kind: kind, Wall: h.side, X: h.at, Y: h.sill, W: h.width, H: h.height, Hinge: h.hinge})
		at[h.key] = h.v
	}
	return formed(r, q.v, "", said, at, func() ([]rooms.Surface, error) { return form.Surfaces() }, &form.None)
}

// checkSides refuses what is said about walls that the room does not have.
func (q *rectRoom) checkSides(r *reader, sides []footSide) {
	for i, s := range q.sides {
		if s.v != nil && !slices.ContainsFunc(sides, func(f footSide) bool { return f.wall == i }) {
			r.failf(s.v.place, "less: a corner that makes the room an L", "the room has no %s wall", rectSides[i])
		}
	}
}

func ptr[V any](v V) *V { return &v }

// hole is a door or window with its side of the floor.
type hole struct {
	wallHole
	side int
	door bool
}

// holes checks doors and windows against their walls and names them.
func (q *rectRoom) holes(r *reader, sides []footSide) []hole {
	var out []hole
	add := func(list []wallHole, door bool, name string) {
		for i, h := range list {
			if h.key == "" {
				h.key = fmt.Sprintf("%s-%d", name, i+1)
			}
			if h.wall == "" || h.width == 0 || h.height == 0 {
				continue // reported already
			}
			side := slices.IndexFunc(sides, func(s footSide) bool { return rectSides[s.wall] == h.wall })
			if side < 0 {
				r.failf(h.v.at("wall"), "a wall of the room", "the room has no %s wall", h.wall)
				continue
			}
			if run := sides[side].run(); h.at+h.width > run || h.sill+h.height > q.height {
				r.failf(h.v.place, fmt.Sprintf("at + width at most %s, and sill + height at most %s", r.say(run), r.say(q.height)), "%s %s lies outside the %s wall", name, h.key, h.wall)
				continue
			}
			out = append(out, hole{h, side, door})
		}
	}
	add(q.doors, true, "door")
	add(q.windows, false, "window")
	return out
}

// over fills what s leaves out from base; lists are joined.
func (s surface) over(base surface) surface {
	if s.name == "" {
		s.name = base.name
	}
	s.layer, s.measured, s.wet, s.ledger = first(s.layer, base.layer), first(s.measured, base.measured), first(s.wet, base.wet), first(s.ledger, base.ledger)
	s.extras = s.extras.over(base.extras)
	s.prepare, s.levellerDepth, s.difficulty = first(s.prepare, base.prepare), first(s.levellerDepth, base.levellerDepth), first(s.difficulty, base.difficulty)
	s.edges = append(append([]bySide[edge](nil), base.edges...), s.edges...)
	s.deduct = append(append([]bySide[rooms.Length](nil), base.deduct...), s.deduct...)
	s.openings = append(append([]opening(nil), base.openings...), s.openings...)
	s.zones = append(append([]zone(nil), base.zones...), s.zones...)
	s.border, s.band, s.inset = first(s.border, base.border), first(s.band, base.band), first(s.inset, base.inset)
	s.readings = append(append([]reading(nil), base.readings...), s.readings...)
	if !s.set.none {
		if base.set.none && s.set.v == nil {
			s.set = base.set
		} else {
			v := s.set.v
			s.set = s.set.over(base.set)
			s.set.v = v
		}
	}
	s.skip = s.skip || base.skip
	return s
}
