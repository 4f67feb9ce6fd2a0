package takeoff

import (
	"slices"
	"strings"

	"potlife/rooms"
)

// reachesTo reports whether the side p–q of a piece runs along a border and lies
// next to it, no further off than a joint.
func reachesTo(x border, p, q rooms.Point, joint rooms.Length) bool {
	if x.a == x.b || p == q {
		return false
	}
	d0, d1 := absLen(leftOf(x.a, x.b, p)), absLen(leftOf(x.a, x.b, q))
	return max(d0, d1) <= joint+rooms.Millimetre && absLen(d0-d1) <= rooms.Millimetre && overlaps(x, p, q) && 2*absLen(d0-d1) <= rooms.Distance(p, q)
}

// mitres gives every piece that ends at a mitred edge its mitre: the back of that
// side is cut away at half the corner's angle and the face stays as it is, so that a
// tile that is whole otherwise stays whole.
func (z *zoneLayer) mitres(pieces []Piece) {
	var at []border
	for _, x := range z.ground.lines {
		if x.mitre {
			at = append(at, x)
		}
	}
	if len(at) == 0 {
		return
	}
	for i := range pieces {
		p := &pieces[i]
		var sides, words []string
		name := ""
		for _, r := range p.Polygon.Rings() {
			for k, a := range r {
				b := r[(k+1)%len(r)]
				n := slices.IndexFunc(at, func(x border) bool { return reachesTo(x, a, b, z.ground.zone.Joint) })
				if n < 0 {
					continue
				}
				name = at[n].name
				if side := facingOf(a, b); !slices.Contains(sides, side) {
					sides, words = append(sides, side), append(words, mitreWords(side, at[n].degrees))
				}
			}
		}
		for _, how := range words {
			p.Cuts = append(p.Cuts, Cut{Side: "shape", Tool: WetSaw, At: name, Shape: how})
		}
	}
}

// facingOf names the way in which an edge of a counter-clockwise outline faces.
func facingOf(a, b rooms.Point) string {
	switch dx, dy := b.X-a.X, b.Y-a.Y; {
	case absLen(dx) >= absLen(dy) && dx > 0:
		return "bottom"
	case absLen(dx) >= absLen(dy):
		return "top"
	case dy > 0:
		return "right"
	}
	return "left"
}

// bareArrises remarks outside corners at which tile shows edges that are not made
// to be seen: neither trim nor mitre closes them, and the tile that runs over has
// no finished edges, or was cut there.
func (f *finder) bareArrises(w *surfaceWork) {
	for e := range min(len(w.surface.Edges), len(w.surface.Outline)) {
		if !showsArris(w.in, w.surface, e) {
			continue
		}
		if n, tiles := w.bareAt(e); n > 0 {
			f.add("outside corner", Warn, float64(n), 0, srcPractice,
				"%s, outside corner: %s of %s with an edge in sight that is not made to be seen; close it with a trim or a mitre, or take a tile with finished edges", w.surface.EdgeName(e), count(n, "piece"), strings.Join(tiles, " and "))
		}
	}
}

// showsArris reports whether edge e of a surface of the room is an outside corner at
// which the edge of its tile is seen: neither trim nor mitre closes it, and its tile
// runs over the other face's.
func showsArris(in RoomToLay, s *rooms.Surface, e int) bool {
	list := in.Room.Surfaces
	i := slices.IndexFunc(list, func(o rooms.Surface) bool { return o.Key == s.Key })
	if i < 0 || len(list[i].Outline) != len(s.Outline) || e < 0 || e >= len(list[i].Edges) {
		return false
	}
	if a, shared := arrisAt(in.Room.Key, list, i, e); shared {
		return a.closed(list) == rooms.FillNothing && a.runsOver(list)
	}
	own := list[i].Edges[e]
	return own.Meets == rooms.OutsideCorner && own.Fill != rooms.FillTrim && own.Fill != rooms.FillMitre
}

// bareAt counts the pieces that show a raw edge at edge e, and names their tiles.
func (w *surfaceWork) bareAt(e int) (n int, tiles []string) {
	for k, z := range w.layers {
		if z == nil || w.laid[k] == nil {
			continue
		}
		for i := range w.laid[k].Pieces {
			p := &w.laid[k].Pieces[i]
			tile := w.in.Tiles[p.Tile]
			if !w.shows(z, p, e, tile.Finished) {
				continue
			}
			if n++; !slices.Contains(tiles, tile.Name) {
				tiles = append(tiles, tile.Name)
			}
		}
	}
	return n, tiles
}

// shows reports whether a piece ends at edge e; of one with finished edges, with
// a side that was cut.
func (w *surfaceWork) shows(z *zoneLayer, p *Piece, e int, finished bool) bool {
	for _, x := range w.ground.lines {
		if x.kind != borderEdge || x.edge != e {
			continue
		}
		if finished {
			return slices.ContainsFunc(p.Cuts, func(c Cut) bool { return strings.Contains(c.At, x.name) })
		}
		r := p.Polygon.Outer
		for k, a := range r {
			if reachesTo(x, a, r[(k+1)%len(r)], z.ground.zone.Joint) {
				return true
			}
		}
	}
	return false
}
