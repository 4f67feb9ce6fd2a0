package takeoff

import (
	"slices"

	"potlife/rooms"
	"potlife/takeoff/nest"
)

// FirstTrim is the cut that trims the edge across from a sized cut, where a piece is
// cut on both. Where the piece lies in its tile so that this edge is the tile's own, or
// is made by the cut that parts it from its neighbour, it is not made.
type FirstTrim struct{ Shape, Tool, At string }

// isTrim reports whether a cut is the first trim of another cut of the piece.
func isTrim(p *Piece, c Cut) bool {
	return !c.Sized && c.Shape != "" && slices.ContainsFunc(p.Cuts, func(o Cut) bool { return o.Sized && o.Trim.Shape == c.Shape })
}

// restoreTrims puts back the trims that an earlier takeoff found needless: where a
// piece lies in its tile is open again.
func (p *Piece) restoreTrims() {
	for i := 0; i < len(p.Cuts); i++ {
		c := p.Cuts[i]
		if c.Trim.Shape == "" || slices.ContainsFunc(p.Cuts, func(o Cut) bool { return !o.Sized && o.Shape == c.Trim.Shape }) {
			continue
		}
		p.Cuts = slices.Insert(slices.Clip(p.Cuts), i, Cut{Side: "shape", At: c.Trim.At, Tool: c.Trim.Tool, Shape: c.Trim.Shape})
		i++
	}
}

// dropTrims leaves out the first trims that the places of pieces in their tiles make
// needless. Each piece that is to be cut lies in one tile.
func (t *taker) dropTrims() {
	Each(len(t.out.Stock), smallShare, func(i int) {
		s := &t.out.Stock[i]
		tile := t.tiles[s.Tile]
		if s.Broken || tile == nil || !isBox(rooms.Polygon{Outer: tile.Shape}) {
			return
		}
		if len(s.Pieces) == 1 && len(s.Pieces[0].Polygon.Outer) > 0 && &s.Pieces[0].Polygon.Outer[0] == &tile.Shape[0] {
			return // whole, as openRow put it there: it is cut to no size
		}
		for k, q := range s.Pieces {
			if p := t.byID[q.Piece]; p != nil {
				t.dropTrimsOf(s, k, p)
			}
		}
	})
}

// dropTrimsOf does so of one piece, the k-th of its tile.
func (t *taker) dropTrimsOf(s *StockTile, k int, p *takenPiece) {
	if !slices.ContainsFunc(p.Cuts, func(c Cut) bool { return isTrim(p.Piece, c) }) {
		return
	}
	for _, c := range slices.Clone(p.Cuts) {
		if c.Sized && c.Trim.Shape != "" && t.trimIsNeedless(s, k, p, c.Side) {
			p.Cuts = slices.DeleteFunc(slices.Clone(p.Cuts), func(o Cut) bool { return !o.Sized && o.Shape == c.Trim.Shape })
		}
	}
}

// trimIsNeedless reports whether a piece that is cut on a side and on the one across
// lies so in its tile that the cut to size is the only one it takes: for every turn in
// which it may have come there.
func (t *taker) trimIsNeedless(s *StockTile, k int, p *takenPiece, side string) bool {
	quarter, ok := quarterTurn(p.Piece)
	i := slices.Index([]string{"left", "bottom", "right", "top"}, side)
	if !ok || i < 0 || !isBox(s.Pieces[k].Polygon) {
		return false
	}
	own := nest.Sides(1) << ((i - quarter + 4) % 4)
	at, shape := s.Pieces[k].Polygon.Outer.Box(), t.shapeOf(p).Outer.Box()
	turns := 0
	for n := range 4 {
		w, h := shape.Width(), shape.Height()
		if n%2 == 1 {
			w, h = h, w
		}
		if absLength(w-at.Width()) > nearTile || absLength(h-at.Height()) > nearTile {
			continue
		}
		turns++
		across := (own<<n|own>>(4-n))&(nest.Left|nest.Right) != 0 // it is cut left and right
		if !t.edgeIsMade(s, k, across) {
			return false
		}
	}
	return turns > 0
}

// edgeIsMade reports whether one of the two edges of a piece, left and right or bottom
// and top, is the tile's own or made by cuts of its neighbours: the one below is cut
// off where the next begins; from above that holds where the row of neighbours ends at
// the tile's own edge.
func (t *taker) edgeIsMade(s *StockTile, k int, across bool) bool {
	frame := s.room(t.tiles[s.Tile])
	low, high := ends(frame, across)
	at, to := ends(s.Pieces[k].Polygon.Outer.Box(), across)
	if own := touched(frame, t.tiles[s.Tile].Shape.Box()); at-low <= nearTile && (!s.InHand() || own&lowSide(across) != 0) || t.neighbour(s, k, across, false) >= 0 {
		return true
	}
	for n := 0; n <= len(s.Pieces); n++ {
		if high-to <= nearTile {
			return !s.InHand() || touched(frame, t.tiles[s.Tile].Shape.Box())&highSide(across) != 0
		}
		if k = t.neighbour(s, k, across, true); k < 0 {
			return false
		}
		_, to = ends(s.Pieces[k].Polygon.Outer.Box(), across)
	}
	return false
}

func lowSide(across bool) nest.Sides {
	if across {
		return nest.Left
	}
	return nest.Bottom
}

func highSide(across bool) nest.Sides { return lowSide(across) << 2 }

// neighbour is the piece that a cut parts from another just above it, or just below,
// along the whole of its edge: -1 where there is none. What has been cut already owes
// nothing to what is still to be cut.
func (t *taker) neighbour(s *StockTile, k int, across, above bool) int {
	b := s.Pieces[k].Polygon.Outer.Box()
	from, to := ends(b, across)
	low, high := ends(b, !across)
	for i, q := range s.Pieces {
		if p := t.byID[q.Piece]; i == k || p == nil || !isBox(q.Polygon) || t.byID[s.Pieces[k].Piece].kept && !p.kept {
			continue
		}
		o := q.Polygon.Outer.Box()
		f, g := ends(o, across)
		gap := from - g
		if above {
			gap = f - to
		}
		if l, h := ends(o, !across); gap >= 0 && gap <= t.kerf()+nearTile && l <= low+nearTile && h >= high-nearTile {
			return i
		}
	}
	return -1
}

// ends are a box's left and right, or its bottom and top.
func ends(b rooms.Box, across bool) (from, to rooms.Length) {
	if across {
		return b.Min.X, b.Max.X
	}
	return b.Min.Y, b.Max.Y
}
