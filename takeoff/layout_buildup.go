package takeoff

import (
	"fmt"
	"slices"
	"strings"

	"potlife/rooms"
)

// Beds under tile, common practice: a thin bed, and a bed for tiles of 15 in and
// more; a board of 1/2 in and a membrane of two coats. What the setter says (by
// deductions of the surface) overrides them.
const (
	thinBed       = 4 * rooms.Millimetre
	largeBed      = 7 * rooms.Millimetre
	usualBoard    = rooms.Inch / 2
	usualMembrane = rooms.Millimetre
)

// ahead is how thick a surface's finish will stand before a layer: what its
// preparation still brings, and its tile and bed, the thickest of its zones. It
// is 0 where nothing is tiled or the tile itself was the layer.
func ahead(in RoomToLay, s *rooms.Surface, layer string) rooms.Length {
	most := tileAndBed(in, s)
	if most == 0 || layer == rooms.Tiled {
		return 0
	}
	for _, p := range s.Prepare {
		switch {
		case p == "board" && rooms.Beneath(layer, rooms.Board):
			most += usualBoard
		case p == "level" && rooms.Beneath(layer, rooms.Leveller):
			most += s.LevellerDepth
		case p == "membrane" && rooms.Beneath(layer, rooms.Membrane):
			most += usualMembrane
		}
	}
	return most
}

// tileAndBed is the thickest of a surface's zones.
func tileAndBed(in RoomToLay, s *rooms.Surface) rooms.Length {
	var most rooms.Length
	for _, z := range s.Zones {
		t, ok := in.Tiles[z.Tile]
		if !ok || len(t.Shape) == 0 {
			continue
		}
		b, bed := t.Shape.Box(), thinBed
		if max(b.Width(), b.Height()) >= longSide {
			bed = largeBed
		}
		most = max(most, t.Thickness+bed)
	}
	return most
}

// BuildUps says, for each surface of the room, what the finish of its
// neighbours takes off at each edge that they share (Edge.Shared), counted from
// the layer on which the edge was read. Of two walls the one listed first runs
// through and the other ends at its face. A wall begins above the finished floor
// whichever is set first; a floor set after the walls ends at their face, one set
// before them runs under, also where only their bottom course comes after it.
func BuildUps(in RoomToLay) []rooms.BuildUp {
	list := in.Room.Surfaces
	out := make([]rooms.BuildUp, len(list))
	for i := range list {
		s := &list[i]
		out[i].Deduct = make([]rooms.Length, len(s.Outline))
		for e := range s.Edges {
			if e >= len(s.Outline) {
				break
			}
			k := sharing(in.Room.Key, list, i, e)
			if k < 0 || !comesFirst(in.Room.Order, list, k, i) {
				continue
			}
			out[i].Deduct[e] = ahead(in, &list[k], s.ReadOn(e))
		}
	}
	return out
}

// sharing is the index of the surface that shares edge e of surface i, by either
// one's word; -1 if there is none.
func sharing(room string, list []rooms.Surface, i, e int) int {
	shared := list[i].Edges[e].Shared
	if other, _, ok := strings.Cut(shared, "/"); ok && other != room {
		return -1 // a threshold to the next room
	}
	if key, _ := splitShared(shared); key != "" {
		for k := range list {
			if list[k].Key == key {
				return k
			}
		}
	}
	for k := range list {
		for _, o := range list[k].Edges {
			if key, n := splitShared(o.Shared); k != i && key == list[i].Key && n == e {
				return k
			}
		}
	}
	return -1
}

// comesFirst reports whether surface k's tile stands where surface i ends.
func comesFirst(order string, list []rooms.Surface, k, i int) bool {
	lies := func(j int) bool {
		return list[j].Kind == rooms.Floor || list[j].Kind == rooms.ShowerFloor
	}
	switch {
	case lies(k) && lies(i):
		return k < i
	case lies(k):
		return true
	case lies(i):
		return order == "" || order == "walls then floor"
	}
	return k < i
}

// builtUp is surface i of the room with the build-up that follows from its
// neighbours, unless it says its own.
func builtUp(in RoomToLay, s *rooms.Surface) *rooms.Surface {
	i := slices.IndexFunc(in.Room.Surfaces, func(o rooms.Surface) bool { return o.Key == s.Key })
	if len(s.Build.Deduct) > 0 || i < 0 || len(s.Outline) != len(in.Room.Surfaces[i].Outline) {
		return s
	}
	out := *s
	out.Build = BuildUps(in)[i]
	return &out
}

// buildUp says what was taken off for the finish of the neighbours, so that
// whoever measures again knows what the drawing holds.
func (f *finder) buildUp(s *rooms.Surface, derived bool) {
	if !derived {
		return
	}
	var where []string
	var most rooms.Length
	for e, d := range s.Build.Deduct {
		if d != 0 {
			most = max(most, d)
			where = append(where, fmt.Sprintf("%s at the %s", f.length(d, 1, rooms.Nearest), s.EdgeName(e)))
		}
	}
	if len(where) > 0 {
		f.add("build-up", Info, most.Millimetres(), 0, srcPractice,
			"read on the %s; taken off for the tile, bed and layers of what meets it: %s", layerName(s.Layer), strings.Join(where, ", "))
	}
}

func layerName(layer string) string {
	if layer == "" {
		return "bare surface"
	}
	return layer
}
