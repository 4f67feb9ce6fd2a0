package takeoff

import (
	"cmp"
	"slices"
)

// Levels at which tile is counted.
const (
	BySurface = "surface"
	ByRoom    = "room"
	ByGroup   = "group"
	ByJob     = "job"
)

// Count is the quantity chain of one tile on one surface, in one room, lot group
// or job. A stock tile counts where the first piece cut from it lies, an offcut in hand not
// at all. Spares and
// tiles kept for repairs belong to a lot group; its surfaces share them by the
// tiles they take. So surfaces add up to rooms, rooms to groups and jobs, and all
// of them to the rows of the takeoff.
type Count struct {
	Level, Key, Tile         string
	Pieces, Full, Cut, Stock int
	Spares, Attic, Quantity  int     // Quantity = Stock + Spares + Attic
	Boxes                    float64 // whole for groups and jobs, a share of the group's below
	M2                       float64 // laid, without joints
	// Flat is tiles by the flat percentage, rounded up for the lot group as the row
	// has it and shared below.
	Flat int
}

// countKey is a line of the count.
type countKey struct{ level, key, tile string }

// counter carries one run of Counts.
type counter struct {
	found map[countKey]*Count
	// of a surface's lot group, tile by tile
	surfaces map[rowKey][]*Count
	keys     map[*Count][4]string
}

// Counts lists the tile at every level.
func (t *Taken) Counts() []Count {
	c := &counter{map[countKey]*Count{}, map[rowKey][]*Count{}, map[*Count][4]string{}}
	at := make(map[string]*Count, len(t.Stock)) // of the first piece of each stock tile, its surface's
	for i := range t.Stock {
		if s := &t.Stock[i]; !s.Broken && !s.InHand() {
			at[s.Pieces[0].Piece] = nil
		}
	}
	for i := range t.Layouts {
		l := &t.Layouts[i]
		room, surface := layoutRoom(l), layoutSurface(l)
		keys := [4]string{surface, room, t.groupOf[surface], t.jobOf[room]}
		var s *Count // of the piece before
		for z := range l.Zones {
			for n := range l.Zones[z].Pieces {
				p := &l.Zones[z].Pieces[n]
				if s == nil || s.Tile != p.Tile {
					s = c.surface(keys, p.Tile)
				}
				if _, first := at[p.ID]; first {
					at[p.ID] = s
				}
				s.Pieces++
				if p.Full {
					s.Full++
				} else {
					s.Cut++
				}
				s.M2 += pieceMM2(p) / 1e6
			}
		}
	}
	for i := range t.Stock {
		if s := &t.Stock[i]; !s.Broken && !s.InHand() {
			at[s.Pieces[0].Piece].Stock++
		}
	}
	for i := range t.Rows {
		t.shareRow(&t.Rows[i], c.surfaces[rowKey{t.Rows[i].Tile, t.Rows[i].Group}])
	}
	return c.list()
}

// surface is the count of a tile on a surface.
func (c *counter) surface(keys [4]string, tile string) *Count {
	k := countKey{BySurface, keys[0], tile}
	if c.found[k] == nil {
		s := &Count{Level: BySurface, Key: keys[0], Tile: tile}
		c.found[k], c.keys[s] = s, keys
		g := rowKey{tile, keys[2]}
		c.surfaces[g] = append(c.surfaces[g], s)
	}
	return c.found[k]
}

// shareRow gives a row's spares, tiles kept, flat figure and boxes to its
// surfaces.
func (t *Taken) shareRow(r *Row, surfaces []*Count) {
	var stock, flat []float64
	for _, s := range surfaces {
		stock = append(stock, float64(s.Stock))
		flat = append(flat, t.flat[Use{r.Tile, s.Key}])
	}
	spares, attic, flats := shareWhole(r.Spares, stock), shareWhole(r.Attic, stock), shareWhole(r.FlatQuantity, flat)
	for i, s := range surfaces {
		s.Spares, s.Attic, s.Flat = spares[i], attic[i], flats[i]
		s.Quantity = s.Stock + s.Spares + s.Attic
		s.Boxes = float64(r.Boxes) * (float64(s.Quantity) / float64(max(1, r.Quantity)))
	}
}

// shareWhole splits a whole number by weight.
func shareWhole(n int, weights []float64) []int {
	out := make([]int, len(weights))
	for i, m := range shareMoney(Money(n)*100, weights) {
		out[i] = int(m / 100)
	}
	return out
}

// list adds surfaces up to the levels above and sorts.
func (c *counter) list() []Count {
	var surfaces []*Count
	for s := range c.keys {
		surfaces = append(surfaces, s)
	}
	slices.SortFunc(surfaces, func(a, b *Count) int { return cmp.Or(cmp.Compare(a.Key, b.Key), cmp.Compare(a.Tile, b.Tile)) })
	for _, s := range surfaces {
		for i, level := range [4]string{BySurface, ByRoom, ByGroup, ByJob} {
			if i == 0 {
				continue
			}
			k := countKey{level, c.keys[s][i], s.Tile}
			if c.found[k] == nil {
				c.found[k] = &Count{Level: level, Key: k.key, Tile: k.tile}
			}
			c.found[k].add(s)
		}
	}
	var list []Count
	for _, f := range c.found {
		f.round()
		list = append(list, *f)
	}
	slices.SortFunc(list, func(a, b Count) int {
		return cmp.Or(cmp.Compare(a.Level, b.Level), cmp.Compare(a.Key, b.Key), cmp.Compare(a.Tile, b.Tile))
	})
	return list
}

func (c *Count) add(s *Count) {
	c.Pieces += s.Pieces
	c.Full += s.Full
	c.Cut += s.Cut
	c.Stock += s.Stock
	c.Spares += s.Spares
	c.Attic += s.Attic
	c.Quantity += s.Quantity
	c.Flat += s.Flat
	c.Boxes += s.Boxes
	c.M2 += s.M2
}

// round leaves boxes and m² to a millionth.
func (c *Count) round() { c.Boxes, c.M2 = roundTo(c.Boxes, 1e6), roundTo(c.M2, 1e6) }

// roundTo rounds x to a part of one.
func roundTo(x, parts float64) float64 { return float64(int64(x*parts+0.5)) / parts }
