package takeoff

import "potlife/rooms"

// ownGaps answers whether two pieces are clear of each other in two of their places.
// A search for tiles to do without asks the same again and again.
type ownGaps struct {
	hulls [][]rooms.Ring // of each piece in each place
	grow  []rooms.Length // of each piece
	sawn  []rooms.Length // of each piece, the kerf if its cuts lose one
	first []int          // of each piece, the number of its first place
	known []clearance    // by the numbers of two places; none where they are too many
	size  int            // places
}

type clearance byte

const (
	notAsked clearance = iota
	areClear
	notClear
)

// mostGaps bounds the places of which answers are kept: there is one for any two.
const mostGaps = 1024

func (t *taker) ownGaps(share []cutPiece, hulls [][]rooms.Ring) ownGaps {
	g := ownGaps{hulls: hulls}
	for i := range share {
		kerf := rooms.Length(0)
		if share[i].wet {
			kerf = t.kerf()
		}
		g.grow, g.sawn, g.first = append(g.grow, growth(share[i])), append(g.sawn, kerf), append(g.first, g.size)
		g.size += len(hulls[i])
	}
	if g.size <= mostGaps {
		g.known = make([]clearance, g.size*g.size)
	}
	return g
}

// between is what must be left between two pieces: the kerf if either is sawn, and as
// much as those still to be measured may grow.
func (g *ownGaps) between(i, j int) rooms.Length {
	return g.grow[i] + g.grow[j] + max(g.sawn[i], g.sawn[j])
}

// clear reports whether piece i in its place k is clear of piece j in its place l.
func (g *ownGaps) clear(i, k, j, l int) bool {
	if g.known == nil {
		return clear(g.hulls[i][k], g.hulls[j][l], g.between(i, j))
	}
	a, b := g.first[i]+k, g.first[j]+l
	known := &g.known[min(a, b)*g.size+max(a, b)]
	if *known == notAsked {
		*known = notClear
		if clear(g.hulls[i][k], g.hulls[j][l], g.between(i, j)) {
			*known = areClear
		}
	}
	return *known == areClear
}
