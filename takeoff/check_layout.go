package takeoff

import (
	"cmp"
	"fmt"
	"math"
	"slices"
	"strings"

	"potlife/rooms"
)

// Tolerances of the check: 2 µm between lines, and for an area 2 µm along its
// border.
const (
	checkLine = 2 * rooms.Micrometre
	checkBare = rooms.Millimetre // how much wider than a joint a strip may stay bare
	// checkCorner is how far a corner of a whole tile may stick out of its cover.
	checkCorner = 60 * rooms.Micrometre
)

// layoutCheck holds a layout to its rules. It looks at nothing but the layout
// and the tiles, and uses none of the engine's ways: no lattice, no clipping,
// no boolean operations, only distances and points in polygons.
type layoutCheck struct {
	tiles    map[string]Tile
	problems []string
}

// CheckLayout checks a layout before it is saved: covers lie in the outline and
// outside the openings and each other; pieces are simple, inside their cover, at
// least a joint apart and clear of the zone's soft joints; nothing of a cover is left bare wider than a joint; whole
// pieces are congruent with their tile, others have cuts, and each printed size
// lies within its limits; ids are unique; setting starts where a piece stands on
// the level line. The error lists up to eight breaches.
func CheckLayout(l Layout, tiles map[string]Tile) error {
	c := &layoutCheck{tiles: tiles}
	c.covers(l)
	seen := map[string]bool{}
	for i := range l.Zones {
		z := &l.Zones[i]
		for k := range z.Pieces {
			p := &z.Pieces[k]
			if seen[p.ID] {
				c.fail("%s stands twice", p.ID)
			}
			seen[p.ID] = true
			c.piece(z, p)
		}
		c.lines(&l, z)
		c.apart(z)
		c.softJoints(z)
		c.bare(z)
		c.areas(z)
	}
	if len(c.problems) == 0 {
		return nil
	}
	return fmt.Errorf("layout of %s/%s/%s breaks its rules: %s", l.Job, l.Room, l.Surface, strings.Join(c.problems, "; "))
}

func (c *layoutCheck) fail(format string, args ...any) {
	if len(c.problems) < 8 {
		c.problems = append(c.problems, fmt.Sprintf(format, args...))
	}
}

// lines checks that level and plumb line cross at a piece that stands on the
// level line, between its ends or at one: a piece of the zone, or of another that
// shares its lines.
func (c *layoutCheck) lines(l *Layout, z *ZoneLayout) {
	if len(z.Pieces) > 0 && !slices.ContainsFunc(l.Zones, func(o ZoneLayout) bool {
		return o.LevelLine == z.LevelLine && o.Plumb == z.Plumb && slices.ContainsFunc(o.Pieces, func(p Piece) bool {
			b := p.Polygon.Outer.Box()
			return b.Min.Y == z.LevelLine && b.Min.X <= z.Plumb && z.Plumb <= b.Max.X
		})
	}) {
		c.fail("level line %s and plumb line %s of zone %s cross at no piece", z.LevelLine, z.Plumb, z.Zone.Key)
	}
}

// covers checks where the covers lie.
func (c *layoutCheck) covers(l Layout) {
	for i, z := range l.Zones {
		for _, p := range z.Cover {
			for _, r := range p.Rings() {
				for k, q := range r {
					m := middle(q, r[(k+1)%len(r)])
					for _, at := range []rooms.Point{q, m} {
						if deepOutside(l.Outline, at) {
							c.fail("cover of zone %s leaves the outline near (%s, %s)", z.Zone.Key, at.X, at.Y)
						}
						for _, o := range l.Openings {
							if deepInside(o.Outline, at) {
								c.fail("cover of zone %s enters opening %s", z.Zone.Key, o.Key)
							}
						}
						for _, y := range l.Zones[:i] {
							if slices.ContainsFunc(y.Cover, func(o rooms.Polygon) bool { return deepInside(o, at) }) {
								c.fail("zones %s and %s overlap", y.Zone.Key, z.Zone.Key)
							}
						}
					}
				}
			}
		}
	}
}

