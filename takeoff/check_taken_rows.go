package takeoff

import (
	"math"
	"slices"

	"potlife/rooms"
)

// rowSums is what a row adds up.
type rowSums struct{ pieces, full, cut, stock, inHand int }

// rowsFound is what pieces and stock tiles come to, by row, and the lots of the tiles.
type rowsFound struct {
	sums map[rowKey]*rowSums
	lots map[rowKey]map[string]bool
}

func (f *rowsFound) at(k rowKey) *rowSums {
	if f.sums[k] == nil {
		f.sums[k] = &rowSums{}
	}
	return f.sums[k]
}

// rows holds the rows to the pieces and stock tiles of the plan.
func (c *takenCheck) rows() {
	found := c.rowsFound()
	for i := range c.t.Rows {
		r := &c.t.Rows[i]
		k := rowKey{r.Tile, r.Group}
		s := found.sums[k]
		if s == nil || *s != (rowSums{r.Pieces, r.Full, r.Cut, r.Stock, r.InHand}) {
			c.fault("row %s %s: %d pieces, %d full, %d cut, %d stock, %d in hand; the plan has %+v", r.Tile, r.Group, r.Pieces, r.Full, r.Cut, r.Stock, r.InHand, s)
			continue
		}
		delete(found.sums, k)
		c.row(r, found.lots[k])
	}
	for k := range found.sums {
		c.fault("%s of %s has no row", k.tile, k.group)
	}
}

// rowsFound adds up the pieces and stock tiles of the plan.
func (c *takenCheck) rowsFound() rowsFound {
	found := rowsFound{map[rowKey]*rowSums{}, map[rowKey]map[string]bool{}}
	group := c.groups()
	for id, p := range c.pieces {
		s := found.at(rowKey{p.Tile, group[id]})
		s.pieces++
		if p.Full {
			s.full++
		} else {
			s.cut++
		}
	}
	kept := map[string]bool{} // cut before a split was accepted, perhaps
	for _, s := range c.in.Kept {
		kept[s.ID] = true
	}
	for _, s := range c.t.Stock {
		if s.Broken {
			continue
		}
		k := rowKey{s.Tile, group[s.Pieces[0].Piece]}
		if s.Offcut != nil {
			found.at(k).inHand++
		} else {
			found.at(k).stock++
		}
		if found.lots[k] == nil {
			found.lots[k] = map[string]bool{}
		}
		found.lots[k][s.Lot] = true
		for _, q := range s.Pieces {
			if group[q.Piece] != k.group && !kept[s.ID] {
				c.fault("stock tile %s serves two groups", s.ID)
			}
		}
	}
	return found
}

// row holds one row to its own figures, and to the lots of its tiles.
func (c *takenCheck) row(r *Row, lots map[string]bool) {
	per := c.tiles[r.Tile].PerBox
	switch {
	case r.StockBound > r.Stock:
		c.fault("row %s %s: bound %d over %d", r.Tile, r.Group, r.StockBound, r.Stock)
	case r.Quantity != r.Stock+r.Spares+r.Attic || r.Boxes*per < r.Quantity || (r.Boxes-1)*per >= r.Quantity:
		c.fault("row %s %s: %d + %d + %d = %d tiles in %d boxes of %d", r.Tile, r.Group, r.Stock, r.Spares, r.Attic, r.Quantity, r.Boxes, per)
	case len(lots) > 1 && r.Split == "":
		c.fault("row %s %s: %d lots and no word why", r.Tile, r.Group, len(lots))
	case r.Split == "" && !lots[r.Lot]:
		c.fault("row %s %s: its tiles are not of lot %q", r.Tile, r.Group, r.Lot)
	}
}

// groups is the lot group of every piece: what is seen together, parted as its
// rooms accept.
func (c *takenCheck) groups() map[string]string {
	type of struct{ group, room string }
	first := map[string]*rooms.Site{}
	room, split, flat := map[string]of{}, map[string]string{}, map[string]bool{}
	for _, j := range c.in.Jobs {
		for _, s := range j.Sites {
			for _, r := range s.Rooms {
				k := joinKey(j.Key, r.Key)
				g := k
				if r.Group != "" {
					g = j.Key + "/group/" + r.Group
					if first[g] == nil {
						first[g] = &s
					} else if first[g].Key != s.Key {
						g += "/" + s.Key
					}
				}
				room[k] = of{g, r.Key}
				if r.Split != "" {
					split[g] = r.Split
				}
				for _, f := range r.Surfaces {
					switch f.Kind {
					case rooms.Floor, rooms.ShowerFloor, rooms.Ceiling, rooms.Bench, rooms.Kerb:
						flat[joinKey(k, f.Key)] = true
					}
				}
			}
		}
	}
	out := map[string]string{}
	for i := range c.t.Layouts {
		l := &c.t.Layouts[i]
		at := room[layoutRoom(l)]
		side := "walls"
		if flat[layoutSurface(l)] {
			side = "floor"
		}
		part := map[string]string{rooms.SplitRooms: "/" + at.room, rooms.SplitFloor: "/" + side,
			rooms.SplitRoomFloor: "/" + side + " of " + at.room, rooms.SplitSurfaces: layoutSurface(l)[len(layoutRoom(l))-len(at.room)-1:]}[split[at.group]]
		for _, z := range l.Zones {
			for _, p := range z.Pieces {
				out[p.ID] = at.group + part
			}
		}
	}
	return out
}

