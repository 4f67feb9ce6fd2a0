package jobfile

import "potlife/rooms"

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

// circle is the polygon drawn round a circle, so that no tile reaches into it,
// and nowhere more than 0.1 mm outside it.
func circle(x, y, diameter rooms.Length) rooms.Ring {
	return rooms.Circle(rooms.Point{X: x, Y: y}, diameter/2, rooms.Millimetre/10)
}

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
