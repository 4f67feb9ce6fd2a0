package plandoc

import (
	"cmp"
	"fmt"
	"slices"
	"strings"
)

// leftShown is how many tiles a line names that its offcuts are left of.
const leftShown = 3

// LeftOver are offcuts of one tile, lot and size that a plan leaves, and what some of
// them are left of, in words.
type LeftOver struct {
	Tile, Lot, Size, From string // the tile's name; lot "" where none is known
	Count                 int
}

// LeftOvers gathers what is left of cut tiles by tile, lot and size, largest first. A
// size is printed the shorter side first, rounded down.
func (x *Index) LeftOvers() []LeftOver {
	type key struct{ tile, lot, size string }
	w := x.Doc.Writing()
	rows := map[key]*LeftOver{}
	area := map[key]MM{}
	var keys []key
	for _, o := range x.Doc.Offcuts {
		lot := ""
		if o.Lot != nil {
			lot = *o.Lot
		}
		k := key{o.Tile, lot, fmt.Sprintf("%s × %s", w.Cut(min(o.Width, o.Height)), w.Cut(max(o.Width, o.Height)))}
		if rows[k] == nil {
			rows[k] = &LeftOver{Tile: x.ProductName(o.Tile), Lot: k.lot, Size: k.size}
			area[k] = o.Width * o.Height
			keys = append(keys, k)
		}
		r := rows[k]
		if r.Count++; r.Count <= leftShown {
			r.From = strings.TrimPrefix(r.From+", "+x.leftOf(o.Stock), ", ")
		}
	}
	slices.SortFunc(keys, func(a, b key) int {
		return cmp.Or(cmp.Compare(a.tile, b.tile), cmp.Compare(a.lot, b.lot), cmp.Compare(area[b], area[a]), cmp.Compare(a.size, b.size))
	})
	list := make([]LeftOver, 0, len(keys))
	for _, k := range keys {
		if n := rows[k].Count; n > leftShown {
			rows[k].From += fmt.Sprintf(" and %d more", n-leftShown)
		}
		list = append(list, *rows[k])
	}
	return list
}

// leftOf names the piece that a stock tile was first cut for, with its place.
func (x *Index) leftOf(stock string) string {
	st := x.Stock[stock]
	if st == nil || len(st.Pieces) == 0 {
		return ""
	}
	return x.PieceWords(st.Pieces[0].Piece)
}

// PieceWords names a piece by room, surface and label, "" where there is none.
func (x *Index) PieceWords(id string) string {
	p, s := x.Pieces[id], x.PieceAt[id]
	if p == nil || s == nil {
		return ""
	}
	return x.RoomName(s.Room) + ", " + x.SurfaceName(s.Key) + " " + p.Label
}

// KeptWords tells an offcut in hand as one looks for it: tile, size, its uncut edges
// and how it is marked; place is where it lies.
func (x *Index) KeptWords(o *KeptOffcut) (words, place string) {
	w := x.Doc.Writing()
	text := []string{x.ProductName(o.Tile) + ", " + w.Cut(o.Width) + " × " + w.Cut(o.Height)}
	switch n := len(o.Factory); n {
	case 0:
		text = append(text, "cut on all sides")
	case 1:
		text = append(text, o.Factory[0]+" edge uncut")
	default:
		text = append(text, strings.Join(o.Factory[:n-1], ", ")+" and "+o.Factory[n-1]+" edges uncut")
	}
	if o.From != nil {
		text = append(text, "the offcut kept from "+*o.From)
	} else {
		text = append(text, "marked "+o.Key)
	}
	place = "in the yard"
	if o.Place != nil {
		place = "at " + *o.Place
	}
	return strings.Join(text, "; "), place
}
