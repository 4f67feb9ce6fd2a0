package takeoff

import (
	"cmp"
	"fmt"
	"math"
	"slices"
	"strconv"

	"potlife/rooms"
)

// angle is what an outside corner measures through the wall, in degrees, to half a
// degree: as one of its edges says, else as the floor turns between the feet of two
// walls, else a right angle.
func (a arris) angle(in RoomToLay) float64 {
	degrees, _ := a.angleKnown(in)
	return degrees
}

// angleKnown is angle, and whether anything tells it: edges of a niche, a kerb or a
// bench are square to the face they end.
func (a arris) angleKnown(in RoomToLay) (degrees float64, known bool) {
	list := in.Room.Surfaces
	if said := cmp.Or(edgeAt(&list[a.i], a.e).Angle, edgeAt(&list[a.k], a.edge).Angle); said > 0 {
		return said, true
	}
	if a.opening >= 0 || !standing(&list[a.i]) || !standing(&list[a.k]) {
		return 90, true
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
			return turnedBy(p, q, t), true
		case t == p:
			return turnedBy(r, p, q), true
		}
	}
	return 90, false
}

// mitreAngles says, of each mitred corner of two walls whose angle neither an edge
// nor the floor tells, that it is taken as square. A corner is told once.
func (f *finder) mitreAngles(w *surfaceWork) {
	list := w.in.Room.Surfaces
	i := slices.IndexFunc(list, func(s rooms.Surface) bool { return s.Key == w.surface.Key })
	if i < 0 || len(list[i].Outline) != len(w.surface.Outline) {
		return
	}
	for e := range min(len(w.surface.Edges), len(w.surface.Outline), len(list[i].Edges)) {
		own := w.surface.Edges[e]
		if own.Meets != rooms.OutsideCorner || own.Fill != rooms.FillMitre {
			continue
		}
		a, shared := arrisAt(w.in.Room.Key, list, i, e)
		if shared {
			if _, known := a.angleKnown(w.in); known || a.k < i {
				continue
			}
		} else if own.Angle > 0 || !standing(w.surface) {
			continue
		}
		f.add("mitre angle", Info, 90, 0, srcPractice,
			"%s, outside corner: mitred for a right angle, as neither its edges say an angle nor a floor's outline shows it; hold a square to it before anything is cut, and write its angle where it is another", w.surface.EdgeName(e))
	}
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
