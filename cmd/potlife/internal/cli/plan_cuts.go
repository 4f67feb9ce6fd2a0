package cli

import (
	"fmt"
	"strings"

	"potlife/cmd/potlife/internal/plandoc"
)

// leftShown is how many sizes of offcuts of a tile and lot the summary lists, the
// largest; the plan document has all.
const leftShown = 3

// stops tells what stop settings save.
func (s *summary) stops() {
	if len(s.doc.StopSetting) == 0 {
		return
	}
	s.section("Stop settings over all rooms")
	var rows [][]string
	for _, g := range s.doc.StopSetting {
		rows = append(rows, []string{s.x.ProductName(g.Tile), g.Text})
	}
	s.table(rows)
}

// offcuts tells which offcuts in hand the plan cuts from, and what it leaves.
func (s *summary) offcuts() {
	rows := [][]string{{"offcut in hand", "lot", "", "for"}}
	for i := range s.doc.Stock {
		st := &s.doc.Stock[i]
		if st.Offcut == nil || len(st.Pieces) == 0 {
			continue
		}
		words, place := s.x.KeptWords(st.Offcut)
		var pieces []string
		for _, p := range st.Pieces {
			pieces = append(pieces, s.x.PieceWords(p.Piece))
		}
		rows = append(rows, []string{words, lotOr(st.Offcut.Lot), place, strings.Join(pieces, "; ")})
	}
	if len(rows) > 1 {
		s.section("Offcuts to fetch, sizes in " + s.w.Unit())
		s.table(rows)
	}
	s.left()
}

// left tells what the plan leaves that is worth keeping, tile by tile and lot by lot.
func (s *summary) left() {
	list := s.x.LeftOvers()
	if len(list) == 0 {
		return
	}
	s.section(fmt.Sprintf("Offcuts left, worth keeping: %s, sizes in %s", plural(len(s.doc.Offcuts), "piece"), s.w.Unit()))
	rows := [][]string{{"tile", "lot", "size", "how many", "left of"}}
	for i := 0; i < len(list); {
		first, sizes, rest := list[i], 0, 0
		for ; i < len(list) && list[i].Tile == first.Tile && list[i].Lot == first.Lot; i++ {
			if sizes++; sizes <= leftShown {
				l := &list[i]
				rows = append(rows, []string{l.Tile, lotOr(&l.Lot), l.Size, fmt.Sprint(l.Count), l.From})
			} else {
				rest += list[i].Count
			}
		}
		if rest > 0 {
			rows = append(rows, []string{first.Tile, lotOr(&first.Lot), plural(sizes-leftShown, "smaller size"), fmt.Sprint(rest), "see --json or the takeoff page"})
		}
	}
	s.table(rows)
}

func lotOr(lot *string) string {
	if lot == nil || *lot == "" {
		return "-"
	}
	return *lot
}

// fetch tells which offcuts in hand a day's cuts come from.
func (s *summary) fetch(d *plandoc.Sheet) {
	told := map[string]bool{}
	tell := func(piece string) {
		p := s.x.Pieces[piece]
		if p == nil || told[p.Stock] {
			return
		}
		if st := s.x.Stock[p.Stock]; st != nil && st.Offcut != nil {
			told[p.Stock] = true
			words, place := s.x.KeptWords(st.Offcut)
			lot := ""
			if st.Offcut.Lot != nil {
				lot = ", lot " + *st.Offcut.Lot
			}
			fmt.Fprintf(s, "  fetch offcut: %s%s, %s\n", words, lot, place)
		}
	}
	for _, g := range d.Cuts {
		for _, id := range g.Pieces {
			tell(id)
		}
	}
	for _, id := range d.OnSite {
		tell(id)
	}
}
