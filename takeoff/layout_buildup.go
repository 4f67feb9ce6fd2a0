package takeoff

import (
	"fmt"
	"strings"

	"potlife/rooms"
)

// Beds under tile, common practice: a thin bed, and a bed for tiles of 15 in and
// more. What a product's data sheet or the setter says overrides them.
const (
	thinBed  = 4 * rooms.Millimetre
	largeBed = 7 * rooms.Millimetre
)

// finish is how thick a surface's tile and bed stand before its reading's layer,
// the thickest of its zones; 0 where nothing is tiled.
func finish(in RoomToLay, s *rooms.Surface) rooms.Length {
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

// BuildUps says, for each surface of the room, what the tile and bed of its
// neighbours take off at each edge that they share (Edge.Shared). Of two walls
// the one listed first runs through and the other ends at its face. A wall
// begins above the finished floor whichever is set first; a floor set after the
// walls ends at their face, one set before them runs under.
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
			k := sharing(list, i, e)
			if k < 0 || !comesFirst(in.Room.Order, list, k, i) {
				continue
			}
			out[i].Deduct[e] = finish(in, &list[k])
		}
	}
	return out
}

// sharing is the index of the surface that shares edge e of surface i, by either
// one's word; -1 if there is none.
func sharing(list []rooms.Surface, i, e int) int {
	if key, _ := splitShared(list[i].Edges[e].Shared); key != "" {
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
		return order != "floor then walls"
	}
	return k < i
}

// buildUp remarks on readings that were taken before the tile of the neighbours
// stands, where nothing is deducted for it.
func (f *finder) buildUp(in RoomToLay, s *rooms.Surface) {
	if s.Layer == rooms.Tiled {
		return
	}
	i := -1
	for k := range in.Room.Surfaces {
		if in.Room.Surfaces[k].Key == s.Key {
			i = k
		}
	}
	if i < 0 {
		return
	}
	var where []string
	var most rooms.Length
	for e, d := range BuildUps(in)[i].Deduct {
		if d == 0 || e < len(s.Build.Deduct) && s.Build.Deduct[e] != 0 {
			continue
		}
		most = max(most, d)
		where = append(where, fmt.Sprintf("%s mm at edge %d", rooms.FormatMM(d, 1, rooms.Nearest), e))
	}
	if len(where) > 0 {
		f.add("build-up", Info, 0, most.Millimetres(), srcPractice,
			"read on the %s, and nothing is deducted for the tile and bed that stand before it: about %s", layerName(s.Layer), strings.Join(where, ", "))
	}
}

func layerName(layer string) string {
	if layer == "" {
		return "bare surface"
	}
	return layer
}
