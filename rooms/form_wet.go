package rooms

import "fmt"

// TubForm is a tub between three walls: a back wall and two side walls from the
// tub's rim up, seen from the tub. The front edges of the side walls end free.
type TubForm struct {
	Room, Key             string // Key stands before the names: "tub" where empty
	Length, Depth, Height Length
	Layer                 string
	None                  []string
}

// Surfaces gives "tub-back", "tub-left" and "tub-right".
func (q TubForm) Surfaces() ([]Surface, error) {
	if q.Length <= 0 || q.Depth <= 0 || q.Height <= 0 {
		return nil, fmt.Errorf("an alcove of %s × %s × %s has no walls; expected three lengths", q.Length, q.Depth, q.Height)
	}
	f := &formed{room: q.Room, prefix: prefix(q.Key, "tub"), layer: q.Layer, none: q.None}
	f.add("back", TubSurround, Rect(0, 0, q.Length, q.Height), true)
	f.add("left", TubSurround, Rect(0, 0, q.Depth, q.Height), true)
	f.add("right", TubSurround, Rect(0, 0, q.Depth, q.Height), true)
	f.join("back", 3, "left", 1)
	f.join("back", 1, "right", 3)
	f.meets("left", 3, FreeEdge)
	f.meets("right", 1, FreeEdge)
	return f.tiled(), nil
}

func prefix(key, usual string) string {
	if key == "" {
		key = usual
	}
	return key + "-"
}

// ShowerForm is a shower in a corner: a floor with a round drain in its middle,
// drawn with the back wall at its top, the back wall and the wall beside it, and
// a niche in one of them.
type ShowerForm struct {
	Room, Key string // Key stands before the names: "shower" where empty
	// Width runs along the back wall, Depth along the wall beside it.
	Width, Depth, Height Length
	// Right has the wall beside on the right hand, facing the back wall.
	Right bool
	// Ceiling says that the tile goes up to it; it ends free below otherwise.
	Ceiling bool
	Drain   Length // its diameter, 0 none
	Niche   *NicheForm
	Layer   string
	None    []string
}

// NicheForm is a box let into a wall.
type NicheForm struct {
	Beside            bool // in the wall beside, not in the back wall
	X, Y, W, H, Depth Length
}

// Surfaces gives "shower-floor", "shower-back", "shower-side" and, with a niche,
// "shower-niche-back", "-sill", "-head", "-left" and "-right", all of them wet.
func (q ShowerForm) Surfaces() ([]Surface, error) {
	if q.Width <= 0 || q.Depth <= 0 || q.Height <= 0 {
		return nil, fmt.Errorf("a shower of %s × %s × %s has no walls; expected three lengths", q.Width, q.Depth, q.Height)
	}
	f := &formed{room: q.Room, prefix: prefix(q.Key, "shower"), layer: q.Layer, none: q.None}
	f.add("floor", ShowerFloor, Rect(0, 0, q.Width, q.Depth), true)
	f.add("back", Wall, Rect(0, 0, q.Width, q.Height), true)
	f.add("side", Wall, Rect(0, 0, q.Depth, q.Height), true)
	corner, open := 3, 1 // sides of a wall; the floor's hands are the same
	if q.Right {
		corner, open = open, corner
	}
	if !q.Ceiling {
		f.meets("back", 2, FreeEdge)
		f.meets("side", 2, FreeEdge)
	}
	f.meets("back", open, FreeEdge)
	f.meets("side", corner, FreeEdge)
	f.meets("floor", 0, FreeEdge)
	f.meets("floor", open, FreeEdge)
	if f.left("floor") {
		f.meets("back", 0, AtTray)
		f.meets("side", 0, AtTray)
	}
	f.join("back", corner, "side", open)
	f.join("floor", 2, "back", 0)
	f.join("floor", corner, "side", 0)
	if q.Drain > 0 {
		s := f.named("floor")
		s.Openings = []Opening{{Key: "drain", Kind: "drain", Outline: Circle(Point{q.Width / 2, q.Depth / 2}, q.Drain/2, Millimetre/10),
			Gap: 2 * Millimetre, GapMin: Millimetre, GapMax: 4 * Millimetre, Fill: FillGrout}}
	}
	if q.Niche != nil {
		if err := q.niche(f); err != nil {
			return nil, err
		}
	}
	return f.tiled(), nil
}

// niche cuts the niche into its wall and adds its five faces, each seen from
// inside it: the sill from above with the niche's back at its top, the head from
// below likewise.
func (q *ShowerForm) niche(f *formed) error {
	n, wall := q.Niche, "back"
	if n.Beside {
		wall = "side"
	}
	s := f.named(wall)
	if b := s.Outline.Box(); n.X < 0 || n.Y < 0 || n.W <= 0 || n.H <= 0 || n.Depth <= 0 || n.X+n.W > b.Width() || n.Y+n.H > b.Height() {
		return fmt.Errorf("the niche does not lie in the wall of %s × %s", b.Width(), b.Height())
	}
	s.Openings = append(s.Openings, Opening{Key: "niche", Kind: "niche", Outline: Rect(n.X, n.Y, n.X+n.W, n.Y+n.H),
		Gap: 2 * Millimetre, GapMin: Millimetre, GapMax: 4 * Millimetre, Fill: FillTrim, Seen: true})
	for _, face := range []struct {
		name string
		w, h Length
	}{{"back", n.W, n.H}, {"sill", n.W, n.Depth}, {"head", n.W, n.Depth}, {"left", n.Depth, n.H}, {"right", n.Depth, n.H}} {
		f.add("niche-"+face.name, NicheFace, Rect(0, 0, face.w, face.h), true)
	}
	for _, j := range []struct {
		one  string
		side int
		two  string
		back int
	}{{"back", 0, "sill", 2}, {"back", 2, "head", 0}, {"back", 3, "left", 1}, {"back", 1, "right", 3},
		{"sill", 3, "left", 0}, {"sill", 1, "right", 0}, {"head", 3, "left", 2}, {"head", 1, "right", 2}} {
		f.join("niche-"+j.one, j.side, "niche-"+j.two, j.back)
	}
	for name, side := range map[string]int{"sill": 0, "head": 2, "left": 3, "right": 1} { // towards the room
		f.meets("niche-"+name, side, OutsideCorner)
		f.joinOpening("niche-"+name, side, wall, "niche")
	}
	return nil
}
