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

// Count is the tile of one surface, room, lot group or job. A stock tile counts
// where the first piece cut from it lies, so that surfaces add up to rooms,
// rooms to groups and jobs, and all of them to the rows of the takeoff.
type Count struct {
	Level, Key, Tile         string
	Pieces, Full, Cut, Stock int
	M2                       float64 // laid, without joints
	Flat                     int     // tiles by the flat percentage, rounded up at this level
}

// countKey is a line of the count.
type countKey struct{ level, key, tile string }

// Counts lists the tile at every level.
func (t *Taken) Counts() []Count {
	found := map[countKey]*Count{}
	flat := map[countKey]float64{}
	at := map[string][4]string{} // piece → its keys by level
	each := func(keys [4]string, tile string, add func(c *Count, k countKey)) {
		for i, level := range [4]string{BySurface, ByRoom, ByGroup, ByJob} {
			k := countKey{level, keys[i], tile}
			if found[k] == nil {
				found[k] = &Count{Level: level, Key: keys[i], Tile: tile}
			}
			add(found[k], k)
		}
	}
	for i := range t.Layouts {
		l := &t.Layouts[i]
		room := layoutRoom(l)
		keys := [4]string{layoutSurface(l), room, t.groupOf[room], t.jobOf[room]}
		seen := map[string]bool{}
		for z := range l.Zones {
			for n := range l.Zones[z].Pieces {
				p := &l.Zones[z].Pieces[n]
				at[p.ID] = keys
				each(keys, p.Tile, func(c *Count, k countKey) {
					c.Pieces++
					if p.Full {
						c.Full++
					} else {
						c.Cut++
					}
					c.M2 += pieceMM2(p) / 1e6
					if !seen[k.level+p.Tile] {
						seen[k.level+p.Tile] = true
						flat[k] += t.flat[Use{p.Tile, keys[0]}]
					}
				})
			}
		}
	}
	for i := range t.Stock {
		s := &t.Stock[i]
		if !s.Broken {
			each(at[s.Pieces[0].Piece], s.Tile, func(c *Count, _ countKey) { c.Stock++ })
		}
	}
	var list []Count
	for k, c := range found {
		c.Flat = ceilCount(flat[k])
		list = append(list, *c)
	}
	slices.SortFunc(list, func(a, b Count) int {
		return cmp.Or(cmp.Compare(a.Level, b.Level), cmp.Compare(a.Key, b.Key), cmp.Compare(a.Tile, b.Tile))
	})
	return list
}
