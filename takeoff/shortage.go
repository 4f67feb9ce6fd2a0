package takeoff

import (
	"cmp"
	"fmt"

	"potlife/rooms"
)

// Shortages warns of what was bought and will not last: of each lot group's tile by
// the chance that what is left after breakage so far suffices, of other products by
// what the rooms they were ordered for take now. Orders are
// as Orders returned them, those placed first.
func (t *Taken) Shortages(cat Catalogue, placed, orders []Order) []Finding {
	fresh := orders[min(len(placed), len(orders)):]
	var list []Finding
	for i, c := range t.coverRows(placed) {
		if f, ok := t.tileShort(&t.Rows[i], cat, c.boxes, fresh); ok {
			list = append(list, f)
		}
	}
	for i := range t.Materials {
		if f, ok := t.materialShort(&t.Materials[i], cat, placed, fresh); ok {
			list = append(list, f)
		}
	}
	return list
}

// tileShort weighs what is left of a row's tile once as many boxes were bought.
func (t *Taken) tileShort(r *Row, cat Catalogue, bought int, fresh []Order) (Finding, bool) {
	level := cmp.Or(cat.ServiceLevel, serviceLevel)
	bought += r.FromStock
	tile := cat.tile(r.Tile)
	if bought == 0 || bought >= r.Boxes || tile == nil {
		return Finding{}, false
	}
	losses := t.losses[rowKey{r.Tile, r.Group}]
	spare := bought*tile.PerBox - r.Stock - losses.broken
	chance := atMost(losses.chances, spare)
	f := Finding{Rule: "runs short", Severity: Info, Where: r.Group, Value: roundTo(chance, 1e4), Limit: level,
		Source: "the binomial distribution of breakage, at the service level asked for"}
	what := fmt.Sprintf("%s for %s: %s bought, %s needed (%d broken so far)", cat.called(r.Tile), t.roomsCalled(r.Rooms), boxes(bought), boxes(r.Boxes), losses.broken)
	switch {
	case spare < 0:
		f.Severity = Stop
		f.Message = fmt.Sprintf("%s: %s too few whatever breaks", what, count(-spare, "tile"))
	case chance < level:
		f.Severity = Warn
		f.Message = fmt.Sprintf("%s: the %s left over last in %s of cases, %s are asked for", what, count(spare, "tile"), percent(roundTo(chance, 1e4)), percent(level))
	default:
		f.Message = fmt.Sprintf("%s: enough to lay, not enough to keep %d for repairs", what, r.Attic)
	}
	f.Message += t.ordered(fresh, GoodsKey(r.Tile), r.Group)
	return f, true
}

// materialShort holds what was ordered of a product to what the rooms it was ordered for
// take now.
func (t *Taken) materialShort(m *Material, cat Catalogue, placed, fresh []Order) (Finding, bool) {
	had, rooms := 0.0, map[string]bool{}
	for _, at := range linesOf(placed, m.Product) {
		l := &placed[at.order].Lines[at.line]
		had += l.Quantity
		for _, r := range l.Rooms {
			rooms[r] = true
		}
	}
	need := 0.0
	for _, n := range t.Needs {
		if n.Product == m.Product && rooms[n.Room] {
			need += n.With / m.PackageSize
		}
	}
	if had += cat.packages(m.Product); need <= had+1e-6 || len(rooms) == 0 {
		return Finding{}, false
	}
	return Finding{Rule: "runs short", Severity: Warn, Where: m.Product, Value: had, Limit: roundTo(need, 100),
		Message: fmt.Sprintf("%s: %s ordered or on hand, the rooms they were ordered for take %s now%s", cat.called(m.Product), amount(had, "package"), trimmed(need, 2),
			t.ordered(fresh, m.Product, "")),
		Source: "what the plan takes now against what was ordered"}, true
}

// ordered says which new order makes up for a shortage and by when it has to go out.
func (t *Taken) ordered(fresh []Order, product, group string) string {
	for i := range fresh {
		for k := range fresh[i].Lines {
			l := &fresh[i].Lines[k]
			if l.Product == product && (group == "" || t.isFor(l, &Row{Tile: product, Group: group})) {
				return fmt.Sprintf("; order %s is for it, to go out by %s and ready on %s", fresh[i].Key, dayOr(fresh[i].OrderBy, fresh[i].Late), l.Ready.Words())
			}
		}
	}
	return ""
}

// dayOr is a date, or the words for one that has passed.
func dayOr(d rooms.Date, passed bool) string {
	if passed {
		return "today"
	}
	return d.Words()
}

// loss is what has broken of a row so far, and the chances of losing 0, 1, … more.
type loss struct {
	broken  int
	chances []float64
}

// atMost is the chance of at most n losses.
func atMost(chances []float64, n int) float64 {
	sum := 0.0
	for k, p := range chances {
		if k > n {
			break
		}
		sum += p
	}
	return min(1, sum)
}
