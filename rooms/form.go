package rooms

import "fmt"

// Quick forms turn a few measures into surfaces with shared edges, as a first
// state that can be edited. All readings are on the given layer.

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

// perimeter is a floor's edge at a wall: a wider gap, hidden by the wall's tile.
func perimeter() Edge {
	return Edge{Meets: InsideCorner, Gap: 6 * Millimetre, GapMin: 3 * Millimetre, GapMax: 10 * Millimetre, Fill: FillSealant}
}

// Hole is a door, a window or a niche in a wall: X from the wall's left end as
// seen from the room, Y from the floor.
type Hole struct {
	Key, Kind  string // "door", "window", "niche"
	Wall       int    // index of the floor's edge below the wall
	X, Y, W, H Length
}

// RoomForm describes a room by its floor and its height.
type RoomForm struct {
	// Floor runs counter-clockwise as seen from above; wall i stands on edge i.
	Floor   Ring
	Height  Length
	Layer   string
	Holes   []Hole
	Ceiling bool
	// ToCeiling walls end there; the others stop at Height with a free edge.
	ToCeiling bool
}

// RectangularFloor is length × width.
func RectangularFloor(length, width Length) Ring { return Rect(0, 0, length, width) }

// LFloor is length × width less a corner of the given size at the far right.
func LFloor(length, width, cornerLength, cornerWidth Length) Ring {
	return Ring{{0, 0}, {length, 0}, {length, width - cornerWidth}, {length - cornerLength, width - cornerWidth}, {length - cornerLength, width}, {0, width}}
}

// Surfaces expands the form: "floor", "wall 1" …, and "ceiling". A wall is seen
// from inside: it begins on its left at the end of its floor edge, and on its
// right stands the wall before it. Edges that meet are shared; a doorway's foot
// is an edge of the floor to the next room.
func (f RoomForm) Surfaces() ([]Surface, error) {
	if err := f.Floor.Validate(); err != nil {
		return nil, fmt.Errorf("floor: %w", err)
	}
	if f.Height <= 0 {
		return nil, fmt.Errorf("the room's height is %s; expected more than 0", f.Height)
	}
	floor := Surface{Key: "floor", Name: "Floor", Kind: Floor, Outline: f.Floor, Layer: f.Layer}
	for i := range f.Floor {
		e := perimeter()
		e.Shared = fmt.Sprintf("wall %d#0", i+1)
		floor.Edges = append(floor.Edges, e)
	}
	out := []Surface{floor}
	for i := range f.Floor {
		w, err := f.wall(i)
		if err != nil {
			return nil, err
		}
		out = append(out, w)
	}
	if f.Ceiling {
		out = append(out, f.ceiling())
	}
	return out, nil
}

// wall is the wall on edge i of the floor.
func (f RoomForm) wall(i int) (Surface, error) {
	n := len(f.Floor)
	a, b := f.Floor[i], f.Floor[(i+1)%n]
	long := Distance(a, b)
	s := Surface{Key: fmt.Sprintf("wall %d", i+1), Name: fmt.Sprintf("Wall %d", i+1), Kind: Wall, Layer: f.Layer, Outline: Rect(0, 0, long, f.Height)}
	foot, head := DefaultEdge(AtFloor), DefaultEdge(FreeEdge)
	if f.ToCeiling {
		head = DefaultEdge(AtCeiling)
	}
	foot.Shared = fmt.Sprintf("floor#%d", i)
	right, left := f.corner(i), f.corner((i+1)%n)
	right.Shared, left.Shared = fmt.Sprintf("wall %d#3", (i+n-1)%n+1), fmt.Sprintf("wall %d#1", (i+1)%n+1)
	s.Edges = []Edge{foot, right, head, left}
	for _, h := range f.Holes {
		if h.Wall != i {
			continue
		}
		if h.X < 0 || h.Y < 0 || h.W <= 0 || h.H <= 0 || h.X+h.W > long || h.Y+h.H > f.Height {
			return s, fmt.Errorf("%s %s does not lie in wall %d of %s × %s", h.Kind, h.Key, i+1, long, f.Height)
		}
		s.Openings = append(s.Openings, Opening{Key: h.Key, Kind: h.Kind, Outline: Rect(h.X, h.Y, h.X+h.W, h.Y+h.H),
			Gap: 3 * Millimetre, GapMin: 2 * Millimetre, GapMax: 6 * Millimetre, Fill: FillSealant, Seen: h.Kind != "door"})
	}
	return s, nil
}

// corner is the edge of the walls at corner k of the floor.
func (f RoomForm) corner(k int) Edge {
	n := len(f.Floor)
	if Side(f.Floor[(k+n-1)%n], f.Floor[k], f.Floor[(k+1)%n]) > 0 {
		return DefaultEdge(InsideCorner)
	}
	return DefaultEdge(OutsideCorner)
}

// ceiling is the floor mirrored: seen from below, left and right change.
func (f RoomForm) ceiling() Surface {
	right := f.Floor.Box().Max.X + f.Floor.Box().Min.X
	s := Surface{Key: "ceiling", Name: "Ceiling", Kind: Ceiling, Layer: f.Layer}
	for _, p := range f.Floor.Reversed() {
		s.Outline = append(s.Outline, Point{right - p.X, p.Y})
		s.Edges = append(s.Edges, perimeter())
	}
	return s
}

