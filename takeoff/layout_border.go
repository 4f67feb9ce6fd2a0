package takeoff

import (
	"cmp"
	"fmt"

	"potlife/rooms"
)

// border is one line that bounds a cover, with what keeps tile away from it.
type border struct {
	a, b rooms.Point
	// name says what made it: "top edge, inside corner", "opening window", "zone
	// band" (the one beyond), "fold to field 2", "free edge of zone field".
	name string
	// less and more are how much smaller or larger a cut may come out than to
	// the line itself: the gap may grow to its most or shrink to its least.
	less, more rooms.Length
	// wait is why pieces here are measured on site; empty where they may be cut
	// ahead.
	wait string
	kind int
	// edge is the index of the surface's edge, opening or zone.
	edge int
	// mitre says that the tile that ends here is mitred, at a corner of so many
	// degrees (0: a right angle).
	mitre   bool
	degrees float64
}

// Kinds of border.
const (
	borderEdge = iota
	borderOpening
	borderZone
	borderFold // between two planes of one zone
	borderFree // where nothing is tiled beyond
)

// Limits of a gap for which none are given, and of a joint between two zones:
// common practice, each a default that an edge overrides.
const (
	defaultGapSlack   = 2 * rooms.Millimetre
	defaultJointSlack = rooms.Millimetre
)

// slack turns a gap's limits into what a cut may lack or exceed.
func slack(gap, least, most rooms.Length) (less, more rooms.Length) {
	if least == 0 && most == 0 {
		return defaultGapSlack, min(defaultGapSlack, gap)
	}
	return max(most-gap, 0), max(gap-least, 0)
}

// edgeAt is edge i of the surface; edges that are not described have no gap.
func edgeAt(s *rooms.Surface, i int) rooms.Edge {
	if i >= 0 && i < len(s.Edges) {
		return s.Edges[i]
	}
	return rooms.Edge{}
}

// edgeBorders are the lines along the corrected outline, gaps taken off.
func edgeBorders(s *rooms.Surface, c rooms.Corrected) (lines []border, gaps []rooms.Length) {
	names, disputes := edgeNames(s, c), s.Disputes(0)
	for i, a := range c.Outline {
		b := c.Outline[(i+1)%len(c.Outline)]
		e := edgeAt(s, c.Edge[i])
		x := border{name: names[i], kind: borderEdge, edge: c.Edge[i], mitre: e.Fill == rooms.FillMitre, degrees: e.Angle}
		if e.Meets != "" {
			x.name += ", " + e.Meets
		}
		x.a, x.b = rooms.Shift(a, b, e.Gap, true)
		x.less, x.more = slack(e.Gap, e.GapMin, e.GapMax)
		switch e := c.Edge[i]; {
		case e >= 0 && e < len(disputes) && disputes[e] != "":
			x.wait = "measures at " + x.name + " contradict each other; " + disputes[e]
		case s.Released(e):
		case !s.ReadLast():
			x.wait = notRead(s)
		default:
			x.wait = x.name + " is not measured yet"
		}
		lines = append(lines, x)
		gaps = append(gaps, e.Gap)
	}
	return lines, gaps
}

// edgeNames calls each edge of the corrected outline as the surface does.
func edgeNames(s *rooms.Surface, c rooms.Corrected) []string {
	names, own := make([]string, len(c.Edge)), s.EdgeNames()
	for i, e := range c.Edge {
		if names[i] = "step"; e >= 0 {
			names[i] = own[e]
		}
	}
	return names
}

// notRead says what is still to be measured before anything is cut.
func notRead(s *rooms.Surface) string {
	if last := s.LastLayer(); last != "" && rooms.Beneath(s.Layer, last) {
		return fmt.Sprintf("%s is not measured on the %s yet", cmp.Or(s.Name, s.Key), last)
	}
	return fmt.Sprintf("%s is not measured on its last layer yet", cmp.Or(s.Name, s.Key))
}

// openingBorders are the lines around an opening with its gap.
func openingBorders(s *rooms.Surface, k int, ring rooms.Ring) []border {
	o := s.Openings[k]
	var lines []border
	for i, a := range ring {
		x := border{name: "opening " + o.Key, kind: borderOpening, edge: k, mitre: o.Fill == rooms.FillMitre}
		x.a, x.b = rooms.Shift(a, ring[(i+1)%len(ring)], o.Gap, false)
		x.less, x.more = slack(o.Gap, o.GapMin, o.GapMax)
		switch {
		case !s.ReadLast():
			x.wait = notRead(s)
		case o.NotYet:
			x.wait = x.name + " is not in place yet"
		}
		lines = append(lines, x)
	}
	return lines
}

// onBorder is how far from a border's line an edge of the cover may lie and
// still be its part: rounding of a few operations.
const onBorder = 8

// matchBorder is the index of the border along which the edge p–q runs: the
// nearest of those on whose line both ends lie, else the one nearest to its
// middle.
func matchBorder(lines []border, p, q rooms.Point) int {
	best, off := -1, rooms.Length(1<<62)
	for i, x := range lines {
		if x.a == x.b {
			continue
		}
		d := max(absLen(leftOf(x.a, x.b, p)), absLen(leftOf(x.a, x.b, q)))
		if d > onBorder || !overlaps(x, p, q) {
			continue
		}
		if d < off {
			best, off = i, d
		}
	}
	if best >= 0 {
		return best
	}
	m := rooms.Point{X: (p.X + q.X) / 2, Y: (p.Y + q.Y) / 2}
	for i, x := range lines {
		if d := spanDistance(x.a, x.b, m); d < off {
			best, off = i, d
		}
	}
	return best
}

func absLen(l rooms.Length) rooms.Length { return max(l, -l) }

// overlaps reports whether p–q and the border have a stretch in common, seen
// along the border.
func overlaps(x border, p, q rooms.Point) bool {
	long := float64(rooms.Distance(x.a, x.b))
	s, t := along(x.a, x.b, p), along(x.a, x.b, q)
	return min(s, t) < long-1 && max(s, t) > 1
}

// along is how far p lies along a→b.
func along(a, b, p rooms.Point) float64 {
	dx, dy := float64(b.X-a.X), float64(b.Y-a.Y)
	return (float64(dx*float64(p.X-a.X)) + float64(dy*float64(p.Y-a.Y))) / float64(max(rooms.Distance(a, b), 1))
}

// spanDistance is the distance of p from the segment a–b.
func spanDistance(a, b, p rooms.Point) rooms.Length {
	if a == b {
		return rooms.Distance(a, p)
	}
	switch t := along(a, b, p); {
	case t <= 0:
		return rooms.Distance(a, p)
	case t >= float64(rooms.Distance(a, b)):
		return rooms.Distance(b, p)
	}
	return absLen(leftOf(a, b, p))
}
