package rooms

import (
	"cmp"
	"fmt"
	"slices"
)

// Quick forms turn a few measures into surfaces whose common edges are shared, as
// a first state that can be edited. Keys hold no spaces; all outlines are on the
// form's layer. Surfaces named in None are not tiled: they are left out, and
// nothing is shared with them.

// DefaultEdge is an edge with the trade's usual gap for what it meets: common
// practice, with soft joints of at least 3 mm where tile meets what restrains it
// (TCNA EJ171 asks for 1/8 in and prefers 1/4 in at perimeters, as reported in
// the trade press). Data sheets and local rules override it.
func DefaultEdge(meets string) Edge {
	e := Edge{Meets: meets, Gap: 4 * Millimetre, GapMin: 3 * Millimetre, GapMax: 7 * Millimetre, Fill: FillSealant}
	switch meets {
	case Doorway:
		e.Gap, e.GapMin, e.GapMax, e.Fill, e.Seen = 3*Millimetre, 2*Millimetre, 5*Millimetre, FillTrim, true
	case OutsideCorner:
		e.Gap, e.GapMin, e.GapMax, e.Fill, e.Seen = 2*Millimetre, Millimetre, 3*Millimetre, FillTrim, true
	case FreeEdge:
		e.Gap, e.GapMin, e.GapMax, e.Fill, e.Seen = 0, 0, 2*Millimetre, FillTrim, true
	case AtCeiling:
		e.GapMin, e.GapMax = 2*Millimetre, 8*Millimetre
	}
	return e
}

// Perimeter is a floor's edge at a wall: a wider gap, hidden by the wall's tile.
func Perimeter() Edge {
	return Edge{Meets: InsideCorner, Gap: 6 * Millimetre, GapMin: 3 * Millimetre, GapMax: 10 * Millimetre, Fill: FillSealant}
}

// Flat reports whether a surface of the kind lies on the ground.
func Flat(kind string) bool { return kind == Floor || kind == ShowerFloor }

// UsualMeeting is what a side of a surface meets where nothing is said: a floor
// meets its walls, a wall its neighbours, floor and ceiling. side counts from the
// bottom counter-clockwise and is meant for rectangles.
func UsualMeeting(kind string, side, sides int) string {
	upright := kind == Wall || kind == TubSurround || kind == Splash
	switch {
	case !upright || sides != 4:
		return InsideCorner
	case side == 0 && kind == TubSurround:
		return AtTub
	case side == 0 && kind == Wall:
		return AtFloor
	case side == 0:
		return Fixture
	case side == 2 && kind == Wall:
		return AtCeiling
	case side == 2:
		return FreeEdge
	case kind == Splash:
		return FreeEdge
	}
	return InsideCorner
}

// usualEdge is an edge with what it usually meets.
func usualEdge(kind, meets string) Edge {
	if Flat(kind) && meets == InsideCorner {
		return Perimeter()
	}
	return DefaultEdge(meets)
}

// Hole is a door, a window or a niche in a wall: X from the wall's left end as
// seen from the room, Y from the floor.
type Hole struct {
	Key, Kind  string // "door", "window", "niche"
	Wall       int    // index of the floor's edge below the wall
	X, Y, W, H Length
	Hinge      string // as of an Opening
}

// formed collects the surfaces of a form.
type formed struct {
	room, prefix, layer string
	none                []string
	list                []Surface
}

// add makes a surface whose edges meet what they usually do.
func (f *formed) add(name, kind string, outline Ring, wet bool) {
	s := Surface{Key: f.prefix + name, Kind: kind, Layer: f.layer, Wet: wet, Outline: outline}
	for i := range outline {
		s.Edges = append(s.Edges, usualEdge(kind, UsualMeeting(kind, i, len(outline))))
	}
	f.list = append(f.list, s)
}

func (f *formed) named(name string) *Surface {
	i := slices.IndexFunc(f.list, func(s Surface) bool { return s.Key == f.prefix+name })
	return &f.list[i]
}

func (f *formed) left(name string) bool { return slices.Contains(f.none, f.prefix+name) }

