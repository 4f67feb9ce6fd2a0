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
	floor, walls          surface
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

func checkRect(r *reader, v *value, q *rectRoom) {
	q.v = v
	if q.tileTo == 0 {
		q.tileTo = q.height
	}
	if q.tileTo > q.height {
		r.failf(v.at("tile_to"), "at most the room's height", "tile_to %s is above the ceiling (%s)", q.tileTo, q.height)
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
	holes := q.holes(r, sides)
	var out []surface
	floor, foot := q.makeFloor(roomKey, sides, holes)
	if !floor.skip {
		out = append(out, floor)
	}
	for i := range sides {
		if w := q.makeWall(roomKey, sides, i, holes, foot); !w.skip {
			out = append(out, w)
		}
	}
	return out
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

// makeFloor goes round the floor; a doorway is an edge of its own. foot tells,
// by side, which edge of the floor is the wall's foot: the longest beside its
// doors.
func (q *rectRoom) makeFloor(roomKey string, sides []footSide, holes []hole) (floor surface, foot []int) {
	floor = q.floor
	if floor.v == nil {
		floor.v = q.v
	}
	floor.key, floor.kind = "floor", rooms.Floor
	var ring rooms.Ring
	var derived []bySide[edge]
	for side, s := range sides {
		at, longest, best := rooms.Length(0), rooms.Length(0), -1
		add := func(to rooms.Length, door bool) {
			if to <= at {
				return
			}
			e := edge{v: q.v}
			if door {
				e.meets = ptr(rooms.Doorway)
			} else if to-at > longest {
				longest, best = to-at, len(ring)
			}
			derived = append(derived, bySide[edge]{fmt.Sprint(len(ring)), q.v, e})
			ring = append(ring, s.along(at))
			at = to
		}
		for _, h := range doorsAlong(holes, side) {
			add(s.run()-h.at-h.width, false)
			add(s.run()-h.at, true)
		}
		add(s.run(), false)
		if best >= 0 && !q.wallOf(s.wall).skip {
			derived[best].what.shared = ptr(roomKey + "/" + rectSides[s.wall] + "#0")
		}
		foot = append(foot, best)
	}
	floor.region = region{outline: outline{ring: ring}}
	floor.edges = append(derived, floor.edges...)
	return floor, foot
}

// doorsAlong lists the doors of a side along the floor's edge, which runs from
// the wall's right end to its left.
func doorsAlong(holes []hole, side int) []hole {
	var out []hole
	for _, h := range holes {
		if h.door && h.side == side {
			out = append(out, h)
		}
	}
	slices.SortStableFunc(out, func(a, b hole) int { return cmp.Compare(b.at, a.at) })
	return out
}

// wallOf is what is said about a wall: about itself, else about all.
func (q *rectRoom) wallOf(wall int) surface { return q.sides[wall].over(q.walls) }

// makeWall makes the wall on a side of the floor.
func (q *rectRoom) makeWall(roomKey string, sides []footSide, i int, holes []hole, foot []int) surface {
	s := sides[i]
	w := q.wallOf(s.wall)
	w.key, w.kind = rectSides[s.wall], rooms.Wall
	if w.v == nil {
		w.v = q.v
	}
	run := s.run()
	w.region = region{width: &run, height: &q.tileTo}
	// The wall's right end is where its side begins: there the side before
	// ends, which is that wall's left.
	right, left := sides[(i+len(sides)-1)%len(sides)], sides[(i+1)%len(sides)]
	derived := []bySide[edge]{
		{"right", q.v, q.cornerEdge(roomKey, right, "#3", rooms.Side(right.a, right.b, s.b) < 0)},
		{"left", q.v, q.cornerEdge(roomKey, left, "#1", rooms.Side(s.a, s.b, left.b) < 0)},
	}
	if foot[i] >= 0 && !q.floor.skip {
		derived = append(derived, bySide[edge]{"bottom", q.v, edge{v: q.v, shared: ptr(fmt.Sprintf("%s/floor#%d", roomKey, foot[i]))}})
	}
	if q.tileTo < q.height {
		derived = append(derived, bySide[edge]{"top", q.v, edge{v: q.v, meets: ptr(rooms.FreeEdge)}})
	}
	w.edges = append(derived, w.edges...)
	for _, h := range holes {
		if h.side == i && h.sill < q.tileTo {
			w.openings = append(w.openings, q.wallOpening(h))
		}
	}
	return w
}

// cornerEdge is the end of a wall where it meets another one; reflex corners
// point into the room.
func (q *rectRoom) cornerEdge(roomKey string, other footSide, side string, reflex bool) edge {
	e := edge{v: q.v}
	if reflex {
		e.meets = ptr(rooms.OutsideCorner)
	}
	if !q.wallOf(other.wall).skip {
		e.shared = ptr(roomKey + "/" + rectSides[other.wall] + side)
	}
	return e
}

// wallOpening is the part of a door or window below the height of the tile.
func (q *rectRoom) wallOpening(h hole) opening {
	kind := "window"
	if h.door {
		kind = "door"
	}
	high := min(h.height, q.tileTo-h.sill)
	return opening{v: h.v, key: h.key, kind: kind, region: region{x: &h.at, y: &h.sill, width: &h.width, height: &high}}
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