func middle(a, b rooms.Point) rooms.Point {
	return rooms.Point{X: a.X + (b.X-a.X)/2, Y: a.Y + (b.Y-a.Y)/2}
}

// deepInside and deepOutside leave a border as wide as the tolerance.
func deepInside(p rooms.Polygon, q rooms.Point) bool {
	return p.Place(q) == rooms.Inside && borderDistance(p, q) > checkLine
}

func deepOutside(p rooms.Polygon, q rooms.Point) bool {
	return p.Place(q) == rooms.Outside && borderDistance(p, q) > checkLine
}

// borderDistance is the distance of q from the nearest edge of p.
func borderDistance(p rooms.Polygon, q rooms.Point) rooms.Length {
	best := rooms.Length(math.MaxInt64)
	for _, r := range p.Rings() {
		for i, a := range r {
			best = min(best, pointToSegment(q, a, r[(i+1)%len(r)]))
		}
	}
	return best
}

// pointToSegment is a distance, by the projection's parameter.
func pointToSegment(q, a, b rooms.Point) rooms.Length {
	dx, dy := float64(b.X-a.X), float64(b.Y-a.Y)
	px, py := float64(q.X-a.X), float64(q.Y-a.Y)
	t := (float64(px*dx) + float64(py*dy)) / max(float64(dx*dx)+float64(dy*dy), 1)
	t = min(max(t, 0), 1)
	px, py = px-float64(t*dx), py-float64(t*dy)
	return rooms.Length(math.Sqrt(float64(px*px) + float64(py*py)))
}

// piece checks one piece by itself and against its cover.
func (c *layoutCheck) piece(z *ZoneLayout, p *Piece) {
	tile, ok := c.tiles[p.Tile]
	if !ok {
		c.fail("%s: tile %q does not exist", p.ID, p.Tile)
		return
	}
	if len(p.Polygon.Outer) < 3 || p.Polygon.Outer.Area().Sign() <= 0 || p.Polygon.Outer.CrossesItself() {
		c.fail("%s: its outline is not simple", p.ID)
		return
	}
	for _, r := range p.Polygon.Rings() {
		for i, a := range r {
			for _, at := range []rooms.Point{a, middle(a, r[(i+1)%len(r)])} {
				if !slices.ContainsFunc(z.Cover, func(o rooms.Polygon) bool {
					return o.Place(at) != rooms.Outside || borderDistance(o, at) <= checkCorner
				}) {
					c.fail("%s leaves its cover near (%s, %s)", p.ID, at.X, at.Y)
					return
				}
			}
		}
	}
	c.coverInside(z, p)
	c.whole(p, tile)
	for _, k := range p.Cuts {
		if k.Sized && !p.OnSite && (k.Size < k.Least || k.Size > k.Most) {
			c.fail("%s: size %s outside %s … %s", p.ID, k.Size, k.Least, k.Most)
		}
	}
}

// coverInside checks that no corner of the cover, such as that of an opening,
// sticks into the piece.
func (c *layoutCheck) coverInside(z *ZoneLayout, p *Piece) {
	box := p.Polygon.Outer.Box()
	for _, o := range z.Cover {
		for _, r := range o.Rings() {
			for _, q := range r {
				if box.Meets(rooms.Box{Min: q, Max: q}) && p.Polygon.Place(q) == rooms.Inside && borderDistance(p.Polygon, q) > checkCorner {
					c.fail("%s: the border of its cover runs through it at (%s, %s)", p.ID, q.X, q.Y)
				}
			}
		}
	}
}