// meets says what an edge meets.
func (f *formed) meets(name string, side int, what string) {
	s := f.named(name)
	s.Edges[side] = usualEdge(s.Kind, what)
}

// join shares an edge between two surfaces that are both tiled.
func (f *formed) join(one string, side int, other string, otherSide int) {
	if f.left(one) || f.left(other) {
		return
	}
	path := ""
	if f.room != "" {
		path = f.room + "/"
	}
	a, b := f.named(one), f.named(other)
	a.Edges[side].Shared = fmt.Sprintf("%s%s#%d", path, b.Key, otherSide)
	b.Edges[otherSide].Shared = fmt.Sprintf("%s%s#%d", path, a.Key, side)
}

// joinOpening shares an edge of a niche's face with the opening in its wall.
func (f *formed) joinOpening(one string, side int, wall, opening string) {
	if f.left(one) || f.left(wall) {
		return
	}
	path := ""
	if f.room != "" {
		path = f.room + "/"
	}
	f.named(one).Edges[side].Shared = fmt.Sprintf("%s%s#%s", path, f.named(wall).Key, opening)
}

// tiled are the surfaces that are not left out.
func (f *formed) tiled() []Surface {
	return slices.DeleteFunc(f.list, func(s Surface) bool { return slices.Contains(f.none, s.Key) })
}

// RoomForm describes a room by its floor and its height.
type RoomForm struct {
	// Room is the room's key, which stands before the names of shared edges;
	// empty leaves it out.
	Room string
	// Floor runs counter-clockwise as seen from above; wall i stands on edge i and
	// has the key Walls[i], "wall-1" … where there is none.
	Floor Ring
	Walls []string
	// Height is that of the room; TileTo that to which its walls are tiled, 0 the
	// ceiling.
	Height, TileTo Length
	Layer          string
	Holes          []Hole
	Ceiling        bool
	None           []string
}

// RectangularFloor is length × width.
func RectangularFloor(length, width Length) Ring { return Rect(0, 0, length, width) }

// LFloor is length × width less a corner of the given size at the far right.
func LFloor(length, width, cornerLength, cornerWidth Length) Ring {
	return Ring{{0, 0}, {length, 0}, {length, width - cornerWidth}, {length - cornerLength, width - cornerWidth}, {length - cornerLength, width}, {0, width}}
}

// wall is the key of the wall on edge i of the floor.
func (q *RoomForm) wall(i int) string {
	if i < len(q.Walls) && q.Walls[i] != "" {
		return q.Walls[i]
	}
	return fmt.Sprintf("wall-%d", i+1)
}

// Surfaces expands the form: "floor", the walls, and "ceiling". A wall is seen
// from inside: it begins on its left at the end of its floor edge, and on its
// right stands the wall before it. A doorway's foot is an edge of the floor of
// its own; of a wall's foot the longest edge beside its doors is shared.
func (q RoomForm) Surfaces() ([]Surface, error) {
	if err := q.Floor.Validate(); err != nil {
		return nil, fmt.Errorf("floor: %w", err)
	}
	if q.TileTo == 0 {
		q.TileTo = q.Height
	}
	if q.Height <= 0 || q.TileTo <= 0 || q.TileTo > q.Height {
		return nil, fmt.Errorf("the room is %s high and tiled to %s; expected more than 0, and tile no higher than the ceiling", q.Height, q.TileTo)
	}
	for _, h := range q.Holes {
		if err := q.check(h); err != nil {
			return nil, err
		}
	}
	f := &formed{room: q.Room, layer: q.Layer, none: q.None}
	foot := q.addFloor(f)
	n := len(q.Floor)
	for i := range n {
		q.addWall(f, i)
	}
	for i := range n {
		f.join(q.wall(i), 1, q.wall((i+n-1)%n), 3)
		if foot[i] >= 0 {
			f.join(q.wall(i), 0, "floor", foot[i])
		}
	}
	if q.Ceiling {
		q.addCeiling(f)
	}
	return f.tiled(), nil
}

