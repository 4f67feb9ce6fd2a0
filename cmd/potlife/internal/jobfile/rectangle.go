package jobfile

import (
	"fmt"

	"potlife/rooms"
)

// rectRoom is the quick form of a rectangular room: it becomes a floor and
// four walls whose common edges are shared. Seen from above, length runs along
// the south and north walls, width along west and east; every wall is seen
// from inside the room, so its left end is the corner on the left hand.
type rectRoom struct {
	v                     *value
	length, width, height rooms.Length
	tileTo                rooms.Length
	doors, windows        []wallHole
	walls                 surface
	sides                 [5]surface // floor, south, east, north, west
}

// wallHole is a door or window of a rectangular room.
type wallHole struct {
	v             *value
	key, wall     string
	at, sill      rooms.Length
	width, height rooms.Length
}

// Sides of a rectangular room, in the order of the floor's edges.
var rectSides = []string{"south", "east", "north", "west"}

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
		keep("wall", "the wall: "+list(rectSides), word(rectSides...), func(h *wallHole) *string { return &h.wall }).needed(),
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
	name: "rectangle", doc: "a rectangular room: a floor and four walls seen from inside, their common edges shared",
	fields: []field[rectRoom]{
		keep("length", "along the south and north walls", sideLength, func(q *rectRoom) *rooms.Length { return &q.length }).needed(),
		keep("width", "along the west and east walls", sideLength, func(q *rectRoom) *rooms.Length { return &q.width }).needed(),
		keep("height", "of the room", sideLength, func(q *rectRoom) *rooms.Length { return &q.height }).needed(),
		keep("tile_to", "height to which walls are tiled (the ceiling if left out)", sideLength, func(q *rectRoom) *rooms.Length { return &q.tileTo }),
		keep("doors", "its doors", listOf(of(&doorObject)), func(q *rectRoom) *[]wallHole { return &q.doors }),
		keep("windows", "its windows", listOf(of(&windowObject)), func(q *rectRoom) *[]wallHole { return &q.windows }),
		keep("walls", "what holds for all four walls", of(&faceObject), func(q *rectRoom) *surface { return &q.walls }),
		keep("floor", "the floor; none: not tiled", of(&faceObject), func(q *rectRoom) *surface { return &q.sides[0] }),
		keep("south", "the south wall; none: not tiled", of(&faceObject), func(q *rectRoom) *surface { return &q.sides[1] }),
		keep("east", "the east wall", of(&faceObject), func(q *rectRoom) *surface { return &q.sides[2] }),
		keep("north", "the north wall", of(&faceObject), func(q *rectRoom) *surface { return &q.sides[3] }),
		keep("west", "the west wall", of(&faceObject), func(q *rectRoom) *surface { return &q.sides[4] }),
	},
	check: func(r *reader, v *value, q *rectRoom) {
		q.v = v
		if q.tileTo == 0 {
			q.tileTo = q.height
		}
		if q.tileTo > q.height {
			r.failf(v.at("tile_to"), "at most the room's height", "tile_to %s is above the ceiling (%s)", q.tileTo, q.height)
		}
	},
}

// expand makes the surfaces of the quick form.
func (q *rectRoom) expand(r *reader, roomKey string) []surface {
	if q.length == 0 || q.width == 0 || q.height == 0 {
		return nil // reported already
	}
	holes := q.holes(r)
	floorRing, parts := q.floorOutline(holes)
	floor := q.sides[0]
	floor.key, floor.kind, floor.region = "floor", rooms.Floor, region{outline: floorRing}
	if floor.v == nil {
		floor.v = q.v
	}
	var out []surface
	longest := map[int]int{} // side → index of the floor's edge that is its wall's foot
	for i, p := range parts {
		e := edge{v: q.v}
		if p.door {
			e.meets = ptr(rooms.Doorway)
		} else if j, ok := longest[p.side]; !ok || parts[j].length < p.length {
			longest[p.side] = i
		}
		floor.edges = append(floor.edges, bySide[edge]{fmt.Sprint(i), q.v, e})
	}
	if !floor.skip {
		for side, i := range longest {
			if !q.sides[1+side].skip {
				floor.edges[len(floor.edges)-len(parts)+i].what.shared = ptr(roomKey + "/" + rectSides[side] + "#0")
			}
		}
		out = append(out, floor)
	}
	for side := range rectSides {
		if w := q.wall(roomKey, side, holes, longest, floor.skip); !w.skip {
			out = append(out, w)
		}
	}
	return out
}

func ptr[V any](v V) *V { return &v }

// run is the length of a side.
func (q *rectRoom) run(side int) rooms.Length {
	if side%2 == 0 {
		return q.length
	}
	return q.width
}

