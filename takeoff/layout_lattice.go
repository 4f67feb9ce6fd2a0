package takeoff

import (
	"cmp"
	"math"
	"slices"

	"potlife/rooms"
)

// laid is a cover filled by a lattice: full tiles as runs along the courses,
// and the tiles that touch the border as parts.
type laid struct {
	runs []tileRun
	cuts []tileCut
	full int // tiles in runs
}

// tileRun is full tiles first … last of member in row: cells (first, row) …
// (last, row) of the lattice.
type tileRun struct {
	row, member, first, last int
}

// tileCut is what the border leaves of one tile.
type tileCut struct {
	row, member, index int
	parts              []part
	ring               rooms.Ring // the whole tile where it lies
}

// filler lays one cover.
type filler struct {
	lay    *lattice
	origin rooms.Point
	cover  []rooms.Polygon
	rings  []clipRing
	edges  [][2]rooms.Point
	clip   clipper
	local  [][4]float64 // the cover's edges in lattice coordinates
	spread []latticeBox // of each member, grown by the joint
	lanes  [][]interval // candidates by (row − low) × members + member
	low    int
	reach  [2]float64 // of the cover, along u
	block  []clipRing
	crops  [4]cropRoom // of the strip and of the block
	tile   rooms.Ring  // the one looked at
	known  []knownFill
	cuts   int // of the origin laid last
}

// latticeBox bounds a member in lattice coordinates.
type latticeBox struct{ a0, a1, b0, b1 float64 }

// interval is a closed range of cell indices.
type interval struct{ from, to int }

func newFiller(lay *lattice, cover []rooms.Polygon) *filler {
	f := &filler{lay: lay, cover: cover}
	f.rings, f.edges = coverRings(cover)
	for _, t := range lay.tiles {
		f.spread = append(f.spread, lay.bounds(t))
	}
	return f
}

// bounds is a member's box in lattice coordinates, grown by the joint and at
// least one cell long, so that neighbours of a row overlap: then what lies
// between two tiles of a row that no border touches is not divided either.
func (l *lattice) bounds(t latticeTile) latticeBox {
	b := latticeBox{math.Inf(1), math.Inf(-1), math.Inf(1), math.Inf(-1)}
	grow := l.joint + 8
	for _, x := range []rooms.Length{t.box.Min.X - grow, t.box.Max.X + grow} {
		for _, y := range []rooms.Length{t.box.Min.Y - grow, t.box.Max.Y + grow} {
			p, q := l.coordinates(float64(x), float64(y))
			b.a0, b.a1 = min(b.a0, p), max(b.a1, p)
			b.b0, b.b1 = min(b.b0, q), max(b.b1, q)
		}
	}
	if b.a1 < b.a0+1 {
		b.a1 = b.a0 + 1
	}
	return b
}

// coordinates expresses a point of the pattern's frame in its translations.
func (l *lattice) coordinates(x, y float64) (a, b float64) {
	d := l.det()
	a = (float64(x*float64(l.v.Y)) - float64(y*float64(l.v.X))) / d
	b = (float64(y*float64(l.u.X)) - float64(x*float64(l.u.Y))) / d
	return a, b
}

// toLattice is where a point of the surface lies in lattice coordinates.
func (f *filler) toLattice(p rooms.Point) (a, b float64) {
	x, y := float64(p.X-f.origin.X), float64(p.Y-f.origin.Y)
	t := f.lay.turn
	return f.lay.coordinates(float64(x*t.cos)+float64(y*t.sin), float64(y*t.cos)-float64(x*t.sin))
}

// tileAt is the whole tile of a cell where it lies on the surface.
func (f *filler) tileAt(row, member, index int) rooms.Ring {
	return f.appendTile(make(rooms.Ring, 0, len(f.lay.tiles[member].ring)), row, member, index)
}

// appendTile appends tileAt to out.
func (f *filler) appendTile(out rooms.Ring, row, member, index int) rooms.Ring {
	d := f.lay.cell(index, row)
	for _, p := range f.lay.tiles[member].ring {
		q := f.lay.turn.apply(rooms.Point{X: p.X + d.X, Y: p.Y + d.Y})
		out = append(out, rooms.Point{X: q.X + f.origin.X, Y: q.Y + f.origin.Y})
	}
	return out
}

