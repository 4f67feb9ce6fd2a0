package takeoff

import (
	"fmt"
	"math"
	"slices"
	"strings"

	"potlife/rooms"
)

// A strip of a zone that is no wider than a joint and the two narrowest pieces
// beside it cannot be tiled: where a joint of the pattern runs along it nothing is
// left on either side. It is taken off the cover, as part of the gap, and a finding
// says so. Thin places come of lines that were drawn nearly on each other: the end of
// a border beside a doorway, a change of tile just before a wall, a drain at an edge.

// thinFrom is the width up to which a strip is no ground for tile.
func (l *lattice) thinFrom() rooms.Length { return l.widestJoint() + 2*narrowest }

// widestJoint is the widest of the pattern's joints: where the tiles' measures do not
// meet to the millimetre, as an octagon's do not with its dots, some are wider than the
// one that was asked for. Along a side the nearest of three places counts: where two
// joints meet, a side faces a corner.
func (l *lattice) widestJoint() rooms.Length {
	widest := l.joint
	for k := range l.tiles {
		r := l.tiles[k].ring
		for i, a := range r {
			b := r[(i+1)%len(r)]
			least := 2 * bareReach(l.joint) // no place lies further from tile
			for n := rooms.Length(1); n <= 3; n++ {
				at := rooms.Point{X: a.X + (b.X-a.X)*n/4, Y: a.Y + (b.Y-a.Y)*n/4}
				least = min(least, l.beside(k, at))
			}
			widest = max(widest, least)
		}
	}
	return widest
}

// beside is how far a point on tile k of cell 0, 0 is from the nearest other tile.
func (l *lattice) beside(k int, at rooms.Point) rooms.Length {
	best := rooms.Length(1 << 62)
	for i := -3; i <= 3; i++ {
		for j := -3; j <= 3; j++ {
			d := l.cell(i, j)
			q := rooms.Point{X: at.X - d.X, Y: at.Y - d.Y}
			for m := range l.tiles {
				if t := &l.tiles[m]; (m != k || i != 0 || j != 0) && boxDistance(t.box, q) < best {
					best = min(best, ringDistance(t.ring, q))
				}
			}
		}
	}
	return best
}

// dropThin takes the strips that are too thin off the zone's cover. Their mouths
// count as the border next to them.
func (g *zoneGround) dropThin(l *lattice) error {
	if !slices.ContainsFunc(g.cover, func(p rooms.Polygon) bool { return hasThin(p, 2*bareReach(l.joint)+2*narrowest) }) {
		return nil
	}
	wide := l.thinFrom()
	var lost []rooms.Polygon
	for _, p := range g.cover {
		if !hasThin(p, wide) {
			continue
		}
		thin, err := thinParts(p, wide)
		if err != nil {
			return err
		}
		lost = append(lost, thin...)
	}
	if len(lost) == 0 {
		return nil
	}
	cover, err := rooms.Subtract(g.cover, lost)
	if err != nil {
		return err
	}
	g.lines = append(g.lines[:len(g.lines):len(g.lines)], besides(g.lines, lost)...)
	g.cover = cover
	g.bare = append(g.bare, lost...)
	return nil
}

// hasThin reports whether two parts of a polygon's border that are no neighbours lie
// no further than wide from each other, or two that are meet in a sharp corner. It
// may do so beyond the border, too: this is only for looking no further.
func hasThin(p rooms.Polygon, wide rooms.Length) bool {
	all := p.Rings()
	for i, r := range all {
		for k, q := range r {
			before, after := r[(k+len(r)-1)%len(r)], r[(k+1)%len(r)]
			if sharp(before, q, after) {
				return true
			}
			for j, s := range all {
				for m, a := range s {
					b := s[(m+1)%len(s)]
					if i == j && (a == q || b == q) {
						continue
					}
					if pointToSegment(q, a, b) <= wide {
						return true
					}
				}
			}
		}
	}
	return false
}

