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

// movement adds the soft joints that runs longer than the limit need, at equal
// distances: in a joint of the pattern where one runs straight through, else
// straight through the tiles.
func (z *zoneLayer) movement(s *rooms.Surface, origin rooms.Point) ([]MovementJoint, error) {
	std := standardNamed(z.in.Standard)
	limit, _ := std.movementLimit(s)
	fig := figures{z.in.Imperial}
	var joints []MovementJoint
	var through []rooms.Polygon
	for _, upright := range []bool{false, true} {
		for _, part := range z.ground.cover {
			b := part.Outer.Box()
			low, high := b.Min.X, b.Max.X
			if upright {
				low, high = b.Min.Y, b.Max.Y
			}
			if high-low <= limit {
				continue
			}
			// A joint of the pattern may lie half a tile off the equal division.
			least := max(limit-z.pitchOf(upright)/2, limit/2)
			n := (high - low + least - 1) / least
			for k := rooms.Length(1); k < n; k++ {
				want := low + (high-low)*k/n
				at, inJoint := z.jointLine(upright, origin, want)
				width := z.lay.joint
				if !inJoint {
					width = max(width, std.moveLeast)
				}
				j := softAt(upright, at, b, width, !inJoint)
				j.Why = fmt.Sprintf("a run of %s needs a soft joint at least every %s", fig.run(high-low), fig.run(limit))
				joints = append(joints, j)
				if j.Through {
					through = append(through, softBand(j.A, j.B, j.Width))
				}
			}
		}
	}
	if len(through) == 0 {
		return joints, nil
	}
	for _, band := range through {
		z.ground.lines = append(z.ground.lines[:len(z.ground.lines):len(z.ground.lines)], softBorders(band, "movement joint")...)
	}
	cover, err := rooms.Subtract(z.ground.cover, through)
	if err != nil {
		return nil, err
	}
	z.setCover(cover)
	return joints, nil
}

// pitchOf is the distance of the pattern's joints, 0 where none run through.
func (z *zoneLayer) pitchOf(upright bool) rooms.Length {
	across, up, ok := z.axesOnly()
	a := across
	if upright {
		a = up
	}
	if !ok || len(a.shifts) > 1 {
		return 0
	}
	return a.size + a.joint
}

// softAt is a soft joint across a box.
func softAt(upright bool, at rooms.Length, b rooms.Box, width rooms.Length, through bool) MovementJoint {
	j := MovementJoint{A: rooms.Point{X: at, Y: b.Min.Y}, B: rooms.Point{X: at, Y: b.Max.Y}, Width: width, Through: through}
	if upright {
		j.A, j.B = rooms.Point{X: b.Min.X, Y: at}, rooms.Point{X: b.Max.X, Y: at}
	}
	return j
}

// jointLine is the centre of the pattern's joint nearest to want, if joints run
// straight through that way; else want itself.
func (z *zoneLayer) jointLine(upright bool, origin rooms.Point, want rooms.Length) (rooms.Length, bool) {
	across, up, ok := z.axesOnly()
	a, o := across, origin.X
	if upright {
		a, o = up, origin.Y
	}
	if !ok || len(a.shifts) > 1 || a.joint == 0 {
		return want, false
	}
	tile := z.lay.turn.ring(z.lay.tiles[0].ring).Box()
	if upright {
		o += tile.Min.Y
	} else {
		o += tile.Min.X
	}
	p := a.size + a.joint
	first := o - (a.joint+1)/2 // the centre of the joint before the tile at the origin
	k := (want - first + p/2) / p
	if want-first+p/2 < 0 {
		k--
	}
	return first + k*p, true
}
