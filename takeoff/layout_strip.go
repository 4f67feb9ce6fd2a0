package takeoff

import (
	"fmt"
	"math"
	"slices"
	"strings"

	"potlife/rooms"
)

// A strip along an edge - one side of a border, a plinth at a wall's foot - is drawn
// from the bare edge, as deep as one or two courses of its tile with their joints. Its
// tile starts off that edge by the gap and by what the finish of the neighbour takes
// off, so its inner line is moved in by as much: the courses stay whole. Sides of
// other zones on that line move with it. A zone of any other depth ends at the line
// that was given.

// stripCourses is how many courses a strip has at most: a zone of more ends at a
// height or a line that was meant.
const stripCourses = 2

// stripDepth is how far a strip's drawn depth may be off its courses: as measures are
// rounded.
const stripDepth = rooms.Millimetre / 2

// innerLine is the inner line of a strip along a straight run of edges, and how far
// it moves in.
type innerLine struct {
	a, b rooms.Point // in the direction of the run
	by   rooms.Length
	zone int
	edge int
	// outer is the strip's outer side, where it runs on beyond the edge.
	outer bool
	// pastDoor says that the run is a wall with a doorway in it; doors are those that
	// the strip passes straight.
	pastDoor bool
	doors    []doorStrip
}

// moved is the line where it goes.
func (x innerLine) moved() (a, b rooms.Point) { return rooms.Shift(x.a, x.b, x.by, true) }

// holds reports whether p lies on the line's stretch.
func (x innerLine) holds(p rooms.Point) bool { return spanDistance(x.a, x.b, p) <= onBorder }

// stripped is a surface of which the strips along its edges are moved in; moved tells
// how, for the drawing's reader. A surface without such strips comes back as it is.
func stripped(in RoomToLay, s *rooms.Surface) (out *rooms.Surface, moved []innerLine) {
	if !slices.ContainsFunc(s.Zones, func(z rooms.Zone) bool { return len(z.Region) > 0 && z.Tile != "" }) || s.Outline.Validate() != nil {
		return s, nil
	}
	c, err := s.Correct()
	if err != nil {
		return s, nil // said where the surface itself is prepared
	}
	for i, z := range s.Zones {
		if lay := stripLattice(in, z); lay != nil && z.Region.Validate() == nil {
			moved = append(moved, innerLines(s, c, i, lay)...)
		}
	}
	if moved = apartFromOthers(moved); len(moved) == 0 {
		return s, nil
	}
	for i := range moved {
		moved[i].goOver(moved, s.Zones)
	}
	copied := *s
	copied.Zones, copied.Edges = slices.Clone(s.Zones), slices.Clone(s.Edges)
	for i := range copied.Zones {
		r := movedRegion(copied.Zones[i].Region, moved)
		if len(r) > 0 && r.Validate() != nil { // no room is left: as it was drawn
			return s, nil
		}
		copied.Zones[i].Region = r
	}
	for _, x := range moved {
		if x.pastDoor {
			startAt(x, &copied.Zones[x.zone].Datum)
		}
	}
	straightAcross(&copied, moved)
	return &copied, moved
}

// apartFromOthers leaves out strips that lie back to back, from edge to edge: the line
// between them cannot go both ways.
func apartFromOthers(all []innerLine) []innerLine {
	backToBack := func(x innerLine) bool {
		return slices.ContainsFunc(all, func(y innerLine) bool {
			return !x.outer && !y.outer && y.zone != x.zone && sideOn(rooms.Ring{x.b, x.a}, y.a, y.b)
		})
	}
	var held []innerLine
	for _, x := range all {
		if backToBack(x) {
			held = append(held, x)
		}
	}
	return slices.DeleteFunc(slices.Clone(all), func(x innerLine) bool {
		return slices.ContainsFunc(held, func(y innerLine) bool { return y.zone == x.zone && y.edge == x.edge })
	})
}

// onLine reports whether a point lies on the line, on its stretch or beyond.
func (x innerLine) onLine(p rooms.Point) bool { return absLen(leftOf(x.a, x.b, p)) <= onBorder }

// goOver lets the line go on along the whole sides of zones that lie over the strip: moved
// for the strip's length alone, it would leave a notch in them.
func (x *innerLine) goOver(moved []innerLine, zones []rooms.Zone) {
	for again := true; again; {
		again = false
		for i, z := range zones {
			own := slices.ContainsFunc(moved, func(y innerLine) bool { return y.zone == i && x.onLine(y.a) && x.onLine(y.b) })
			for k, p := range z.Region {
				q := z.Region[(k+1)%len(z.Region)]
				if own || !x.onLine(p) || !x.onLine(q) || along(x.a, x.b, p) >= along(x.a, x.b, q) || !overlaps(border{a: x.a, b: x.b}, p, q) {
					continue
				}
				if a, b := x.a, x.b; !x.holds(p) && along(a, b, p) < 0 {
					x.a, again = p, true
				}
				if a, b := x.a, x.b; !x.holds(q) && along(b, a, q) < 0 {
					x.b, again = q, true
				}
			}
		}
	}
}

