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
	Add    = "add"    // it is not sent yet and takes more along
	Reduce = "reduce" // tell the supplier before it is sent
	Return = "return" // it is here: unopened packages go back
	Keep   = "keep"   // it is here and cannot go back: it becomes stock
)

// Change is what an order placed should become: what it brings beyond what is
// needed now, or what it could take along.
type Change struct {
	Order, Supplier, Product, Lot string
	Kind                          string
	Quantity                      float64 // packages
	Unit                          string
	Credit                        Money // what comes back; what is added costs, and is negative
	Text                          string
}

// Changes compares orders placed, the first ones of orders as Orders returned
// them, with what is needed now and lists what they bring too much of, to be
// reduced before delivery, returned within the supplier's terms after it, or kept;
// and which of the new orders could go along with one that is still to come.
func (t *Taken) Changes(cat Catalogue, today rooms.Date, placed, orders []Order) []Change {
	over := t.surplus(cat, placed)
	var list []Change
	for i := range placed {
		o := &placed[i]
		for j := range o.Lines {
			if n := float64(int(over[lineAt{i, j}] + 1e-9)); n > 0 {
				list = append(list, cat.change(o, &o.Lines[j], n, today))
			}
		}
	}
	for i := range orders[len(placed):] {
		list = append(list, t.additions(cat, today, placed, &orders[len(placed)+i])...)
	}
	slices.SortStableFunc(list, func(a, b Change) int {
		return cmp.Or(cmp.Compare(a.Order, b.Order), cmp.Compare(a.Kind, b.Kind), cmp.Compare(a.Product, b.Product), cmp.Compare(a.Lot, b.Lot))
	})
	return list
}

// lineAt is a line of an order placed, by their indices.
type lineAt struct{ order, line int }

// surplus is what lines of orders placed bring beyond need: boxes that no row
// takes, and of other products what with the yard's is too much, first where they
// are delivered to a place that does not need them, and of the last placed first.
func (t *Taken) surplus(cat Catalogue, placed []Order) map[lineAt]float64 {
	over := map[lineAt]float64{}
	_, left := t.coverLines(placed)
	for _, l := range left {
		if cat.tile(l.Product) != nil {
			over[l.at] = float64(l.left)
		}
	}
	for i := range cat.Products {
		key := cat.Products[i].Key
		need := map[string]float64{}
		too := cat.packages(key)
		for _, m := range t.Materials {
			if m.Product == key {
				too -= float64(m.Packages)
			}
		}
		for _, o := range placed {
			need[o.Place] = float64(t.packagesAt[Use{key, o.Place}])
		}
		lines := linesOf(placed, key)
		here := map[string]float64{}
		for _, at := range lines {
			here[placed[at.order].Place] += placed[at.order].Lines[at.line].Quantity
			too += placed[at.order].Lines[at.line].Quantity
		}
		for _, misplaced := range []bool{true, false} {
			for _, at := range slices.Backward(lines) {
				p := placed[at.order].Place
				n := min(float64(int(too+1e-9)), placed[at.order].Lines[at.line].Quantity-over[at])
				if misplaced {
					n = min(n, here[p]-need[p])
				}
				if n > 0 {
					over[at] += n
					here[p] -= n
					too -= n
				}
			}
		}
	}
	return over
}

// linesOf lists the lines of a product.
func linesOf(orders []Order, product string) (list []lineAt) {
	for i := range orders {
		for j := range orders[i].Lines {
			if orders[i].Lines[j].Product == product {
				list = append(list, lineAt{i, j})
			}
		}
	}
	return list
}

// additions offers to send the lines of a new order along with one of the same
// supplier and place that is still to come, early enough and not too early.
func (t *Taken) additions(cat Catalogue, today rooms.Date, placed []Order, o *Order) (list []Change) {
	i := slices.IndexFunc(placed, func(p Order) bool {
		return p.Supplier == o.Supplier && p.Place == o.Place && today.Before(p.Delivery) && !o.Delivery.Before(p.Delivery) &&
			holdingOf(cat).allows(o, daysFrom(p.Delivery, o.Delivery))
	})
	if i < 0 {
		return nil
	}
	for _, l := range o.Lines {
		if l.Product == "" {
			continue
		}
		list = append(list, Change{Order: placed[i].Key, Supplier: o.Supplier, Product: l.Product, Lot: l.Lot, Kind: Add, Quantity: l.Quantity, Unit: l.Unit,
			Credit: -l.Amount, Text: fmt.Sprintf("order %s: add %s of %s, %s more, if %s still takes it; order %s is for it otherwise",
				placed[i].Key, amount(l.Quantity, l.Unit), cat.called(l.Product), moneyWords(l.Amount, o.Currency), cat.supplierCalled(o.Supplier), o.Key)})
	}
	return list
}

