package takeoff

import (
	"errors"
	"fmt"
	"slices"
	"strings"

	"potlife/rooms"
)

// ErrInput marks input to Take that makes no sense; the message names every
// field.
var ErrInput = errors.New("takeoff: input")

// inputErrors gathers what is wrong, field by field.
type inputErrors []string

func (e *inputErrors) add(format string, args ...any) { *e = append(*e, fmt.Sprintf(format, args...)) }

func (e inputErrors) err() error {
	if len(e) == 0 {
		return nil
	}
	return fmt.Errorf("%w: %s", ErrInput, strings.Join(e, "; "))
}

// checkInput fills the taker's look-up tables and reports what they lack.
func (t *taker) checkInput() error {
	var e inputErrors
	suppliers := checkSuppliers(&e, t.in.Catalogue)
	if s := t.in.Sharing; s != "" && s != ShareRoom && s != ShareSurface && s != ShareLot {
		e.add("sharing of offcuts: %q, expected nothing, %q, %q or %q", s, ShareRoom, ShareSurface, ShareLot)
	}
	if t.in.Kerf < 0 || t.in.SmallestOffcut < 0 {
		e.add("kerf %s and smallest offcut %s: neither may be negative", t.in.Kerf, t.in.SmallestOffcut)
	}
	t.checkTiles(&e, suppliers)
	t.checkProducts(&e, suppliers)
	t.checkStock(&e)
	t.checkPlaced(&e, suppliers)
	t.checkJobs(&e)
	t.checkLayouts(&e)
	t.checkRank(&e)
	return e.err()
}

// checkRank looks whether each piece has a rank, if any have.
func (t *taker) checkRank(e *inputErrors) {
	if t.in.Rank == nil {
		return
	}
	if len(t.in.Rank) != len(t.in.Layouts) {
		e.add("setting order of %d layouts, of %d that are given", len(t.in.Rank), len(t.in.Layouts))
		return
	}
	for i := range t.in.Layouts {
		l, of := &t.in.Layouts[i], t.in.Rank[i]
		whole := len(of) == len(l.Zones)
		for z := 0; whole && z < len(of); z++ {
			whole = len(of[z]) == len(l.Zones[z].Pieces)
		}
		if !whole {
			e.add("surface %s: its setting order is not of its zones and pieces", layoutSurface(l))
		}
	}
}

// checkSuppliers returns the suppliers' keys.
func checkSuppliers(e *inputErrors, c Catalogue) map[string]bool {
	known := map[string]bool{}
	if !(c.HoldShare >= 0 && c.HoldShare <= 1) {
		e.add("catalogue hold share: %v, expected 0 (for the default) or a share of the price a week up to 1 such as 0.02", c.HoldShare)
	}
	if !(c.ServiceLevel >= 0 && c.ServiceLevel < 1) {
		e.add("catalogue service level: %v, expected 0 (for the default) or a share under 1 such as 0.98", c.ServiceLevel)
	}
	for _, k := range sortedKeys(c.FlatShare) {
		if v := c.FlatShare[k]; !(v >= 0 && v <= 1) {
			e.add("flat share of %q: %v, expected a share from 0 to 1", k, v)
		}
	}
	for _, s := range c.Suppliers {
		if s.Key == "" || known[s.Key] {
			e.add("suppliers: key %q is empty or stands twice", s.Key)
		}
		known[s.Key] = true
		if s.Days.Week == [7]bool{} {
			e.add("supplier %s: no working days, so no delivery date can be counted; name at least one weekday", s.Key)
		}
		if s.LeadDays < 0 || s.BufferDays < 0 || s.LeadDays > 1000 || s.BufferDays > 1000 {
			e.add("supplier %s: lead %d and buffer %d days, expected 0 to 1000", s.Key, s.LeadDays, s.BufferDays)
		}
		if !isPrice(s.MinOrder) || !isPrice(s.FreeFrom) || !isPrice(s.Freight) {
			e.add("supplier %s: minimum order %v, free from %v, freight %v: no amount may be negative or over a thousand million", s.Key, s.MinOrder, s.FreeFrom, s.Freight)
		}
		if s.ReturnDays < 0 || !(s.ReturnFee >= 0 && s.ReturnFee <= 1) {
			e.add("supplier %s: returns within %d days at a fee of %v, expected days from 0 and a share from 0 to 1", s.Key, s.ReturnDays, s.ReturnFee)
		}
	}
	return known
}

// isPrice bounds amounts so that sums over a plan fit.
func isPrice(m Money) bool { return m >= 0 && m <= 1e13 }

// sortedKeys lists a map's keys in order.
func sortedKeys[V any](m map[string]V) []string {
	var keys []string
	for k := range m {
		keys = append(keys, k)
	}
	slices.Sort(keys)
	return keys
}