// placeAt is where a cell's tile has its own frame's corner on the surface.
func (f *filler) placeAt(row, member, index int) rooms.Point {
	m := &f.lay.tiles[member]
	d := f.lay.cell(index, row)
	q := f.lay.turn.apply(rooms.Point{X: m.place.X + d.X, Y: m.place.Y + d.Y})
	return rooms.Point{X: q.X + f.origin.X, Y: q.Y + f.origin.Y}
}

// knownFill is what was laid from an origin.
type knownFill struct {
	origin rooms.Point
	got    laid
}

// mostKnown is of how many origins a filler keeps what it laid: those of one search.
const mostKnown = 16

// fill lays the cover with the lattice's cell 0, 0 at origin. What it returns is
// not to be changed: it is the answer when the origin is asked for again.
func (f *filler) fill(origin rooms.Point) (laid, error) {
	f.origin = origin
	for i := range f.known {
		if f.known[i].origin == origin {
			return f.known[i].got, nil
		}
	}
	got, err := f.layAll()
	if err == nil && len(f.known) < mostKnown {
		f.known = append(f.known, knownFill{origin, got})
	}
	return got, err
}

// layAll is fill from the filler's origin.
func (f *filler) layAll() (laid, error) {
	var out laid
	if len(f.edges) == 0 {
		return out, nil
	}
	f.mark()
	out.cuts = make([]tileCut, 0, f.cuts+f.cuts/8)
	members := len(f.lay.tiles)
	for k, lane := range f.lanes {
		if len(lane) == 0 {
			continue
		}
		row, member := f.low+k/members, k%members
		merged := mergeIntervals(lane)
		strip := f.strip(row, member)
		for i, iv := range merged {
			for index := iv.from; index <= iv.to; index++ {
				near := strip
				if iv.to-iv.from >= blockTiles {
					if (index-iv.from)%blockTiles == 0 {
						f.block = f.piece(strip, row, member, index, min(index+blockTiles-1, iv.to))
					}
					near = f.block
				}
				if err := f.touching(&out, near, row, member, index); err != nil {
					return laid{}, err
				}
			}
			if i+1 < len(merged) && iv.to+1 < merged[i+1].from {
				f.between(&out, tileRun{row, member, iv.to + 1, merged[i+1].from - 1})
			}
		}
	}
	f.cuts = len(out.cuts)
	return out, nil
}

// blockTiles is how many tiles of a row share what is near them of the cover.
const blockTiles = 16

// strip is what of the cover lies near a row of a member: the tiles of the row
// are clipped against that instead of the whole.
func (f *filler) strip(row, member int) []clipRing {
	s := f.spread[member]
	a, b := f.fromLattice(f.reach[0], float64(row)+s.b0), f.fromLattice(f.reach[1], float64(row)+s.b0)
	c, d := f.fromLattice(f.reach[0], float64(row)+s.b1), f.fromLattice(f.reach[1], float64(row)+s.b1)
	if f.lay.det() < 0 {
		a, b, c, d = b, a, d, c
	}
	return f.croppedIn(&f.crops[1], f.croppedIn(&f.crops[0], f.rings, a, b), d, c)
}

// piece is what of a strip lies near its tiles from … to.
func (f *filler) piece(strip []clipRing, row, member, from, to int) []clipRing {
	s := f.spread[member]
	a, b := f.fromLattice(float64(from)+s.a0, float64(row)+s.b0), f.fromLattice(float64(from)+s.a0, float64(row)+s.b1)
	c, d := f.fromLattice(float64(to)+s.a1, float64(row)+s.b0), f.fromLattice(float64(to)+s.a1, float64(row)+s.b1)
	if f.lay.det() < 0 {
		a, b, c, d = b, a, d, c
	}
	return f.croppedIn(&f.crops[3], f.croppedIn(&f.crops[2], strip, b, a), c, d)
}

// croppedIn keeps what lies left of a→b, or everything where that gives no clean
// answer; it lasts until the room is used again. Its tag never survives: crops lie
// beyond the tiles they are made for.
func (f *filler) croppedIn(room *cropRoom, rings []clipRing, a, b rooms.Point) []clipRing {
	out, ok := f.clip.crop(room, rings, a, b, sideTag(0))
	if !ok {
		return rings
	}
	return out
}