// change words one change by the supplier's terms.
func (c *Catalogue) change(o *Order, l *OrderLine, n float64, today rooms.Date) Change {
	ch := Change{Order: o.Key, Supplier: o.Supplier, Product: l.Product, Lot: l.Lot, Quantity: n, Unit: l.Unit}
	full := Amount(int(n), l.UnitPrice)
	what := amount(n, l.Unit) + " of " + c.called(l.Product)
	if today.Before(o.Delivery) {
		ch.Kind, ch.Credit = Reduce, full
		ch.Text = fmt.Sprintf("order %s: %s fewer, %s less", o.Key, what, moneyWords(full, o.Currency))
		return ch
	}
	var s Supplier
	if i := slices.IndexFunc(c.Suppliers, func(s Supplier) bool { return s.Key == o.Supplier }); i >= 0 {
		s = c.Suppliers[i]
	}
	if why := c.whyKept(&s, o, l, n, today); why != "" {
		ch.Kind = Keep
		ch.Text = fmt.Sprintf("order %s: %s more than needed; %s, so they go to stock", o.Key, what, why)
		return ch
	}
	ch.Kind = Return
	fee := (Money(float64(full)*s.ReturnFee) + 50) / 100 * 100
	ch.Credit = full - fee
	ch.Text = fmt.Sprintf("order %s: return %s unopened until %s, %s back after a fee of %s", o.Key, what,
		o.Delivery.AddDays(s.ReturnDays).Words(), moneyWords(ch.Credit, o.Currency), moneyWords(fee, o.Currency))
	return ch
}

// whyKept says why a supplier does not take packages back; empty where it does.
func (c *Catalogue) whyKept(s *Supplier, o *Order, l *OrderLine, n float64, today rooms.Date) string {
	special := false
	if t := c.tile(l.Product); t != nil {
		special = t.NoReturn
	} else if p := c.product(l.Product); p != nil {
		special = p.NoReturn
	}
	switch {
	case special:
		return "the supplier does not take this product back"
	case s.ReturnDays <= 0:
		return "the supplier takes nothing back"
	case o.Delivery.AddDays(s.ReturnDays).Before(today):
		return fmt.Sprintf("the supplier took them back until %s", o.Delivery.AddDays(s.ReturnDays).Words())
	case n < float64(s.ReturnLeast):
		return fmt.Sprintf("the supplier takes back %d at least", s.ReturnLeast)
	}
	return ""
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
			severity, message := Warn, fmt.Sprintf("order %s to %s should have gone out by %s; sent on %s it is delivered on %s, first use %s",
				o.Key, cat.supplierCalled(o.Supplier), o.OrderBy.Words(), today.Words(), o.Delivery.Words(), o.NeedBy.Words())
			for _, l := range o.Lines {
				if l.Product != "" && l.NeedBy.Before(l.Ready) {
					severity = Stop
					message += fmt.Sprintf("; %s is ready on %s, too late for its use on %s", cat.called(l.Product), l.Ready.Words(), l.NeedBy.Words())
					break
				}
			}
			list = append(list, Finding{Rule: "order late", Severity: severity, Where: o.Key, Message: message, Value: float64(days), Limit: 0,
				Source: "order by = first use − days to acclimatise − lead time − buffer (common practice)"})
		}
		if strings.Contains(o.Notes, "minimum order") || strings.Contains(o.Notes, "stored at") || strings.Contains(o.Notes, "nobody is there") {
			list = append(list, Finding{Rule: "order terms", Severity: Warn, Where: o.Key, Message: "order " + o.Key + ": " + o.Notes, Source: "the supplier's terms and days, the firm's and the site's days and its storage, as entered"})
		}
	}
	return list
}
