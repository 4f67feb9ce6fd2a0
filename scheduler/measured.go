package scheduler

import (
	"slices"
	"strings"

	"potlife/rooms"
	"potlife/takeoff"
)

// lotTolerance is how far a lot's mean size may lie from the tile's for its rooms
// to stay as they are laid out: a tenth of a millimetre, what a tape cannot tell.
const lotTolerance = 100 * rooms.Micrometre

// measuredLots are the lots that came in with a calibre or a measured mean size,
// as they were first measured, and those of the catalogue.
func measuredLots(c takeoff.Catalogue, receipts []Receipt) []takeoff.Lot {
	var list []takeoff.Lot
	add := func(l takeoff.Lot) {
		i := slices.IndexFunc(list, func(o takeoff.Lot) bool { return o.Tile == l.Tile && o.Lot == l.Lot })
		switch {
		case l.Lot == "" || l.Calibre == "" && l.Width <= 0:
		case i < 0:
			list = append(list, l)
		case list[i].Width <= 0:
			list[i].Width, list[i].Height = l.Width, l.Height
		}
	}
	for _, r := range receipts {
		add(takeoff.Lot{Tile: r.Product, Lot: r.Lot, Calibre: r.Calibre, Width: r.Width, Height: r.Height})
	}
	for _, l := range c.Lots {
		add(takeoff.Lot{Tile: l.Tile, Lot: l.Lot, Calibre: l.Calibre, Width: l.Width, Height: l.Height})
	}
	return list
}

// asMeasured adds the tile of a lot as measured to the firm's, if its size differs
// from what its rooms are drawn for.
func (m *maker) asMeasured(tile, lot string) (key string, ok bool) {
	key = tile + "@" + lot
	if _, ok := m.tiles[key]; ok {
		return key, true
	}
	t, ok := m.ofLot(tile, lot)
	if ok {
		m.addTile(t)
	}
	return key, ok
}

// ofLot is the tile of a lot as measured; false where its size is as drawn, or not
// known.
func (m *maker) ofLot(tile, lot string) (takeoff.Tile, bool) {
	i := slices.IndexFunc(m.measured, func(l takeoff.Lot) bool { return l.Tile == tile && l.Lot == lot })
	if i < 0 || m.measured[i].Width <= 0 || m.measured[i].Height <= 0 {
		return takeoff.Tile{}, false
	}
	t, known := m.tiles[tile]
	b := t.Shape.Box()
	near := func(a, b rooms.Length) bool { return a-b < lotTolerance && b-a < lotTolerance }
	if !known || near(m.measured[i].Width, b.Width()) && near(m.measured[i].Height, b.Height()) {
		return takeoff.Tile{}, false
	}
	return takeoff.MeasuredTile(t, m.measured[i]), true
}

func (m *maker) addTile(t takeoff.Tile) {
	m.tiles[t.Key] = t
	m.in.Firm.Catalogue.Tiles = append(slices.Clip(m.in.Firm.Catalogue.Tiles), t)
}

// keepMeasured lays surfaces of which anything is issued out for the lots that the
// plan in force laid them out for: what is cut stays cut.
func (m *maker) keepMeasured() {
	if m.in.Prior == nil {
		return
	}
	was := map[string]string{} // surface/zone/tile → tile as measured
	for i := range m.in.Prior.Layouts {
		l := &m.in.Prior.Layouts[i]
		for _, z := range l.Zones {
			for _, k := range append([]string{z.Zone.Tile}, z.Zone.Tiles...) {
				if goods := takeoff.GoodsKey(k); goods != k && m.locked(l.Surface) {
					was[l.Surface+"/"+z.Zone.Key+"/"+goods] = k
				}
			}
		}
	}
	wanted := map[string]bool{}
	for _, k := range was {
		wanted[k] = true
	}
	for i := range m.in.Prior.Firm.Catalogue.Tiles {
		t := m.in.Prior.Firm.Catalogue.Tiles[i]
		if now, ok := m.tiles[t.Of]; ok && t.Of != "" {
			now.Key, now.Name, now.Of, now.OfLot, now.Shape = t.Key, t.Name, t.Of, t.OfLot, t.Shape
			if _, there := m.tiles[t.Key]; !there && wanted[t.Key] {
				m.addTile(now)
			}
		}
	}
	m.renameTiles(func(surface, zone, tile string) string { return was[surface+"/"+zone+"/"+tile] })
}

