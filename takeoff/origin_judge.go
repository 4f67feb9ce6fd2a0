package takeoff

import (
	"math"
	"slices"

	"potlife/rooms"
)

// How good an origin of a pattern of coupled directions is. The criteria are
// those of axisRank: pieces under the least strip, under a third and under half;
// what the worst piece at a line the eye goes to first lacks to its whole tile,
// in mm, and all of them together, in cm; the same of what is only in sight; how
// far the two walls across from each other differ, as strips in mm; the least
// width; pieces that are cut.
//
// Each of the first eight is such that a piece which holds another counts for no
// more than the other does (as long as both are cut from one tile): widths grow
// with the piece, and so does what is left of the tile. The search relies on it.

// tally sums up what pieces count for.
type tally struct {
	rank axisRank
	// lost is what is cut off at the walls left, right, below and above, in mm².
	lost [4]float64
}

// judge ranks what was laid.
func (z *zoneLayer) judge(s *rooms.Surface, got laid) axisRank {
	return z.judgeBy(z.sides(s), got)
}

func (z *zoneLayer) judgeBy(sides []side, got laid) axisRank {
	var t tally
	for _, c := range got.cuts {
		z.tallyTile(&t, sides, c.member, c.ring, c.parts)
	}
	return t.sum(rooms.BoxOf(z.ground.cover))
}

// side is what an edge of the cover means for the pieces at it.
type side struct {
	eye int
	// wall is the place in tally.lost plus one; 0 for edges of holes and folds.
	wall int
	// margin edges lie outside the part that other zones frame: a piece there need only
	// be wide enough to be set.
	margin bool
	// bare edges are outside corners that nothing closes: a cut edge is seen there, and
	// counts as a piece under half does.
	bare bool
}

// sides looks at every edge of the cover once.
func (z *zoneLayer) sides(s *rooms.Surface) []side {
	list := make([]side, len(z.fill.edges))
	framed := z.framed()
	k := 0
	for _, p := range z.fill.cover {
		for hole, r := range p.Rings() {
			for range r {
				e := z.fill.edges[k]
				fold := false
				if b := z.made[k]; b >= 0 {
					list[k].eye = z.view.eyeOn(s, z.ground.lines[b])
					fold = z.ground.lines[b].kind == borderFold
					list[k].bare = z.ground.lines[b].kind == borderEdge && showsArris(z.in, s, z.ground.lines[b].edge)
				}
				switch {
				case framed != nil && !framed[k]:
					list[k] = side{margin: true}
				case hole == 0 && !fold:
					list[k].wall = wallOf(e[0], e[1])
				}
				k++
			}
		}
	}
	return list
}

// framedShare is how much of a zone the part has at least that is balanced for all of
// it because other zones frame it: a field inside a border, with a margin in its tile
// between border and wall.
const framedShare = 1.0 / 3

// framed tells, of every edge of the cover, whether it bounds a part that other zones
// frame on all sides; nil unless a part of at least framedShare is framed and another
// is not.
func (z *zoneLayer) framed() []bool {
	if len(z.fill.cover) < 2 {
		return nil
	}
	list := make([]bool, len(z.fill.edges))
	k, most, all, some := 0, 0.0, 0.0, false
	for _, p := range z.fill.cover {
		in := true
		first := k
		for hole, r := range p.Rings() {
			for range r {
				if b := z.made[k]; hole == 0 && (b < 0 || z.ground.lines[b].kind != borderZone) {
					in = false
				}
				k++
			}
		}
		for i := first; i < k; i++ {
			list[i] = in
		}
		area := p.AreaMM2()
		if all += area; in {
			most = max(most, area)
		} else {
			some = true
		}
	}
	if !some || most < framedShare*all {
		return nil
	}
	return list
}

// wallOf tells on which hand of what lies left of p→q the edge is: 1 on the
// left, 2 on the right, 3 below, 4 above.
func wallOf(p, q rooms.Point) int {
	switch dx, dy := q.X-p.X, q.Y-p.Y; {
	case absLen(dy) > absLen(dx) && dy < 0:
		return 1
	case absLen(dy) > absLen(dx):
		return 2
	case dx > 0:
		return 3
	}
	return 4
}

// tallyTile counts the parts that are left of one tile; ring is the whole of it.
func (z *zoneLayer) tallyTile(t *tally, sides []side, member int, whole rooms.Ring, parts []part) {
	lost := z.lay.tiles[member].whole.MM2()
	var walls [4]bool
	for _, q := range parts {
		lost -= q.area().MM2()
		of := side{}
		for i := -1; i < len(q.holes); i++ {
			ring := q.outer
			if i >= 0 {
				ring = q.holes[i]
			}
			for _, v := range ring {
				if v.tag < 0 {
					continue
				}
				e := sides[v.tag]
				of.eye, of.margin = max(of.eye, e.eye), of.margin || e.margin
				of.bare = of.bare || e.bare && z.cutsOff(v.tag, whole)
				if e.wall > 0 {
					walls[e.wall-1] = true
				}
			}
		}
		t.piece(z.measurePart(member, q.ring), of)
	}
	for i, w := range walls {
		if w {
			t.lost[i] += lost
		}
	}
}

// cutsOff reports whether an edge of the cover cuts something off a tile that lies along it.
func (z *zoneLayer) cutsOff(edge int32, tile rooms.Ring) bool {
	e := z.fill.edges[edge]
	return slices.ContainsFunc(tile, func(p rooms.Point) bool { return leftOf(e[0], e[1], p) < -wholeWithin })
}

