package takeoff

import (
	"fmt"
	"math"

	"potlife/rooms"
)

// roundWithin is how far the points of a flattened circle may lie off it.
const roundWithin = rooms.Millimetre / 3

// roundText describes a part of a circle by its diameter and its centre, which is what one sets a compass to; false
// where the points lie on no circle. Angles of the wall keep their outline: they have few points.
func (f *framed) roundText(points []rooms.Point) (string, bool) {
	if len(points) < 6 { // two of them are where the joint cuts the circle off
		return "", false
	}
	inner := points[1 : len(points)-1]
	x, y, r, ok := circleThrough(inner[0], inner[len(inner)/2], inner[len(inner)-1])
	if !ok {
		return "", false
	}
	for _, p := range points {
		dx, dy := float64(p.X)-x, float64(p.Y)-y
		if math.Abs(math.Sqrt(float64(dx*dx)+float64(dy*dy))-r) > float64(roundWithin) {
			return "", false
		}
	}
	centre := rooms.Point{X: rooms.Length(math.Round(x)), Y: rooms.Length(math.Round(y))}
	radius := rooms.Length(math.Round(r))
	where := f.fromSides(centre)
	if leftOf(points[0], points[1], centre) > 0 { // the piece lies on the inside
		return fmt.Sprintf("rounded to a radius of %s%s, centre %s", f.figure(radius, rooms.Nearest), f.unit(), where), true
	}
	return fmt.Sprintf("round cut-out of Ø %s%s, centre %s", f.hollow(2*radius), f.unit(), where), true
}

// circleThrough is the circle through three points; false where they lie in a line or almost.
func circleThrough(a, b, c rooms.Point) (x, y, r float64, ok bool) {
	bx, by := float64(b.X-a.X), float64(b.Y-a.Y)
	cx, cy := float64(c.X-a.X), float64(c.Y-a.Y)
	d := 2 * (float64(bx*cy) - float64(by*cx))
	if math.Abs(d) < 1e-3*(float64(bx*bx)+float64(by*by)+float64(cx*cx)+float64(cy*cy)) {
		return 0, 0, 0, false
	}
	b2, c2 := float64(bx*bx)+float64(by*by), float64(cx*cx)+float64(cy*cy)
	x, y = (float64(cy*b2)-float64(by*c2))/d, (float64(bx*c2)-float64(cx*b2))/d
	return x + float64(a.X), y + float64(a.Y), math.Sqrt(float64(x*x) + float64(y*y)), true
}

// fromSides says, to the nearest figure since a centre is marked and not cut, where a
// point lies from the tile's left and lower edge, outside it too.
func (f *framed) fromSides(p rooms.Point) string {
	b := f.shape.Box()
	return f.fromSide(p.X-b.Min.X, "left") + " and " + f.fromSide(p.Y-b.Min.Y, "lower")
}

func (f *framed) fromSide(d rooms.Length, side string) string {
	if d < 0 {
		return fmt.Sprintf("%s%s outside the %s edge", f.figure(-d, rooms.Nearest), f.unit(), side)
	}
	return fmt.Sprintf("%s%s from the %s edge", f.figure(d, rooms.Nearest), f.unit(), side)
}