// whole checks that full pieces are their tile, turned and moved, and others not.
func (c *layoutCheck) whole(p *Piece, tile Tile) {
	area, want := p.Polygon.AreaMM2(), tile.Shape.AreaMM2()
	if !p.Full {
		if len(p.Cuts) == 0 {
			c.fail("%s: not whole and no cut", p.ID)
		}
		if area > want+1 {
			c.fail("%s: larger than its tile", p.ID)
		}
		return
	}
	if len(p.Polygon.Outer) != len(tile.Shape) || len(p.Polygon.Holes) > 0 || math.Abs(area-want) > 1 {
		c.fail("%s: whole, and not its tile", p.ID)
		return
	}
	by := p.Degrees * math.Pi / 180
	for i, q := range tile.Shape {
		x := float64(q.X)*math.Cos(by) - float64(q.Y)*math.Sin(by) + float64(p.Place.X)
		y := float64(q.X)*math.Sin(by) + float64(q.Y)*math.Cos(by) + float64(p.Place.Y)
		at := p.Polygon.Outer[i]
		if math.Abs(x-float64(at.X)) > float64(checkLine) || math.Abs(y-float64(at.Y)) > float64(checkLine) {
			c.fail("%s: corner %d does not lie where its tile has it", p.ID, i)
			return
		}
	}
}

// boxedPiece is a piece with its box.
type boxedPiece struct {
	*Piece
	box rooms.Box
}

// byLeft are pieces in order of their left ends.
func byLeft(z *ZoneLayout) []boxedPiece {
	list := make([]boxedPiece, len(z.Pieces))
	for i := range z.Pieces {
		list[i] = boxedPiece{&z.Pieces[i], z.Pieces[i].Polygon.Outer.Box()}
	}
	slices.SortStableFunc(list, func(a, b boxedPiece) int { return cmp.Compare(a.box.Min.X, b.box.Min.X) })
	return list
}

// apart checks that every two pieces of a zone are a joint apart.
func (c *layoutCheck) apart(z *ZoneLayout) {
	list := byLeft(z)
	for i, p := range list {
		b := p.box
		b.Max.X += z.Zone.Joint
		b.Max.Y += z.Zone.Joint
		b.Min.Y -= z.Zone.Joint
		for _, q := range list[i+1:] {
			if q.box.Min.X >= b.Max.X {
				break
			}
			if !b.Meets(q.box) {
				continue
			}
			if d := polygonDistance(p.Polygon, q.Polygon); d < z.Zone.Joint-checkLine {
				c.fail("%s and %s lie %s apart, joint %s", p.ID, q.ID, d, z.Zone.Joint)
			}
		}
	}
}

// softJoints checks that no piece reaches into a soft joint of its zone, between its ends.
func (c *layoutCheck) softJoints(z *ZoneLayout) {
	for _, j := range z.Movement {
		reach := j.Width/2 - checkCorner
		band := softStrip(j, max(reach, 1))
		box := band.Outer.Box()
		for i := range z.Pieces {
			p := &z.Pieces[i]
			if !p.Polygon.Outer.Box().Meets(box) {
				continue
			}
			most, least := rooms.Length(math.MinInt64), rooms.Length(math.MaxInt64)
			for _, q := range p.Polygon.Outer {
				d := leftOf(j.A, j.B, q)
				most, least = max(most, d), min(least, d)
			}
			if most > -reach && least < reach && polygonDistance(p.Polygon, band) == 0 {
				c.fail("%s reaches into the soft joint from (%s, %s) to (%s, %s)", p.ID, j.A.X, j.A.Y, j.B.X, j.B.Y)
			}
		}
	}
}

// softStrip is a soft joint so far to both sides of its line, less the tolerance at its ends.
func softStrip(j MovementJoint, half rooms.Length) rooms.Polygon {
	dx, dy := float64(j.B.X-j.A.X), float64(j.B.Y-j.A.Y)
	long := max(math.Sqrt(float64(dx*dx)+float64(dy*dy)), 1)
	at := func(end rooms.Point, on, left rooms.Length) rooms.Point {
		x, y := dx/long, dy/long
		return rooms.Point{X: end.X + rooms.Length(math.Round(float64(x*float64(on))-float64(y*float64(left)))),
			Y: end.Y + rooms.Length(math.Round(float64(y*float64(on))+float64(x*float64(left))))}
	}
	return rooms.Polygon{Outer: rooms.Ring{at(j.A, checkLine, -half), at(j.B, -checkLine, -half), at(j.B, -checkLine, half), at(j.A, checkLine, half)}}
}

