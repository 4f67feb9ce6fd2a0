package takeoff

import (
	"fmt"
	"slices"
	"strings"

	"potlife/rooms"
)

// keepSizes takes over the stock tiles cut or laid already. A piece stays on
// its tile when it still belongs there: it exists, has not broken since, and
// lies in its place with the size it was cut to. Its cuts then have the size
// they were cut to; any other is cut again.
func (t *taker) keepSizes() {
	t.named, t.brokenOffcut, t.onTile = map[string]bool{}, map[string]*YardOffcut{}, map[string]bool{}
	for _, p := range t.pieces {
		for n := 1; n <= p.again; n++ {
			t.named[brokenID(p.ID, n)] = true
		}
	}
	for _, s := range t.in.Kept {
		if s.InHand() {
			t.onTile[s.Offcut.Key] = true
		}
		if s.Broken {
			if s.InHand() {
				t.brokenOffcut[s.ID] = s.Offcut
			}
			if !t.named[s.ID] && t.tiles[s.Tile] != nil {
				t.named[s.ID] = true
				t.kept = append(t.kept, s)
			}
			continue
		}
		s.Pieces = slices.Clone(s.Pieces)
		s.Pieces = slices.DeleteFunc(s.Pieces, func(q StockPiece) bool { return !t.keepPiece(&s, q) && t.leaves(&s, q) })
		if len(s.Pieces) > 0 {
			s.Group = t.byID[s.Pieces[0].Piece].group
			for _, q := range s.Pieces {
				p := t.byID[q.Piece]
				p.elsewhere = p.group != s.Group
			}
			t.named[s.ID] = true
			t.kept = append(t.kept, s)
		}
	}
}

// keepPiece reports whether a piece stays on the kept tile, and gives it the
// sizes it was cut to.
func (t *taker) keepPiece(s *StockTile, q StockPiece) bool {
	p := t.byID[q.Piece]
	if p == nil || p.kept || p.Tile != s.Tile {
		return false
	}
	if p.again > 0 && s.ID != againID(p) || p.again == 0 && strings.HasPrefix(s.ID, q.Piece+"/again.") {
		return false // that one broke
	}
	if !p.Full && fitCut(p, t.tiles[p.Tile], q.Polygon) || p.Full && sameSize(q.Polygon, rooms.Polygon{Outer: t.tiles[p.Tile].Shape}) {
		p.kept, p.uncut = true, s.Uncut
		return true
	}
	t.find(Finding{Rule: "cut again", Severity: Info, Where: p.ID,
		Message: fmt.Sprintf("%s was cut for another size of its place and is cut again", p.Label), Source: "measured since it was cut"})
	return false
}

// leaves notes what a piece that does not stay on a kept tile leaves of it: the place
// of one that is cut is gone, and so is that of one that broke; where it was all that
// came from an offcut in hand, the offcut is gone with it. It always reports true.
func (t *taker) leaves(s *StockTile, q StockPiece) bool {
	p := t.byID[q.Piece]
	broke := p != nil && p.again > 0
	if broke || !s.Uncut {
		s.Gone = append(slices.Clip(s.Gone), q.Polygon)
	}
	if broke && s.InHand() && s.ID != againID(p) {
		t.brokenOffcut[brokenID(p.ID, 1)] = s.Offcut // a piece is cut again from a tile of its own
	}
	return true
}

// sameSize compares two polygons by area and by the sides of their boxes, in
// either turn.
func sameSize(a, b rooms.Polygon) bool {
	x, y := a.Outer.Box(), b.Outer.Box()
	upright := absLength(x.Width()-y.Width()) <= nearTile && absLength(x.Height()-y.Height()) <= nearTile
	turned := absLength(x.Width()-y.Height()) <= nearTile && absLength(x.Height()-y.Width()) <= nearTile
	d := a.AreaMM2() - b.AreaMM2()
	return (upright || turned) && d < 1 && d > -1
}

func absLength(l rooms.Length) rooms.Length { return max(l, -l) }

// fitCut gives the piece's cuts the sizes of a polygon cut earlier if they keep
// the gaps in their limits and the rest of the shape is the same.
func fitCut(p *takenPiece, tile *Tile, cut rooms.Polygon) bool {
	if _, square := quarterTurn(p.Piece); !square {
		return sameSize(cut, StockShape(*p.Piece, *tile))
	}
	b := cut.Outer.Box()
	type try struct {
		cuts []Cut
		off  rooms.Length
	}
	var best *try
	for _, box := range [][2]rooms.Length{{b.Width(), b.Height()}, {b.Height(), b.Width()}} {
		got := try{cuts: slices.Clone(p.Cuts)}
		for i := range got.cuts {
			c := &got.cuts[i]
			if !c.Sized {
				continue
			}
			c.Size = box[0]
			if c.Side == "top" || c.Side == "bottom" {
				c.Size = box[1]
			}
			if !p.OnSite && (c.Size < c.Least || c.Size > c.Most) {
				got.off = rooms.MaxSide
			}
			got.off += absLength(c.Size - c.Drawn)
		}
		trial := *p.Piece
		trial.Cuts = got.cuts
		if got.off < rooms.MaxSide && sameSize(cut, StockShape(trial, *tile)) && (best == nil || got.off < best.off) {
			best = &got
		}
	}
	if best == nil {
		return false
	}
	p.Cuts = best.cuts
	return true
}
