package takeoff

import (
	"cmp"
	"fmt"
	"slices"

	"potlife/rooms"
)

// wants lists what is neither on hand nor in an order placed, with the date of
// its first use.
func (t *Taken) wants(cat Catalogue, today rooms.Date, firstUse map[Use]rooms.Date, placed []Order) []want {
	u := newUses(firstUse)
	return append(t.tileWants(cat, today, u, placed), t.productWants(cat, today, u, placed)...)
}

// uses answers when a product is first used in a room.
type uses struct {
	exact map[Use]rooms.Date
	room  map[string]rooms.Date // earliest use of anything
}

func newUses(firstUse map[Use]rooms.Date) uses {
	u := uses{firstUse, map[string]rooms.Date{}}
	for k, d := range firstUse {
		if !d.IsZero() && (u.room[k.Room].IsZero() || d.Before(u.room[k.Room])) {
			u.room[k.Room] = d
		}
	}
	return u
}

// first is the earliest use of a product in any of the rooms; the room's own
// first use where the product's is not known, and zero where neither is.
func (u uses) first(product string, rms []string) rooms.Date {
	var best rooms.Date
	for _, r := range rms {
		d := u.exact[Use{product, r}]
		if d.IsZero() {
			d = u.room[r]
		}
		if !d.IsZero() && (best.IsZero() || d.Before(best)) {
			best = d
		}
	}
	return best
}

// tileWants has a want for each row that lots on hand do not serve: all of its
// boxes at once, in one lot.
func (t *Taken) tileWants(cat Catalogue, today rooms.Date, u uses, placed []Order) []want {
	cover := t.coverRows(placed)
	var list []want
	for i := range t.Rows {
		r := &t.Rows[i]
		n := r.Boxes - cover[i].boxes - r.FromStock
		if n <= 0 {
			continue
		}
		tile := cat.tile(r.Tile)
		if tile == nil {
			continue
		}
		w := want{
			product: r.Tile, lot: r.Lot, packages: n, unit: "box", price: tile.PricePerBox, supplier: tile.Supplier,
			needBy: u.first(r.Tile, r.Rooms), rooms: r.Rooms, wait: t.acclimatiseDays, kg: tile.BoxKg, tile: true,
		}
		w.text = lotRequest(tile, r, n)
		w.needBy = t.orEarliest(cat, today, w)
		list = append(list, w)
	}
	return list
}

// lotRequest says on the order what has to belong together.
func lotRequest(tile *Tile, r *Row, n int) string {
	name := cmp.Or(tile.Name, tile.Key)
	switch {
	case r.Lot != "":
		return fmt.Sprintf("%s, lot %s, %s", name, r.Lot, boxes(n))
	case n < r.Boxes:
		return fmt.Sprintf("%s, the lot and calibre of the %s before, %s", name, boxes(r.Boxes-n), boxes(n))
	}
	return fmt.Sprintf("%s, one lot, one calibre, %s%s", name, boxes(n), pallets(tile, n))
}

// pallets says how many pallets boxes fill, where that is known and they fill
// one.
func pallets(tile *Tile, n int) string {
	per := tile.BoxesPerPallet
	if per == 0 || n < per {
		return ""
	}
	words := " (" + count(n/per, "pallet")
	if n%per > 0 {
		words += " and " + boxes(n%per)
	}
	return words + ")"
}

func (c *Catalogue) tile(key string) *Tile {
	for i := range c.Tiles {
		if c.Tiles[i].Key == key {
			return &c.Tiles[i]
		}
	}
	return nil
}

// orEarliest is a want's first use, or the earliest day on which it can be ready
// where the schedule has none.
func (t *Taken) orEarliest(cat Catalogue, today rooms.Date, w want) rooms.Date {
	if !w.needBy.IsZero() {
		return w.needBy
	}
	return cat.earliestReady(w.supplier, today, w.wait)
}

// earliestReady is when something ordered today is delivered and has waited.
func (c *Catalogue) earliestReady(supplier string, today rooms.Date, wait int) rooms.Date {
	for i := range c.Suppliers {
		if s := &c.Suppliers[i]; s.Key == supplier {
			return earliestDelivery(s, today).AddDays(wait)
		}
	}
	return today.AddDays(wait)
}

// covered is what orders placed bring for a row, and when the last of it is
// ready.
type covered struct {
	boxes int
	ready rooms.Date
	from  []coverPart
}

// coverPart is boxes of one line's lot.
type coverPart struct {
	lot   string
	boxes int
}

