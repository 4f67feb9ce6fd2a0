package scheduler

import "potlife/takeoff"

// indexedPiece is a piece of a plan with where it belongs.
type indexedPiece struct {
	*takeoff.Piece
	surface string
	stock   int    // into Plan.Stock, -1
	site    string // of the area in which it is set
}

// pieceIndex finds the pieces of a plan by their ids. All of it lies in one list:
// an index by each property would cost a map each, and pieces are what a plan has
// most of.
type pieceIndex map[string]*indexedPiece

func indexPieces(layouts []takeoff.Layout) pieceIndex {
	n := 0
	for i := range layouts {
		for _, z := range layouts[i].Zones {
			n += len(z.Pieces)
		}
	}
	list, index := make([]indexedPiece, 0, n), make(pieceIndex, n)
	for i := range layouts {
		l := &layouts[i]
		for z := range l.Zones {
			for k := range l.Zones[z].Pieces {
				q := &l.Zones[z].Pieces[k]
				list = append(list, indexedPiece{Piece: q, surface: l.Surface, stock: -1})
				index[q.ID] = &list[len(list)-1]
			}
		}
	}
	return index
}

// ofAreas are the pieces of each area, in its order; one that no layout has any more is
// nil.
func (x pieceIndex) ofAreas(areas []Area) [][]*indexedPiece {
	out := make([][]*indexedPiece, len(areas))
	takeoff.Each(len(areas), 1, func(i int) {
		out[i] = make([]*indexedPiece, len(areas[i].Pieces))
		for k, id := range areas[i].Pieces {
			out[i][k] = x[id]
		}
	})
	return out
}
