package takeoff

import (
	"cmp"
	"slices"

	"potlife/rooms"
)

// sameMiddle is by how much nearer to the middle another joint must be to be
// snapped instead of one further left: where a tile lies on the centre line, the
// joints on both hands of it are as near but for their width, and a reading of a
// few millimetres must not move a line that is snapped.
const sameMiddle = 15 * rooms.Millimetre

// lines gives the level line and the plumb line, at whose crossing setting
// begins. On what stands the level line is the lower side of the first course of
// the tile's whole height, where a ledger stands, or of the second where the first
// is set over a floor that is still to come, and the plumb line a joint of that
// course: the one nearest to the middle, or the inner side of the whole tile
// from which the layout starts, at an outside corner or where the datum says so.
// On what lies they cross at the corner of a whole tile nearest to the middle.
// Where there is no such piece the others serve. A tile that lies turned is met
// at its lowest corner.
func (z *zoneLayer) lines(s *rooms.Surface, out *ZoneLayout) {
	list := z.starts(out)
	if len(list) == 0 {
		out.LevelLine, out.Plumb = out.Origin.Y, out.Origin.X
		return
	}
	cover, joint := rooms.BoxOf(out.Cover), out.Zone.Joint
	middle := rooms.Point{X: cover.Min.X + cover.Width()/2, Y: cover.Min.Y + cover.Height()/2}
	inX := func(x rooms.Length) bool { return snappable(x, cover.Min.X, cover.Max.X, joint) }
	if lies(s) || s.Kind == rooms.Ceiling || s.Kind == rooms.Bench {
		list = prefer(list, func(p start) bool { return p.tall && p.wide })
		list = prefer(list, func(p start) bool { return p.left && p.low })
		list = prefer(list, func(p start) bool {
			return inX(p.box.Min.X) && snappable(p.box.Min.Y, cover.Min.Y, cover.Max.Y, joint)
		})
		p := nearest(list, func(p start) rooms.Length { return rooms.Distance(p.box.Min, middle) })
		out.LevelLine, out.Plumb = p.box.Min.Y, p.box.Min.X
		return
	}
	course := firstCourse(list)
	if z.overFloor(s) {
		course = secondCourse(list, course)
	}
	out.LevelLine = course[0].box.Min.Y
	switch p, hand := z.startSide(s, course); {
	case hand < 0 && inX(p.box.Max.X):
		out.Plumb = p.box.Max.X
	case hand != 0:
		out.Plumb = p.box.Min.X
	default:
		course = prefer(course, func(p start) bool { return p.left })
		course = prefer(course, func(p start) bool { return inX(p.box.Min.X) })
		p = nearest(course, func(p start) rooms.Length { return absLen(p.box.Min.X - middle.X) })
		if out.Plumb = p.box.Min.X; !inX(p.box.Min.X) && inX(p.box.Max.X) {
			out.Plumb = p.box.Max.X
		}
	}
}

// start is a piece that a field may start from: the rectangle around it, whether
// that is as tall and as wide as the whole tile's, and whether its left and lower
// sides are the tile's own. Of a tile that lies turned the rectangle is its lowest
// corner.
type start struct {
	box                   rooms.Box
	tall, wide, left, low bool
}

// starts lists a zone's pieces from left to right.
func (z *zoneLayer) starts(out *ZoneLayout) []start {
	whole := map[[2]string]rooms.Box{}
	list := make([]start, 0, len(out.Pieces))
	for i := range out.Pieces {
		p := &out.Pieces[i]
		if len(p.Polygon.Outer) == 0 {
			continue
		}
		if int(p.Degrees)%90 != 0 {
			low := slices.MinFunc(p.Polygon.Outer, func(a, b rooms.Point) int { return cmp.Or(cmp.Compare(a.Y, b.Y), cmp.Compare(a.X, b.X)) })
			list = append(list, start{rooms.Box{Min: low, Max: low}, p.Full, p.Full, p.Full, p.Full})
			continue
		}
		k := [2]string{p.Tile, string(rune('0' + p.Turn))}
		tile, ok := whole[k]
		if !ok {
			n := slices.IndexFunc(z.tiles, func(t Tile) bool { return t.Key == p.Tile })
			tile = turnBy(int(p.Degrees)).ring(z.tiles[n].Shape).Box()
			whole[k] = tile
		}
		b := p.Polygon.Outer.Box()
		list = append(list, start{b, b.Height() >= tile.Height(), b.Width() >= tile.Width(), b.Min.X <= p.Place.X+tile.Min.X, b.Min.Y <= p.Place.Y+tile.Min.Y})
	}
	slices.SortStableFunc(list, func(a, b start) int {
		return cmp.Or(cmp.Compare(a.box.Min.X, b.box.Min.X), cmp.Compare(a.box.Min.Y, b.box.Min.Y))
	})
	return list
}