// takes reports whether corner i of a region goes with the line: where a side lies along
// it, only if the line reaches over all of that side.
func (x innerLine) takes(r rooms.Ring, i int) bool {
	n := len(r)
	before, after := r[(i+n-1)%n], r[(i+1)%n]
	if !x.holds(r[i]) {
		return false
	}
	return x.holds(before) || x.holds(after) || !x.onLine(before) && !x.onLine(after)
}

// startAt starts a strip that passes a doorway with whole tiles at its inner line: the
// doorway reaches further out, and a course that is as wide as both would be cut along
// the whole wall.
func startAt(x innerLine, d *rooms.Datum) {
	across, up := "", ""
	switch wallOf(x.a, x.b) { // of the edge, which runs the same way
	case 1:
		across = rooms.FullRight
	case 2:
		across = rooms.FullLeft
	case 3:
		up = rooms.FullHigh
	case 4:
		up = rooms.FullLow
	}
	if bestWanted(d.Across) && across != "" {
		d.Across = across
	}
	if bestWanted(d.Up) && up != "" {
		d.Up = up
	}
}

// stripLattice is the pattern of a zone whose tiles are all alike and lie in courses;
// nil of any other.
func stripLattice(in RoomToLay, z rooms.Zone) *lattice {
	if len(z.Region) == 0 || z.Tile == "" || z.Joint < 0 {
		return nil
	}
	tiles, err := zoneTiles(in, z)
	if err != nil {
		return nil // said where the zone is prepared
	}
	pattern, err := PatternNamed(z.Pattern, in.Patterns)
	if err != nil {
		return nil
	}
	l, err := pattern.build(tiles, z.Joint, z.Sideways, z.Turn)
	if err != nil || len(l.tiles) != l.courses {
		return nil
	}
	for _, t := range l.tiles {
		if b := l.tiles[0].box; !t.isBox() || t.box.Width() != b.Width() || t.box.Height() != b.Height() {
			return nil
		}
	}
	return l
}

// innerLines finds the sides of zone i that lie as deep as its courses inside an edge
// on which the zone's opposite side lies.
func innerLines(s *rooms.Surface, c rooms.Corrected, i int, l *lattice) []innerLine {
	var out []innerLine
	z := s.Zones[i]
	for _, run := range straightRuns(s.Outline) {
		a, b := s.Outline[run[0]], s.Outline[(run[len(run)-1]+1)%len(s.Outline)]
		pitch := l.pitchAcross(a, b)
		if pitch == 0 || !sideOn(z.Region, a, b) {
			continue
		}
		by := runOffset(s, c, run) - (z.Joint+1)/2
		door := func(e int) bool { return edgeAt(s, e).Meets == rooms.Doorway }
		doors := slices.ContainsFunc(run, door) && slices.ContainsFunc(run, func(e int) bool { return !door(e) })
		var found []innerLine
		for k, p := range z.Region {
			q := z.Region[(k+1)%len(z.Region)]
			deep := leftOf(a, b, p)
			n := (deep + pitch/2) / pitch
			if n < 1 || n > stripCourses || absLen(deep-n*pitch) > stripDepth || absLen(leftOf(a, b, q)-deep) > onBorder || along(a, b, p) <= along(a, b, q) {
				continue // the inner side runs the other way
			}
			if endsAtEdge(s.Outline, p, q) {
				continue // from edge to edge
			}
			x := innerLine{a: q, b: p, by: by + n*pitch - deep, zone: i, edge: run[0], pastDoor: doors}
			if doors {
				x.doors = doorStrips(s, c, run, z.Joint, pitch-z.Joint)
			}
			found = append(found, x)
		}
		if p, q, ok := goesOn(z.Region, a, b); ok && len(found) > 0 {
			found = append(found, innerLine{a: p, b: q, by: by, zone: i, edge: run[0], outer: true})
		}
		out = append(out, found...)
	}
	return out
}

// endsAtEdge reports whether a side of a region runs along an edge for a stretch.
func endsAtEdge(outline rooms.Ring, p, q rooms.Point) bool {
	for i, a := range outline {
		if sideOn(rooms.Ring{p, q}, a, outline[(i+1)%len(outline)]) {
			return true
		}
	}
	return false
}

// goesOn is the side of a region that runs along a–b and on beyond it: past a corner
// that juts in, where the next strip ends at it. It is moved in as the inner side is.
func goesOn(r rooms.Ring, a, b rooms.Point) (p, q rooms.Point, ok bool) {
	for i, p := range r {
		q := r[(i+1)%len(r)]
		if sideOn(rooms.Ring{p, q}, a, b) && (spanDistance(a, b, p) > onBorder || spanDistance(a, b, q) > onBorder) {
			return p, q, true
		}
	}
	return p, q, false
}

