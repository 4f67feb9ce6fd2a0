package rooms

// A side of a floor is often more than one edge of its outline: a door divides
// it, the tile of the walls beside a door stands before the line of the doorway,
// and a wall that was read bends a little. No fold begins at any of these.
const (
	// fallStep is how deep a step of a side may be, common practice: more than
	// board, bed and tile of a wall bring.
	fallStep = 60 * Millimetre
	// fallBend is how little a side bends, as one part in so many: less than two
	// chords of an arc do.
	fallBend = 50
)

// fallingSide is one side: the line along it from corner to corner, and the
// outline's edge at which it begins.
type fallingSide struct {
	line Ring
	edge int
}

// fallingSides goes round an outline from corner to corner.
func fallingSides(outline Ring) []fallingSide {
	n := len(outline)
	first := 0
	for first < n-1 && !cornerAt(outline, first) {
		first++
	}
	var out []fallingSide
	for k := range n {
		i := (first + k) % n
		if k == 0 || cornerAt(outline, i) {
			out = append(out, fallingSide{line: Ring{outline[i]}, edge: i})
		}
		s := &out[len(out)-1]
		s.line = append(s.line, outline[(i+1)%n])
	}
	return out
}

// cornerAt reports whether a side of the floor begins at point i: whether the
// edges there run in two directions, and neither is a step in a side.
func cornerAt(outline Ring, i int) bool {
	n := len(outline)
	before := (i + n - 1) % n
	return !sameWay(outline, before, i) && !stepAt(outline, before) && !stepAt(outline, i)
}

// stepAt reports whether edge i is a short step between two edges of one
// direction.
func stepAt(outline Ring, i int) bool {
	n := len(outline)
	return n > 4 && Distance(outline[i], outline[(i+1)%n]) <= fallStep && sameWay(outline, (i+n-1)%n, (i+1)%n)
}

// sameWay reports whether two edges run in one direction, but for a slight bend.
func sameWay(outline Ring, i, k int) bool {
	n := len(outline)
	a, b, c, d := outline[i], outline[(i+1)%n], outline[k], outline[(k+1)%n]
	along := (b.X-a.X)*(d.X-c.X) + (b.Y-a.Y)*(d.Y-c.Y)
	across := (b.X-a.X)*(d.Y-c.Y) - (b.Y-a.Y)*(d.X-c.X)
	return along > 0 && max(across, -across) <= along/fallBend
}
