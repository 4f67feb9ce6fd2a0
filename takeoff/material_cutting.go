package takeoff

import (
	"math"

	"potlife/rooms"
)

// needBlades takes blade by the metres sawn and ground, where the firm lists
// blades by the metres they last (their makers state hours or metres), and wedges
// along the lowest course of walls: two under each piece that stands there, common
// practice.
func (t *taker) needBlades(s *takenSurface) {
	if t.in.Catalogue.Of(KindBlade) != nil {
		metres := 0.0
		for i := range s.layout.Zones {
			for n := range s.layout.Zones[i].Pieces {
				p := &s.layout.Zones[i].Pieces[n]
				metres += sawnMetres(p, t.tiles[p.Tile])
			}
		}
		t.needKind(KindBlade, s, func(*Product) (float64, string) { return metres, "metres sawn and ground, by the pieces' outlines" })
	}
	if t.in.Catalogue.Of(KindWedge) != nil && s.vertical() {
		standing := 0
		for i := range s.layout.Zones {
			standing += lowest(s.layout.Zones[i].Pieces)
		}
		t.needKind(KindWedge, s, func(*Product) (float64, string) {
			return float64(2 * standing), "two under each piece of the lowest course"
		})
	}
}

// lowest counts the pieces of the lowest course.
func lowest(pieces []Piece) int {
	n, course := 0, 0
	for i, p := range pieces {
		if i == 0 || p.Course < course {
			n, course = 0, p.Course
		}
		if p.Course == course {
			n++
		}
	}
	return n
}

// sawnMetres is the length of a piece's outline that a saw or grinder makes: what
// does not lie on the tile's own border, less straight cuts that are snapped.
func sawnMetres(p *Piece, tile *Tile) float64 {
	wet := false
	for _, c := range p.Cuts {
		wet = wet || c.Tool != Snap
	}
	if !wet {
		return 0
	}
	shape := shapeOnTile(p, tile)
	metres := 0.0
	for _, r := range shape.Rings() {
		for i, a := range r {
			if b := r[(i+1)%len(r)]; !onBorderOf(a, b, tile.Shape) {
				metres += segmentMetres(a, b)
			}
		}
	}
	box := p.Polygon.Outer.Box()
	for _, c := range p.Cuts {
		switch {
		case c.Tool != Snap || !c.Sized:
		case c.Side == "left" || c.Side == "right":
			metres -= box.Height().Metres()
		default:
			metres -= box.Width().Metres()
		}
	}
	return math.Max(0, metres)
}

// onBorderOf reports whether an edge lies along one side of a tile.
func onBorderOf(a, b rooms.Point, tile rooms.Ring) bool {
	for i, c := range tile {
		if d := tile[(i+1)%len(tile)]; onSegment(a, c, d) && onSegment(b, c, d) {
			return true
		}
	}
	return false
}