// lots holds what rows take from lots on hand to what is there.
func (c *takenCheck) lots() {
	type key struct{ tile, lot string }
	left := map[key]int{}
	for _, l := range c.in.Catalogue.Lots {
		if !l.Offered {
			left[key{l.Tile, l.Lot}] += l.Boxes
		}
	}
	for _, r := range c.t.Rows {
		if r.FromStock > r.Boxes || r.FromStock < 0 {
			c.fault("row %s %s: %d of %d boxes from stock", r.Tile, r.Group, r.FromStock, r.Boxes)
		}
		if r.FromStock == 0 || r.Split != "" {
			continue
		}
		k := key{GoodsKey(r.Tile), r.Lot}
		if left[k] -= r.FromStock; left[k] < 0 {
			c.fault("lot %s of %s is given %d boxes too often", r.Lot, r.Tile, -left[k])
		}
	}
}

// materials holds lines to needs.
func (c *takenCheck) materials() {
	net, with := map[string]float64{}, map[string]float64{}
	to := c.deliverTo()
	at := map[string]map[string]float64{} // by product and place
	for _, n := range c.t.Needs {
		if !(n.Net > 0) || n.With < n.Net || math.IsInf(n.With, 0) {
			c.fault("%s on %s: net %v, with margin %v", n.Product, n.Surface, n.Net, n.With)
		}
		net[n.Product] += n.Net
		with[n.Product] += n.With
		if at[n.Product] == nil {
			at[n.Product] = map[string]float64{}
		}
		at[n.Product][to[n.Room]] += n.With
	}
	var seen []string
	for _, m := range c.t.Materials {
		if slices.Contains(seen, m.Product) {
			c.fault("material %s stands twice", m.Product)
		}
		seen = append(seen, m.Product)
		got := float64(m.Packages) * m.PackageSize
		switch {
		case math.Abs(m.Net-net[m.Product]) > 1e-6*max(1, m.Net):
			c.fault("material %s: net %v, its needs add to %v", m.Product, m.Net, net[m.Product])
		case math.Abs(got-m.Quantity) > 1e-9*max(1, got) || with[m.Product] > got+1e-3:
			c.fault("material %s: %v with margin, %d packages of %v", m.Product, with[m.Product], m.Packages, m.PackageSize)
		case !c.toThePiece(m.Product) && c.fewest(at[m.Product], m.PackageSize) != m.Packages:
			c.fault("material %s: %d packages, whole at each place of delivery they are %d", m.Product, m.Packages, c.fewest(at[m.Product], m.PackageSize))
		}
	}
	for p := range net {
		if !slices.Contains(seen, p) {
			c.fault("%s is needed and has no line", p)
		}
	}
}

// deliverTo is the place of delivery of each room's goods: its site, where that
// takes deliveries, else the yard.
func (c *takenCheck) deliverTo() map[string]string {
	out := map[string]string{}
	for _, j := range c.in.Jobs {
		for _, s := range j.Sites {
			for _, r := range s.Rooms {
				if s.Deliver == rooms.ToSite || s.Address != "" && s.Deliver != rooms.ToYard {
					out[joinKey(j.Key, r.Key)] = joinKey(j.Key, s.Key)
				}
			}
		}
	}
	return out
}

// fewest is the fewest packages that serve every place.
func (c *takenCheck) fewest(with map[string]float64, size float64) int {
	n := 0
	for _, w := range with {
		n += int(math.Ceil(w/size - 1e-5))
	}
	return n
}

// inPanels reports whether a product is cut from panels, which are counted and not
// weighed out by area.
func (c *takenCheck) toThePiece(key string) bool {
	for _, p := range c.in.Catalogue.Products {
		if p.Key == key {
			return p.toThePiece()
		}
	}
	return false
}