// sharp reports whether the border turns back at b by more than a right angle and a
// half.
func sharp(a, b, c rooms.Point) bool {
	ux, uy, vx, vy := float64(a.X-b.X), float64(a.Y-b.Y), float64(c.X-b.X), float64(c.Y-b.Y)
	dot := float64(ux*vx) + float64(uy*vy)
	return dot > 0 && float64(2*dot*dot) > (float64(ux*ux)+float64(uy*uy))*(float64(vx*vx)+float64(vy*vy))
}

// thinParts are the parts of a polygon into which no square that wide fits, beside
// others: what is left when it is drawn in by half of that and out again.
func thinParts(p rooms.Polygon, wide rooms.Length) ([]rooms.Polygon, error) {
	half := wide / 2
	gaps := make([]rooms.Length, len(p.Outer))
	for i := range gaps {
		gaps[i] = half
	}
	core, err := rooms.Inset(p, gaps, half)
	if err != nil {
		return nil, err
	}
	var back []rooms.Polygon
	for _, c := range core {
		grown, err := rooms.Grow(c, half+onBorder) // and over what rounding leaves along the border
		if err != nil {
			return nil, err
		}
		back = append(back, grown...)
	}
	left, err := rooms.Subtract([]rooms.Polygon{p}, back)
	if err != nil {
		return nil, err
	}
	var thin []rooms.Polygon
	for _, q := range left {
		if narrowSide(q.Outer) >= narrowest { // else rounding, and tips of corners
			thin = append(thin, q)
		}
	}
	return thin, nil
}

// besides are borders along areas that are taken off a cover, each like the one next
// to it.
func besides(lines []border, lost []rooms.Polygon) []border {
	var out []border
	for _, p := range lost {
		for _, r := range p.Rings() {
			for i, a := range r {
				b := r[(i+1)%len(r)]
				if k := matchBorder(lines, a, b); k >= 0 {
					x := lines[k]
					x.a, x.b = a, b
					out = append(out, x)
				}
			}
		}
	}
	return out
}

// dropEmpty takes off a laid cover the parts in which no piece lies.
func (z *zoneLayer) dropEmpty(out *ZoneLayout) {
	var kept []rooms.Polygon
	for _, c := range out.Cover {
		if len(out.Cover) == 1 && len(out.Pieces) > 0 || holdsPiece(c, out.Pieces) {
			kept = append(kept, c)
		} else {
			z.ground.bare = append(z.ground.bare, c)
		}
	}
	out.Cover = kept
}

// holdsPiece reports whether one of the pieces lies in c, as exactly as rounding lets it.
func holdsPiece(c rooms.Polygon, pieces []Piece) bool {
	box := c.Outer.Box()
	return slices.ContainsFunc(pieces, func(p Piece) bool {
		r := p.Polygon.Outer
		return box.Meets(r.Box()) && !slices.ContainsFunc(r, func(q rooms.Point) bool {
			return c.Place(q) == rooms.Outside && borderDistance(c, q) > onBorder
		})
	})
}

// bare says what of a zone is too narrow to be tiled.
func (f *finder) bare(z *zoneLayer) {
	var most rooms.Length
	var where []string
	for _, p := range z.ground.bare {
		b := p.Outer.Box()
		w := narrowSide(p.Outer)
		if len(where) < 3 {
			where = append(where, fmt.Sprintf("%s × %s from (%s, %s)", f.length(rooms.Length(math.Round(p.AreaMM2()/max(w.Millimetres(), 0.1)))*rooms.Millimetre, 0, rooms.Nearest), f.length(w, 1, rooms.Nearest),
				f.length(b.Min.X, 0, rooms.Nearest), f.length(b.Min.Y, 0, rooms.Nearest)))
		}
		most = max(most, w)
	}
	if len(where) == 0 {
		return
	}
	more := ""
	if n := len(z.ground.bare) - len(where); n > 0 {
		more = fmt.Sprintf(" and %d more", n)
	}
	limit := z.lay.thinFrom()
	f.add("bare strip", Warn, most.Millimetres(), limit.Millimetres(), srcPractice,
		"no tile goes into what is no wider than a joint and two slivers, %s: %s%s of zone %s stay bare and are closed as the gap beside them; move the line that makes them",
		f.length(limit, 1, rooms.Nearest), strings.Join(where, ", "), more, z.ground.zone.Key)
}