// fromLattice is the point of the surface at lattice coordinates.
func (f *filler) fromLattice(a, b float64) rooms.Point {
	x := float64(a*float64(f.lay.u.X)) + float64(b*float64(f.lay.v.X))
	y := float64(a*float64(f.lay.u.Y)) + float64(b*float64(f.lay.v.Y))
	t := f.lay.turn
	return rooms.Point{
		X: f.origin.X + round(float64(x*t.cos)-float64(y*t.sin)),
		Y: f.origin.Y + round(float64(x*t.sin)+float64(y*t.cos)),
	}
}

// between adds a run of tiles that no border touches if they lie inside.
func (f *filler) between(out *laid, r tileRun) {
	if !f.inside(f.tileAt(r.row, r.member, r.first)[0]) {
		return
	}
	out.full += r.last - r.first + 1
	if n := len(out.runs); n > 0 && out.runs[n-1].row == r.row && out.runs[n-1].member == r.member && out.runs[n-1].last+1 == r.first {
		out.runs[n-1].last = r.last
		return
	}
	out.runs = append(out.runs, r)
}

// inside reports whether a point that is on no border lies in the cover.
func (f *filler) inside(p rooms.Point) bool {
	in := false
	for _, e := range f.edges {
		lo, hi := e[0], e[1]
		if lo.Y > hi.Y {
			lo, hi = hi, lo
		}
		if lo.Y <= p.Y && p.Y < hi.Y && rooms.Side(lo, hi, p) > 0 {
			in = !in
		}
	}
	return in
}

// touching clips one tile near the border.
func (f *filler) touching(out *laid, near []clipRing, row, member, index int) error {
	f.tile = f.appendTile(f.tile[:0], row, member, index)
	if clear, inside := untouched(near, f.tile); clear {
		if inside {
			out.whole(row, member, index)
		}
		return nil
	}
	parts, err := f.clipTile(near, f.tile)
	if err != nil || len(parts) == 0 {
		return err
	}
	if len(parts) == 1 && f.isWhole(parts[0], &f.lay.tiles[member], f.tile) {
		out.whole(row, member, index)
		return nil
	}
	out.cuts = append(out.cuts, tileCut{row, member, index, parts, append(f.clip.made.points.take(len(f.tile))[:0], f.tile...)})
	return nil
}

// whole adds a full tile.
func (l *laid) whole(row, member, index int) {
	l.full++
	if n := len(l.runs); n > 0 && l.runs[n-1].row == row && l.runs[n-1].member == member && l.runs[n-1].last+1 == index {
		l.runs[n-1].last = index
	} else {
		l.runs = append(l.runs, tileRun{row, member, index, index})
	}
}

// clearWithin is how near to a tile's box an edge is taken to touch it: more than
// rounding makes, and less than the crops lie beyond the tile.
const clearWithin = 4

// untouched reports whether no edge of the rings comes near a tile's box, and whether
// then it lies inside.
func untouched(rings []clipRing, tile rooms.Ring) (clear, inside bool) {
	b := tile.Box()
	b.Min.X, b.Min.Y, b.Max.X, b.Max.Y = b.Min.X-clearWithin, b.Min.Y-clearWithin, b.Max.X+clearWithin, b.Max.Y+clearWithin
	p := tile[0]
	for _, r := range rings {
		a := r[len(r)-1].p
		for i := range r {
			e := r[i].p
			if max(a.X, e.X) >= b.Min.X && min(a.X, e.X) <= b.Max.X && max(a.Y, e.Y) >= b.Min.Y && min(a.Y, e.Y) <= b.Max.Y {
				return false, false
			}
			lo, hi := a, e
			if lo.Y > hi.Y {
				lo, hi = hi, lo
			}
			if lo.Y <= p.Y && p.Y < hi.Y && rooms.Side(lo, hi, p) > 0 {
				inside = !inside
			}
			a = e
		}
	}
	return true, inside
}

// wholeWithin is how little may be missing along a tile's sides for the tile to
// count as whole: three units, 0.4 µm, which is what rounding can make.
// cornerWithin is the same at one place, 0.05 mm: less than a tile's own edge
// is true to.
const (
	wholeWithin  = 3
	cornerWithin = 50 * rooms.Micrometre
)

