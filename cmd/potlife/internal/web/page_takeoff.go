package web

import (
	"cmp"
	"net/http"

	"potlife/cmd/potlife/internal/plandoc"
)

type takeoffPage struct {
	frame
	Sums      string // the whole in one line
	Tiles     []takeoffRow
	Materials []materialRow
	OnHand    []onHandRow
	Stops     []plandoc.StopSaving
	Offcuts   []plandoc.LeftOver
	Unit      string // of the offcuts' sizes
	Chain     []chainTable
	Costs     []costRow
	Currency  string
}

type takeoffRow struct {
	plandoc.Takeoff
	Name, Places, LotText, SplitText string
}

type materialRow struct{ Name, Kind, Net, Buy, Packages, How string }

type onHandRow struct{ Name, Lot, Amount string }

func (s *server) takeoff(w http.ResponseWriter, r *http.Request) error {
	v, err := s.current(r.Context())
	if err != nil {
		return err
	}
	p := takeoffPage{frame: s.frame(r, "Takeoff", "takeoff"), Stops: append([]plandoc.StopSaving(nil), v.Document.StopSetting...)}
	for i := range p.Stops {
		p.Stops[i].Tile = v.x.ProductName(p.Stops[i].Tile)
	}
	for _, t := range v.Document.Takeoff {
		row := takeoffRow{Takeoff: t, Name: v.x.ProductName(t.Tile), LotText: deref(t.Lot), SplitText: deref(t.Split)}
		row.Places = v.roomNames(t.Rooms)
		p.Tiles = append(p.Tiles, row)
	}
	for _, m := range v.Document.Materials {
		p.Materials = append(p.Materials, v.material(m))
	}
	for _, h := range v.Document.OnHand {
		p.OnHand = append(p.OnHand, onHandRow{Name: v.x.ProductName(h.Product), Lot: deref(h.Lot), Amount: v.w.Quantity(h.Quantity, h.Unit)})
	}
	p.Offcuts, p.Unit = v.x.LeftOvers(), v.w.Unit()
	p.Chain, p.Costs, p.Currency = v.chain(), v.costs(), v.Document.Currency
	p.Sums = v.takeoffSums()
	s.render(w, r, http.StatusOK, "takeoff", p)
	return nil
}

// takeoffSums is the whole takeoff in one line: what is laid and what is bought.
func (v *view) takeoffSums() string {
	pieces, boxes, packages := 0, 0, 0
	for _, t := range v.Document.Takeoff {
		pieces, boxes = pieces+t.Pieces, boxes+t.Boxes
	}
	for _, m := range v.Document.Materials {
		packages += m.Packages
	}
	several := func(n int, noun string) string { return v.w.Quantity(float64(n), noun) }
	text := several(pieces, "piece") + " out of " + several(boxes, "box") + " of tile, and " + several(packages, "package") + " of other goods"
	var all costSum
	for _, c := range v.Document.Costs {
		all.add(c)
	}
	if goods := all.tiles.Add(all.products); goods.IsPositive() {
		text += "; goods for " + goods.StringFixed(2) + " " + v.Document.Currency
	}
	return text + "."
}

func (v *view) material(m plandoc.Material) materialRow {
	row := materialRow{Name: v.x.ProductName(m.Product), Kind: m.Kind, How: m.How}
	unit, holds := "package", ""
	if p := v.x.Products[m.Product]; p != nil {
		unit, holds = cmp.Or(p.Package, unit), p.Content
	}
	row.Net, row.Buy = v.w.QuantityAs(m.Net, m.Unit, holds), v.w.QuantityAs(m.Quantity, m.Unit, holds)
	row.Packages = v.w.Quantity(float64(m.Packages), unit) + " of " + v.w.QuantityAs(m.PackageSize, m.Unit, holds)
	return row
}