// coverRows shares the tile of orders placed among the rows: first to rows of
// the lot a line names, then to rows whose rooms it names, then to rows it
// serves whole.
func (t *Taken) coverRows(placed []Order) []covered {
	cover := make([]covered, len(t.Rows))
	type line struct {
		*OrderLine
		left  int
		ready rooms.Date
	}
	var lines []*line
	for i := range placed {
		for j := range placed[i].Lines {
			l := &placed[i].Lines[j]
			lines = append(lines, &line{l, int(l.Quantity), placed[i].Ready})
		}
	}
	give := func(fits func(r *Row, l *line, short int) bool) {
		for i := range t.Rows {
			r := &t.Rows[i]
			for _, l := range lines {
				short := r.Boxes - cover[i].boxes - r.FromStock
				if l.Product != r.Tile || l.left == 0 || short <= 0 || !fits(r, l, short) {
					continue
				}
				n := min(l.left, short)
				l.left -= n
				cover[i].boxes += n
				cover[i].from = append(cover[i].from, coverPart{l.Lot, n})
				if cover[i].ready.Before(l.ready) {
					cover[i].ready = l.ready
				}
			}
		}
	}
	give(func(r *Row, l *line, _ int) bool { return l.Lot != "" && l.Lot == r.Lot })
	give(func(r *Row, l *line, _ int) bool {
		return l.Lot == "" && slices.ContainsFunc(l.Rooms, func(k string) bool { return slices.Contains(r.Rooms, k) })
	})
	give(func(r *Row, l *line, short int) bool { return l.Lot == "" && len(l.Rooms) == 0 && l.left >= short })
	return cover
}

// roomShare is what a room takes of a product, with its margin.
type roomShare struct {
	room  string
	with  float64
	first rooms.Date
}

// shares splits a material among rooms, in the order of their first uses.
func (t *Taken) shares(product string, u uses) []roomShare {
	index := map[string]int{}
	var list []roomShare
	for _, n := range t.Needs {
		if n.Product != product {
			continue
		}
		i, ok := index[n.Room]
		if !ok {
			i = len(list)
			index[n.Room] = i
			list = append(list, roomShare{room: n.Room, first: u.first(product, []string{n.Room})})
		}
		list[i].with += n.With
	}
	slices.SortStableFunc(list, func(a, b roomShare) int {
		if a.first.IsZero() != b.first.IsZero() { // what has no date comes last
			if a.first.IsZero() {
				return 1
			}
			return -1
		}
		return cmp.Or(a.first.Compare(b.first), cmp.Compare(a.room, b.room))
	})
	return list
}

// inTotal stretches the rooms' shares to the packages of the material, so that
// the last room's share ends with the last package.
func inTotal(m *Material, list []roomShare) []float64 {
	sum := 0.0
	for _, s := range list {
		sum += s.with
	}
	out := make([]float64, len(list))
	at := 0.0
	for i, s := range list {
		at += s.with
		out[i] = at / m.PackageSize
		if sum > m.Quantity || m.Kind == KindTrim { // bars: in proportion
			out[i] = at / sum * float64(m.Packages)
		}
	}
	if len(out) > 0 {
		out[len(out)-1] = float64(m.Packages)
	}
	return out
}

// productWants has a want for every step of a product's cumulative need beyond
// what is on hand, ordered, and there by then: whole packages, by the first use
// of the room that needs them.
func (t *Taken) productWants(cat Catalogue, today rooms.Date, u uses, placed []Order) []want {
	var list []want
	for i := range t.Materials {
		m := &t.Materials[i]
		p := cat.product(m.Product)
		if p == nil {
			continue
		}
		yard := cat.packages(m.Product)
		all := wholePackages(float64(m.Packages) - yard - placedBy(placed, m.Product, rooms.Date{}))
		shares := t.shares(m.Product, u)
		at := inTotal(m, shares)
		bought := 0
		for n, s := range shares {
			short := min(all, wholePackages(at[n]-yard-placedBy(placed, m.Product, s.first))) - bought
			if short <= 0 {
				continue
			}
			bought += short
			w := want{
				product: p.Key, packages: short, unit: packageWord(p), text: fmt.Sprintf("%s, %s %s each", cmp.Or(p.Name, p.Key), trimmed(p.PackageSize, 3), p.Unit),
				price: p.Price, supplier: p.Supplier, needBy: s.first, rooms: []string{s.room},
				wait: t.openDays, kg: packageKg(p), shelfDays: p.Sheet.ShelfDays,
			}
			w.needBy = t.orEarliest(cat, today, w)
			list = append(list, w)
		}
	}
	return list
}

func (c *Catalogue) product(key string) *Product {
	for i := range c.Products {
		if c.Products[i].Key == key {
			return &c.Products[i]
		}
	}
	return nil
}

// packages is what lies in the yard of a product.
func (c *Catalogue) packages(product string) float64 {
	n := 0.0
	for _, s := range c.Stock {
		if s.Product == product {
			n += s.Packages
		}
	}
	return n
}

// placedBy is what orders placed bring of a product until a date, all of it for
// the zero date.
func placedBy(placed []Order, product string, by rooms.Date) float64 {
	n := 0.0
	for _, o := range placed {
		if !by.IsZero() && by.Before(o.Ready) {
			continue
		}
		for _, l := range o.Lines {
			if l.Product == product {
				n += l.Quantity
			}
		}
	}
	return n
}

func packageWord(p *Product) string {
	if p.Package == "" {
		return "package"
	}
	return p.Package
}

// packageKg is what a package weighs; liquids count 1.4 kg to the litre, and
// what is sold by length or area is not counted.
func packageKg(p *Product) float64 {
	switch p.Unit {
	case "kg":
		return p.PackageSize
	case "l":
		return p.PackageSize * 1.4
	}
	return 0
}
