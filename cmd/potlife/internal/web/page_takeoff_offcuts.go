package web

import (
	"cmp"
	"fmt"
	"slices"
	"strings"

	"potlife/cmd/potlife/internal/plandoc"
)

// offcutsShown is how many tiles a line names that its offcuts are left of.
const offcutsShown = 3

// offcuts gathers what is left of cut tiles by tile, lot and size, largest first. A
// size is printed the shorter side first, rounded down.
func (v *view) offcuts() []offcutRow {
	type key struct{ tile, lot, size string }
	rows := map[key]*offcutRow{}
	area := map[key]plandoc.MM{}
	var keys []key
	for _, o := range v.Document.Offcuts {
		k := key{o.Tile, deref(o.Lot), fmt.Sprintf("%s × %s", v.w.Cut(min(o.Width, o.Height)), v.w.Cut(max(o.Width, o.Height)))}
		if rows[k] == nil {
			rows[k] = &offcutRow{Name: v.x.ProductName(o.Tile), Lot: k.lot, Size: k.size}
			area[k] = o.Width * o.Height
			keys = append(keys, k)
		}
		r := rows[k]
		if r.Count++; r.Count <= offcutsShown {
			r.From = strings.TrimPrefix(r.From+", "+v.leftOf(o.Stock), ", ")
		}
	}
	slices.SortFunc(keys, func(a, b key) int {
		return cmp.Or(cmp.Compare(a.tile, b.tile), cmp.Compare(a.lot, b.lot), cmp.Compare(area[b], area[a]), cmp.Compare(a.size, b.size))
	})
	var list []offcutRow
	for _, k := range keys {
		if n := rows[k].Count; n > offcutsShown {
			rows[k].From += fmt.Sprintf(" and %d more", n-offcutsShown)
		}
		list = append(list, *rows[k])
	}
	return list
}

// leftOf names the piece that a stock tile was first cut for, with its place.
func (v *view) leftOf(stock string) string {
	st := v.x.Stock[stock]
	if st == nil || len(st.Pieces) == 0 {
		return ""
	}
	p, s := v.x.Pieces[st.Pieces[0].Piece], v.x.PieceAt[st.Pieces[0].Piece]
	if p == nil || s == nil {
		return ""
	}
	return v.x.RoomName(s.Room) + ", " + v.x.SurfaceName(s.Key) + " " + p.Label
}
