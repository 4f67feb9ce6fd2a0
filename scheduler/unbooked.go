package scheduler

import (
	"cmp"
	"fmt"
	"maps"
	"math"
	"slices"

	"potlife/rooms"
	"potlife/takeoff"
)

// Work that is out may want goods that, as far as is booked, are not there: their order is late, or nobody wrote the
// delivery down. What has not begun is put off. What has begun proves that its goods were there: they count as come,
// of an order that is placed or else from elsewhere. Otherwise no plan made after it would hold.

// supposed is what a plan takes to be otherwise than it is written.
type supposed struct {
	putOff   map[string]bool          // activities that are out, not begun, and wait for goods
	came     map[orderLine]rooms.Date // lines of orders that had come by then
	stock    []takeoff.Stock
	lots     []takeoff.Lot
	findings []takeoff.Finding
}

type orderLine struct{ order, product string }

// knows reports whether goods of a product are supposed.
func (s *supposed) knows(product string) bool {
	return slices.ContainsFunc(s.stock, func(q takeoff.Stock) bool { return q.Product == product }) ||
		slices.ContainsFunc(s.lots, func(l takeoff.Lot) bool { return l.Tile == product })
}

// none reports whether no goods are supposed.
func (s *supposed) none() bool { return len(s.stock)+len(s.lots) == 0 }

func newSupposed() *supposed {
	return &supposed{putOff: map[string]bool{}, came: map[orderLine]rooms.Date{}}
}

// shortTries bounds how often a plan is made again for goods: what is put off moves other work.
const shortTries = 6

// use is what some work takes of a product, in its unit (tiles: pieces), and by which activities.
type use struct {
	start int
	n     float64
	lot   string
	by    []string
}

// arriving is what there is of a product from a day on, in its unit; the zero day: already.
type arriving struct {
	day    rooms.Date
	at     int // the minute in which the day begins
	n      float64
	placed string // the order, where it is placed
}

// suppose looks in the plan made for carried work that uses goods before they are there, and takes down what is to be
// supposed when it is made again; false where nothing is short.
func (m *maker) suppose() (changed bool) {
	carried := map[string]*Activity{}
	for i := range m.plan.Activities {
		if a := &m.plan.Activities[i]; a.State != "planned" {
			carried[a.ID] = a
		}
	}
	if len(carried) == 0 {
		return false
	}
	there := m.supplies()
	if m.in.supposed.none() && !m.anyShort(carried, there) {
		return false
	}
	uses := m.usesOf(math.MaxInt)
	for _, product := range slices.Sorted(maps.Keys(uses)) {
		list := uses[product]
		slices.SortStableFunc(list, func(a, b use) int { return cmp.Compare(a.start, b.start) })
		have := 0.0 // less what is used, and what is supposed now
		begun := -1 // the last work carried over that has begun
		for k, u := range list {
			open, out := m.notBegun(u.by, carried), slices.ContainsFunc(u.by, func(id string) bool { return carried[id] != nil })
			if out && len(open) == 0 {
				begun = k
			}
			have -= u.n
			short := -have - until(there[product], u.start)
			if short <= 1e-6 {
				continue
			}
			if !out {
				// Work to come counts on what work before it was supposed to leave over.
				if begun < 0 || !m.in.supposed.knows(product) {
					continue
				}
				u = list[begun]
			}
			changed = true
			if out && len(open) > 0 {
				for _, id := range open {
					m.in.supposed.putOff[id] = true
				}
				have += u.n
				continue
			}
			have += m.find(product, u.lot, m.clock.Day(u.start), short, there[product])
		}
	}
	return changed
}

// until is how much there is on the day of a minute.
func until(list []arriving, minute int) (n float64) {
	for i := range list {
		if list[i].at <= minute {
			n += list[i].n
		}
	}
	return n
}

