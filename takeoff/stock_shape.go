package takeoff

import "potlife/rooms"

// shape is the piece at its printed size, in its tile's frame.
func (t *taker) shape(p Piece, tile Tile) rooms.Polygon { return shapeAt(p, tile) }

func shapeAt(p Piece, tile Tile) rooms.Polygon {
	quarter, ok := quarterTurn(&p)
	if p.Full || !ok {
		return rooms.Polygon{Outer: tile.Shape}
	}
	b := p.Polygon.Outer.Box()
	move := func(r rooms.Ring) rooms.Ring {
		out := append(rooms.Ring(nil), r...)
		for _, c := range p.Cuts {
			for i, q := range r {
				d := c.Size - c.Drawn
				switch {
				case !c.Sized:
				case c.Side == "right" && q.X == b.Max.X:
					out[i].X += d
				case c.Side == "left" && q.X == b.Min.X:
					out[i].X -= d
				case c.Side == "top" && q.Y == b.Max.Y:
					out[i].Y += d
				case c.Side == "bottom" && q.Y == b.Min.Y:
					out[i].Y -= d
				}
			}
		}
		return turnRing(out.Moved(rooms.Point{X: -p.Place.X, Y: -p.Place.Y}), 4-quarter)
	}
	out := rooms.Polygon{Outer: move(p.Polygon.Outer)}
	for _, h := range p.Polygon.Holes {
		out.Holes = append(out.Holes, move(h))
	}
	return out
}
