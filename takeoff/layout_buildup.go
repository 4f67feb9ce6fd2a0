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
		most = max(most, t.Thickness+bedUnder(t))
	}
	return most
}

// bedUnder is the bed under a tile by its size.
func bedUnder(t Tile) rooms.Length {
	if b := t.Shape.Box(); max(b.Width(), b.Height()) >= longSide {
		return largeBed
	}
	return thinBed
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
			if a, ok := arrisAt(in.Room.Key, list, i, e); ok {
				gain, _ := a.gain(in)
				out[i].Deduct[e] = -gain
				continue
			}
			k := wallAt(in.Room.Key, list, i, e)
			if k < 0 || !comesFirst(in.Room.Order, list, k, i) {
				continue
			}
			out[i].Deduct[e] = ahead(in, &list[k], s.ReadOn(e))
		}
	}
	return out
}

// wallAt is the surface whose finish stands at edge e of surface i: the one that
// shares the edge, or at a floor the one that shares another stretch of the same
// straight side: a door divides the side, and the wall's foot is shared with one
// stretch of it only. It is -1 where there is none.
func wallAt(room string, list []rooms.Surface, i, e int) int {
	if k, _ := sharing(room, list, i, e); k >= 0 {
		return k
	}
	s := &list[i]
	n := min(len(s.Outline), len(s.Edges))
	if !lies(s) || s.Edges[e].Meets != rooms.InsideCorner || s.Edges[e].Shared != "" || n < len(s.Outline) {
		return -1
	}
	for _, step := range [2]int{1, n - 1} {
		for at := e; ; {
			next := (at + step) % n
			first, second := at, next
			if step != 1 {
				first, second = next, at
			}
			meets := s.Edges[next].Meets
			straight := rooms.Side(s.Outline[first], s.Outline[second], s.Outline[(second+1)%n]) == 0
			if next == e || !straight || meets != rooms.InsideCorner && meets != rooms.Doorway {
				break
			}
			if k, _ := sharing(room, list, i, next); k >= 0 && meets == rooms.InsideCorner {
				return k
			}
			at = next
		}
	}
	return -1
}

// sharing is the index of the surface that shares edge e of surface i, and of its
// edge, by either one's word; -1 if there is none.
func sharing(room string, list []rooms.Surface, i, e int) (surface, edge int) {
	shared := list[i].Edges[e].Shared
	if other, _, ok := strings.Cut(shared, "/"); ok && other != room {
		return -1, -1 // a threshold to the next room
	}
	if key, n := splitShared(room, shared); key != "" {
		for k := range list {
			if list[k].Key == key {
				return k, n
			}
		}
	}
	for k := range list {
		for m, o := range list[k].Edges {
			if key, n := splitShared(room, o.Shared); k != i && key == list[i].Key && n == e {
				return k, m
			}
		}
	}
	return -1, -1
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
// neighbours, unless it says its own: its outline moved at the edges, no gap where
// its tile runs over an arris, and niches as much smaller as their faces' beds.
func builtUp(in RoomToLay, s *rooms.Surface) *rooms.Surface {
	list := in.Room.Surfaces
	i := slices.IndexFunc(list, func(o rooms.Surface) bool { return o.Key == s.Key })
	if len(s.Build.Deduct) > 0 || i < 0 || len(s.Outline) != len(list[i].Outline) {
		return s
	}
	out := *s
	out.Build = BuildUps(in)[i]
	out.Edges, out.Openings = slices.Clone(s.Edges), slices.Clone(s.Openings)
	for e := range out.Edges {
		if e >= len(s.Outline) || e >= len(list[i].Edges) {
			break
		}
		if a, ok := arrisAt(in.Room.Key, list, i, e); ok {
			if own := &out.Edges[e]; a.edge >= 0 && own.Meets == rooms.InsideCorner { // only the other side says what it is
				said := edgeAt(&list[a.k], a.edge)
				own.Meets, own.Fill, own.Trim, own.Gap, own.GapMin, own.GapMax = said.Meets, said.Fill, said.Trim, said.Gap, said.GapMin, said.GapMax
			}
			if a.closed(list) == rooms.FillMitre { // by either one's word
				out.Edges[e].Fill, out.Edges[e].Angle = rooms.FillMitre, a.angle(in)
			}
			if _, flush := a.gain(in); flush && (out.Edges[e].Fill == rooms.FillNothing || out.Edges[e].Fill == "") {
				out.Edges[e].Gap, out.Edges[e].GapMin, out.Edges[e].GapMax = 0, 0, flushShort
			}
		}
	}
	for o := range min(len(out.Openings), len(list[i].Openings)) {
		if g := nicheGain(in, i, o); g > 0 {
			out.Openings[o].Outline = narrowed(out.Openings[o].Outline, g)
		}
	}
	return &out
}

// narrowed is an opening's outline moved inwards all round; as it was where
// nothing would be left of it.
func narrowed(r rooms.Ring, by rooms.Length) rooms.Ring {
	same := make([]rooms.Length, len(r))
	for i := range same {
		same[i] = by
	}
	if got, err := rooms.Inset(rooms.Polygon{Outer: r}, same, 0); err == nil && len(got) == 1 && len(got[0].Holes) == 0 {
		return got[0].Outer
	}
	return r
}

// buildUp says what was taken off for the finish of the neighbours, so that
// whoever measures again knows what the drawing holds.
func (f *finder) buildUp(s *rooms.Surface, derived bool) {
	if !derived {
		return
	}
	var less, more []string
	var most rooms.Length
	for e, d := range s.Build.Deduct {
		most = max(most, d, -d)
		at := fmt.Sprintf("%s at the %s", f.length(max(d, -d), 1, rooms.Nearest), s.EdgeName(e))
		switch {
		case d > 0:
			less = append(less, at)
		case d < 0:
			more = append(more, at)
		}
	}
	var said []string
	if len(less) > 0 {
		said = append(said, "taken off for the tile, bed and layers of what meets it: "+strings.Join(less, ", "))
	}
	if len(more) > 0 {
		said = append(said, "added at outside corners for what it runs over there: "+strings.Join(more, ", "))
	}
	if len(said) > 0 {
		f.add("build-up", Info, most.Millimetres(), 0, srcPractice, "read on the %s; %s", layerName(s.Layer), strings.Join(said, "; "))
	}
}

func layerName(layer string) string {
	if layer == "" {
		return "bare surface"
	}
	return layer
}
