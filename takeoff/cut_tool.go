package takeoff

import (
	"strings"

	"potlife/rooms"
)

// Limits of the score-and-snap cutter. Common practice: it leaves strips of 10
// to 20 mm or one and a half times the thickness, 20 mm and more in porcelain;
// glass and stone are sawn, as is what is thicker than 12 mm.
const (
	snapStrip     = 10 * rooms.Millimetre
	snapPorcelain = 20 * rooms.Millimetre
	snapThickest  = 12 * rooms.Millimetre
)

// SnapStrip is the narrowest strip that score and snap leaves of the tile: the
// product's own, else the trade's default by material and thickness; 0 where
// the tile cannot be snapped at all.
func SnapStrip(t Tile) rooms.Length {
	if t.Material == "glass" || t.Material == "stone" || t.Thickness > snapThickest {
		return 0
	}
	if t.MinStrip > 0 {
		return t.MinStrip
	}
	least := snapStrip
	if t.Material == "porcelain" {
		least = snapPorcelain
	}
	return max(least, t.Thickness*3/2)
}

// chooseTools names the tool of each cut: score and snap for straight cuts
// that leave and take off enough, the wet saw for the rest of the straight ones
// and notches from a corner, the hole saw for round holes up to 100 mm, the
// grinder for what no blade reaches.
func (f *framed) chooseTools(p *Piece, t Tile) {
	strip := SnapStrip(t)
	b := t.Shape.Box()
	for i := range p.Cuts {
		c := &p.Cuts[i]
		switch {
		case c.Sized:
			c.Tool = WetSaw
			across := b.Width()
			if (c.Side == "top" || c.Side == "bottom") == (p.Turn%2 == 0) {
				across = b.Height()
			}
			if strip > 0 && c.Drawn >= strip && across-c.Drawn >= strip {
				c.Tool = Snap
			}
		case strings.HasPrefix(c.Shape, "hole"):
			c.Tool = HoleSaw
			if f.largestHole() > 100*rooms.Millimetre {
				c.Tool = Grinder
			}
		case strings.HasPrefix(c.Shape, "window"), strings.HasPrefix(c.Shape, "outline"), strings.HasPrefix(c.Shape, "dressed"):
			c.Tool = Grinder
		default:
			c.Tool = WetSaw
		}
	}
}

// largestHole is the width of the piece's widest hole.
func (f *framed) largestHole() rooms.Length {
	var most rooms.Length
	for _, r := range f.rings[1:] {
		most = max(most, r.plain().Box().Width())
	}
	return most
}