func (t *taker) checkTiles(e *inputErrors, suppliers map[string]bool) {
	t.tiles = map[string]*Tile{}
	for i := range t.in.Catalogue.Tiles {
		tile := &t.in.Catalogue.Tiles[i]
		if tile.Key == "" || t.tiles[tile.Key] != nil {
			e.add("tiles: key %q is empty or stands twice", tile.Key)
		}
		t.tiles[tile.Key] = tile
		if (tile.Of != "" || tile.OfLot != "") && tile.Key != tile.Of+"@"+tile.OfLot {
			e.add("tile %s: a lot as measured is named %s@%s", tile.Key, tile.Of, tile.OfLot)
		}
		if tile.PerBox < 1 || tile.PerBox > 1e6 {
			e.add("tile %s: %d per box, expected 1 to a million", tile.Key, tile.PerBox)
		}
		if !isPrice(tile.PricePerBox) {
			e.add("tile %s: price per box %v is negative or over a thousand million", tile.Key, tile.PricePerBox)
		}
		if tile.Thickness < 0 || !(tile.BoxKg >= 0 && tile.BoxKg < 1e5) || tile.BoxesPerPallet < 0 {
			e.add("tile %s: thickness %s, box of %v kg, %d boxes to the pallet: none may be negative", tile.Key, tile.Thickness, tile.BoxKg, tile.BoxesPerPallet)
		}
		if len(tile.Shape) < 3 || !boxAtOrigin(tile.Shape.Box()) {
			e.add("tile %s: shape must have at least three corners and its bounding box start at 0, 0", tile.Key)
		}
		if !(tile.BreakChance >= 0 && tile.BreakChance < 1 && tile.DefectChance >= 0 && tile.DefectChance < 1 && tile.Attic >= 0 && tile.Attic <= 10) {
			e.add("tile %s: break chance %v, defect chance %v and attic %v are shares, not negative and under 1", tile.Key, tile.BreakChance, tile.DefectChance, tile.Attic)
		}
		if tile.Supplier != "" && !suppliers[tile.Supplier] {
			e.add("tile %s: supplier %q does not exist", tile.Key, tile.Supplier)
		}
	}
}

// UnitsOf lists the units in which a kind of product is sold, none for a kind
// that is not known.
func UnitsOf(kind string) []string {
	switch kind {
	case KindMortar, KindGrout, KindLeveller:
		return []string{"kg"}
	case KindSealant:
		return []string{"l", "ml"}
	case KindMembrane:
		return []string{"kg", "l", "m2"}
	case KindPrimer:
		return []string{"kg", "l"}
	case KindBoard:
		return []string{"m2"}
	case KindTrim, KindBacker, KindBlade:
		return []string{"m"}
	case KindSpacer, KindScrew, KindClip, KindWedge:
		return []string{"piece"}
	}
	return nil
}

func (t *taker) checkProducts(e *inputErrors, suppliers map[string]bool) {
	t.products = map[string]*Product{}
	for i := range t.in.Catalogue.Products {
		p := &t.in.Catalogue.Products[i]
		if p.Key == "" || t.products[p.Key] != nil || t.tiles[p.Key] != nil {
			e.add("products: key %q is empty or stands twice", p.Key)
		}
		t.products[p.Key] = p
		if units := UnitsOf(p.Kind); units == nil {
			e.add("product %s: kind %q is not known", p.Key, p.Kind)
		} else if !slices.Contains(units, p.Unit) {
			e.add("product %s: unit %q is not one of %s, in which %s is sold", p.Key, p.Unit, strings.Join(units, ", "), p.Kind)
		}
		if !(p.PackageSize > 0) || p.PackageSize > 1e6 {
			e.add("product %s: package size %v, expected more than 0 %s", p.Key, p.PackageSize, p.Unit)
		}
		if !isPrice(p.Price) {
			e.add("product %s: price %v is negative or over a thousand million", p.Key, p.Price)
		}
		s := p.Sheet
		for _, v := range []float64{s.PerM2, s.PerMM, s.Density, s.WaterPerKg, float64(s.Coats), float64(s.ShelfDays)} {
			if !(v >= 0 && v < 1e6) {
				e.add("product %s: a data sheet value of %v; expected 0 (not given) or more", p.Key, v)
			}
		}
		if p.Supplier != "" && !suppliers[p.Supplier] {
			e.add("product %s: supplier %q does not exist", p.Key, p.Supplier)
		}
	}
}

