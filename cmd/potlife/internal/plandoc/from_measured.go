package plandoc

import (
	"potlife/scheduler"
	"potlife/takeoff"
)

// measuredBoxes are the boxes of lots that rooms are laid out for as measured: in
// the document those are tiles of their own, so that every piece is held to the
// size it has, and what lies on hand or is ordered of them stands under their key.
type measuredBoxes struct {
	key             map[[2]string]string // tile, lot → tile as measured
	stored, ordered map[[2]string]int    // boxes still to be put under it
	drawn           map[[2]string]bool   // some rooms take the lot and are laid out as drawn
}

func newMeasuredBoxes(p *scheduler.Plan) *measuredBoxes {
	m := &measuredBoxes{map[[2]string]string{}, map[[2]string]int{}, map[[2]string]int{}, map[[2]string]bool{}}
	for _, r := range p.Rows {
		if goods := takeoff.GoodsKey(r.Tile); goods != r.Tile {
			k := [2]string{goods, r.Lot}
			m.key[k] = r.Tile
			m.stored[k] += r.FromStock
			m.ordered[k] += r.Boxes - r.FromStock
		} else if r.Lot != "" {
			m.drawn[[2]string{r.Tile, r.Lot}] = true
		}
	}
	return m
}

// onHand writes what lies on hand of a lot.
func (m *measuredBoxes) onHand(h takeoff.OnHand) []OnHand {
	k := [2]string{h.Product, h.Lot}
	rest := OnHand{Product: h.Product, Lot: optional(h.Lot), Quantity: h.Quantity, Unit: h.Unit}
	n := min(float64(m.stored[k]), h.Quantity)
	if m.key[k] == "" || h.Unit != "box" || n <= 0 {
		return []OnHand{rest}
	}
	m.stored[k] -= int(n)
	own := rest
	own.Product, own.Quantity = m.key[k], n
	if rest.Quantity -= n; rest.Quantity <= 0 {
		return []OnHand{own}
	}
	return []OnHand{own, rest}
}

// line writes a line of an order; one that serves rooms laid out for its lot as
// measured and rooms laid out as drawn becomes two that add up to it.
func (m *measuredBoxes) line(out OrderLine, l takeoff.OrderLine) []OrderLine {
	k := [2]string{l.Product, l.Lot}
	n := min(float64(m.ordered[k]), l.Quantity)
	if m.key[k] == "" || n <= 0 {
		return []OrderLine{out}
	}
	m.ordered[k] -= int(n)
	own := out
	own.Product, own.Quantity = optional(m.key[k]), n
	if n >= l.Quantity || !m.drawn[k] {
		own.Quantity = l.Quantity
		return []OrderLine{own}
	}
	// Only the sum is rounded, so neither part is off by a cent.
	part := takeoff.Money(n) * l.UnitPrice
	own.Amount, out.Amount = money(part), money(l.Amount-part)
	out.Quantity -= n
	return []OrderLine{own, out}
}
