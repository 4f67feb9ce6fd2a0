package plandoc

import (
	"cmp"
	"encoding/json"
	"math"
	"slices"
	"strings"

	"github.com/shopspring/decimal"
)

// cutKey is one cut that a sheet must list once.
type cutKey struct {
	piece, tile, tool string
	size              float64 // -1: none
}

func sizeOf(m *MM) float64 {
	if m == nil {
		return -1
	}
	return float64(*m)
}

// checkSheets holds the day sheets to group 8.
func (c *checker) checkSheets() {
	onSheet := map[string]int{}
	type day struct{ activity, date, crew string }
	onActivity := map[day]bool{}
	listed := make(map[cutKey][]string, len(c.order)/2)
	seen := map[[2]string]bool{}
	for i := range c.doc.Sheets {
		s := &c.doc.Sheets[i]
		if seen[[2]string{s.Date, s.Crew}] {
			c.breach("8 sheet", "sheet %s %s stands twice", s.Date, s.Crew)
		}
		seen[[2]string{s.Date, s.Crew}] = true
		c.checkSheetAreas(s, onSheet)
		for _, k := range s.Activities {
			onActivity[day{k, s.Date, s.Crew}] = true
		}
		for _, g := range s.Cuts {
			for _, p := range g.Pieces {
				k := cutKey{p, g.Tile, g.Tool, sizeOf(g.Size)}
				listed[k] = append(listed[k], s.Date)
			}
		}
	}
	c.checkCutsListed(listed)
	for _, k := range sortedKeys(c.areas) {
		if onSheet[k] != 1 {
			c.breach("8 sheet", "area %s stands on %d sheets", k, onSheet[k])
		}
	}
	for i := range c.doc.Activities {
		a := &c.doc.Activities[i]
		if a.Crew == nil {
			continue
		}
		for _, w := range a.Work {
			if d := (day{a.ID, c.day(w[0]), *a.Crew}); !onActivity[d] {
				c.breach("8 sheet", "%s works on %s and stands on no sheet of %s", a.ID, d.date, d.crew)
			}
		}
	}
}

func (c *checker) checkSheetAreas(s *Sheet, onSheet map[string]int) {
	site := map[string]bool{}
	for _, k := range s.Areas {
		onSheet[k]++
		a := c.areas[k]
		if c.day(a.Start) != s.Date || a.Crew != s.Crew {
			c.breach("8 sheet", "%s stands on the sheet of %s %s, is set %s by %s", k, s.Date, s.Crew, a.Start, a.Crew)
		}
		for _, p := range a.Pieces {
			if c.pieces[p].OnSite {
				site[p] = true
			}
		}
	}
	got := map[string]bool{}
	for _, p := range s.OnSite {
		got[p] = true
	}
	if !slices.Equal(sortedKeys(got), sortedKeys(site)) {
		c.breach("8 sheet", "%s %s: %d pieces to measure are listed, %d are due", s.Date, s.Crew, len(got), len(site))
	}
}

func (c *checker) checkCutsListed(listed map[cutKey][]string) {
	due := make(map[cutKey]int, len(listed))
	keys := make([]cutKey, 0, len(listed))
	dayOf := make(map[string]string, len(c.areas)) // on which an area is set
	for i := range c.doc.Areas {
		dayOf[c.doc.Areas[i].ID] = c.day(c.doc.Areas[i].Start)
	}
	for _, p := range c.order {
		if p.OnSite {
			continue
		}
		for _, cut := range p.Cuts {
			k := cutKey{p.ID, p.Tile, cut.Tool, sizeOf(cut.Size)}
			if due[k] == 0 {
				keys = append(keys, k)
			}
			due[k]++
		}
	}
	for _, k := range keys {
		days := listed[k]
		if len(days) != due[k] {
			c.breach("8 sheet", "cut of %s (%s, %g) is listed %d times, %d due", k.piece, k.tool, k.size, len(days), due[k])
			continue
		}
		if last := slices.Max(days); last > dayOf[c.pieces[k.piece].Area] {
			c.breach("8 sheet", "cut of %s is listed on %s, after it is set", k.piece, last)
		}
	}
	var extra []cutKey
	for k := range listed {
		if due[k] == 0 {
			extra = append(extra, k)
		}
	}
	slices.SortFunc(extra, func(a, b cutKey) int {
		return cmp.Or(cmp.Compare(a.piece, b.piece), cmp.Compare(a.tile, b.tile), cmp.Compare(a.tool, b.tool), cmp.Compare(a.size, b.size))
	})
	for _, k := range extra {
		c.breach("8 sheet", "cut of %s (%s, %g) does not belong", k.piece, k.tool, k.size)
	}
}