// notBegun are those of some activities that are out and begin after the instant of planning.
func (m *maker) notBegun(ids []string, carried map[string]*Activity) (open []string) {
	for _, id := range ids {
		if a := carried[id]; a != nil && a.State == "issued" && a.Start >= m.horizonOfWork() {
			open = append(open, id)
		}
	}
	return open
}

// find supposes that goods were there by a day, as much as is short, and returns how much that is: what comes later of
// orders placed, then goods from elsewhere.
func (m *maker) find(product, lot string, day rooms.Date, short float64, list []arriving) (found float64) {
	size, s := m.packageOf(product), m.in.supposed
	for i := range list {
		if c := &list[i]; found < short-1e-6 && c.placed != "" && day.Before(c.day) {
			s.came[orderLine{c.placed, product}] = day
			found += c.n
			c.day, c.at, c.placed = day, m.clock.DayStart(day), ""
			m.foundFinding(product, day, c.n/size, "as come")
		}
	}
	if found > 0 {
		return 0 // it counts as there from now on
	}
	n := math.Ceil(short/size - 1e-6)
	if _, tile := m.tiles[product]; tile {
		s.lots = append(s.lots, takeoff.Lot{Tile: product, Lot: cmp.Or(lot, "not booked in"), Boxes: int(n)})
	} else {
		s.stock = append(s.stock, takeoff.Stock{Product: product, Packages: n})
	}
	m.foundFinding(product, day, n, "from elsewhere")
	return n * size
}

func (m *maker) foundFinding(product string, day rooms.Date, packages float64, how string) {
	unit := "box"
	if p, ok := m.products[product]; ok {
		unit = p.Package
	}
	s := m.in.supposed
	s.findings = append(s.findings, takeoff.Finding{Rule: "used and not booked in", Severity: takeoff.Warn, Where: product,
		Message: fmt.Sprintf("%s was used on %s and had not come as far as is booked: %g %s count %s; book the delivery, or correct the report",
			m.works.called.product(product), day.Words(), packages, rooms.Plural(unit, packages), how),
		Value: packages, Source: "the reports, and the deliveries booked"})
}

// packageOf is what a package of a product holds; of tiles: how many are in a box.
func (m *maker) packageOf(product string) float64 {
	if t, ok := m.tiles[product]; ok {
		return float64(max(1, t.PerBox))
	}
	if p := m.products[product]; p.PackageSize > 0 {
		return p.PackageSize
	}
	return 1
}

// anyShort reports whether work that is out uses goods that are not there. What is used
// after its end is no matter for that.
func (m *maker) anyShort(carried map[string]*Activity, there map[string][]arriving) bool {
	last := math.MinInt
	for _, a := range carried {
		last = max(last, a.Finish)
	}
	for product, list := range m.usesOf(last) {
		slices.SortStableFunc(list, func(a, b use) int { return cmp.Compare(a.start, b.start) })
		used := 0.0
		for _, u := range list {
			used += u.n
			out := slices.ContainsFunc(u.by, func(id string) bool { return carried[id] != nil })
			if out && used-until(there[product], u.start) > 1e-6 {
				return true
			}
		}
	}
	return false
}

