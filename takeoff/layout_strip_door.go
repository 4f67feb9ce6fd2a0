package takeoff

import (
	"fmt"
	"slices"
	"strings"

	"potlife/rooms"
)

// A border that begins at the wall's tile runs straight on across a doorway: its line
// is the wall's. The doorway's edge lies further out, as no tile and bed of a wall stand
// on it, and what is left there outside the border is mostly no row of tile but a strip
// for the threshold (common practice: a setter lays no sliver where everybody treads).
// Where it holds a third of a tile, it is a row.

// doorStrip is what of a doorway lies outside a strip's straight line.
type doorStrip struct {
	edge int
	by   rooms.Length // further out than the strip begins beside it
	row  rooms.Length // of tile that would fit, with its joint
}

// doorStrips lists the doorways in a run of edges in which no row of tile fits beyond
// a strip whose tile is so deep.
func doorStrips(s *rooms.Surface, c rooms.Corrected, run []int, joint, deep rooms.Length) []doorStrip {
	var out []doorStrip
	begins := runOffset(s, c, run)
	for _, e := range run {
		if edgeAt(s, e).Meets != rooms.Doorway {
			continue
		}
		by := begins - runOffset(s, c, []int{e})
		if row := by - joint; by > 0 && 3*row < deep {
			out = append(out, doorStrip{e, by, max(row, 0)})
		}
	}
	return out
}

// reaches reports whether a strip along a→b lies before the whole of edge e, the
// strips beside it at corners included.
func (x innerLine) reaches(r rooms.Ring, e int) bool {
	wide := leftOf(r[e], r[(e+1)%len(r)], x.a)
	for _, p := range [2]rooms.Point{r[e], r[(e+1)%len(r)]} {
		if at := along(x.a, x.b, p); at < -float64(wide+onBorder) || at > float64(rooms.Distance(x.a, x.b)+wide+onBorder) {
			return false
		}
	}
	return true
}

// straightAcross widens the gaps at doorways so that strips run straight across them.
// Each doorway is widened once, whichever strips end at it.
func straightAcross(s *rooms.Surface, moved []innerLine) {
	done := map[int]bool{}
	for i := range moved {
		x := &moved[i]
		x.doors = slices.DeleteFunc(x.doors, func(d doorStrip) bool { return done[d.edge] || !x.reaches(s.Outline, d.edge) })
		for _, d := range x.doors {
			done[d.edge] = true
			e := &s.Edges[d.edge]
			if e.GapMin != 0 || e.GapMax != 0 {
				e.GapMin, e.GapMax = e.GapMin+d.by, e.GapMax+d.by
			}
			e.Gap += d.by
		}
	}
}

// sameLine reports whether another line lies on the same straight: of walls on both
// sides of a recess.
func (x innerLine) sameLine(y innerLine) bool {
	return absLen(leftOf(x.a, x.b, y.a)) <= onBorder && absLen(leftOf(x.a, x.b, y.b)) <= onBorder
}

// doorways says what of doorways is left to the threshold.
func (f *finder) doorways(s *rooms.Surface, moved []innerLine) {
	var words []string
	var most rooms.Length
	for _, x := range moved {
		for _, d := range x.doors {
			if d.row < narrowest {
				continue
			}
			most = max(most, d.row)
			words = append(words, fmt.Sprintf("%s outside zone %s at the %s, where a row of %s would lie", f.length(s.Edges[d.edge].Gap, 1, rooms.Nearest),
				s.Zones[x.zone].Key, s.EdgeName(d.edge), f.length(d.row, 1, rooms.Nearest)))
		}
	}
	if len(words) > 0 {
		f.add("doorway strip", Warn, most.Millimetres(), 0, srcPractice,
			"the line of the wall's tile is kept across the doorway: %s is left to the threshold; take a profile or a stone that covers it, or a border set in from the wall", strings.Join(words, ", "))
	}
}
