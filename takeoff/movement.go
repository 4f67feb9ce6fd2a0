package takeoff

import (
	"fmt"

	"potlife/rooms"
)

// softBand is the strip of a soft joint.
func softBand(a, b rooms.Point, width rooms.Length) rooms.Polygon {
	half := width / 2
	a0, b0 := rooms.Shift(a, b, half, false)
	a1, b1 := rooms.Shift(a, b, width-half, true)
	return rooms.Polygon{Outer: rooms.Ring{a0, b0, b1, a1}}
}

// softBorders are the two lines of a band. A soft joint may come out half a
// millimetre narrower and a millimetre wider, as joints between zones may.
func softBorders(p rooms.Polygon, name string) []border {
	r := p.Outer
	x := border{kind: borderZone, edge: -1, name: name, less: defaultJointSlack, more: defaultJointSlack / 2}
	lower, upper := x, x
	lower.a, lower.b = r[0], r[1]
	upper.a, upper.b = r[2], r[3]
	return []border{lower, upper}
}

// softJoints takes the surface's own soft joints off the cover.
func (g *ground) softJoints() error {
	var bands []rooms.Polygon
	for i, j := range g.surface.SoftJoints {
		if j.A == j.B || j.Width <= 0 {
			return fmt.Errorf("soft joint %d: it needs two different ends and a width", i)
		}
		band := softBand(j.A, j.B, j.Width)
		bands = append(bands, band)
		name := j.Name
		if name == "" {
			name = fmt.Sprint(i)
		}
		g.lines = append(g.lines, softBorders(band, "soft joint "+name)...)
	}
	if len(bands) == 0 {
		return nil
	}
	cover, err := rooms.Subtract(g.cover, bands)
	g.cover = cover
	return err
}

// movement adds the soft joints that runs longer than the limit need: in joints of the
// pattern where some run straight through, else straight through the tiles where the
// pieces beside them come out widest. Origin is where the pattern lies.
func (z *zoneLayer) movement(s *rooms.Surface, origin rooms.Point) ([]MovementJoint, error) {
	std := standardNamed(z.in.Standard)
	limit, _ := std.movementLimit(s)
	fig := figures{z.in.Imperial}
	var joints []MovementJoint
	var through []rooms.Polygon
	for _, upright := range []bool{false, true} {
		for i := range z.ground.cover {
			b := z.ground.cover[i].Outer.Box()
			r := longRun{upright: upright, low: b.Min.X, high: b.Max.X, limit: limit}
			if upright {
				r.low, r.high = b.Min.Y, b.Max.Y
			}
			if r.high-r.low <= limit {
				continue
			}
			places, inJoint, err := z.divideRun(r, i, origin, max(z.lay.joint, std.moveLeast))
			if err != nil {
				return nil, err
			}
			width := z.lay.joint
			if !inJoint {
				width = max(width, std.moveLeast)
			}
			for _, at := range places {
				j := softAt(upright, at, r.endsAt(z.ground.cover[i].Outer, at, width), width, !inJoint)
				j.Why = fmt.Sprintf("a run of %s needs a soft joint at least every %s", fig.run(r.high-r.low), fig.run(limit))
				joints = append(joints, j)
				if j.Through {
					through = append(through, softBand(j.A, j.B, j.Width))
				}
			}
		}
	}
	return joints, z.cutThrough(through)
}

// cutThrough takes soft joints that run through the tiles off the cover.
func (z *zoneLayer) cutThrough(bands []rooms.Polygon) error {
	if len(bands) == 0 {
		return nil
	}
	for _, band := range bands {
		z.ground.lines = append(z.ground.lines[:len(z.ground.lines):len(z.ground.lines)], softBorders(band, "movement joint")...)
	}
	cover, err := rooms.Subtract(z.ground.cover, bands)
	if err != nil {
		return err
	}
	z.setCover(cover)
	return nil
}

// softAt is a soft joint across a box.
func softAt(upright bool, at rooms.Length, b rooms.Box, width rooms.Length, through bool) MovementJoint {
	j := MovementJoint{A: rooms.Point{X: at, Y: b.Min.Y}, B: rooms.Point{X: at, Y: b.Max.Y}, Width: width, Through: through}
	if upright {
		j.A, j.B = rooms.Point{X: b.Min.X, Y: at}, rooms.Point{X: b.Max.X, Y: at}
	}
	return j
}
