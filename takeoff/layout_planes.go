package takeoff

import (
	"cmp"
	"fmt"

	"potlife/rooms"
)

// The planes of a floor that is cut along its folds lie as if the floor were flat
// and the tile cut where it folds: one lattice in plan for all of them, so that
// every joint goes on across the fold and the two parts of a tile there bear one
// number. Seen from above nothing else is straight: tile that is laid on each
// plane by itself meets its neighbour anywhere. What a plane's slope adds to its
// length (0.2 mm in a metre at 2 %) is less than a joint takes up.

// foldedZone is a zone that folds divide: as it was, and its planes among the
// surface's zones.
type foldedZone struct {
	zone        rooms.Zone
	first, past int
}

func (p foldedZone) holds(zone int) bool { return p.first <= zone && zone < p.past }

// commonOrigin is an origin that a plane shares with the others of its zone.
type commonOrigin struct {
	origin  rooms.Point
	why     string
	runners []RunnerUp
	skipped Skipped
}

// joinPlanes gives the planes of each folded zone one origin: that of a plane of
// which anything is issued, else the best of all planes together.
func (w *surfaceWork) joinPlanes() error {
	for _, p := range w.planes {
		var layers []*zoneLayer
		for _, z := range w.layers[p.first:p.past] {
			if z != nil && len(z.ground.cover) > 0 {
				layers = append(layers, z)
			}
		}
		if len(layers) < 2 {
			continue
		}
		c, locked := lockedOrigin(layers)
		if !locked {
			var err error
			if c, err = w.flat(p.zone, layers).commonOrigin(w.surface, len(layers)); err != nil {
				return w.fail(p.first, err)
			}
		}
		for _, z := range layers {
			z.common = c
		}
	}
	return nil
}

// lockedOrigin is the origin of the first plane of which anything is issued.
func lockedOrigin(layers []*zoneLayer) (*commonOrigin, bool) {
	for _, z := range layers {
		if lock, ok := z.in.Locks[z.key]; ok {
			return &commonOrigin{origin: lock.Origin, skipped: lock.Skipped, why: "as the plane " + z.ground.zone.Key + ", which is issued: joints meet in the folds"}, true
		}
	}
	return nil, false
}

// flat is a zone as it was before folds divided it: the covers of all its planes,
// with the folds between them.
func (w *surfaceWork) flat(zone rooms.Zone, layers []*zoneLayer) *zoneLayer {
	first := layers[0]
	g := &zoneGround{zone: zone, lines: w.ground.lines[:len(w.ground.lines):len(w.ground.lines)]}
	var cover []rooms.Polygon
	for _, z := range layers {
		g.lines = append(g.lines, z.ground.lines[len(w.ground.lines):]...)
		cover = append(cover, z.ground.cover...)
	}
	z := &zoneLayer{in: w.in, key: zoneKey(w.in, w.surface, zone), ground: g, view: first.view, tiles: first.tiles, lay: first.lay}
	z.setCover(cover)
	return z
}

// foldsAcross reports whether a fold runs at an angle to the courses: what it cuts off
// depends on both directions of the pattern, and is searched so.
func (z *zoneLayer) foldsAcross() bool {
	for i, k := range z.made {
		e := z.fill.edges[i]
		dx, dy := absLen(e[1].X-e[0].X), absLen(e[1].Y-e[0].Y)
		if k >= 0 && z.ground.lines[k].kind == borderFold && 10*dx > dy && 10*dy > dx {
			return true
		}
	}
	return false
}

// commonOrigin chooses the origin of all planes, and where their numbers begin.
func (z *zoneLayer) commonOrigin(s *rooms.Surface, planes int) (*commonOrigin, error) {
	at, why, err := z.origin(s)
	if err != nil {
		return nil, err
	}
	c := &commonOrigin{origin: at, why: fmt.Sprintf("one place for %d planes, so that joints meet in the folds: %s", planes, why), runners: z.runners}
	got, err := z.fill.fill(at)
	if err != nil {
		return nil, err
	}
	if shift, ok := z.firstCell(got); ok && !z.numbered() {
		d := z.lay.turn.apply(shift)
		c.origin = rooms.Point{X: at.X + d.X, Y: at.Y + d.Y}
		if got, err = z.fill.fill(c.origin); err != nil {
			return nil, err
		}
	}
	c.skipped = z.skips(got)
	return c, nil
}

// takeCommon is the origin of all planes, with what the runners-up would leave on
// this one.
func (z *zoneLayer) takeCommon() (rooms.Point, string, error) {
	for _, r := range z.common.runners {
		if err := z.runnerUp(r.Origin, r.Why); err != nil {
			return rooms.Point{}, "", err
		}
	}
	return z.common.origin, z.common.why, nil
}

// numbered reports whether the numbers of the pieces count from a tile that is
// given: by what is issued, by all planes of the zone, or by the datum.
func (z *zoneLayer) numbered() bool {
	_, locked := z.in.Locks[z.key]
	d := z.ground.zone.Datum
	return locked || z.common != nil || d.Across == rooms.At && d.Up == rooms.At
}

// sharedLines gives the planes of each folded zone one level and one plumb line: they
// lie in one lattice, so that a floor has one pair of lines to snap. They cross at the
// corner of a tile of any plane, whole but for the fold.
func (w *surfaceWork) sharedLines() {
	for _, p := range w.planes {
		all := &ZoneLayout{Zone: p.zone}
		var first *zoneLayer
		for i := p.first; i < p.past; i++ {
			if out := w.laid[i]; out != nil && w.layers[i].common != nil {
				first = cmp.Or(first, w.layers[i])
				all.Cover, all.Pieces = append(all.Cover, out.Cover...), append(all.Pieces, out.Pieces...)
			}
		}
		if first == nil {
			continue
		}
		first.lines(w.surface, all)
		for i := p.first; i < p.past; i++ {
			if out := w.laid[i]; out != nil && w.layers[i].common != nil {
				out.LevelLine, out.Plumb = all.LevelLine, all.Plumb
			}
		}
	}
}