// straightRuns are the outline's edges by straight sides: a doorway divides a side.
func straightRuns(r rooms.Ring) [][]int {
	var out [][]int
	n, first := len(r), 0
	turns := func(i int) bool { return rooms.Side(r[(i+n-1)%n], r[i], r[(i+1)%n]) != 0 }
	for first < n-1 && !turns(first) {
		first++
	}
	for k := range n {
		if i := (first + k) % n; k == 0 || turns(i) {
			out = append(out, []int{i})
		} else {
			out[len(out)-1] = append(out[len(out)-1], i)
		}
	}
	return out
}

// sideOn reports whether a side of a region runs along a–b for a stretch: at a corner
// that juts in a strip goes on beyond it.
func sideOn(r rooms.Ring, a, b rooms.Point) bool {
	for i, p := range r {
		q := r[(i+1)%len(r)]
		if absLen(leftOf(a, b, p)) <= onBorder && absLen(leftOf(a, b, q)) <= onBorder && along(a, b, p) < along(a, b, q) && overlaps(border{a: a, b: b}, p, q) {
			return true
		}
	}
	return false
}

// pitchAcross is how deep a course with its joint is, square to a–b; 0 where the
// courses neither run along a–b nor, all in line, square to it.
func (l *lattice) pitchAcross(a, b rooms.Point) rooms.Length {
	long := float64(max(rooms.Distance(a, b), 1))
	along := math.Abs(float64(float64(b.X-a.X)/long*l.turn.cos) + float64(float64(b.Y-a.Y)/long*l.turn.sin))
	box := l.tiles[0].box
	switch {
	case along > 0.9999: // within half a degree
		return box.Height() + l.joint
	case along < 0.0001 || along < 0.009 && l.courses == 1:
		for _, t := range l.tiles {
			if t.box.Min.X != box.Min.X {
				return 0
			}
		}
		return box.Width() + l.joint
	}
	return 0
}

// runOffset is how far inside of a run of edges tile may start: the most that
// readings and build-up move any of them in, with its gap. Doorways in a wall reach
// out; they count where there is nothing else.
func runOffset(s *rooms.Surface, c rooms.Corrected, run []int) rooms.Length {
	most, found := rooms.Length(0), false
	for _, doors := range [2]bool{false, true} {
		for _, e := range run {
			at := edgeAt(s, e)
			if (at.Meets == rooms.Doorway) != doors {
				continue
			}
			a, b := s.Outline[e], s.Outline[(e+1)%len(s.Outline)]
			for k, edge := range c.Edge {
				if edge != e {
					continue
				}
				for _, p := range [2]rooms.Point{c.Outline[k], c.Outline[(k+1)%len(c.Outline)]} {
					if d := leftOf(a, b, p) + at.Gap; !found || d > most {
						most, found = d, true
					}
				}
			}
		}
		if found {
			break
		}
	}
	return most
}

// movedRegion is a region of which the corners on inner lines go with them: each
// along its other side, and where two lines meet to the place where they cross.
func movedRegion(r rooms.Ring, lines []innerLine) rooms.Ring {
	out := slices.Clone(r)
	n := len(r)
	for i, p := range r {
		var at []innerLine
		for _, x := range lines {
			if x.takes(r, i) && !slices.ContainsFunc(at, func(y innerLine) bool { return y.edge == x.edge || y.sameLine(x) }) {
				at = append(at, x)
			}
		}
		if len(at) == 0 {
			continue
		}
		a, b := at[0].moved()
		c, d := r[(i+n-1)%n], p // the other side
		if at[0].holds(c) || absLen(leftOf(at[0].a, at[0].b, c)) <= onBorder {
			c, d = p, r[(i+1)%n]
		}
		if len(at) > 1 {
			c, d = at[1].moved()
		}
		if q, ok := rooms.CrossLines(a, b, c, d); ok {
			out[i] = q
		}
	}
	return out
}

// strips says by how much strips were moved in.
func (f *finder) strips(s *rooms.Surface, moved []innerLine) {
	var words []string
	var most rooms.Length
	for _, x := range moved {
		if x.by == 0 || x.outer {
			continue
		}
		most = max(most, absLen(x.by))
		way := "in"
		if x.by < 0 {
			way = "out"
		}
		words = append(words, fmt.Sprintf("zone %s by %s at the %s", s.Zones[x.zone].Key, f.length(absLen(x.by), 1, rooms.Nearest)+" "+way, s.EdgeName(x.edge)))
	}
	if len(words) > 0 {
		f.add("strip", Info, most.Millimetres(), 0, srcPractice, "moved so that whole courses lie between the gap at the edge and the next zone: %s", strings.Join(words, ", "))
	}
}
