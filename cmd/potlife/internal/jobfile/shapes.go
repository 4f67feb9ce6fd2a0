package jobfile

import (
	"math"

	"potlife/rooms"
)

// pointForm is [x, y].
var pointForm = form[rooms.Point]{
	read: func(r *reader, v *value) (rooms.Point, bool) {
		if v.kind != sequence || len(v.items) != 2 {
			r.fail(v.place, "this is no point", "[x, y]")
			return rooms.Point{}, false
		}
		x, ok := anyLength.read(r, v.items[0])
		y, ok2 := anyLength.read(r, v.items[1])
		return rooms.Point{X: x, Y: y}, ok && ok2
	},
	write: func(p rooms.Point) any { return []any{lengthOut(p.X), lengthOut(p.Y)} },
	schema: func(*schemas) any {
		return ordered{{"type", "array"}, {"items", lengthSchema}, {"minItems", 2}, {"maxItems", 2}}
	},
}

// maxPoints is the longest outline that is read.
const maxPoints = 2000

// ringForm is an outline: points counter-clockwise, no line crossing another.
var ringForm = form[rooms.Ring]{
	read: func(r *reader, v *value) (rooms.Ring, bool) {
		points, ok := listOf(pointForm).read(r, v)
		if !ok || len(points) != len(v.items) {
			return nil, false
		}
		ring := rooms.Ring(points)
		if len(ring) > maxPoints {
			r.failf(v.place, "at most 2000", "the outline has %d points", len(ring))
			return nil, false
		}
		if err := ring.Validate(); err != nil {
			r.failf(v.place, "points [x, y] counter-clockwise round an outline that does not cross itself", "the outline is wrong at %s", err)
			return nil, false
		}
		return ring, true
	},
	write:  func(ring rooms.Ring) any { return listOf(pointForm).write(ring) },
	schema: func(s *schemas) any { return append(listOf(pointForm).schema(s).(ordered), entry{"minItems", 3}) },
}

// rectangle returns the sides of a ring that is a rectangle as rooms.Rect
// makes it from 0, 0.
func rectangle(ring rooms.Ring) (w, h rooms.Length, ok bool) {
	if len(ring) != 4 {
		return 0, 0, false
	}
	w, h = ring[2].X, ring[2].Y
	return w, h, equalRings(ring, rooms.Rect(0, 0, w, h))
}

func equalRings(a, b rooms.Ring) bool {
	if len(a) != len(b) {
		return false
	}
	for i := range a {
		if a[i] != b[i] {
			return false
		}
	}
	return true
}

// circleSides is the number of sides a circle is drawn with: the corners lie
// outside it by 0.9 % of the radius at most, 0.1 mm at a 22 mm pipe.
const circleSides = 24

// circle is the polygon drawn round a circle, so that no tile reaches into
// it. Its angles come from square roots alone, which are the same on every
// processor.
func circle(x, y, diameter rooms.Length) rooms.Ring {
	cos15 := (math.Sqrt(6) + math.Sqrt(2)) / 4
	sin15 := (math.Sqrt(6) - math.Sqrt(2)) / 4
	half := math.Sqrt((1 + cos15) / 2) // cos 7.5°
	radius := float64(diameter) / 2 / half
	quarter := [...][2]float64{{1, 0}, {cos15, sin15}, {math.Sqrt(3) / 2, 0.5}, {math.Sqrt2 / 2, math.Sqrt2 / 2}, {0.5, math.Sqrt(3) / 2}, {sin15, cos15}}
	ring := make(rooms.Ring, 0, circleSides)
	for turn := range 4 {
		for _, q := range quarter {
			c, s := rounded(q[0]*radius), rounded(q[1]*radius)
			for range turn {
				c, s = -s, c
			}
			ring = append(ring, rooms.Point{X: x + c, Y: y + s})
		}
	}
	return ring
}

func rounded(f float64) rooms.Length { return rooms.Length(math.Floor(f + 0.5)) }

// outside reports whether part of a lies outside b.
func outside(a, b rooms.Ring) bool {
	box, in := b.Box(), a.Box()
	if in.Min.X < box.Min.X || in.Min.Y < box.Min.Y || in.Max.X > box.Max.X || in.Max.Y > box.Max.Y {
		return true
	}
	if equalRings(b, rooms.Rect(box.Min.X, box.Min.Y, box.Max.X, box.Max.Y)) {
		return false
	}
	left, err := rooms.Subtract([]rooms.Polygon{{Outer: a}}, []rooms.Polygon{{Outer: b}})
	return err != nil || len(left) > 0
}

// overlap reports whether a and b share more than a line.
func overlap(a, b rooms.Ring) bool {
	p, q := a.Box(), b.Box()
	if p.Max.X <= q.Min.X || q.Max.X <= p.Min.X || p.Max.Y <= q.Min.Y || q.Max.Y <= p.Min.Y {
		return false
	}
	both, err := rooms.Intersect([]rooms.Polygon{{Outer: a}}, []rooms.Polygon{{Outer: b}})
	return err != nil || len(both) > 0
}