func (t *taker) checkStock(e *inputErrors) {
	type lotKey struct {
		tile, lot string
		offered   bool
	}
	seen := map[lotKey]bool{}
	for _, l := range t.in.Catalogue.Lots {
		k := lotKey{l.Tile, l.Lot, l.Offered}
		switch {
		case t.tiles[l.Tile] == nil:
			e.add("lot %s: tile %q does not exist", l.Lot, l.Tile)
		case l.Lot == "":
			e.add("lot of %s: has no name", l.Tile)
		case seen[k]:
			e.add("lot %s of %s stands twice", l.Lot, l.Tile)
		case l.Boxes < 0 || l.Tiles < 0 || l.Boxes > 1e6 || l.Boxes == 0 && l.Tiles == 0:
			e.add("lot %s of %s: %d boxes and %d tiles, expected one to a million boxes", l.Lot, l.Tile, l.Boxes, l.Tiles)
		}
		seen[k] = true
	}
	for _, s := range t.in.Catalogue.Stock {
		if t.products[s.Product] == nil {
			e.add("stock: product %q does not exist", s.Product)
		}
		if !(s.Packages >= 0) || s.Packages > 1e9 {
			e.add("stock of %s: %v packages, expected 0 or more", s.Product, s.Packages)
		}
	}
}

func (t *taker) checkPlaced(e *inputErrors, suppliers map[string]bool) {
	for _, o := range t.in.Placed {
		if o.Currency != t.in.Catalogue.Currency {
			e.add("order %s: currency %q, prices are in %q; a plan has one currency", o.Key, o.Currency, t.in.Catalogue.Currency)
		}
		if !suppliers[o.Supplier] {
			e.add("order %s: supplier %q does not exist", o.Key, o.Supplier)
		}
		for i, l := range o.Lines {
			if l.Product != "" && t.tiles[l.Product] == nil && t.products[l.Product] == nil {
				e.add("order %s line %d: product %q does not exist", o.Key, i+1, l.Product)
			}
			if !(l.Quantity > 0 && l.Quantity < 1e6) || !isPrice(l.UnitPrice) {
				e.add("order %s line %d: quantity %v at %v, expected more than 0 at no negative price", o.Key, i+1, l.Quantity, l.UnitPrice)
			}
		}
	}
}

// needSuppliers reports what has to be ordered and names no supplier.
func (t *taker) needSuppliers() error {
	var e inputErrors
	first := map[Use]rooms.Date{}
	for _, w := range t.out.wants(t.in.Catalogue, t.in.Today, first, t.in.Placed) {
		if w.supplier == "" {
			e.add("%s: %d to be ordered for %s, and it names no supplier", w.product, w.packages, strings.Join(w.rooms, ", "))
		}
	}
	return e.err()
}

// checkJobs indexes the rooms.
func (t *taker) checkJobs(e *inputErrors) {
	t.rooms, t.splits = map[string]*takenRoom{}, map[string]string{}
	first := map[string]string{} // site of each group's first room
	for j := range t.in.Jobs {
		job := &t.in.Jobs[j]
		t.out.addPlaces(job)
		for s := range job.Sites {
			site := &job.Sites[s]
			for r := range site.Rooms {
				room := &site.Rooms[r]
				k := joinKey(job.Key, room.Key)
				if t.rooms[k] != nil {
					e.add("room %s stands twice", k)
				}
				at := joinKey(job.Key, site.Key)
				t.rooms[k] = &takenRoom{room, k, groupAt(groupKey(job.Key, room), at, site.Key, first), job.Key, at}
				t.roomKeys = append(t.roomKeys, k)
				t.acceptSplit(e, t.rooms[k])
			}
		}
	}
}

// checkLayouts holds the layouts to what jobs and catalogue name.
func (t *taker) checkLayouts(e *inputErrors) {
	seen := map[string]bool{}
	for i := range t.in.Layouts {
		l := &t.in.Layouts[i]
		k := layoutSurface(l)
		if seen[k] {
			e.add("layout of %s stands twice", k)
		}
		seen[k] = true
		r := t.rooms[layoutRoom(l)]
		if r == nil {
			e.add("layout of %s: room %s does not exist in the jobs", k, layoutRoom(l))
			continue
		}
		if !t.addSurface(l, r) {
			e.add("layout of %s: room %s has no such surface", k, r.key)
		}
		for _, z := range l.Zones {
			t.checkZone(e, k, &z)
		}
	}
}

func (t *taker) checkZone(e *inputErrors, surface string, z *ZoneLayout) {
	for _, p := range []struct{ kind, key string }{{KindMortar, z.Zone.Mortar}, {KindGrout, z.Zone.Grout}, {KindSealant, z.Zone.Sealant}} {
		if p.key == "" {
			continue
		}
		if got := t.products[p.key]; got == nil {
			e.add("%s zone %s: %s %q does not exist", surface, z.Zone.Key, p.kind, p.key)
		} else if got.Kind != p.kind {
			e.add("%s zone %s: %q is %s, expected %s", surface, z.Zone.Key, p.key, got.Kind, p.kind)
		}
	}
	missing := map[string]bool{}
	for i := range z.Pieces {
		p := &z.Pieces[i]
		if t.tiles[p.Tile] == nil && !missing[p.Tile] {
			missing[p.Tile] = true
			e.add("%s zone %s: tile %q does not exist", surface, z.Zone.Key, p.Tile)
		}
	}
}
