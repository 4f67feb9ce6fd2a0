package takeoff

import "potlife/rooms"

// inHand holds a stock tile that is an offcut in hand to the offcut: one that was
// offered or cut before, of the row's lot, with its pieces inside what lies there and
// on the tile's own edges only where it has them.
func (c *takenCheck) inHand(s StockTile, used map[string]bool) {
	o := s.Offcut
	if o == nil {
		return
	}
	if used[o.Key] {
		c.fault("offcut %s is cut twice", o.Key)
	}
	used[o.Key] = true
	known := false
	for _, k := range c.in.Kept {
		known = known || k.Offcut != nil && *k.Offcut == *o
	}
	for _, k := range c.in.Catalogue.Offcuts {
		known = known || k == *o
	}
	if !known || o.Lot == "" || !s.Broken && s.Lot != o.Lot || GoodsKey(s.Tile) != GoodsKey(o.Tile) {
		c.fault("stock tile %s of %s, lot %q is no offcut in hand of that lot: %+v", s.ID, s.Tile, s.Lot, *o)
	}
	if s.Broken {
		return
	}
	tile := c.tiles[s.Tile].Shape.Box()
	box := s.Pieces[0].Polygon.Outer.Box()
	for _, q := range s.Pieces {
		b := q.Polygon.Outer.Box()
		box.Min.X, box.Min.Y = min(box.Min.X, b.Min.X), min(box.Min.Y, b.Min.Y)
		box.Max.X, box.Max.Y = max(box.Max.X, b.Max.X), max(box.Max.Y, b.Max.Y)
	}
	c.spans(s, "across", box.Min.X, box.Max.X, o.Width, tile.Max.X, o.Left, o.Right)
	c.spans(s, "up", box.Min.Y, box.Max.Y, o.Height, tile.Max.Y, o.Bottom, o.Top)
}

// spans holds the pieces of an offcut along one axis: size is what lies there, all
// the tile's.
func (c *takenCheck) spans(s StockTile, axis string, from, to, size, all rooms.Length, low, high bool) {
	const near = 10 * rooms.Micrometre
	if low && high {
		size = all
	}
	switch {
	case to-from > size+near, low && to > size+near, high && from < all-size-near:
		c.fault("stock tile %s: pieces from %s to %s %s, the offcut has %s", s.ID, from, to, axis, size)
	case !low && from < 2*near, !high && to > all-2*near:
		c.fault("stock tile %s: pieces from %s to %s %s reach an edge that the offcut has not", s.ID, from, to, axis)
	}
}