// checkTakeoff holds the rows to the pieces, stock tiles and lots.
func (c *checker) checkTakeoff() {
	type counts struct{ pieces, full, cut, stock int }
	laid, summed := map[string]counts{}, map[string]counts{}
	lots := map[[2]string]map[string]bool{}
	for _, p := range c.order {
		n := laid[p.Tile]
		n.pieces++
		if p.Full {
			n.full++
		} else {
			n.cut++
		}
		laid[p.Tile] = n
		k := [2]string{p.Tile, p.surface.Room}
		if lots[k] == nil {
			lots[k] = map[string]bool{}
		}
		lots[k][deref(c.stock[p.Stock].Lot)] = true
	}
	for i := range c.doc.Stock {
		if t := &c.doc.Stock[i]; !t.Broken {
			n := laid[t.Tile]
			n.stock++
			laid[t.Tile] = n
		}
	}
	for i := range c.doc.Takeoff {
		r := &c.doc.Takeoff[i]
		n := summed[r.Tile]
		summed[r.Tile] = counts{n.pieces + r.Pieces, n.full + r.Full, n.cut + r.Cut, n.stock + r.Stock}
		if r.StockBound > r.Stock {
			c.breach("9 order", "%s %s: bound %d over %d", r.Tile, r.Group, r.StockBound, r.Stock)
		}
		if r.Quantity != r.Stock+r.Spares+r.Attic || r.Boxes*c.tiles[r.Tile].PerBox < r.Quantity {
			c.breach("9 order", "%s %s: the chain to %d boxes does not add up", r.Tile, r.Group, r.Boxes)
		}
		used := map[string]bool{}
		for _, room := range r.Rooms {
			for lot := range lots[[2]string{r.Tile, room}] {
				used[lot] = true
			}
		}
		if len(used) > 1 && deref(r.Split) == "" {
			c.breach("9 order", "%s %s: %d lots in one group and no word why", r.Tile, r.Group, len(used))
		}
	}
	for _, t := range sortedKeys(laid) {
		if laid[t] != summed[t] {
			c.breach("9 order", "%s: takeoff says %+v, the plan has %+v", t, summed[t], laid[t])
		}
	}
}

func deref(s *string) string {
	if s == nil {
		return ""
	}
	return *s
}

// flow is a change of what is there of a product on a day.
type flow struct {
	date string
	n    float64
}

// checkOrders holds the orders to group 9: amounts to the cent, and day by day
// what is there covers what is used.
func (c *checker) checkOrders() {
	size, need := map[string]float64{}, map[string]float64{}
	for _, m := range c.doc.Materials {
		size[m.Product] = m.PackageSize
		need[m.Product] += float64(m.Packages)
		if m.Net > m.Quantity+1e-6 || math.Abs(m.Quantity-float64(m.Packages)*m.PackageSize) > 1e-6*max(1, m.Quantity) {
			c.breach("9 order", "%s: %g %s needed, %d × %g = %g bought", m.Product, m.Net, m.Unit, m.Packages, m.PackageSize, m.Quantity)
		}
	}
	for _, r := range c.doc.Takeoff {
		size[r.Tile] = float64(c.tiles[r.Tile].PerBox)
		need[r.Tile] += float64(r.Boxes)
	}
	flows, bought := map[string][]flow{}, map[string]float64{}
	for _, h := range c.doc.OnHand {
		n := h.Quantity
		if h.Unit == "tile" && size[h.Product] > 0 {
			n /= size[h.Product]
		}
		bought[h.Product] += n
		flows[h.Product] = append(flows[h.Product], flow{"", n * size[h.Product]})
	}
	for i := range c.doc.Orders {
		c.checkOrderLines(&c.doc.Orders[i], size, flows, bought)
	}
	for _, p := range sortedKeys(need) {
		if bought[p] < need[p]-1e-6 {
			c.breach("9 order", "%s: %g packages needed, %.2f ordered or on hand", p, need[p], bought[p])
		}
	}
	c.checkFlows(flows)
}

