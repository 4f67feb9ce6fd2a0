package takeoff

import (
	"fmt"
	"slices"

	"potlife/rooms"
)

// level is a height that the walls of a room share: the lower side of a course.
type level struct {
	o   rooms.Length
	why string
}

// levelKey names walls whose courses can run through.
type levelKey struct {
	tile          string
	height, joint rooms.Length
	upwards       int
}

// levelGroup is the zones that can share a level.
type levelGroup struct {
	axis   axis   // with the edges of all
	own    []axis // of each layer
	layers []*zoneLayer
	walls  map[*rooms.Surface]bool
}

// shareLevels gives walls of a room in the same tile, laid the same way up, one
// level, so that their courses run round the room; the heights of all their
// edges are weighed together. Heights of all walls count from the same level:
// that of their corners. A zone whose place or height is given keeps it.
func shareLevels(works []*surfaceWork) {
	for _, g := range levelGroups(works) {
		if len(g.layers) < 2 {
			continue
		}
		g.axis.sortEdges()
		o, shared := g.axis.best()[0].o, fmt.Sprintf("one level for %d walls", len(g.walls))
		if len(g.walls) == 1 {
			shared = fmt.Sprintf("one level for %d zones of the wall", len(g.layers))
		}
		for i, z := range g.layers { // each is told its own cuts, which walls of other heights do not have
			z.level = &level{o, g.own[i].words(o, z.figures()) + "; " + shared}
		}
	}
}

// levelGroups are the zones of walls whose height is free, by what their courses must
// share, in the order in which they are met.
func levelGroups(works []*surfaceWork) []*levelGroup {
	groups := map[levelKey]*levelGroup{}
	var order []*levelGroup
	for _, w := range works {
		if w.surface.Kind != rooms.Wall && w.surface.Kind != rooms.TubSurround {
			continue
		}
		for i, z := range w.layers {
			if z == nil || len(w.ground.zones[i].cover) == 0 || !bestWanted(z.ground.zone.Datum.Up) {
				continue
			}
			if _, locked := z.in.Locks[z.key]; locked {
				continue
			}
			_, up, ok := z.axes(w.surface)
			if !ok || len(up.shifts) > 1 {
				continue
			}
			k := levelKey{z.tiles[0].Key, up.size, up.joint, z.lay.turn.degrees}
			if groups[k] == nil {
				groups[k] = &levelGroup{axis: up, walls: map[*rooms.Surface]bool{}}
				groups[k].axis.edges = nil
				order = append(order, groups[k])
			}
			groups[k].add(w.surface, z, up)
		}
	}
	return order
}

// add takes a zone in.
func (g *levelGroup) add(s *rooms.Surface, z *zoneLayer, up axis) {
	for i := range up.edges { // walls do not face each other
		up.edges[i].over = besideOthers(up.edges[i].over, len(g.layers))
	}
	g.axis.edges, g.axis.span = append(g.axis.edges, up.edges...), max(g.axis.span, up.span)
	g.layers, g.own = append(g.layers, z), append(g.own, up)
	g.walls[s] = true
}

// apartWalls is further than any two walls reach.
const apartWalls = 10 * rooms.MaxSide

// besideOthers is where an edge of a wall lies with all walls in one line.
func besideOthers(over []lineSpan, wall int) []lineSpan {
	by := rooms.Length(wall) * apartWalls
	out := slices.Clone(over)
	for i := range out {
		out[i].from, out[i].to = out[i].from+by, out[i].to+by
	}
	return out
}
