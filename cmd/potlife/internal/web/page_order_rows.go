package web

import "potlife/cmd/potlife/internal/plandoc"

type cameRow struct{ Name, Lot, Calibre, Sound, Damaged, Wrong, On, By, Note string }

// open is what has not come of a line yet, in packages.
func (b booked) open(line int) float64 {
	n := b.Lines[line].Quantity
	for _, c := range b.state.Came {
		if c.Line == line {
			n -= c.Sound
		}
	}
	return max(0, n)
}

// came lists what has been booked in for an order.
func (v *view) came(b booked) []cameRow {
	var rows []cameRow
	for _, c := range b.state.Came {
		rows = append(rows, cameRow{Name: v.x.ProductName(c.Product), Lot: c.Lot, Calibre: c.Calibre, Sound: plandoc.Figure(c.Sound, 2),
			Damaged: plandoc.Figure(c.Damaged, 2), Wrong: plandoc.Figure(c.Wrong, 2), On: v.w.ShortDay(c.On), By: c.By, Note: c.Note})
	}
	return rows
}

// changeRow is what an order that was placed should become.
type changeRow struct {
	Text, Kind, Product, Lot, Quantity string
	Can                                bool // there is a button for it
}

// changes lists what the plan in force would change in an order that stands.
func (v *view) changes(b booked) []changeRow {
	if b.state.Number == "" || b.state.State == "cancelled" {
		return nil
	}
	var rows []changeRow
	for _, c := range v.Document.Changes {
		if c.Order == b.Key {
			rows = append(rows, changeRow{Text: c.Text, Kind: c.Kind, Product: c.Product, Lot: deref(c.Lot), Quantity: plandoc.Figure(c.Quantity, 2), Can: c.Kind != "keep"})
		}
	}
	return rows
}