// usesOf lists what the plan's work until a minute takes: tiles on the day of their first piece, and what is mixed.
func (m *maker) usesOf(last int) map[string][]use {
	out, areas, of := map[string][]use{}, map[string]*Area{}, map[string]*Area{}
	for i := range m.plan.Areas {
		a := &m.plan.Areas[i]
		if a.Start > last {
			continue
		}
		areas[a.ID] = a
		for _, id := range a.Pieces {
			of[id] = a
		}
	}
	type part struct {
		area      *Area
		tile, lot string
	}
	at := map[part]int{} // in the tile's uses: an area takes its tiles of a lot at once
	for i := range m.plan.Stock {
		s := &m.plan.Stock[i]
		var first *Area
		for _, q := range s.Pieces {
			if a := of[q.Piece]; a != nil && (first == nil || a.Start < first.Start) {
				first = a
			}
		}
		if first != nil && s.Offcut == nil {
			k, p := takeoff.GoodsKey(s.Tile), part{first, s.Tile, s.Lot}
			if i, ok := at[p]; ok {
				out[k][i].n++
				continue
			}
			at[p] = len(out[k])
			out[k] = append(out[k], use{first.Start, 1, s.Lot, []string{first.Activity}})
		}
	}
	for i := range m.plan.Mixes {
		x := &m.plan.Mixes[i]
		if x.Start > last {
			continue
		}
		u := use{start: x.Start, n: x.Kg}
		if x.Activity != "" {
			u.by = []string{x.Activity}
		}
		for _, w := range x.Also {
			u.by = append(u.by, w.Activity)
		}
		for _, q := range x.Patches {
			if a := areas[q.Area]; a != nil && !slices.Contains(u.by, a.Activity) {
				u.by = append(u.by, a.Activity)
			}
		}
		out[x.Product] = append(out[x.Product], u)
	}
	return out
}

// supplies lists what is there and what orders bring.
func (m *maker) supplies() map[string][]arriving {
	out := map[string][]arriving{}
	for _, h := range m.plan.OnHand {
		n := h.Quantity
		if h.Unit != "tile" {
			n *= m.packageOf(h.Product)
		}
		out[h.Product] = append(out[h.Product], arriving{at: math.MinInt, n: n})
	}
	for i := range m.plan.Orders {
		o := &m.plan.Orders[i]
		key := ""
		if i < len(m.placed) {
			key = o.Key
		}
		for k := range o.Lines {
			if l := &o.Lines[k]; l.Product != "" {
				p := takeoff.GoodsKey(l.Product)
				day := o.ReadyOf(l)
				out[p] = append(out[p], arriving{day, m.clock.DayStart(day), l.Quantity * m.packageOf(p), key})
			}
		}
	}
	return out
}

// count puts what is supposed into the orders placed and the goods on hand.
func (s *supposed) count(placed []takeoff.Order, c *takeoff.Catalogue) []takeoff.Order {
	c.Stock, c.Lots = slices.Concat(c.Stock, s.stock), withLots(c.Lots, s.lots)
	if len(s.came) == 0 {
		return placed
	}
	placed = slices.Clone(placed)
	for i := range placed {
		s.countCome(&placed[i])
	}
	return placed
}

// withLots adds boxes to lots that are bought, and lots of their own beside those that are only offered.
func withLots(list, more []takeoff.Lot) []takeoff.Lot {
	list = slices.Clone(list)
	for _, l := range more {
		is := func(q takeoff.Lot) bool { return q.Tile == l.Tile && q.Lot == l.Lot }
		k := slices.IndexFunc(list, is)
		if k >= 0 && list[k].Offered {
			l.Lot += ", not booked in"
			k = slices.IndexFunc(list, is)
		}
		if k >= 0 {
			list[k].Boxes += l.Boxes
		} else {
			list = append(list, l)
		}
	}
	return list
}

// countCome lets lines of an order be ready on the day on which they were used; the others come when they come.
func (s *supposed) countCome(o *takeoff.Order) {
	lines := slices.Clone(o.Lines)
	first := o.Ready
	for k := range lines {
		l := &lines[k]
		l.Ready = o.ReadyOf(l)
		if day, ok := s.came[orderLine{o.Key, takeoff.GoodsKey(l.Product)}]; ok && day.Before(l.Ready) {
			l.Ready = day
		}
		if l.Product != "" && l.Ready.Before(first) {
			first = l.Ready
		}
	}
	if first.Before(o.Ready) {
		o.Lines, o.Ready = lines, first
		o.Delivery = earlier(o.Delivery, first)
		o.OrderBy = earlier(o.OrderBy, o.Delivery)
	}
}

func earlier(a, b rooms.Date) rooms.Date {
	if b.Before(a) {
		return b
	}
	return a
}