// locked reports whether the size of the tiles of a surface, "job/room/surface",
// stands: something of it is issued, or of a wall that its courses run round the
// corner to.
func (m *maker) locked(surface string) bool {
	if m.stands == nil {
		m.stands = m.standing()
	}
	return m.stands[surface]
}

// standing are the surfaces whose size of tiles stands.
func (m *maker) standing() map[string]bool {
	out := map[string]bool{}
	for k := range m.kept.locks {
		out[k[:strings.LastIndexByte(k, '/')]] = true
	}
	for _, j := range m.jobs {
		for _, s := range j.Sites {
			for i := range s.Rooms {
				carryStanding(j.Key+"/"+s.Rooms[i].Key, &s.Rooms[i], out)
			}
		}
	}
	return out
}

// carryStanding lets the walls of a room in which courses carry round corners
// stand together: a course of two sizes meets nowhere.
func carryStanding(key string, room *rooms.Room, stands map[string]bool) {
	carry, any := false, false
	for i := range room.Surfaces {
		s := &room.Surfaces[i]
		carry = carry || slices.ContainsFunc(s.Zones, func(z rooms.Zone) bool { return z.Datum.Across == rooms.Carry })
		any = any || !flat(s.Kind) && stands[key+"/"+s.Key]
	}
	for i := range room.Surfaces {
		if s := &room.Surfaces[i]; carry && any && !flat(s.Kind) {
			stands[key+"/"+s.Key] = true
		}
	}
}

// useMeasured gives the surfaces of which nothing is issued yet the tiles of the
// lots they take as measured; false where that changes nothing.
func (m *maker) useMeasured() bool {
	to := map[[2]string]string{} // lot group, tile → tile as measured
	for _, r := range m.taken.Rows {
		if r.Lot == "" || takeoff.GoodsKey(r.Tile) != r.Tile {
			continue
		}
		if key, ok := m.asMeasured(r.Tile, r.Lot); ok {
			to[[2]string{r.Group, r.Tile}] = key
		}
	}
	if len(to) == 0 {
		return false
	}
	return m.renameTiles(func(surface, _, tile string) string {
		if m.locked(surface) {
			return ""
		}
		return to[[2]string{m.taken.GroupOf(surface), tile}]
	})
}

// renameTiles puts other tiles into zones, on copies of what it changes; empty
// leaves a tile as it is.
func (m *maker) renameTiles(to func(surface, zone, tile string) string) (changed bool) {
	for j := range m.jobs {
		for s := range m.jobs[j].Sites {
			for r := range m.jobs[j].Sites[s].Rooms {
				room := &m.jobs[j].Sites[s].Rooms[r]
				copied := false
				for f := range room.Surfaces {
					zones := renamed(room.Surfaces[f].Zones, m.jobs[j].Key+"/"+room.Key+"/"+room.Surfaces[f].Key, to)
					if zones == nil {
						continue
					}
					if !copied {
						room.Surfaces, copied, changed = slices.Clone(room.Surfaces), true, true
					}
					room.Surfaces[f].Zones = zones
				}
			}
		}
	}
	return changed
}

// renamed is a copy of zones with other tiles, nil where none changes.
func renamed(zones []rooms.Zone, surface string, to func(surface, zone, tile string) string) (out []rooms.Zone) {
	set := func(i int, at *string) {
		if k := to(surface, zones[i].Key, *at); k != "" {
			*at = k
		}
	}
	next := slices.Clone(zones)
	changed := false
	for i := range next {
		z := &next[i]
		z.Tiles = slices.Clone(z.Tiles)
		set(i, &z.Tile)
		for n := range z.Tiles {
			set(i, &z.Tiles[n])
		}
		changed = changed || z.Tile != zones[i].Tile || !slices.Equal(z.Tiles, zones[i].Tiles)
	}
	if !changed {
		return nil
	}
	return next
}

// tilesFor are the firm's tiles that a room's layout depends on: those of the
// catalogue, and of the lots as measured those that the room takes.
func (m *maker) tilesFor(room *rooms.Room) []takeoff.Tile {
	taken := map[string]bool{}
	for i := range room.Surfaces {
		for _, z := range room.Surfaces[i].Zones {
			taken[z.Tile] = true
			for _, k := range z.Tiles {
				taken[k] = true
			}
		}
	}
	return slices.DeleteFunc(slices.Clone(m.in.Firm.Catalogue.Tiles), func(t takeoff.Tile) bool { return t.Of != "" && !taken[t.Key] })
}
