package rooms

// A doorway set back into its wall leaves a recess in a floor's outline: the ground
// under the door leaf, between the wall's face and the threshold. A border keeps the line
// of the wall across it, and the recess is tiled by itself (common practice).

// deepestRecess is how deep a recess is at most that belongs to a doorway: a thick wall.
const deepestRecess = 500 * Millimetre

// PastRecesses is an outline that runs straight on where doorways are set back into
// their walls, and the recesses it leaves out, each a side of its own. An outline
// without any comes back as it is.
func PastRecesses(outline Ring, edges []Edge) (straight Ring, recesses []Ring) {
	n := len(outline)
	drop := make([]bool, n)
	for i := range outline {
		if n < 6 || i >= len(edges) || edges[i].Meets != Doorway {
			continue
		}
		before, a, p := (i+n-2)%n, (i+n-1)%n, i
		q, b, after := (i+1)%n, (i+2)%n, (i+3)%n
		if drop[a] || drop[p] || drop[q] || drop[b] || !recessed(outline, before, a, p, q, b, after) {
			continue
		}
		recesses = append(recesses, Ring{outline[a], outline[p], outline[q], outline[b]})
		drop[p], drop[q] = true, true
	}
	for i, p := range outline {
		if !drop[i] {
			straight = append(straight, p)
		}
	}
	return straight, recesses
}

// recessed reports whether a → p → q → b goes square into a wall, along a doorway and
// out again, and the wall runs on in one line on both sides.
func recessed(r Ring, before, a, p, q, b, after int) bool {
	return Side(r[before], r[a], r[p]) < 0 && Side(r[q], r[b], r[after]) < 0 && // into the wall
		square(r, p) && square(r, q) && turnsLeft(r, p) && turnsLeft(r, q) &&
		Side(r[before], r[a], r[b]) == 0 && Side(r[a], r[b], r[after]) == 0 &&
		Distance(r[a], r[p]) <= deepestRecess
}