// check refuses a hole that does not lie in its wall.
func (q *RoomForm) check(h Hole) error {
	if h.Wall < 0 || h.Wall >= len(q.Floor) {
		return fmt.Errorf("%s %s is in wall %d of %d", h.Kind, h.Key, h.Wall+1, len(q.Floor))
	}
	long := Distance(q.Floor[h.Wall], q.Floor[(h.Wall+1)%len(q.Floor)])
	if h.X < 0 || h.Y < 0 || h.W <= 0 || h.H <= 0 || h.X+h.W > long || h.Y+h.H > q.Height {
		return fmt.Errorf("%s %s does not lie in %s of %s × %s", h.Kind, h.Key, q.wall(h.Wall), long, q.Height)
	}
	return nil
}

// addFloor goes round the floor; foot tells, by wall, which of its edges is the
// wall's foot, -1 where there are doors only.
func (q *RoomForm) addFloor(f *formed) (foot []int) {
	var ring Ring
	var doorways []int
	for i, a := range q.Floor {
		b := q.Floor[(i+1)%len(q.Floor)]
		long := Distance(a, b)
		at, longest, best := Length(0), Length(0), -1
		add := func(to Length, door bool) {
			if to <= at {
				return
			}
			if door {
				doorways = append(doorways, len(ring))
			} else if to-at > longest {
				longest, best = to-at, len(ring)
			}
			ring = append(ring, Point{a.X + scaled(b.X-a.X, at, long), a.Y + scaled(b.Y-a.Y, at, long)})
			at = to
		}
		for _, h := range q.doorsAlong(i) { // from the wall's right end to its left
			add(long-h.X-h.W, false)
			add(long-h.X, true)
		}
		add(long, false)
		foot = append(foot, best)
	}
	f.add("floor", Floor, ring, false)
	for _, i := range doorways {
		f.meets("floor", i, Doorway)
	}
	return foot
}

// doorsAlong lists the doors of a wall in the order of the floor's edge.
func (q *RoomForm) doorsAlong(wall int) []Hole {
	out := slices.DeleteFunc(slices.Clone(q.Holes), func(h Hole) bool { return h.Kind != "door" || h.Wall != wall })
	slices.SortStableFunc(out, func(a, b Hole) int { return cmp.Compare(b.X, a.X) })
	return out
}

// addWall adds the wall on edge i of the floor, with what of its holes lies below
// the height of the tile.
func (q *RoomForm) addWall(f *formed, i int) {
	n := len(q.Floor)
	name := q.wall(i)
	f.add(name, Wall, Rect(0, 0, Distance(q.Floor[i], q.Floor[(i+1)%n]), q.TileTo), false)
	for side, k := range map[int]int{1: i, 3: (i + 1) % n} {
		if Side(q.Floor[(k+n-1)%n], q.Floor[k], q.Floor[(k+1)%n]) < 0 { // points into the room
			f.meets(name, side, OutsideCorner)
		}
	}
	if q.TileTo < q.Height {
		f.meets(name, 2, FreeEdge)
	}
	w := f.named(name)
	for _, h := range q.Holes {
		if h.Wall == i && h.Y < q.TileTo {
			w.Openings = append(w.Openings, Opening{Key: h.Key, Kind: h.Kind, Outline: Rect(h.X, h.Y, h.X+h.W, min(h.Y+h.H, q.TileTo)),
				Gap: 3 * Millimetre, GapMin: 2 * Millimetre, GapMax: 6 * Millimetre, Fill: FillSealant, Seen: true, Hinge: h.Hinge})
		}
	}
}

// addCeiling adds the floor mirrored: seen from below, left and right change.
func (q *RoomForm) addCeiling(f *formed) {
	box := q.Floor.Box()
	var ring Ring
	for k := len(q.Floor) - 1; k >= 0; k-- {
		ring = append(ring, Point{box.Max.X + box.Min.X - q.Floor[k].X, q.Floor[k].Y})
	}
	f.add("ceiling", Ceiling, ring, false)
	s := f.named("ceiling")
	for i := range s.Edges {
		s.Edges[i] = Perimeter()
	}
	if q.TileTo < q.Height {
		return
	}
	// Edge k of the mirrored ring is edge n-2-k of the floor.
	n := len(ring)
	for k := range n {
		f.join("ceiling", k, q.wall((2*n-2-k)%n), 2)
	}
}
