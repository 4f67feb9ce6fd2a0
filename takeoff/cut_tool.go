package takeoff

import (
	"slices"
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

// chooseTools names the tool of each cut: score and snap for straight cuts from
// side to side, parallel or tapered, that leave and take off enough, the wet saw
// for the rest of the straight ones and notches from a corner, the hole saw for
// round holes up to 100 mm, the grinder for what no blade reaches.
func (f *framed) chooseTools(p *Piece) {
	for i := range p.Cuts {
		c := &p.Cuts[i]
		switch {
		case c.Tool != "":
		case strings.HasPrefix(c.Shape, "dressed"):
			c.Tool = Grinder
		default:
			c.Tool = WetSaw
		}
	}
}

// snapOr is score and snap where both parts that a line leaves are wide enough for
// it, at their narrowest, else the other tool.
func (f *framed) snapOr(other string, parts ...rooms.Length) string {
	if f.strip > 0 && slices.Min(parts) >= f.strip {
		return Snap
	}
	return other
}

// toolFor is the tool of a shape.
func (f *framed) toolFor(c chain) string {
	switch {
	case c.hole && roundHole(c.points):
		if f.largestHole() > 100*rooms.Millimetre {
			return Grinder
		}
		return HoleSaw
	case c.hole:
		return Grinder
	case len(c.points) == 2:
		return f.toolForLine(c.points[0], c.points[1])
	case len(c.points) <= 4 && upright(c.points):
		return WetSaw
	}
	return Grinder
}

// toolForLine: a taper that runs from side to side can be scored along a rule.
func (f *framed) toolForLine(a, b rooms.Point) string {
	k := f.taperSide(a, b)
	if k < 0 {
		return WetSaw
	}
	p, q := f.shape[k], f.shape[(k+1)%len(f.shape)]
	if along(p, q, a) > float64(onBorder) || along(p, q, b) < along(p, q, q)-float64(onBorder) {
		return WetSaw // it ends inside the tile
	}
	da, db := f.depth(k, a), f.depth(k, b)
	return f.snapOr(WetSaw, min(da, db), f.breadth(k)-max(da, db))
}

// largestHole is the width of the piece's widest hole.
func (f *framed) largestHole() rooms.Length {
	var most rooms.Length
	for _, r := range f.rings[1:] {
		most = max(most, r.plain().Box().Width())
	}
	return most
}
