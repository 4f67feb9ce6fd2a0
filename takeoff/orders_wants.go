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
			product: GoodsKey(r.Tile), lot: r.Lot, packages: n, unit: "box", price: tile.PricePerBox, supplier: tile.Supplier,
			needBy: u.first(r.Tile, r.Rooms), rooms: r.Rooms, groups: []string{r.Group}, place: t.placeOf(r.Rooms[0]), wait: t.tileWait(tile), kg: tile.BoxKg, tile: true,
		}
		if tile.BoxesPerPallet > 0 {
			w.pallets = 1 / float64(tile.BoxesPerPallet)
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
		return lotText(tile, r.Lot, n)
	case n < r.Boxes:
		return fmt.Sprintf("%s, the lot and calibre of the %s before, %s", name, boxes(r.Boxes-n), boxes(n))
	}
	return fmt.Sprintf("%s, one lot, one calibre, %s%s", name, boxes(n), pallets(tile, n))
}

// lotText asks for a lot by name.
func lotText(tile *Tile, lot string, n int) string {
	return fmt.Sprintf("%s, lot %s, %s%s", cmp.Or(tile.Name, tile.Key), lot, boxes(n), pallets(tile, n))
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
	return t.earliestReady(cat, w.supplier, w.place, today, w.wait)
}

// covered is what orders placed bring for a row, and when the last of it is
// ready.
type covered struct {
	boxes int
	ready rooms.Date
}

// coverLine is a line of an order placed with what it has left to give.
type coverLine struct {
	*OrderLine
	at    lineAt
	left  int
	ready rooms.Date
}

// coverRows shares the tile of orders placed among the rows.
func (t *Taken) coverRows(placed []Order) []covered {
	cover, _ := t.coverLines(placed)
	return cover
}

// coverLines shares the tile of orders placed among the rows: first to rows of
// the lot a line names, then to rows whose rooms it names, of no lot or of another
// that is taken beside theirs, then to rows it serves whole. It also returns what
// each line has left.
func (t *Taken) coverLines(placed []Order) ([]covered, []*coverLine) {
	cover := make([]covered, len(t.Rows))
	var lines []*coverLine
	byTile := map[string][]*coverLine{}
	for i := range placed {
		for j := range placed[i].Lines {
			l := &placed[i].Lines[j]
			c := &coverLine{l, lineAt{i, j}, int(l.Quantity), placed[i].ReadyOf(l)}
			lines = append(lines, c)
			byTile[l.Product] = append(byTile[l.Product], c)
		}
	}
	give := func(fits func(r *Row, l *coverLine, short int) bool) {
		for i := range t.Rows {
			r := &t.Rows[i]
			for _, l := range byTile[GoodsKey(r.Tile)] {
				short := r.Boxes - cover[i].boxes - r.FromStock
				if l.left == 0 || short <= 0 || !fits(r, l, short) {
					continue
				}
				n := min(l.left, short)
				l.left -= n
				cover[i].boxes += n
				cover[i].ready = laterDate(cover[i].ready, l.ready)
			}
		}
	}
	give(func(r *Row, l *coverLine, _ int) bool { return l.Lot != "" && l.Lot == r.Lot })
	give(func(r *Row, l *coverLine, _ int) bool {
		return l.Lot == "" && t.isFor(l.OrderLine, r)
	})
	give(func(r *Row, l *coverLine, _ int) bool { return l.Lot != "" && t.isFor(l.OrderLine, r) })
	give(func(r *Row, l *coverLine, short int) bool { return l.Lot == "" && len(l.Rooms) == 0 && l.left >= short })
	return cover, lines
}

// isFor reports whether a line of tile was ordered for a row: for its lot group,
// or, where none of the line's groups is there any more, for one of its rooms.
func (t *Taken) isFor(l *OrderLine, r *Row) bool {
	for _, g := range l.Groups {
		if t.hasRow[rowKey{l.Product, g}] {
			return slices.ContainsFunc(l.Groups, func(k string) bool { return k == r.Group })
		}
	}
	return slices.ContainsFunc(l.Rooms, func(k string) bool { return slices.Contains(r.Rooms, k) })
}

// productWants has a want for every step of a place's cumulative need beyond
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
		shares := t.shares(m, u)
		for _, b := range t.supplyOf(m, cat.packages(m.Product), placed).buy(shares) {
			s := shares[b.share]
			w := want{
				product: p.Key, packages: b.packages, unit: packageWord(p), text: fmt.Sprintf("%s, %s each", cmp.Or(p.Name, p.Key), p.Holds()),
				price: p.Price, supplier: p.Supplier, needBy: s.first, rooms: []string{s.room}, place: s.place,
				wait: t.productWait(p), kg: packageKg(p), shelfDays: p.Sheet.ShelfDays,
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
