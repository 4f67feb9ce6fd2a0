package takeoff

import (
	"slices"
	"strings"

	"potlife/rooms"
)

// At an outside corner, the arris, the finished face of one side stands in front
// of the other's ground: unlike at an inside corner nothing comes off, and what
// runs over the other gains its tile, bed and layers. How much depends on what
// closes the arris:
//
//	mitre    both faces run to the line in which their finished planes meet
//	trim     both end at the profile, which stands in the corner as thick as
//	         the tile beside it: each gains the other's bed and layers
//	nothing  one runs over and gains the other's finish with its tile, the other
//	         ends at the back of that tile: it gains the first one's bed and layers
//
// A top (kerb, bench, floor above a riser) runs over the faces under it, a niche's
// faces over the wall's tile around it, a wall over a soffit; of two walls the one
// listed first.

// flushShort is how far a tile that runs over an arris may stop short of the
// other's finished face, common practice.
const flushShort = rooms.Millimetre

// arris is an outside corner of a surface: edge e of surface i, and the edge of
// surface k with which it is shared, or its opening.
type arris struct {
	i, e, k int
	edge    int // of k, -1 where an opening is shared
	opening int // of k, -1 where an edge is shared
}

// arrisAt finds the outside corner at edge e of surface i; ok is false where the
// edge is none or nothing tiled lies beyond it.
func arrisAt(room string, list []rooms.Surface, i, e int) (arris, bool) {
	a := arris{i: i, e: e, edge: -1, opening: -1}
	if a.k, a.opening = sharingOpening(room, list, list[i].Edges[e].Shared); a.k >= 0 {
		return a, true
	}
	a.opening = -1
	if a.k, a.edge = sharing(room, list, i, e); a.k < 0 {
		return a, false
	}
	return a, list[i].Edges[e].Meets == rooms.OutsideCorner || edgeAt(&list[a.k], a.edge).Meets == rooms.OutsideCorner
}

// sharingOpening finds the surface and the opening that an edge of a niche's face
// is shared with: "room/wall#niche" by the opening's key.
func sharingOpening(room string, list []rooms.Surface, shared string) (surface, opening int) {
	path, key, ok := strings.Cut(shared, "#")
	if in, name, two := strings.Cut(path, "/"); two {
		if in != room {
			return -1, -1
		}
		path = name
	}
	k := slices.IndexFunc(list, func(s rooms.Surface) bool { return s.Key == path })
	if !ok || k < 0 {
		return -1, -1
	}
	o := slices.IndexFunc(list[k].Openings, func(o rooms.Opening) bool { return o.Key == key })
	if o < 0 {
		return -1, -1
	}
	return k, o
}

// closed is what closes the arris: by either one's word mitre or trim, else
// nothing.
func (a arris) closed(list []rooms.Surface) string {
	fills := []string{edgeAt(&list[a.i], a.e).Fill, edgeAt(&list[a.k], a.edge).Fill}
	if a.opening >= 0 {
		fills[1] = list[a.k].Openings[a.opening].Fill
	}
	for _, f := range []string{rooms.FillMitre, rooms.FillTrim} {
		if slices.Contains(fills, f) {
			return f
		}
	}
	return rooms.FillNothing
}

// runsOver reports whether surface i runs over the finish of k.
func (a arris) runsOver(list []rooms.Surface) bool {
	i, k := onTop(&list[a.i]), onTop(&list[a.k])
	switch {
	case a.opening >= 0: // a niche's face
		return true
	case i != k:
		return i
	case (list[a.i].Kind == rooms.Ceiling) != (list[a.k].Kind == rooms.Ceiling):
		return list[a.k].Kind == rooms.Ceiling
	}
	return a.i < a.k
}

// onTop reports whether a surface lies on top of the faces at its arrises: a
// kerb does where its lower and its upper edge, as drawn, both are outside
// corners.
func onTop(s *rooms.Surface) bool {
	if s.Kind != rooms.Kerb {
		return lies(s) || s.Kind == rooms.Bench
	}
	low, high := false, false
	for e, at := range s.Edges {
		if e >= len(s.Outline) || at.Meets != rooms.OutsideCorner {
			continue
		}
		d := s.Outline[(e+1)%len(s.Outline)].X - s.Outline[e].X
		low, high = low || d > 0, high || d < 0
	}
	return low && high
}

// gain is what surface i gains at the arris, counted from the layer on which
// its edge was read; flush says that its tile runs over and ends in the other's
// finished face, with no gap.
func (a arris) gain(in RoomToLay) (gain rooms.Length, flush bool) {
	list := in.Room.Surfaces
	whole := ahead(in, &list[a.k], list[a.i].ReadOn(a.e))
	under := max(whole-thickest(in, &list[a.k]), 0)
	switch closed := a.closed(list); {
	case closed == rooms.FillMitre && whole > 0:
		return mitreReach(ahead(in, &list[a.i], list[a.i].ReadOn(a.e)), whole, a.angle(in)), false
	case closed == rooms.FillMitre:
		return 0, false
	case closed == rooms.FillNothing && a.runsOver(list):
		return whole, whole > 0
	}
	return under, false
}

// nicheGain is how far the tile round an opening reaches over its edge where a
// niche's faces meet it: their bed and layers, and with a mitre their tile too.
// It is the least of what the faces bring, and nothing where the opening has
// sides without one.
func nicheGain(in RoomToLay, k, opening int) rooms.Length {
	list := in.Room.Surfaces
	var least rooms.Length
	faces := 0
	for i := range list {
		for e := range list[i].Edges {
			a := arris{i: i, e: e, k: k, edge: -1, opening: opening}
			if w, o := sharingOpening(in.Room.Key, list, list[i].Edges[e].Shared); w != k || o != opening {
				continue
			}
			g := ahead(in, &list[i], list[k].Layer)
			if a.closed(list) != rooms.FillMitre {
				g = max(g-thickest(in, &list[i]), 0)
			}
			if faces++; faces == 1 || g < least {
				least = g
			}
		}
	}
	if faces < len(list[k].Openings[opening].Outline) {
		return 0
	}
	return least
}

// thickest is the thickness of the tile that stands furthest out from a surface.
func thickest(in RoomToLay, s *rooms.Surface) (tile rooms.Length) {
	var most rooms.Length
	for _, z := range s.Zones {
		if t, ok := in.Tiles[z.Tile]; ok && len(t.Shape) > 0 {
			if b := t.Thickness + bedUnder(t); b > most {
				most, tile = b, t.Thickness
			}
		}
	}
	return tile
}
