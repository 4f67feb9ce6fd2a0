package takeoff

import (
	"cmp"
	"fmt"
	"slices"
	"strings"

	"potlife/rooms"
)

// What to do about an order placed.
const (
	Reduce = "reduce" // tell the supplier before it is sent
	Return = "return" // it is here: unopened packages go back
	Keep   = "keep"   // it is here and cannot go back: it becomes stock
)

// Change is what an order placed brings beyond what is needed now.
type Change struct {
	Order, Supplier, Product, Lot string
	Kind                          string
	Quantity                      float64 // packages
	Unit                          string
	Credit                        Money // what comes back
	Text                          string
}

// Changes compares orders placed with what is needed now and lists what they
// bring too much of: to be reduced before delivery, returned within the
// supplier's terms after it, or kept. What they lack, Orders orders.
func (t *Taken) Changes(cat Catalogue, today rooms.Date, placed []Order) []Change {
	over := t.surplus(cat, placed)
	var list []Change
	for i := len(placed) - 1; i >= 0; i-- { // the last placed is the first to give up
		o := &placed[i]
		for j := len(o.Lines) - 1; j >= 0; j-- {
			l := &o.Lines[j]
			n := min(float64(int(over[lineKey{l.Product, l.Lot}])), l.Quantity)
			if l.Product == "" || n <= 0 {
				continue
			}
			over[lineKey{l.Product, l.Lot}] -= n
			list = append(list, cat.change(o, l, n, today))
		}
	}
	slices.SortStableFunc(list, func(a, b Change) int {
		return cmp.Or(cmp.Compare(a.Order, b.Order), cmp.Compare(a.Product, b.Product), cmp.Compare(a.Lot, b.Lot))
	})
	return list
}

// lineKey is what lines of orders are compared by.
type lineKey struct{ product, lot string }

// surplus is what orders placed bring beyond need, by product, and for tile by
// lot: boxes of a lot that no row takes serve nobody.
func (t *Taken) surplus(cat Catalogue, placed []Order) map[lineKey]float64 {
	over := map[lineKey]float64{}
	for _, o := range placed {
		for _, l := range o.Lines {
			if cat.tile(l.Product) != nil {
				over[lineKey{l.Product, l.Lot}] += l.Quantity
			} else {
				over[lineKey{l.Product, l.Lot}] = 0
			}
		}
	}
	for i, c := range t.coverRows(placed) {
		for _, part := range c.from {
			over[lineKey{t.Rows[i].Tile, part.lot}] -= float64(part.boxes)
		}
	}
	need := map[string]float64{}
	for _, m := range t.Materials {
		need[m.Product] = float64(m.Packages)
	}
	for _, k := range sortedLineKeys(over) {
		if cat.product(k.product) != nil {
			short := max(0, need[k.product]-cat.packages(k.product))
			over[k] = max(0, placedBy(placed, k.product, rooms.Date{})-short)
		}
	}
	return over
}

func sortedLineKeys(m map[lineKey]float64) []lineKey {
	var keys []lineKey
	for k := range m {
		keys = append(keys, k)
	}
	slices.SortFunc(keys, func(a, b lineKey) int { return cmp.Or(cmp.Compare(a.product, b.product), cmp.Compare(a.lot, b.lot)) })
	return keys
}

// change words one change by the supplier's terms.
func (c *Catalogue) change(o *Order, l *OrderLine, n float64, today rooms.Date) Change {
	ch := Change{Order: o.Key, Supplier: o.Supplier, Product: l.Product, Lot: l.Lot, Quantity: n, Unit: l.Unit}
	full := Amount(int(n), l.UnitPrice)
	what := fmt.Sprintf("%s %s of %s", trimmed(n, 2), l.Unit, l.Product)
	i := slices.IndexFunc(c.Suppliers, func(s Supplier) bool { return s.Key == o.Supplier })
	switch {
	case today.Before(o.Delivery):
		ch.Kind, ch.Credit = Reduce, full
		ch.Text = fmt.Sprintf("order %s: %s fewer, %s less", o.Key, what, moneyWords(full, o.Currency))
	case i >= 0 && !o.Delivery.AddDays(c.Suppliers[i].ReturnDays).Before(today) && c.Suppliers[i].ReturnDays > 0:
		s := c.Suppliers[i]
		ch.Kind = Return
		fee := (Money(float64(full)*s.ReturnFee) + 50) / 100 * 100
		ch.Credit = full - fee
		ch.Text = fmt.Sprintf("order %s: return %s unopened until %s, %s back after a fee of %s", o.Key, what,
			o.Delivery.AddDays(s.ReturnDays), moneyWords(ch.Credit, o.Currency), moneyWords(fee, o.Currency))
	default:
		ch.Kind = Keep
		ch.Text = fmt.Sprintf("order %s: %s more than needed; the supplier no longer takes them back, so they go to stock", o.Key, what)
	}
	return ch
}

// OrderFindings speaks of orders not placed yet, as Orders gives them after those
// placed, that are late, fall under the supplier's minimum, or are more than a
// site can store.
func OrderFindings(cat Catalogue, today rooms.Date, orders []Order) []Finding {
	var list []Finding
	for _, o := range orders {
		if o.Late {
			days := 0
			for d := o.OrderBy; d.Before(today); d = d.AddDays(1) {
				days++
			}
			severity, message := Warn, fmt.Sprintf("order %s to %s should have gone out by %s; sent today it is delivered on %s and ready on %s, first use %s",
				o.Key, o.Supplier, o.OrderBy, o.Delivery, o.Ready, o.NeedBy)
			if o.NeedBy.Before(o.Ready) {
				severity = Stop
				message += ": too late for it"
			}
			list = append(list, Finding{Rule: "order late", Severity: severity, Where: o.Key, Message: message, Value: float64(days), Limit: 0,
				Source: "order by = first use − days to acclimatise − lead time − buffer (common practice)"})
		}
		if strings.Contains(o.Notes, "minimum order") || strings.Contains(o.Notes, "stored at") {
			list = append(list, Finding{Rule: "order terms", Severity: Warn, Where: o.Key, Message: "order " + o.Key + ": " + o.Notes, Source: "the supplier's terms and the site's storage, as entered"})
		}
	}
	return list
}