// firstCourse are the pieces that stand lowest, of those of whole height.
func firstCourse(list []start) []start {
	list = prefer(list, func(p start) bool { return p.tall })
	low := slices.MinFunc(list, func(a, b start) int { return cmp.Compare(a.box.Min.Y, b.box.Min.Y) }).box.Min.Y
	return prefer(list, func(p start) bool { return p.box.Min.Y == low })
}

// overFloor reports whether a zone comes down to a floor over which its bottom course
// is measured, when that is in. Where tiles stand upright their courses are columns.
func (z *zoneLayer) overFloor(s *rooms.Surface) bool {
	return s.Ledger && z.ground.zone.Turn%180 == 0 && slices.ContainsFunc(z.ground.lines, func(x border) bool {
		e := edgeAt(s, x.edge)
		return x.kind == borderEdge && e.Meets == rooms.AtFloor && e.Unmeasured
	})
}

// secondCourse are the pieces of whole height that stand lowest on a first course
// with nothing under it; the first course where there are none.
func secondCourse(list, course []start) []start {
	foot := course[0].box.Min.Y
	over := prefer(list, func(p start) bool { return p.tall && p.box.Min.Y > foot })
	if len(over) == len(list) || slices.ContainsFunc(list, func(p start) bool { return p.box.Min.Y < foot }) {
		return course
	}
	return firstCourse(over)
}

// startSide finds the tile of the first course from which the layout starts at a
// side, and on which hand that lies: -1 left, 1 right, 0 none.
func (z *zoneLayer) startSide(s *rooms.Surface, course []start) (start, int) {
	first, last := course[0], course[len(course)-1]
	switch d := z.ground.zone.Datum.Across; {
	case d == rooms.FullLeft && first.wide:
		return first, -1
	case d == rooms.FullRight && last.wide:
		return last, 1
	case !bestWanted(d):
		return first, 0
	}
	for _, x := range z.ground.lines {
		if x.kind != borderEdge || edgeAt(s, x.edge).Meets != rooms.OutsideCorner {
			continue
		}
		switch side, a, b := wallOf(x.a, x.b), first.box, last.box; {
		case side == 1 && first.wide && reachesTo(x, rooms.Point{X: a.Min.X, Y: a.Max.Y}, a.Min, z.ground.zone.Joint):
			return first, -1
		case side == 2 && last.wide && reachesTo(x, rooms.Point{X: b.Max.X, Y: b.Min.Y}, b.Max, z.ground.zone.Joint):
			return last, 1
		}
	}
	return first, 0
}

// nearest is the piece, of those from left to right, that lies nearest; of several
// as near within sameMiddle the first.
func nearest(list []start, off func(start) rooms.Length) start {
	least := off(list[0])
	for _, p := range list {
		least = min(least, off(p))
	}
	return list[slices.IndexFunc(list, func(p start) bool { return off(p) <= least+sameMiddle })]
}

// prefer keeps what is wanted, or all where nothing is.
func prefer(list []start, wanted func(start) bool) []start {
	var out []start
	for _, p := range list {
		if wanted(p) {
			out = append(out, p)
		}
	}
	if len(out) == 0 {
		return list
	}
	return out
}

// snappable reports whether a line can be snapped at v: further inside than a joint.
func snappable(v, low, high, joint rooms.Length) bool {
	return v > low+joint+rooms.Millimetre && v < high-joint-rooms.Millimetre
}