// inMargin is a class in a margin: what can be set counts for nothing.
func inMargin(class int) int {
	if class < 3 {
		return 0
	}
	return class
}

// class is what a piece of a class counts for at such edges.
func (e side) class(class int) int {
	switch {
	case e.margin:
		return inMargin(class)
	case e.bare:
		return max(class, 1)
	}
	return class
}

// piece counts one piece at such edges.
func (t *tally) piece(m partMeasure, of side) {
	r := &t.rank
	if c := of.class(m.class()); c > 0 {
		r[3-c]++
	}
	if of.eye != unseen {
		k := rankLacks
		if of.eye == inSight {
			k += 2
		}
		r[k] = max(r[k], m.lack())
		r[k+1] += m.lack()
	}
	if least := -int64(min(m.w, m.h) / rooms.Millimetre); r[8] == 0 || least > r[8] {
		r[8] = least
	}
	r[9]++
}

// sum gives the rank; the walls are as far from each other as box is wide.
func (t *tally) sum(box rooms.Box) axisRank {
	r := t.rank
	r[rankLacks+1], r[rankLacks+3] = inCM(r[rankLacks+1]), inCM(r[rankLacks+3])
	w, h := max(box.Width().Millimetres(), 1), max(box.Height().Millimetres(), 1)
	across, upward := t.lost[0]-t.lost[1], t.lost[2]-t.lost[3]
	r[rankBalance] = strip(max(across, -across), h) + strip(max(upward, -upward), w)
	return r
}

// inCM rounds mm up to cm.
func inCM(mm int64) int64 { return (mm + 9) / 10 }

// strip is how wide a strip of an area is, to the nearest mm.
func strip(mm2, long float64) int64 { return int64(mm2/long + 0.5) }

// partMeasure is how wide and high a piece and its tile are: by the tile's own
// sides where it lies square, else both between parallel lines.
type partMeasure struct{ w, h, fullW, fullH, floor rooms.Length }

func (z *zoneLayer) measurePart(member int, part rooms.Ring) partMeasure {
	m := &z.lay.tiles[member]
	floor := absoluteFloor(z.tiles[m.tile])
	if !z.lay.turn.square() || m.degrees%90 != 0 {
		w, full := narrowSide(part), m.narrow
		return partMeasure{w, w, full, full, floor}
	}
	b, fw, fh := part.Box(), m.box.Width(), m.box.Height()
	if z.lay.turn.degrees%180 != 0 {
		fw, fh = fh, fw
	}
	return partMeasure{b.Width(), b.Height(), fw, fh, floor}
}

// class is 3 under the least strip, 2 under a third of the tile, 1 under half, 0
// otherwise.
func (m partMeasure) class() int {
	switch {
	case m.w < m.floor || m.h < m.floor:
		return 3
	case 3*m.w < m.fullW || 3*m.h < m.fullH:
		return 2
	case 2*m.w < m.fullW || 2*m.h < m.fullH:
		return 1
	}
	return 0
}

// lack is what is missing to the whole tile, in mm, rounded up; less than a
// tile's edge is true to is not missing.
func (m partMeasure) lack() int64 {
	d := max(m.fullW-m.w, m.fullH-m.h) - cornerWithin
	return max(int64((d+rooms.Millimetre-1)/rooms.Millimetre), 0)
}

// keepLeft is what of a convex ring lies left of p→q.
func keepLeft(ring rooms.Ring, p, q rooms.Point) rooms.Ring {
	return keepLeftIn(make(rooms.Ring, 0, len(ring)+1), ring, p, q)
}

// keepLeftIn is keepLeft appended to out.
func keepLeftIn(out, ring rooms.Ring, p, q rooms.Point) rooms.Ring {
	line := newSideLine(p, q)
	da := line.left(ring[0])
	for i, a := range ring {
		b := ring[(i+1)%len(ring)]
		db := line.left(b)
		if da >= 0 {
			out = append(out, a)
		}
		if (da > 0 && db < 0) || (da < 0 && db > 0) {
			t := float64(da) / float64(da-db)
			out = append(out, rooms.Point{X: a.X + round(float64(t*float64(b.X-a.X))), Y: a.Y + round(float64(t*float64(b.Y-a.Y)))})
		}
		da = db
	}
	return out
}

// narrowSide is the least distance of two parallel lines that hold the ring
// between them.
func narrowSide(r rooms.Ring) rooms.Length {
	h := r
	if !r.Convex() {
		var points, corners [32]rooms.Point
		h = hullIn(corners[:0], append(points[:0], r...))
	}
	best, far := rooms.Length(1<<62), math.Inf(1)
	if len(h) == 0 {
		return best
	}
	a := h[len(h)-1]
	for i, b := range h {
		dx, dy, width := float64(b.X-a.X), float64(b.Y-a.Y), 0.0
		for k := i + 1; k < i+len(h)-1; k++ { // those that the side does not end
			p := h[k%len(h)]
			width = max(width, float64(dx*float64(p.Y-a.Y))-float64(dy*float64(p.X-a.X)))
		}
		square := float64(dx*dx) + float64(dy*dy)
		if square < shortSquare || width*width < far*square {
			long := float64(rooms.Distance(a, b))
			if long == 0 {
				return 0
			}
			best = min(best, round(width/long))
			far = 1.01 * float64(best+1) * float64(best+1)
		}
		a = b
	}
	return best
}

// shortSquare is the square of the length, 1/8 mm, from which on rounding to a unit
// makes it less than a thousandth longer.
const shortSquare = 1e6