// TubForm is an alcove with a tub: a back wall and two side walls from the
// tub's rim up.
type TubForm struct {
	Length, Width, Height Length
	Layer                 string
}

// Surfaces gives "tub left", "tub back" and "tub right", seen from the tub; the
// front edges of the side walls end free.
func (f TubForm) Surfaces() ([]Surface, error) {
	if f.Length <= 0 || f.Width <= 0 || f.Height <= 0 {
		return nil, fmt.Errorf("an alcove of %s × %s × %s has no walls; expected three lengths", f.Length, f.Width, f.Height)
	}
	wall := func(key string, w Length, right, left Edge) Surface {
		return Surface{Key: key, Kind: TubSurround, Layer: f.Layer, Wet: true, Outline: Rect(0, 0, w, f.Height),
			Edges: []Edge{DefaultEdge(AtTub), right, DefaultEdge(FreeEdge), left}}
	}
	corner := func(shared string) Edge {
		e := DefaultEdge(InsideCorner)
		e.Shared = shared
		return e
	}
	free := DefaultEdge(FreeEdge)
	return []Surface{
		wall("tub left", f.Width, corner("tub back#3"), free),
		wall("tub back", f.Length, corner("tub right#3"), corner("tub left#1")),
		wall("tub right", f.Width, free, corner("tub back#1")),
	}, nil
}

// ShowerForm is a shower in a corner: two walls, a floor with a round drain in
// its middle, and a niche in the first wall if it has a size.
type ShowerForm struct {
	Length, Width, Height Length // first wall, second wall, height
	DrainDiameter         Length
	Niche                 Hole // X, Y, W, H in the first wall
	NicheDepth            Length
	Layer                 string
}

// Surfaces gives "shower left", "shower right" (which meet in the corner),
// "shower floor" and, for a niche, "niche back", "niche sill", "niche head",
// "niche left" and "niche right".
func (f ShowerForm) Surfaces() ([]Surface, error) {
	if f.Length <= 0 || f.Width <= 0 || f.Height <= 0 {
		return nil, fmt.Errorf("a shower of %s × %s × %s has no walls; expected three lengths", f.Length, f.Width, f.Height)
	}
	corner, other := DefaultEdge(InsideCorner), DefaultEdge(InsideCorner)
	corner.Shared, other.Shared = "shower right#3", "shower left#1"
	left := Surface{Key: "shower left", Kind: Wall, Layer: f.Layer, Wet: true, Outline: Rect(0, 0, f.Length, f.Height),
		Edges: []Edge{DefaultEdge(AtTray), corner, DefaultEdge(FreeEdge), DefaultEdge(FreeEdge)}}
	right := Surface{Key: "shower right", Kind: Wall, Layer: f.Layer, Wet: true, Outline: Rect(0, 0, f.Width, f.Height),
		Edges: []Edge{DefaultEdge(AtTray), DefaultEdge(FreeEdge), DefaultEdge(FreeEdge), other}}
	floor := Surface{Key: "shower floor", Kind: ShowerFloor, Layer: f.Layer, Wet: true, Outline: Rect(0, 0, f.Width, f.Length),
		Edges: []Edge{DefaultEdge(FreeEdge), perimeter(), perimeter(), DefaultEdge(FreeEdge)}}
	if f.DrainDiameter > 0 {
		floor.Openings = []Opening{{Key: "drain", Kind: "drain", Outline: Circle(Point{f.Width / 2, f.Length / 2}, f.DrainDiameter/2, Millimetre/10),
			Gap: 2 * Millimetre, GapMin: Millimetre, GapMax: 4 * Millimetre, Fill: FillGrout}}
	}
	out := []Surface{left, right, floor}
	if f.Niche.W <= 0 || f.Niche.H <= 0 || f.NicheDepth <= 0 {
		return out, nil
	}
	h := f.Niche
	if h.X < 0 || h.Y < 0 || h.X+h.W > f.Length || h.Y+h.H > f.Height {
		return nil, fmt.Errorf("the niche does not lie in the wall of %s × %s", f.Length, f.Height)
	}
	out[0].Openings = []Opening{{Key: "niche", Kind: "niche", Outline: Rect(h.X, h.Y, h.X+h.W, h.Y+h.H),
		Gap: 2 * Millimetre, GapMin: Millimetre, GapMax: 4 * Millimetre, Fill: FillTrim, Seen: true}}
	return append(out, f.niche()...), nil
}

// niche lists the five faces of the niche.
func (f ShowerForm) niche() []Surface {
	face := func(key string, w, h Length) Surface {
		in := DefaultEdge(InsideCorner)
		s := Surface{Key: "niche " + key, Kind: NicheFace, Layer: f.Layer, Wet: true, Outline: Rect(0, 0, w, h), Edges: []Edge{in, in, in, in}}
		return s
	}
	free := DefaultEdge(OutsideCorner)
	back := face("back", f.Niche.W, f.Niche.H)
	sill, head := face("sill", f.Niche.W, f.NicheDepth), face("head", f.Niche.W, f.NicheDepth)
	left, right := face("left", f.NicheDepth, f.Niche.H), face("right", f.NicheDepth, f.Niche.H)
	sill.Edges[0], head.Edges[2] = free, free // towards the room
	left.Edges[3], right.Edges[1] = free, free
	return []Surface{back, sill, head, left, right}
}