// isWhole reports whether nothing but rounding is missing.
func (f *filler) isWhole(q part, m *latticeTile, ring rooms.Ring) bool {
	if len(q.holes) > 0 {
		return false
	}
	missing := m.whole.Sub(q.ring.Area()).MM2()
	if missing > m.girth*wholeWithin/(8000*8000) {
		return false
	}
	for _, p := range ring {
		if !slices.ContainsFunc(q.outer, func(v clipVertex) bool {
			return rooms.Distance(v.p, p) <= cornerWithin
		}) {
			return false
		}
	}
	for _, v := range q.outer { // no nick in a side either
		off := rooms.Length(1 << 62)
		for i, p := range ring {
			off = min(off, spanDistance(p, ring[(i+1)%len(ring)], v.p))
		}
		if off > cornerWithin {
			return false
		}
	}
	return true
}

// clipTile is the tile inside the cover, parts too narrow to be set left out.
func (f *filler) clipTile(near []clipRing, ring rooms.Ring) ([]part, error) {
	parts, ok := f.clip.tile(near, ring)
	if !ok {
		var err error
		if parts, err = f.clipGeneral(ring); err != nil {
			return nil, err
		}
	}
	return slices.DeleteFunc(parts, func(q part) bool { return narrow(q.ring) }), nil
}

// clipGeneral is clipTile by way of the arrangement, for the rare tile at which
// rounding confuses the quick way.
func (f *filler) clipGeneral(ring rooms.Ring) ([]part, error) {
	got, err := rooms.Intersect([]rooms.Polygon{{Outer: ring}}, f.cover)
	if err != nil {
		return nil, err
	}
	var parts []part
	for _, p := range got {
		q := part{outer: f.tagged(p.Outer, ring), ring: p.Outer}
		for _, h := range p.Holes {
			q.holes = append(q.holes, f.tagged(h, ring))
		}
		parts = append(parts, q)
	}
	return parts, nil
}

// tagged finds what made each edge of r again: a side of the tile, or an edge
// of the cover.
func (f *filler) tagged(r, tile rooms.Ring) clipRing {
	out := make(clipRing, len(r))
	for i, p := range r {
		q := r[(i+1)%len(r)]
		tag, off := int32(0), rooms.Length(1<<62)
		for k, e := range f.edges {
			if d := max(spanDistance(e[0], e[1], p), spanDistance(e[0], e[1], q)); d < off {
				tag, off = int32(k), d
			}
		}
		for k, a := range tile {
			if d := max(spanDistance(a, tile[(k+1)%len(tile)], p), spanDistance(a, tile[(k+1)%len(tile)], q)); d <= off {
				tag, off = sideTag(k), d
			}
		}
		out[i] = clipVertex{p, tag}
	}
	return out
}

// narrowest is the width below which a strip is no tile any more but part of
// the gap beside it.
const narrowest = rooms.Millimetre

// narrow reports whether a ring fits between two parallel lines less than
// narrowest apart.
func narrow(r rooms.Ring) bool {
	if wideByArea(r) {
		return false
	}
	var points, corners [32]rooms.Point
	return len(hullIn(corners[:0], append(points[:0], r...))) < 3 || narrowSide(r) < narrowest
}

// wideByArea reports whether a ring has too much area to be narrow: no more fits
// between two lines than their distance times the greatest distance in the ring.
func wideByArea(r rooms.Ring) bool {
	twice := 0.0
	for i, p := range r {
		q := r[(i+1)%len(r)]
		twice += float64(float64(p.X-r[0].X)*float64(q.Y-r[0].Y)) - float64(float64(p.Y-r[0].Y)*float64(q.X-r[0].X))
	}
	b := r.Box()
	return twice/2 >= float64(float64(b.Width()+b.Height())*float64(narrowest+16))
}

// hull is the convex hull, counter-clockwise.
func hull(r rooms.Ring) rooms.Ring { return hullIn(make(rooms.Ring, 0, len(r)+2), slices.Clone(r)) }

