package rooms

import (
	"fmt"
	"strings"
)

// EdgeNames calls the edges of an outline by where they lie on the drawing:
// "bottom", "right", "top", "left", or "slanted"; names that would be alike are
// numbered in the order of the outline, from 1: "top (2)".
func (r Ring) EdgeNames() []string {
	names := make([]string, len(r))
	for i, a := range r {
		b := r[(i+1)%len(r)]
		switch dx, dy := b.X-a.X, b.Y-a.Y; {
		case dy == 0 && dx > 0:
			names[i] = "bottom"
		case dy == 0 && dx < 0:
			names[i] = "top"
		case dx == 0 && dy > 0:
			names[i] = "right"
		case dx == 0 && dy < 0:
			names[i] = "left"
		default:
			names[i] = "slanted"
		}
	}
	times, n := map[string]int{}, map[string]int{}
	for _, s := range names {
		times[s]++
	}
	for i, s := range names {
		if times[s] > 1 {
			n[s]++
			names[i] = fmt.Sprintf("%s (%d)", s, n[s])
		}
	}
	return names
}

// EdgeNames is EdgeName of every edge.
func (s *Surface) EdgeNames() []string {
	names := s.Outline.EdgeNames()
	for i := range names {
		names[i] = edgeWords(names[i])
	}
	return names
}

// EdgeName is "bottom edge", or "top edge (2)" where several lie alike; the step
// between two edges that do not meet (-1) is called so.
func (s *Surface) EdgeName(i int) string {
	if i < 0 || i >= len(s.Outline) {
		return "step"
	}
	return edgeWords(s.Outline.EdgeNames()[i])
}

// edgeWords puts the word edge before a number.
func edgeWords(name string) string {
	side, number, _ := strings.Cut(name, " ")
	return strings.TrimSpace(side + " edge " + number)
}
