package takeoff

import (
	"cmp"
	"fmt"
	"math"
	"strconv"

	"potlife/rooms"
)

// angle is what an outside corner measures through the wall, in degrees, to half a
// degree: as one of its edges says, else as the floor turns between the feet of two
// walls, else a right angle.
func (a arris) angle(in RoomToLay) float64 {
	list := in.Room.Surfaces
	if said := cmp.Or(edgeAt(&list[a.i], a.e).Angle, edgeAt(&list[a.k], a.edge).Angle); said > 0 {
		return said
	}
	if a.opening >= 0 || !standing(&list[a.i]) || !standing(&list[a.k]) {
		return 90
	}
	for f := range list {
		if list[f].Kind != rooms.Floor {
			continue
		}
		p, q, ok := footOf(&in.Room, &list[f], &list[a.i])
		r, t, too := footOf(&in.Room, &list[f], &list[a.k])
		if !ok || !too {
			continue
		}
		switch { // the floor lies left of both
		case q == r:
			return turnedBy(p, q, t)
		case t == p:
			return turnedBy(r, p, q)
		}
	}
	return 90
}

// turnedBy is the angle outside a floor at b, where its outline comes from a and goes
// on to c; a right angle where it does not turn outwards there.
func turnedBy(a, b, c rooms.Point) float64 {
	x0, y0 := float64(b.X-a.X), float64(b.Y-a.Y)
	x1, y1 := float64(c.X-b.X), float64(c.Y-b.Y)
	cross, dot := float64(x0*y1)-float64(y0*x1), float64(x0*x1)+float64(y0*y1)
	if cross >= 0 {
		return 90
	}
	return math.Round((180+math.Atan2(cross, dot)*180/math.Pi)*2) / 2
}

// mitreReach is how far a face runs beyond a bare corner to the line in which its
// finished plane, own off the ground, meets the other's: (other + own cos a) / sin a,
// at a right angle what the other stands off. It is rounded to 0.01 mm, so that no
// processor's last digit decides.
func mitreReach(own, other rooms.Length, degrees float64) rooms.Length {
	if degrees == 90 {
		return other
	}
	a := degrees * math.Pi / 180
	reach := (float64(other) + float64(float64(own)*math.Cos(a))) / math.Sin(a)
	const grain = 10 * rooms.Micrometre
	return max(0, rooms.Length(math.Round(reach/float64(grain)))*grain)
}

// mitreWords says how a side is mitred at a corner of so many degrees: between face
// and cut lies half of them, and the saw stands at the rest of a right angle.
func mitreWords(side string, degrees float64) string {
	if degrees == 0 || degrees == 90 {
		return fmt.Sprintf("mitre the %s edge at 45° from behind, the face left whole", side)
	}
	show := func(v float64) string { return strconv.FormatFloat(v, 'f', -1, 64) + "°" }
	return fmt.Sprintf("mitre the %s edge from behind, the face left whole: half the corner's %s, %s between face and cut, the saw tilted %s from square", side, show(degrees), show(degrees/2), show(90-degrees/2))
}