func (c *checker) checkOrderLines(o *Order, size map[string]float64, flows map[string][]flow, bought map[string]float64) {
	if o.OrderBy > o.Delivery || o.Delivery > o.Ready {
		c.breach("9 order", "%s: order by %s, delivery %s, ready %s", o.Key, o.OrderBy, o.Delivery, o.Ready)
	}
	sum := decimal.Zero
	cent := decimal.New(5, -3)
	for _, l := range o.Lines {
		amount, price := amountOf(l.Amount), amountOf(l.UnitPrice)
		sum = sum.Add(amount)
		if amount.Sub(price.Mul(decimal.NewFromFloat(l.Quantity))).Abs().GreaterThan(cent) {
			c.breach("9 order", "%s: %s %g × %s ≠ %s", o.Key, l.Text, l.Quantity, l.UnitPrice, l.Amount)
		}
		if l.Product != nil {
			bought[*l.Product] += l.Quantity
			ready := cmp.Or(l.Ready, o.Ready)
			if ready < o.Ready {
				c.breach("9 order", "%s: %s is ready on %s, the order's first line on %s", o.Key, *l.Product, ready, o.Ready)
			}
			flows[*l.Product] = append(flows[*l.Product], flow{ready, l.Quantity * size[*l.Product]})
		}
	}
	if !sum.Equal(amountOf(o.Total)) {
		c.breach("9 order", "%s: total %s, the lines add to %s", o.Key, o.Total, sum)
	}
}

func amountOf(n json.Number) decimal.Decimal {
	d, err := decimal.NewFromString(strings.TrimSpace(string(n)))
	if err != nil {
		return decimal.New(-1, 12) // no amount: nothing will add up, and the breach names the line
	}
	return d
}

// checkFlows walks through the days of each product. A tile is used on the day on
// which the first of its pieces is set.
func (c *checker) checkFlows(flows map[string][]flow) {
	c.checkFirstCuts(flows)
	for i := range c.doc.Stock {
		t := &c.doc.Stock[i]
		first := ""
		for _, q := range t.Pieces {
			if d := c.day(c.areas[c.pieces[q.Piece].Area].Start); first == "" || d < first {
				first = d
			}
		}
		if first != "" {
			flows[t.Tile] = append(flows[t.Tile], flow{first, -1})
		}
	}
	for _, m := range c.doc.Mixes {
		flows[m.Product] = append(flows[m.Product], flow{c.day(m.Start), -m.Kg})
	}
	for _, p := range sortedKeys(flows) {
		rows := flows[p]
		slices.SortStableFunc(rows, func(a, b flow) int {
			return cmp.Or(cmp.Compare(a.date, b.date), cmp.Compare(b.n, a.n))
		})
		have := 0.0
		for _, r := range rows {
			have += r.n
			if have < -1e-6 {
				c.breach("9 order", "%s: on %s more is used than is there (%.1f short)", p, r.date, -have)
				break
			}
		}
	}
}

// checkFirstCuts holds tiles that are cut before any of their pieces is set, on a sheet
// that is not out yet: by the day of each as many are there as are taken as planned by
// then. What is issued or done may have been overtaken by news of its goods.
func (c *checker) checkFirstCuts(flows map[string][]flow) {
	cut, taken := c.cutDays(), map[string][]flow{}
	for i := range c.doc.Stock {
		t := &c.doc.Stock[i]
		first, planned := "", false
		for _, q := range t.Pieces {
			a := c.areas[c.pieces[q.Piece].Area]
			d, plan := c.day(a.Start), c.activities[a.Activity].State == "planned"
			if at, ok := cut[q.Piece]; ok && at.date < d {
				d, plan = at.date, plan && !at.out
			}
			if first == "" || d < first {
				first, planned = d, plan
			}
		}
		if planned {
			taken[t.Tile] = append(taken[t.Tile], flow{first, 1})
		}
	}
	for _, p := range sortedKeys(taken) {
		rows := taken[p]
		slices.SortStableFunc(rows, func(a, b flow) int { return cmp.Compare(a.date, b.date) })
		for k, r := range rows {
			there := 0.0
			for _, f := range flows[p] {
				if f.date <= r.date {
					there += f.n
				}
			}
			if float64(k+1) > there+1e-6 {
				c.breach("9 order", "%s: on %s %d tiles are taken to be cut or set, and %g are there", p, r.date, k+1, there)
				break
			}
		}
	}
}

// cutDay is the first day on which a piece is listed to be cut, and whether that sheet is
// out.
type cutDay struct {
	date string
	out  bool
}

func (c *checker) cutDays() map[string]cutDay {
	out := map[string]cutDay{}
	for i := range c.doc.Sheets {
		s := &c.doc.Sheets[i]
		for _, g := range s.Cuts {
			for _, p := range g.Pieces {
				if was, ok := out[p]; !ok || s.Date < was.date {
					out[p] = cutDay{s.Date, s.Revision > 0}
				}
			}
		}
	}
	return out
}