// polygonDistance is the distance of two areas, 0 where they overlap.
func polygonDistance(a, b rooms.Polygon) rooms.Length {
	if a.Outer.Meets(b.Outer) || a.Place(b.Outer[0]) == rooms.Inside || b.Place(a.Outer[0]) == rooms.Inside {
		return 0
	}
	best := rooms.Length(math.MaxInt64)
	for _, pair := range [2][2]rooms.Polygon{{a, b}, {b, a}} {
		for _, r := range pair[0].Rings() {
			for _, q := range r {
				best = min(best, borderDistance(pair[1], q))
			}
		}
	}
	return best
}

// bare looks at points spread over the parts of the cover: each must have a piece no
// further away than a joint and what is too narrow to be tile, half as much again in
// corners. Points in a strip of cover no wider than a joint and that do not count.
func (c *layoutCheck) bare(z *ZoneLayout) {
	if len(z.Cover) == 0 || z.Zone.Tile == "" {
		return
	}
	list := byLeft(z)
	for i := range z.Cover {
		c.barePart(z, &z.Cover[i], list)
	}
}

func (c *layoutCheck) barePart(z *ZoneLayout, part *rooms.Polygon, all []boxedPiece) {
	box := part.Outer.Box()
	reach := bareReach(z.Zone.Joint)
	wide := rooms.Box{Min: rooms.Point{X: box.Min.X - reach, Y: box.Min.Y - reach}, Max: rooms.Point{X: box.Max.X + reach, Y: box.Max.Y + reach}}
	var list, near []boxedPiece // to the part, to the column of points
	for _, p := range all {
		if p.box.Meets(wide) {
			list = append(list, p)
		}
	}
	const steps = 73
	for i := range steps {
		x := box.Min.X + box.Width()*rooms.Length(2*i+1)/(2*steps)
		near = near[:0]
		for _, p := range list {
			if p.box.Min.X <= x+reach && p.box.Max.X >= x-reach {
				near = append(near, p)
			}
		}
		for k := range steps {
			at := rooms.Point{X: x, Y: box.Min.Y + box.Height()*rooms.Length(2*k+1)/(2*steps)}
			if !slices.ContainsFunc(near, func(p boxedPiece) bool {
				return p.box.Min.Y <= at.Y+reach && p.box.Max.Y >= at.Y-reach && (p.Polygon.Place(at) != rooms.Outside || borderDistance(p.Polygon, at) <= reach)
			}) && part.Place(at) == rooms.Inside && borderDistance(*part, at) > (z.Zone.Joint+checkBare)/2 {
				c.fail("zone %s is left bare near (%s, %s)", z.Zone.Key, at.X, at.Y)
			}
		}
	}
}

// areas checks that the pieces' stated areas are theirs and add up to no more
// than the cover, but for what rounding corners moves their borders by where no joint
// lies between them.
func (c *layoutCheck) areas(z *ZoneLayout) {
	var cover, pieces rooms.Area
	for _, p := range z.Cover {
		cover = cover.Add(p.Area())
	}
	border := 0.0 // of the pieces, in mm
	for _, p := range z.Pieces {
		pieces = pieces.Add(p.Polygon.Area())
		if math.Abs(p.AreaMM2-p.Polygon.AreaMM2()) > 1 {
			c.fail("%s: stated area %.1f mm², its polygon has %.1f", p.ID, p.AreaMM2, p.Polygon.AreaMM2())
		}
		for i, q := range p.Polygon.Outer {
			border += rooms.Distance(q, p.Polygon.Outer[(i+1)%len(p.Polygon.Outer)]).Millimetres()
		}
	}
	if over := pieces.Sub(cover).MM2(); over > 1+float64(border*(rooms.Micrometre/4).Millimetres()) {
		c.fail("zone %s: its pieces have %.1f mm² more than its cover", z.Zone.Key, over)
	}
}
