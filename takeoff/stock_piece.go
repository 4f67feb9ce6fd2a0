package takeoff

import (
	"slices"

	"potlife/rooms"
	"potlife/takeoff/nest"
)

// DefaultKerf is the width a wet saw or grinder takes: rims of usual blades are
// 1.4 to 1.6 mm thick, thin porcelain blades 1.2 mm (figures of blade makers and
// common practice). Score and snap takes nothing.
const DefaultKerf = 1600 * rooms.Micrometre

// nearTile is how far from a tile's border an edge still counts as lying on it:
// rounding of turned shapes, far below what can be cut.
const nearTile = 10 * rooms.Micrometre

// cutPiece is a piece as the nesting sees it.
type cutPiece struct {
	*takenPiece
	shape rooms.Polygon // at its printed size, in the tile's frame, where its own tile has it
	exact bool          // the piece is its bounding box
	wet   bool          // its cuts lose a kerf
	need  nest.Piece
}

// cutPiece describes a piece to the nesting: its bounding box in the tile's
// frame, the sides on which it must keep the tile's own edge, and the turns that
// the tile's face allows. A piece to be measured on site keeps room for the
// largest size its gap allows.
func (t *taker) cutPiece(p *takenPiece, tile *Tile) cutPiece {
	shape := t.shapeOf(p)
	b, frame := shape.Outer.Box(), tile.Shape.Box()
	c := cutPiece{takenPiece: p, shape: shape, exact: isBox(shape), need: nest.Piece{Rank: p.rank}}
	if !tile.Directional {
		c.need.Turns = nest.AnyTurn
	}
	c.need.Factory = touched(b, frame) &^ cutSides(p.Piece)
	w, h := b.Width(), b.Height()
	quarter, square := quarterTurn(p.Piece)
	for _, cut := range p.Cuts {
		c.wet = c.wet || cut.Tool != Snap
		if p.OnSite && !p.kept && cut.Sized && square && cut.Most > cut.Size {
			if across := cut.Side == "left" || cut.Side == "right"; across == (quarter%2 == 0) {
				w += cut.Most - cut.Size
			} else {
				h += cut.Most - cut.Size
			}
		}
	}
	if c.need.Factory&(nest.Left|nest.Right) == nest.Left|nest.Right || w > frame.Width()-nearTile {
		w = frame.Width()
	}
	if c.need.Factory&(nest.Bottom|nest.Top) == nest.Bottom|nest.Top || h > frame.Height()-nearTile {
		h = frame.Height()
	}
	c.need.W, c.need.H = int64(w), int64(h)
	c.need.Whole = w == frame.Width() && h == frame.Height()
	return c
}

// shapeAll works the shapes of the cut pieces out on all processors; their sizes are
// chosen by now.
func (t *taker) shapeAll() {
	Each(len(t.pieces), smallShare, func(i int) { t.shapeOf(t.pieces[i]) })
}

// shapeOf is shapeOnTile of a cut piece, worked out once.
func (t *taker) shapeOf(p *takenPiece) rooms.Polygon {
	if p.onTile.Outer == nil && !p.Full {
		p.onTile = shapeOnTile(p.Piece, t.tiles[p.Tile])
	}
	return p.onTile
}

// shapeOnTile is the piece at its printed sizes in its tile's frame; as drawn
// where the sizes leave nothing of a splinter.
func shapeOnTile(p *Piece, tile *Tile) rooms.Polygon {
	if s := StockShape(*p, *tile); !vanishes(s) {
		return s
	}
	drawn := *p
	drawn.Cuts = nil
	return StockShape(drawn, *tile)
}

// vanishes reports whether a shape has no area to speak of.
func vanishes(p rooms.Polygon) bool { return len(p.Outer) < 3 || p.AreaMM2() < 1 }

// touched lists the sides of the tile's box that a shape's box reaches.
func touched(b, frame rooms.Box) nest.Sides {
	var s nest.Sides
	if b.Min.X-frame.Min.X <= nearTile {
		s |= nest.Left
	}
	if b.Min.Y-frame.Min.Y <= nearTile {
		s |= nest.Bottom
	}
	if frame.Max.X-b.Max.X <= nearTile {
		s |= nest.Right
	}
	if frame.Max.Y-b.Max.Y <= nearTile {
		s |= nest.Top
	}
	return s
}

// cutSides lists, in the tile's frame, the sides on which the piece is cut
// straight, and so needs no edge of the tile.
func cutSides(p *Piece) nest.Sides {
	quarter, ok := quarterTurn(p)
	if !ok {
		return 0
	}
	var s nest.Sides
	for _, c := range p.Cuts {
		if !c.Sized {
			continue
		}
		if i := slices.Index([]string{"left", "bottom", "right", "top"}, c.Side); i >= 0 {
			s |= 1 << ((i - quarter + 4) % 4)
		}
	}
	return s
}

// isBox reports whether a polygon is an upright rectangle.
func isBox(p rooms.Polygon) bool {
	if len(p.Holes) > 0 {
		return false
	}
	b := p.Outer.Box()
	if isRect(p.Outer, b) {
		return true
	}
	return 2*rooms.Rect(b.Min.X, b.Min.Y, b.Max.X, b.Max.Y).AreaMM2()-2*p.AreaMM2() < 0.1
}

// isRect reports whether a ring is the corners of its box in order and nothing else, as
// tiles and most of their pieces are.
func isRect(r rooms.Ring, b rooms.Box) bool {
	if len(r) != 4 {
		return false
	}
	k := slices.Index(r, b.Min)
	return k >= 0 && r[(k+1)%4] == rooms.Point{X: b.Max.X, Y: b.Min.Y} && r[(k+2)%4] == b.Max && r[(k+3)%4] == rooms.Point{X: b.Min.X, Y: b.Max.Y}
}

// boxAtOrigin reports whether a tile's box starts at 0, 0 and has an area.
func boxAtOrigin(b rooms.Box) bool {
	return b.Min == rooms.Point{} && b.Max.X > 0 && b.Max.Y > 0
}
