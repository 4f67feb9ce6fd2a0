package takeoff

import (
	"cmp"
	"slices"
)

// RoomCost is what a room takes of tile and of all else, at the catalogue's
// prices, spares and rounding to packages included, whether it is bought now or
// was on hand.
type RoomCost struct {
	Room, Job       string
	Tiles, Products Money
}

// Total is the room's goods.
func (c RoomCost) Total() Money { return c.Tiles + c.Products }

// Costs shares every row and material among its rooms, rows by the area laid and
// materials by need, so that the rooms add up to the lines to the cent.
func (t *Taken) Costs(cat Catalogue) []RoomCost {
	index := map[string]int{}
	var list []RoomCost
	at := func(room string) *RoomCost {
		i, ok := index[room]
		if !ok {
			i = len(list)
			index[room] = i
			list = append(list, RoomCost{Room: room})
		}
		return &list[i]
	}
	area := t.laidAreas()
	for i := range t.Rows {
		r := &t.Rows[i]
		tile := cat.tile(r.Tile)
		if tile == nil {
			continue
		}
		var weights []float64
		for _, k := range r.Rooms {
			weights = append(weights, area[Use{r.Tile, k}])
		}
		for n, m := range shareMoney(Amount(r.Boxes, tile.PricePerBox), weights) {
			at(r.Rooms[n]).Tiles += m
		}
	}
	for i := range t.Materials {
		m := &t.Materials[i]
		p := cat.product(m.Product)
		if p == nil {
			continue
		}
		shares := t.shares(m, uses{})
		var weights []float64
		for _, s := range shares {
			weights = append(weights, s.with)
		}
		for n, part := range shareMoney(Amount(m.Packages, p.Price), weights) {
			at(shares[n].room).Products += part
		}
	}
	for i := range list {
		list[i].Job = t.jobOf[list[i].Room]
	}
	slices.SortFunc(list, func(a, b RoomCost) int { return cmp.Compare(a.Room, b.Room) })
	return list
}

// laidAreas is the area laid by tile and room, in mm².
func (t *Taken) laidAreas() map[Use]float64 {
	area := map[Use]float64{}
	for i := range t.Layouts {
		l := &t.Layouts[i]
		room := layoutRoom(l)
		for z := range l.Zones {
			for k := range l.Zones[z].Pieces {
				p := &l.Zones[z].Pieces[k]
				area[Use{p.Tile, room}] += pieceMM2(p)
			}
		}
	}
	return area
}

// shareMoney splits an amount of whole cents by weight: each part is rounded
// down to the cent and the cents left go to the largest remainders, the first of
// equal ones.
func shareMoney(total Money, weights []float64) []Money {
	sum := 0.0
	for _, w := range weights {
		sum += w
	}
	parts := make([]Money, len(weights))
	if len(parts) == 0 {
		return parts
	}
	if sum <= 0 {
		parts[0] = total
		return parts
	}
	cents := int64(total) / 100
	rest := make([]float64, len(parts))
	order := make([]int, len(parts))
	left := cents
	for i, w := range weights {
		exact := float64(float64(cents) * (w / sum))
		whole := min(int64(exact), left)
		parts[i], rest[i], order[i] = Money(whole*100), exact-float64(whole), i
		left -= whole
	}
	slices.SortStableFunc(order, func(a, b int) int { return cmp.Compare(rest[b], rest[a]) })
	for n := 0; left > 0; n = (n + 1) % len(order) {
		parts[order[n]] += 100
		left--
	}
	return parts
}