// hole is a door or window with its side and whether it stands on the floor.
type hole struct {
	wallHole
	side int
	door bool
}

// holes checks doors and windows against their walls and names them.
func (q *rectRoom) holes(r *reader) []hole {
	var out []hole
	add := func(list []wallHole, door bool, name string) {
		for i, h := range list {
			if h.key == "" {
				h.key = fmt.Sprintf("%s-%d", name, i+1)
			}
			side := -1
			for s, n := range rectSides {
				if n == h.wall {
					side = s
				}
			}
			if side < 0 || h.width == 0 || h.height == 0 {
				continue // reported already
			}
			if h.at+h.width > q.run(side) || h.sill+h.height > q.height {
				r.failf(h.v.place, fmt.Sprintf("at + width at most %s, and height at most %s", q.run(side), q.height), "%s %s lies outside the %s wall", name, h.key, h.wall)
				continue
			}
			out = append(out, hole{h, side, door})
		}
	}
	add(q.doors, true, "door")
	add(q.windows, false, "window")
	return out
}

// floorPart is one edge of the floor.
type floorPart struct {
	side   int
	door   bool
	length rooms.Length
}

// floorOutline goes round the floor; a doorway is an edge of its own.
func (q *rectRoom) floorOutline(holes []hole) (rooms.Ring, []floorPart) {
	corners := rooms.Rect(0, 0, q.length, q.width)
	step := []rooms.Point{{X: 1}, {Y: 1}, {X: -1}, {Y: -1}}
	var ring rooms.Ring
	var parts []floorPart
	for side := range 4 {
		at, run := rooms.Length(0), q.run(side)
		add := func(to rooms.Length, door bool) {
			if to <= at {
				return
			}
			ring = append(ring, rooms.Point{X: corners[side].X + at*step[side].X, Y: corners[side].Y + at*step[side].Y})
			parts = append(parts, floorPart{side, door, to - at})
			at = to
		}
		for _, h := range doorsAlong(holes, side, run) {
			add(run-h.at-h.width, false)
			add(run-h.at, true)
		}
		add(run, false)
	}
	return ring, parts
}

// doorsAlong lists the doors of a side along the floor's edge, which runs from
// the wall's right end to its left.
func doorsAlong(holes []hole, side int, run rooms.Length) []hole {
	var out []hole
	for _, h := range holes {
		if h.door && h.side == side {
			out = append(out, h)
		}
	}
	for i := range out {
		for j := i; j > 0 && out[j].at > out[j-1].at; j-- {
			out[j], out[j-1] = out[j-1], out[j]
		}
	}
	return out
}

// wall is one wall: what is said about it, else what is said about all.
func (q *rectRoom) wall(roomKey string, side int, holes []hole, foot map[int]int, noFloor bool) surface {
	w := q.sides[1+side].over(q.walls)
	w.key, w.kind = rectSides[side], rooms.Wall
	if w.v == nil {
		w.v = q.v
	}
	run := q.run(side)
	w.region = region{width: &run, height: &q.tileTo}
	derived := []bySide[edge]{}
	share := func(name, other string, skipped bool) {
		e := edge{v: q.v}
		if !skipped {
			e.shared = ptr(roomKey + "/" + other)
		}
		derived = append(derived, bySide[edge]{name, q.v, e})
	}
	if i, ok := foot[side]; ok {
		share("bottom", fmt.Sprintf("floor#%d", i), noFloor)
	}
	// Walking to the right inside the room goes north, east, south, west.
	right, left := (side+3)%4, (side+1)%4
	share("right", rectSides[right]+"#3", q.sides[1+right].skip)
	share("left", rectSides[left]+"#1", q.sides[1+left].skip)
	if q.tileTo < q.height {
		derived = append(derived, bySide[edge]{"top", q.v, edge{v: q.v, meets: ptr(rooms.FreeEdge)}})
	}
	w.edges = append(derived, w.edges...)
	for _, h := range holes {
		if h.side != side || h.sill >= q.tileTo {
			continue
		}
		kind := "window"
		if h.door {
			kind = "door"
		}
		high := min(h.height, q.tileTo-h.sill)
		w.openings = append(w.openings, opening{v: h.v, key: h.key, kind: kind, region: region{x: &h.at, y: &h.sill, width: &h.width, height: &high}})
	}
	return w
}

// over fills what s leaves out from base; lists are joined.
func (s surface) over(base surface) surface {
	if s.name == "" {
		s.name = base.name
	}
	s.layer, s.measured, s.wet, s.ledger = first(s.layer, base.layer), first(s.measured, base.measured), first(s.wet, base.wet), first(s.ledger, base.ledger)
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