// hullIn is hull in room that is given; the points are sorted.
func hullIn(h, pts rooms.Ring) rooms.Ring {
	slices.SortFunc(pts, func(p, q rooms.Point) int { return cmp.Or(cmp.Compare(p.X, q.X), cmp.Compare(p.Y, q.Y)) })
	for _, side := range [2]bool{true, false} {
		base := len(h)
		for k := range pts {
			p := pts[k]
			if !side {
				p = pts[len(pts)-1-k]
			}
			for len(h) >= base+2 && rooms.Side(h[len(h)-2], h[len(h)-1], p) <= 0 {
				h = h[:len(h)-1]
			}
			h = append(h, p)
		}
		h = h[:len(h)-1]
	}
	return h
}

// mark lists, row by row, the cells whose tile or its joint an edge of the
// cover may touch.
func (f *filler) mark() {
	low, high := math.Inf(1), math.Inf(-1)
	f.local = f.local[:0]
	f.reach = [2]float64{math.Inf(1), math.Inf(-1)}
	for _, e := range f.edges {
		a0, b0 := f.toLattice(e[0])
		a1, b1 := f.toLattice(e[1])
		f.local = append(f.local, [4]float64{a0, b0, a1, b1})
		low, high = min(low, b0, b1), max(high, b0, b1)
		f.reach[0], f.reach[1] = min(f.reach[0], a0-2, a1-2), max(f.reach[1], a0+2, a1+2)
	}
	reach := 0.0
	for _, s := range f.spread {
		reach = max(reach, math.Abs(s.b0), math.Abs(s.b1))
	}
	f.low = int(math.Floor(low-reach)) - 1
	n := (int(math.Ceil(high+reach)) + 2 - f.low) * len(f.lay.tiles)
	f.lanes = slices.Grow(f.lanes[:0], n)[:n]
	for i := range f.lanes {
		f.lanes[i] = f.lanes[i][:0]
	}
	for _, e := range f.local {
		for m := range f.spread {
			f.markEdge(e, m)
		}
	}
}

// hair is the margin of the marking in lattice coordinates, against rounding.
const hair = 1e-7

// markEdge notes the cells of a member that one edge may touch.
func (f *filler) markEdge(e [4]float64, member int) {
	f.rowsAt(e, member, func(row int, iv interval) {
		k := (row-f.low)*len(f.lay.tiles) + member
		f.lanes[k] = append(f.lanes[k], iv)
	})
}

// rowsAt lists, row by row, the cells of a member that an edge in lattice
// coordinates may touch.
func (f *filler) rowsAt(e [4]float64, member int, note func(row int, iv interval)) {
	s := f.spread[member]
	if e[1] > e[3] {
		e = [4]float64{e[2], e[3], e[0], e[1]}
	}
	first, last := int(math.Floor(e[1]-s.b1-hair)), int(math.Ceil(e[3]-s.b0+hair))
	for row := first; row <= last; row++ {
		b0, b1 := float64(row)+s.b0-hair, float64(row)+s.b1+hair
		if e[3] < b0 || e[1] > b1 {
			continue
		}
		x0, x1 := e[0], e[2]
		if d := e[3] - e[1]; d > 0 {
			if e[1] < b0 {
				x0 = e[0] + float64((e[2]-e[0])*((b0-e[1])/d))
			}
			if e[3] > b1 {
				x1 = e[0] + float64((e[2]-e[0])*((b1-e[1])/d))
			}
		}
		if x0 > x1 {
			x0, x1 = x1, x0
		}
		note(row, interval{int(math.Ceil(x0 - s.a1 - hair)), int(math.Floor(x1 - s.a0 + hair))})
	}
}

// cellsAt lists the cells of a member that an edge may touch.
func (f *filler) cellsAt(e [4]float64, member int, note func(row, index int)) {
	f.rowsAt(e, member, func(row int, iv interval) {
		for i := iv.from; i <= iv.to; i++ {
			note(row, i)
		}
	})
}

// mergeIntervals sorts and joins intervals that overlap or touch.
func mergeIntervals(list []interval) []interval {
	slices.SortFunc(list, func(a, b interval) int { return cmp.Compare(a.from, b.from) })
	out := list[:0]
	for _, iv := range list {
		if n := len(out); n > 0 && iv.from <= out[n-1].to+1 {
			out[n-1].to = max(out[n-1].to, iv.to)
			continue
		}
		out = append(out, iv)
	}
	return out
}
